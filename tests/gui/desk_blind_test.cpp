// The run sheet's proposals, blind reading and blind packets in the real window.
#include "core/session/packet_files.h"
#include "core/session/evidence_store.h"
#include "tests/gui/desk_bench.h"
#include "ui/desk/blind_packets.h"
#include "ui/desk/blind_panel.h"
#include "ui/desk/sheet_proposals.h"
#include "ui/controls/choice_box.h"

#include <QApplication>
#include <QAbstractButton>
#include <QDialog>
#include <QDir>
#include <QFile>
#include <QFileInfo>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QSpinBox>
#include <QTest>
#include <algorithm>
#include <catch2/catch.hpp>

namespace {

/// Two captures that have just come in, two configurations and a sheet that has them in this order.
struct SheetBench : DeskBench {
    SheetBench()
    {
        film("a.mp4", 1);
        film("b.mp4", 2);
        addConfigurations({"direct", "hub"});
        session::RunSheet sheet;
        for (int block = 1; block <= 2; ++block)
            for (const auto& [id, configuration] : document()->configurations)
                sheet.lines.push_back({block, id, 2, {}, false});
        REQUIRE(model->edit([&](const session::Document& latest) { return session::setRunSheet(latest, sheet); }));
        settle();
        drop({path("a.mp4"), path("b.mp4")});
        settle();
    }
    const session::Capture& capture(std::size_t place) const { return *session::inOrder(document()->captures)[place]; }
    ui::SheetProposals& proposals() const { return *desk().findChild<ui::SheetProposals*>(); }
};

/// A session with a name and one film, both presses read.
struct ReadBench : DeskBench {
    footage::Truth truth;
    ReadBench() : truth(film("run.mp4"))
    {
        drop({path("run.mp4")});
        drawRegions(truth);
        addConfigurations({"direct", "hub"});
        REQUIRE(model->edit([](const session::Document& latest) {
            session::Settings settings = latest.settings;
            settings.reader = "R. One";
            return session::setSettings(latest, settings, "name the reader");
        }));
        keys(QStringLiteral("2"));
        right(40);
        keys(QStringLiteral("F"));
        right(12);
        keys(QStringLiteral("R"));
        key(Qt::Key_Return);
        right(150);
        keys(QStringLiteral("F"));
        right(14);
        keys(QStringLiteral("R"));
        key(Qt::Key_Return);
        settle();
        REQUIRE(trials("run").size() == 2);
        REQUIRE(model->saveAs(path("own.tallyframe")));
        settle();
    }

    /// Draws all trials, as the dialog's button does.
    void drawBlind()
    {
        key(Qt::Key_B, Qt::ControlModifier);
        auto* share = desk().findChild<QSpinBox*>(QStringLiteral("blindShare"));
        REQUIRE(share);
        for (QPushButton* button : share->window()->findChildren<QPushButton*>())
            if (button->text() == QStringLiteral("Draw and read"))
                QTest::mouseClick(button, Qt::LeftButton);
        settle();
        waitFor([this] { return desk().stateLine().startsWith(QStringLiteral("blind reading")); });
        window->activateWindow();
        REQUIRE(QTest::qWaitForWindowActive(window.get()));
        waitFor([this] { return QApplication::focusWidget() && window->isAncestorOf(QApplication::focusWidget()); });
        settle();
    }

    /// From the beginning of the excerpt to the frames of the first reading and `off` more, marking both.
    void readPlace(std::size_t place, std::int64_t off)
    {
        const session::RereadPlace at = document()->settings.reread->places[place];
        const session::Reading first = session::find(*document(), at.trial)->readings.front();
        right((first.press->frame - at.first).value + off);
        keys(QStringLiteral("F"));
        right((first.response->frame - first.press->frame).value);
        keys(QStringLiteral("R"));
        key(Qt::Key_Return);
        settle();
    }
};

bool shows(const QWidget& widget, const QString& text)
{
    for (const QLabel* label : widget.findChildren<QLabel*>())
        if (label->isVisible() && label->text().contains(text))
            return true;
    return false;
}

} // namespace

TEST_CASE("captures in order are proposed for the sheet and tagged only by A", "[desk][sheet]")
{
    SheetBench bench;
    CHECK(bench.proposals().isVisible());
    CHECK_FALSE(bench.capture(0).configuration); // never silently
    bench.keys(QStringLiteral("A"));
    bench.settle();
    const auto& lines = bench.document()->settings.runSheet->lines;
    for (std::size_t i = 0; i < 2; ++i) {
        CHECK(bench.capture(i).configuration == lines[i].configuration);
        CHECK(bench.capture(i).run);
        CHECK(bench.capture(i).run == lines[i].run);
    }
    CHECK_FALSE(bench.proposals().isVisible());
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    CHECK_FALSE(bench.capture(0).configuration);
    CHECK(bench.proposals().isVisible());
}

TEST_CASE("what the sheet proposes can be changed", "[desk][sheet]")
{
    SheetBench bench;
    ui::ChoiceBox* first = nullptr;
    for (auto* box : bench.proposals().findChildren<ui::ChoiceBox*>())
        if (box->accessibleName().endsWith(QStringLiteral(" a")))
            first = box;
    REQUIRE(first);
    first->setFocus();
    QTest::keyClick(first, Qt::Key_Down); // line 2 instead of 1
    QTest::keyClick(first, Qt::Key_Down); // line 3
    bench.settle();
    bench.proposals().accept();
    bench.settle();
    CHECK(bench.capture(0).run == bench.document()->settings.runSheet->lines[2].run);
    CHECK(bench.capture(1).run == bench.document()->settings.runSheet->lines[1].run);
}

TEST_CASE("a capture tagged against the sheet's order is warned about", "[desk][sheet]")
{
    SheetBench bench;
    bench.key(Qt::Key_PageUp, Qt::ControlModifier); // the last one that came in may be on the desk
    bench.keys(QStringLiteral("2"));                // capture a, where the sheet expects "direct"
    bench.settle();
    CHECK(bench.capture(0).configuration == bench.document()->settings.runSheet->lines[1].configuration);
    CHECK(shows(bench.proposals(), QStringLiteral("The sheet expects direct next (line 1); a is tagged with hub.")));
}

TEST_CASE("a blind reading hides names, first marks and hints, and leaves the first reading alone", "[desk][blind]")
{
    ReadBench bench;
    const auto before = bench.trials("run");
    const session::Reading first = before[0]->readings.front();
    bench.drawBlind();
    REQUIRE(bench.document()->settings.reread->places.size() == 2);
    for (const char* secret : {"direct", "hub", "Trials of run"})
        CHECK_FALSE(shows(bench.desk(), QString::fromLatin1(secret)));
    CHECK(shows(bench.desk(), QStringLiteral("press not marked yet")));
    CHECK_FALSE(shows(bench.desk(), QStringLiteral("press marked")));
    bench.key(Qt::Key_Down);         // hints are hidden
    bench.keys(QStringLiteral("1")); // and so is tagging
    bench.settle();
    CHECK(bench.trials("run")[0]->configuration == before[0]->configuration);

    bench.readPlace(0, 1);
    CHECK(bench.desk().stateLine() == QStringLiteral("blind reading, 1 of 2"));
    bench.readPlace(1, 0);
    CHECK_FALSE(bench.desk().stateLine().startsWith(QStringLiteral("blind")));
    for (const session::RereadPlace& place : bench.document()->settings.reread->places) {
        const session::Trial& trial = *session::find(*bench.document(), place.trial);
        REQUIRE(trial.readings.size() == 2);
        CHECK(trial.readings[1].blind);
        CHECK(trial.readings[1].accepted);
        CHECK(trial.readings[1].reader == "R. One");
        CHECK_FALSE(trial.readings[0].blind);
    }
    const session::Trial& read = *session::find(*bench.document(), bench.document()->settings.reread->places[0].trial);
    CHECK(read.readings[1].press->frame == read.readings[0].press->frame + timing::FrameCount{1});
    CHECK(bench.trials("run")[0]->readings.front() == first);
    CHECK(bench.problems().join(QLatin1Char(0x0a)).toStdString() == "");
}

TEST_CASE("a blind reading that was stopped goes on where it was", "[desk][blind]")
{
    ReadBench bench;
    bench.drawBlind();
    bench.readPlace(0, 0);
    auto* stop = bench.desk().findChild<QPushButton*>(QStringLiteral("stopBlind"));
    REQUIRE(stop);
    QTest::mouseClick(stop, Qt::LeftButton);
    bench.settle();
    CHECK_FALSE(bench.desk().stateLine().startsWith(QStringLiteral("blind")));
    bench.key(Qt::Key_B, Qt::ControlModifier);
    bench.settle();
    CHECK(bench.desk().stateLine() == QStringLiteral("blind reading, 1 of 2"));
    bench.readPlace(1, 2);
    const session::Trial& trial = *session::find(*bench.document(), bench.document()->settings.reread->places[1].trial);
    REQUIRE(trial.readings.size() == 2);
    CHECK(trial.readings[1].press->frame == trial.readings[0].press->frame + timing::FrameCount{2});
}

TEST_CASE("a packet goes to a second reader and his readings come back", "[desk][packet]")
{
    ReadBench bench;
    const QString folder = bench.path("packet");
    ui::BlindPackets& packets = bench.desk().packets();
    packets.handOutTo(folder, {1.0, 11, true});
    bench.waitFor([&] { return !packets.busy(); });
    bench.settle();
    REQUIRE(bench.document()->settings.packets.size() == 1);
    CHECK(bench.problems().join(QLatin1Char(0x0a)).toStdString() == "");
    const QString session = folder + QStringLiteral("/blind packet.tallyframe");
    REQUIRE(QFileInfo::exists(session));
    CHECK(QDir(folder + QStringLiteral("/footage")).entryList(QDir::Files)
          == QStringList{QStringLiteral("capture 1.mp4")});

    // The first readings, by the packet's order: what the second reader will find a frame later.
    std::vector<session::Reading> first;
    for (const session::TrialId id : bench.document()->settings.packets[0].trials)
        first.push_back(session::find(*bench.document(), id)->readings.front());

    bench.restart(session);
    bench.waitFor([&] { return bench.desk().stateLine() == QStringLiteral("blind reading, 0 of 2"); });
    bench.waitFor([&] { return bench.desk().findChild<QLineEdit*>(QStringLiteral("blindReader"))->isVisible(); });
    bench.waitFor([&] { return bench.pool->footage(folder + QStringLiteral("/footage/capture 1.mp4")) != nullptr; });
    bench.settle();
    CHECK_FALSE(shows(*bench.window, QStringLiteral("hub")));
    bench.keys(QStringLiteral("F")); // not before he has a name
    bench.settle();
    auto* name = bench.desk().findChild<QLineEdit*>(QStringLiteral("blindReader"));
    bench.waitFor([&] { return name->hasFocus(); });
    QTest::keyClicks(name, QStringLiteral("B. Two"));
    QTest::keyClick(name, Qt::Key_Return);
    bench.settle();
    for (std::size_t i = 0; i < 2; ++i) {
        const session::RereadPlace at = bench.document()->settings.reread->places[i];
        bench.right((first[i].press->frame - at.first).value + 1);
        bench.keys(QStringLiteral("F"));
        bench.right((first[i].response->frame - first[i].press->frame).value);
        bench.keys(QStringLiteral("R"));
        bench.key(Qt::Key_Return);
        bench.settle();
    }
    CHECK(bench.desk().stateLine() == QStringLiteral("blind reading, 2 of 2"));
    REQUIRE(bench.model->save());
    bench.settle();
    CHECK(bench.problems().join(QLatin1Char(0x0a)).toStdString() == "");

    bench.restart(bench.path("own.tallyframe"));
    bench.desk().packets().bringInFrom(session);
    bench.waitFor([&] { return !bench.desk().packets().busy(); });
    bench.settle();
    CHECK(bench.problems().join(QLatin1Char(0x0a)).toStdString() == "");
    for (std::size_t i = 0; i < 2; ++i) {
        const session::Trial& trial =
            *session::find(*bench.document(), bench.document()->settings.packets[0].trials[i]);
        REQUIRE(trial.readings.size() == 2);
        CHECK(trial.readings[1].reader == "B. Two");
        CHECK(trial.readings[1].blind);
        CHECK(trial.readings[1].press->frame == trial.readings[0].press->frame + timing::FrameCount{1});
        CHECK_FALSE(trial.readings[1].press->crops.lampAt.empty());
        CHECK(bench.model->evidence()->load(trial.readings[1].press->crops.lampAt));
    }
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    CHECK(bench.trials("run")[0]->readings.size() == 1);
}

TEST_CASE("what the second reader rejects is asked about, and the analyst's answer is one edit", "[desk][packet]")
{
    ReadBench bench;
    const QString folder = bench.path("packet");
    bench.desk().packets().handOutTo(folder, {1.0, 11, false});
    bench.waitFor([&] { return !bench.desk().packets().busy(); });
    bench.settle();
    REQUIRE(bench.model->save());
    bench.restart(folder + QStringLiteral("/blind packet.tallyframe"));
    const session::TrialId rejected = bench.document()->settings.reread->places[1].trial;
    REQUIRE(bench.model->edit([&](const session::Document& latest) {
        return session::rejectTrial(latest, rejected, session::RejectReason::Torn, "half");
    }));
    bench.settle();
    bench.restart(bench.path("own.tallyframe"));
    bench.desk().packets().bringInFrom(folder);
    QDialog* dialog = nullptr;
    bench.waitFor([&] {
        return (dialog = bench.window->findChild<QDialog*>(QStringLiteral("packetRejects"))) && dialog->isVisible();
    });
    const auto countRejected = [&] {
        return std::ranges::count_if(bench.document()->trials,
                                     [](const auto& trial) { return trial.second->reject.has_value(); });
    };
    CHECK(countRejected() == 0);
    const auto press = [&](const char* text) {
        for (QAbstractButton* button : dialog->findChildren<QAbstractButton*>())
            if (button->text() == QLatin1String(text))
                return QTest::mouseClick(button, Qt::LeftButton);
        FAIL("there is no button " << text);
    };
    SECTION("left in")
    {
        press("Leave them in");
        bench.settle();
        CHECK(countRejected() == 0);
    }
    SECTION("rejected, and undone")
    {
        press("Reject them");
        bench.settle();
        const session::Trial& trial =
            *session::find(*bench.document(), bench.document()->settings.packets[0].trials[1]);
        REQUIRE(trial.reject);
        CHECK(trial.reject->reason == session::RejectReason::Torn);
        CHECK(trial.reject->note.starts_with("half; read blind by "));
        CHECK(countRejected() == 1);
        bench.model->undo();
        bench.settle();
        CHECK(countRejected() == 0);
    }
}

TEST_CASE("packets that are no packets, foreign or broken are refused with a sentence", "[desk][packet]")
{
    ReadBench bench;
    ui::BlindPackets& packets = bench.desk().packets();
    const auto bring = [&](const QString& path) {
        const auto before = bench.problems().size();
        packets.bringInFrom(path);
        bench.waitFor([&] { return !packets.busy(); });
        bench.settle();
        return bench.problems().size() > before ? bench.problems().last() : QString();
    };
    const QString junk = bench.path("junk.tallyframe");
    QFile file(junk);
    REQUIRE(file.open(QIODevice::WriteOnly));
    file.write("{ \"format\": \"tallyframe session\", ");
    file.close();
    CHECK(bring(junk).contains(QStringLiteral("tallyframe import junk.tallyframe")));
    CHECK(bring(bench.path("nothing.tallyframe")).contains(QStringLiteral("nothing.tallyframe")));
    CHECK(bring(bench.path("own.tallyframe")).contains(QStringLiteral("isn't a blind packet")));

    const QString folder = bench.path("packet");
    packets.handOutTo(folder, {1.0, 11, false});
    bench.waitFor([&] { return !packets.busy(); });
    bench.settle();
    CHECK_FALSE(QFileInfo::exists(folder + QStringLiteral("/footage"))); // listed, not copied
    CHECK(bring(folder).contains(QStringLiteral("No reading was brought in, 2 trials not read in the packet yet.")));
    bench.key(Qt::Key_Z, Qt::ControlModifier); // as if another session had handed it out
    bench.settle();
    CHECK(bring(folder).contains(QStringLiteral("wasn't handed out by this session")));
    packets.handOutTo(folder, {1.0, 11, true});
    bench.waitFor([&] { return !packets.busy(); });
    CHECK(bench.problems().last().contains(QStringLiteral("something of that name is there already")));

    REQUIRE(QFile::remove(bench.path("run.mp4")));
    packets.handOutTo(bench.path("another"), {1.0, 11, true});
    bench.waitFor([&] { return !packets.busy(); });
    CHECK_THAT(bench.problems().join(QLatin1Char(0x0a)).toStdString(), // the desk tells of the file as well
               Catch::Contains("Footage for the packet can't be read at "));
    CHECK_FALSE(QFileInfo::exists(bench.path("another")));
    CHECK_FALSE(QFileInfo::exists(bench.path("another.unfinished")));
}
