#include "ui/publish/products.h"
#include "core/error.h"
#include "core/analysis/results.h"
#include "core/session/session_store.h"
#include "tests/gui/page_in_front.h"
#include "tests/gui/pages_session.h"
#include "ui/clock/clock_page.h"
#include "ui/clock/clock_words.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/row_list.h"
#include "ui/plan/plan_page.h"
#include "ui/publish/earlier_panel.h"
#include "ui/publish/moved_list.h"
#include "ui/publish/publish_page.h"
#include "ui/results/results_page.h"

#include <QAction>
#include <QClipboard>
#include <QCheckBox>
#include <QDir>
#include <QGuiApplication>
#include <QMimeData>
#include <QPushButton>
#include <QMenu>
#include <QTextCursor>
#include <QSignalSpy>
#include <QTemporaryDir>
#include <QTest>
#include <catch2/catch.hpp>

using namespace pages_session;

namespace {

int inMeans(const session::Document& document)
{
    int n = 0;
    for (const analysis::ConfigurationResult& result : analysis::compute(document).configurations)
        n += result.n;
    return n;
}

const session::Clock& clockOf(const session::Document& document, const char* name)
{
    return *session::find(document, clockNamed(document, name));
}

constexpr const char* second = "Second camera, 480 mode";

} // namespace

TEST_CASE("Enter settles the clock in view, undo brings its counts back", "[pages][clock]")
{
    InFront<ui::ClockPage> desk;
    const int before = inMeans(desk.document());
    desk.key(Qt::Key_PageDown);
    desk.key(Qt::Key_Return);
    const session::Clock& clock = clockOf(desk.document(), second);
    REQUIRE(session::stateOf(clock) == session::ClockState::Settled);
    CHECK(session::settledEvidence(clock)->rate.origin == timing::Origin::Reference); // the best was proposed
    CHECK(inMeans(desk.document()) == before + 47);                                   // 48 trials, one of them rejected

    desk.undo();
    CHECK(session::stateOf(clockOf(desk.document(), second)) == session::ClockState::InDispute);
    CHECK(inMeans(desk.document()) == before);
    CHECK(desk.problems.isEmpty());
}

TEST_CASE("arrows choose the evidence that Enter settles with, and the reason goes with it", "[pages][clock]")
{
    InFront<ui::ClockPage> desk;
    desk.key(Qt::Key_PageDown);
    desk.key(Qt::Key_Down);
    auto* reason = desk.child<ui::CommitEdit>("reason");
    desk.type(reason, "The lamp drifted.");
    desk.key(Qt::Key_Return);
    const session::Clock& clock = clockOf(desk.document(), second);
    REQUIRE(clock.settled);
    CHECK(session::settledEvidence(clock)->rate.origin == timing::Origin::Declared);
    CHECK(clock.settled->reason == "The lamp drifted.");

    desk.click(desk.child<QPushButton>("unsettle"));
    CHECK_FALSE(clockOf(desk.document(), second).settled);
}

TEST_CASE("a typed reason stays while evidence is chosen and goes with the clock", "[pages][clock]")
{
    InFront<ui::ClockPage> desk;
    desk.key(Qt::Key_PageDown);
    auto* reason = desk.child<ui::CommitEdit>("reason");
    desk.type(reason, "The lamp drifted.");
    desk.list("Evidence")->setFocus();
    desk.key(Qt::Key_Down);
    CHECK(reason->text() == QStringLiteral("The lamp drifted."));
    desk.key(Qt::Key_PageDown);
    CHECK(reason->text().isEmpty());
}

TEST_CASE("Enter on a button is that button, never the page's settling", "[pages][clock]")
{
    InFront<ui::ClockPage> desk;
    desk.child<QPushButton>("unsettle")->setFocus();
    desk.key(Qt::Key_Return);
    CHECK_FALSE(clockOf(desk.document(), "Bench camera, 960 mode").settled);
}

TEST_CASE("a typed rate is declared once, by Enter, and doesn't settle", "[pages][clock]")
{
    const auto [typed, rate] = GENERATE(table<const char*, double>(
        {{"240", 240}, {"239.76", 239.76}, {"239,76", 239.76}, {"240000/1001", 240000.0 / 1001}}));
    CAPTURE(typed);
    InFront<ui::ClockPage> desk;
    for (int i = 0; i < 3; ++i)
        desk.key(Qt::Key_PageDown); // the camera of which nothing is known
    auto* field = desk.child<ui::CommitEdit>("declaredRate");
    desk.type(field, typed);
    desk.key(Qt::Key_Return);
    const session::Clock& clock = clockOf(desk.document(), "desk_test");
    REQUIRE(clock.evidence.size() == 1);
    CHECK(clock.evidence.front().rate.rate == Approx(rate).epsilon(1e-12));
    // Rectangular within 3 % until it is calibrated (Teeple et al. 2009).
    CHECK(clock.evidence.front().rate.relativeUncertainty == Approx(0.03 / std::sqrt(3.0)));
    CHECK_FALSE(clock.settled);
    CHECK(desk.problems.isEmpty());
}

TEST_CASE("a rate that is none is refused in one sentence and changes nothing", "[pages][clock]")
{
    const char* typed = GENERATE("fast", "0", "-240", "240/0", "1e999");
    InFront<ui::ClockPage> desk;
    for (int i = 0; i < 3; ++i)
        desk.key(Qt::Key_PageDown);
    auto* field = desk.child<ui::CommitEdit>("declaredRate");
    desk.type(field, typed);
    desk.key(Qt::Key_Return);
    CHECK(desk.problems.size() == 1);
    CHECK(clockOf(desk.document(), "desk_test").evidence.empty());
}

TEST_CASE("a tick puts a capture on the clock, taking it off gives it a clock of its own", "[pages][clock]")
{
    InFront<ui::ClockPage> desk;
    ui::RowList* captures = desk.list("Captures that use this clock");
    const auto clickRow = [&](int row) {
        captures->scrollToItem(captures->item(row));
        QTest::mouseClick(captures->viewport(), Qt::LeftButton, {},
                          captures->visualItemRect(captures->item(row)).center());
        REQUIRE(settled(desk.model));
    };
    const auto clockOfCapture = [&](int row) {
        return session::inOrder(desk.document().captures)[static_cast<std::size_t>(row)]->clock;
    };
    const session::ClockId bench = clockNamed(desk.document(), "Bench camera, 960 mode");
    const std::size_t clocks = desk.document().clocks.size();

    clickRow(0);
    REQUIRE(clockOfCapture(0) != bench);
    const session::Clock& own = *session::find(desk.document(), clockOfCapture(0));
    CHECK(desk.document().clocks.size() == clocks + 1);
    CHECK_FALSE(own.settled);
    CHECK(own.evidence.size() == 2);
    CHECK(own.evidence.front().errorSources
          == session::find(desk.document(), bench)->evidence.front().errorSources); // the same camera's error

    clickRow(0);
    CHECK(clockOfCapture(0) == bench);
    CHECK(desk.document().clocks.size() == clocks); // a clock without captures goes
}

TEST_CASE("the sentence on a clock says the consequence in ms of a typical delay", "[pages][clock]")
{
    const session::Document document = pages_session::document();
    const session::Clock& clock = clockOf(document, second);
    const ui::ClockUse use = ui::clockUse(document, clock);
    CHECK(use.trials == 48);
    const QString sentence = ui::clockWords(document, clock).sentence;
    CHECK(sentence.contains(QStringLiteral("%1 camera frames").arg(use.typicalFrames)));
    // Frames over each of the two rates, to the digits in which they differ.
    CHECK(sentence.contains(QString::number(static_cast<double>(use.typicalFrames) / 473.61 * 1000, 'f', 2)));
    CHECK(sentence.contains(QString::number(static_cast<double>(use.typicalFrames) / 480 * 1000, 'f', 2)));
    CHECK(ui::clockWords(document, clock).second.contains(QStringLiteral("48 trials")));
    CHECK(ui::standing(clock, clock.evidence[1]).disputed);
    CHECK_FALSE(ui::standing(clock, clock.evidence[0]).disputed);
}

TEST_CASE("the clock page of an empty session says the next step", "[pages][clock]")
{
    InFront<ui::ClockPage> desk{session::Document{}};
    CHECK(desk.page->stateLine() == QStringLiteral("no captures"));
    desk.key(Qt::Key_Space); // the one button has the keyboard
    CHECK(desk.wentTo == QStringList{QStringLiteral("Read")});
}

TEST_CASE("B makes the selected configuration the baseline, undo brings the old one back", "[pages][results]")
{
    InFront<ui::ResultsPage> desk;
    desk.key(Qt::Key_Down); // from the first that is compared
    desk.key(Qt::Key_B);
    CHECK(desk.document().settings.plan.baseline == configurationNamed(desk.document(), "Chained hubs"));
    desk.undo();
    CHECK(desk.document().settings.plan.baseline == configurationNamed(desk.document(), "Direct"));
}

TEST_CASE("the margin is set from its field, and a margin that is none is refused", "[pages][results]")
{
    InFront<ui::ResultsPage> desk;
    auto* margin = desk.page->findChild<ui::CommitEdit*>();
    desk.type(margin, "0,5");
    desk.key(Qt::Key_Return);
    CHECK(desk.document().settings.plan.marginMs == 0.5);
    desk.type(margin, "small");
    desk.key(Qt::Key_Tab);
    CHECK(desk.problems.size() == 1);
    CHECK(margin->text() == QStringLiteral("0.5"));
}

TEST_CASE("seeing comparisons before the planned trials is recorded once", "[pages][results]")
{
    Content content;
    content.planned = 40;
    InFront<ui::ResultsPage> desk{pages_session::document(content)};
    REQUIRE(desk.document().settings.earlyLooks.size() == 1);
    CHECK(desk.document().settings.earlyLooks.front().what == "comparison");
    CHECK(desk.document().settings.earlyLooks.front().reader == "M. Reader");
    desk.page->entered();
    REQUIRE(settled(desk.model));
    CHECK(desk.document().settings.earlyLooks.size() == 1);
}

TEST_CASE("nothing is recorded once the planned trials are reached", "[pages][results]")
{
    Content content;
    content.planned = 20;
    content.settleAll = true;
    InFront<ui::ResultsPage> desk{pages_session::document(content)};
    CHECK(desk.document().settings.earlyLooks.empty());
}

TEST_CASE("the tab of the results page tells no verdict", "[pages][results]")
{
    InFront<ui::ResultsPage> desk;
    CHECK(desk.page->stateLine() == QStringLiteral("94 of 141 trials in ms"));
}

TEST_CASE("Ctrl+C copies the table as shown and for machines", "[pages][results]")
{
    InFront<ui::ResultsPage> desk;
    desk.key(Qt::Key_C, Qt::ControlModifier);
    const QMimeData* copied = QGuiApplication::clipboard()->mimeData();
    const QStringList lines = copied->text().split(QLatin1Char('\n'), Qt::SkipEmptyParts);
    REQUIRE(lines.size() == 7);
    for (const QString& line : lines)
        CHECK(line.count(QLatin1Char('\t')) == lines.front().count(QLatin1Char('\t')));
    CHECK(lines[1].startsWith(QStringLiteral("Direct\t24\t0\t")));
    CHECK(copied->data(QStringLiteral("text/csv")).count("\r\n") >= 7);
}

TEST_CASE("Enter and Ctrl+E lead on from the results", "[pages][results]")
{
    InFront<ui::ResultsPage> desk;
    desk.key(Qt::Key_Return);
    desk.key(Qt::Key_E, Qt::ControlModifier);
    CHECK(desk.wentTo == QStringList{QStringLiteral("Publish")});
    const session::Trial* trial = session::find(desk.document(), desk.trialAsked);
    REQUIRE(trial); // of the configuration in hand, the first that isn't the baseline
    CHECK(session::find(desk.document(), trial->configuration)->name != "Direct");
}

TEST_CASE("publishing keeps its key beside a menu that has the same", "[pages][results]")
{
    InFront<ui::ResultsPage> desk;
    QAction other;
    other.setShortcut(QKeySequence(QStringLiteral("Ctrl+E")));
    desk.page->addAction(&other);
    QSignalSpy taken(&other, &QAction::triggered);
    desk.key(Qt::Key_E, Qt::ControlModifier);
    CHECK(taken.isEmpty());
    CHECK(desk.wentTo == QStringList{QStringLiteral("Publish")});
}

TEST_CASE("a configuration is added, named, moved and removed by keys", "[pages][plan]")
{
    InFront<ui::PlanPage> desk;
    desk.key(Qt::Key_Insert);
    REQUIRE(desk.document().configurations.size() == 7);
    auto* name = desk.child<ui::CommitEdit>("configurationName");
    REQUIRE(QTest::qWaitFor([&] { return name->hasFocus(); }));
    QTest::keyClicks(name, QStringLiteral("Long cable")); // the proposed name is selected, so typing replaces it
    desk.key(Qt::Key_Return);
    const session::ConfigurationId added = configurationNamed(desk.document(), "Long cable");
    REQUIRE(added);
    CHECK(session::find(desk.document(), added)->position == 6);

    desk.list("Configurations")->setFocus();
    desk.key(Qt::Key_Up, Qt::AltModifier);
    CHECK(session::find(desk.document(), added)->position == 5);
    desk.key(Qt::Key_Delete);
    CHECK_FALSE(session::find(desk.document(), added));
    CHECK(desk.problems.isEmpty());
}

TEST_CASE("a configuration with trials stays, and says why", "[pages][plan]")
{
    InFront<ui::PlanPage> desk;
    desk.list("Configurations")->setFocus();
    desk.key(Qt::Key_Delete);
    CHECK(desk.document().configurations.size() == 6);
    REQUIRE(desk.problems.size() == 1);
    CHECK(desk.problems.front().contains(QStringLiteral("24 trials")));
}

TEST_CASE("a field is one edit however many keys it took, and Escape takes typing back", "[pages][plan]")
{
    InFront<ui::PlanPage> desk;
    QSignalSpy changes(&desk.model, &ui::SessionModel::changed);
    desk.unfold("Checklist");
    auto* firmware = desk.child<ui::CommitEdit>("driver");
    desk.type(firmware, "kernel driver 6.1");
    CHECK(changes.isEmpty());
    desk.key(Qt::Key_Tab);
    CHECK(changes.size() == 1);
    const session::ConfigurationId direct = configurationNamed(desk.document(), "Direct");
    CHECK(session::find(desk.document(), direct)->texts.at("driver") == "kernel driver 6.1");

    desk.type(firmware, "another");
    QTest::keyClick(firmware, Qt::Key_Escape);
    CHECK(firmware->text() == QStringLiteral("kernel driver 6.1"));
    desk.key(Qt::Key_Tab);
    CHECK(changes.size() == 1);

    desk.type(firmware, "");
    firmware->clear();
    desk.key(Qt::Key_Return);
    CHECK_FALSE(session::find(desk.document(), direct)->texts.contains("driver"));
}

TEST_CASE("what is typed for one configuration stays with it when another is chosen", "[pages][plan]")
{
    InFront<ui::PlanPage> desk;
    desk.unfold("Checklist");
    auto* driver = desk.child<ui::CommitEdit>("driver");
    desk.type(driver, "first");
    ui::RowList* list = desk.list("Configurations");
    QTest::mouseClick(list->viewport(), Qt::LeftButton, {}, list->visualItemRect(list->item(1)).center());
    REQUIRE(settled(desk.model));
    CHECK(session::find(desk.document(), configurationNamed(desk.document(), "Direct"))->texts.at("driver") == "first");
    CHECK_FALSE(
        session::find(desk.document(), configurationNamed(desk.document(), "Powered hub"))->texts.contains("driver"));
    CHECK(driver->text().isEmpty());
}

TEST_CASE("runs are added from the plan", "[pages][plan]")
{
    InFront<ui::PlanPage> desk;
    const std::size_t before = desk.document().runs.size();
    desk.unfold("Runs");
    desk.click(desk.child<QPushButton>("addRun"));
    CHECK(desk.document().runs.size() == before + 1);
}

TEST_CASE("Ctrl+E publishes what is typed as well and says where", "[pages][publish]")
{
    InFront<ui::PublishPage> desk;
    auto* title = desk.child<ui::CommitText>("chartTitle");
    title->setFocus();
    title->selectAll();
    QTest::keyClicks(title, QStringLiteral("Pedals"));
    desk.key(Qt::Key_E, Qt::ControlModifier);
    const QDir folder(desk.folder() + QStringLiteral("/Pedal links published"));
    REQUIRE(QTest::qWaitFor([&] { return desk.page->stateLine().startsWith(QStringLiteral("published")); }, 10000));
    CHECK(folder.entryList(QDir::Files | QDir::Hidden, QDir::Name).join(QLatin1Char(' '))
          == QStringLiteral("agreement.csv build-up-1.png build-up-2.png build-up-3.png build-up-4.png build-up-5.png "
                            "build-up-6.png check_figures.py checksums.txt comparison-chart.pdf comparison-chart.png "
                            "comparison-chart.svg "
                            "difference-chart.pdf difference-chart.png difference-chart.svg method-note.txt "
                            "publication.json report.html results.csv "
                            "results.json "
                            "sentences.txt trials.csv uncertainty.csv"));
    QFile svg(folder.filePath(QStringLiteral("comparison-chart.svg")));
    REQUIRE(svg.open(QIODevice::ReadOnly));
    CHECK(svg.readAll().contains("<title>Pedals</title>"));
    REQUIRE(desk.problems.size() == 1); // its marks kept no crops, and there is no footage
    CHECK(desk.problems.front().contains(QStringLiteral("There are no pictures of trial")));
    // On record in the session, and undo passes over it.
    REQUIRE(QTest::qWaitFor([&] { return desk.document().publications.size() == 1; }, 10000));
    CHECK(desk.document().publications.begin()->second->files.size() == 22);
    CHECK(desk.document().publications.begin()->second->figures.size() == desk.document().configurations.size());
}

TEST_CASE("what a corrected mark moves stands on the page before and after it is published", "[pages][publish]")
{
    InFront<ui::PublishPage> desk;
    auto* moved = desk.child<ui::MovedList>("whatMoved");
    const auto tells = [&](const char* words) {
        return std::ranges::any_of(moved->findChildren<QLabel*>(),
                                   [&](const QLabel* label) { return label->text().contains(QLatin1String(words)); });
    };
    QTest::keyClick(desk.child<QCheckBox>("product-evidence"), Qt::Key_Space);
    desk.key(Qt::Key_E, Qt::ControlModifier);
    REQUIRE(QTest::qWaitFor([&] { return desk.document().publications.size() == 1; }, 20000));
    CHECK_FALSE(moved->isVisible());

    const session::Trial trial = *desk.document().trials.begin()->second;
    session::Mark mark = *trial.readings.front().response;
    mark.frame.value += 12;
    desk.model.edit([&](const session::Document& latest) {
        return session::setMark(latest, trial.id, {}, session::MarkKind::Response, mark, "");
    });
    desk.model.edit([&](const session::Document& latest) {
        return session::acceptReading(latest, trial.id, trial.readings.front().id);
    });
    REQUIRE(QTest::qWaitFor([&] { return moved->isVisible() && tells("not published yet"); }, 10000));
    REQUIRE(QTest::qWaitFor([&] { return tells("Because Trial 1 of "); }, 10000));
    desk.key(Qt::Key_E, Qt::ControlModifier);
    REQUIRE(QTest::qWaitFor([&] { return desk.document().publications.size() == 2; }, 20000));
    REQUIRE(QTest::qWaitFor([&] { return tells("when published last"); }, 10000));
    CHECK(tells("Because Trial 1 of "));
}

TEST_CASE("sentences of one's own are filled in as they are written, and undone like any edit", "[pages][publish]")
{
    InFront<ui::PublishPage> desk;
    const auto shows = [&](const char* words) { return desk.says(words); };
    auto* own = desk.child<ui::CommitText>("ownSentences");
    own->setFocus();
    QTest::keyClicks(own, QStringLiteral("The bridge has {trials of Wireless bridge} trials."));
    QTest::keyClick(own, Qt::Key_Return);
    QTest::keyClicks(own, QStringLiteral("Nobody: {mean of Nobody}"));
    own->commit();
    REQUIRE(QTest::qWaitFor([&] { return shows("The bridge has 2"); }, 10000));
    CHECK(shows("There is no configuration"));
    CHECK(
        desk.document().settings.publish.sentences.starts_with("The bridge has {trials of Wireless bridge} trials.\n"));
    auto* menu = desk.child<QPushButton>("insertFigure")->menu();
    REQUIRE(menu->actions().size() > 4);
    own->moveCursor(QTextCursor::End);
    menu->actions().front()->menu()->actions().front()->trigger();
    CHECK(own->toPlainText().endsWith(QStringLiteral("{mean of Direct}")));
    own->commit();
    REQUIRE(QTest::qWaitFor([&] { return desk.document().settings.publish.sentences.ends_with("{mean of Direct}"); },
                            10000));
    desk.model.undo();
    CHECK(QTest::qWaitFor([&] { return desk.document().settings.publish.sentences.ends_with("Nobody}"); }, 10000));
}

TEST_CASE("each product shows what it looks like, and the one come to shows it large", "[pages][publish]")
{
    InFront<ui::PublishPage> desk;
    const auto picture = [&](const char* key) {
        return desk.child<QPushButton>((std::string("picture-") + key).c_str());
    };
    // There are neither crops nor footage here: evidence says so instead.
    for (const char* key :
         {"chart", "difference", "build-up", "motion", "card", "table", "sentences", "note", "report"}) {
        CAPTURE(key);
        REQUIRE(QTest::qWaitFor([&] { return !picture(key)->icon().isNull(); }, 20000));
    }
    CHECK(
        QTest::qWaitFor([&] { return picture("evidence")->toolTip().contains(QLatin1String("no pictures")); }, 20000));
    const auto shows = [&](const char* name) {
        const auto labels = desk.page->findChildren<QLabel*>();
        return std::ranges::count_if(
            labels, [&](const QLabel* label) { return label->text() == QLatin1String(name) && label->isVisible(); });
    };
    CHECK(shows("Comparison chart") == 1);
    desk.child<QCheckBox>("product-card")->setFocus();
    CHECK(shows("Cards") == 1);
    QTest::mouseClick(picture("table"), Qt::LeftButton);
    CHECK(shows("Tables") == 1);
    CHECK_FALSE(desk.child<QCheckBox>("product-card")->isChecked());
}

TEST_CASE("pictures of products leave alone what nobody let be read", "[pages][publish]")
{
    session::Document document = pages_session::document();
    for (auto& [id, capture] : document.captures) {
        session::Capture elsewhere = *capture;
        elsewhere.path = "/elsewhere/" + elsewhere.path;
        capture = std::make_shared<const session::Capture>(elsewhere);
    }
    InFront<ui::PublishPage> desk{document};
    const auto none = [] { return QStringList(); };
    desk.model.setFootageMemory({none, [](const QStringList&) {}, [=](const QString&) { return none(); }, {}});
    REQUIRE(desk.model.edit([](const session::Document& latest) { return session::setMargin(latest, 3); }));
    auto* evidence = desk.child<QPushButton>("picture-evidence");
    CHECK(QTest::qWaitFor([&] { return evidence->toolTip().contains(QLatin1String("nobody has said")); }, 20000));
}

TEST_CASE("a finding's help is one key away", "[pages][publish]")
{
    session::Document document = pages_session::document(); // the second camera's clock is in dispute
    document.settings.publish.transparent = true;
    InFront<ui::PublishPage> desk{document};
    const auto help = [&](const char* words) {
        int number = 1;
        while (desk.child<QPushButton>(("remedy-" + std::to_string(number)).c_str())->text() != QLatin1String(words)) {
            ++number;
            REQUIRE(number < 10);
        }
        desk.key(Qt::Key(Qt::Key_0 + number));
    };
    help("Fill the ground");
    CHECK(QTest::qWaitFor([&] { return !desk.document().settings.publish.transparent; }, 10000));
    const QSignalSpy clock(desk.page.get(), &ui::Page::clockAsked), capture(desk.page.get(), &ui::Page::captureAsked);
    help("Show the clock");
    REQUIRE(clock.size() == 1);
    CHECK(clock[0][0].toLongLong() == clockNamed(desk.document(), second).value);
    help("Show the capture"); // that nobody has looked through
    REQUIRE(capture.size() == 1);
    const session::Capture* unlooked = find(desk.document(), session::CaptureId{capture[0][0].toLongLong()});
    REQUIRE(unlooked);
    CHECK(unlooked->name == "warmup01");
}

TEST_CASE("what warns of a trial leads to that trial, of the plan to the plan", "[pages][publish]")
{
    session::Document document = pages_session::document({.settleAll = true, .margin = false});
    session::Trial doubtful = *std::next(document.trials.begin(), 7)->second;
    doubtful.readings.front().doubtful = true;
    document.trials[doubtful.id] = std::make_shared<const session::Trial>(doubtful);
    InFront<ui::PublishPage> desk{document};
    const auto press = [&](const char* words) {
        for (auto* button : desk.page->findChildren<QPushButton*>())
            if (button->text() == QLatin1String(words))
                return button->click();
        FAIL("no button says " << words);
    };
    press("Show the trial");
    CHECK(QTest::qWaitFor([&] { return desk.trialAsked == doubtful.id; }, 10000));
    press("Go to the plan");
    CHECK(QTest::qWaitFor([&] { return desk.wentTo.contains(QStringLiteral("Plan")); }, 10000));
}

TEST_CASE("an earlier session's file is found again when the session is saved elsewhere", "[pages][publish]")
{
    const QTemporaryDir other; // outlives the session that is saved into it
    InFront<ui::PublishPage> desk;
    const QString file = QDir(desk.folder()).filePath(QStringLiteral("spring.tallyframe"));
    session::SessionStore::write(file.toStdString(), {pages_session::document({.configurations = 2}), {}});
    desk.child<ui::EarlierPanel>("earlierSessions")->add(file);
    REQUIRE(QTest::qWaitFor([&] { return desk.document().earlierSessions.size() == 1; }, 20000));
    const auto path = [&] { return desk.document().earlierSessions.begin()->second->path; };
    CHECK(path() == "spring.tallyframe");
    REQUIRE(desk.model.saveAs(other.filePath(QStringLiteral("moved.tallyframe"))));
    REQUIRE(QTest::qWaitFor([&] { return QDir(desk.model.folder()) == QDir(other.path()); }, 20000));
    CHECK(QFileInfo(QString::fromStdString(path())).canonicalFilePath() == QFileInfo(file).canonicalFilePath());
}

TEST_CASE("an earlier session is added, compared by what both measured, and taken out again", "[pages][publish]")
{
    InFront<ui::PublishPage> desk;
    const QTemporaryDir folder;
    const QString file = folder.filePath(QStringLiteral("spring.tallyframe"));
    session::Document spring = pages_session::document({.settleAll = true, .configurations = 4});
    spring.settings.title = "Spring bench";
    session::SessionStore::write(file.toStdString(), {spring, {}});
    auto* panel = desk.child<ui::EarlierPanel>("earlierSessions");
    const auto shows = [&](const char* words) { return desk.says(words); };
    panel->add(file);
    REQUIRE(QTest::qWaitFor([&] { return desk.document().earlierSessions.size() == 1; }, 20000));
    REQUIRE(settled(desk.model));
    const auto id = desk.document().earlierSessions.begin()->first;
    const auto named = [&](const char* name) { return name + std::to_string(id.value); };
    CHECK(QDir(desk.folder())
              .absoluteFilePath(QString::fromStdString(desk.document().earlierSessions.begin()->second->path))
          == QFileInfo(file).absoluteFilePath());
    CHECK_FALSE(shows("Chained hubs (earlier, \xe2\x80\x9cSpring bench\xe2\x80\x9d) takes"));
    auto* there = desk.child<ui::ChoiceBox>(named("bridgeThere-").c_str());
    there->setFocus();
    desk.key(Qt::Key_Down);
    const session::EarlierSession& earlier = *session::find(desk.document(), id);
    CHECK(earlier.there == earlier.configurations.front().id);
    CHECK(earlier.here == configurationNamed(desk.document(), "Direct")); // of the same name
    CHECK(QTest::qWaitFor([&] { return desk.child<ui::ChoiceBox>(named("bridgeThere-").c_str())->hasFocus(); }, 5000));
    CHECK(QTest::qWaitFor([&] { return shows("measured in both sessions"); }, 10000));

    QFile broken(folder.filePath(QStringLiteral("broken.tallyframe")));
    REQUIRE(broken.open(QIODevice::WriteOnly));
    broken.write("nothing of a session");
    broken.close();
    panel->add(broken.fileName());
    REQUIRE(QTest::qWaitFor([&] { return shows("broken.tallyframe"); }, 5000));
    REQUIRE(QTest::qWaitFor([&] { return !shows("Reading broken.tallyframe"); }, 20000));
    CHECK(shows("broken.tallyframe"));
    CHECK(desk.document().earlierSessions.size() == 1);

    desk.click(desk.child<QPushButton>(named("removeEarlier-").c_str()));
    CHECK(desk.document().earlierSessions.empty());
    desk.model.undo();
    CHECK(QTest::qWaitFor([&] { return desk.document().earlierSessions.size() == 1; }, 10000));
}

TEST_CASE("a size and a motion of one's own are typed in, and refused where they can't be", "[pages][publish]")
{
    InFront<ui::PublishPage> desk;
    const auto publish = [&] { return desk.document().settings.publish; };
    const auto type = [&](const char* field, const char* words) {
        auto* edit = desk.child<ui::CommitEdit>(field);
        edit->setText(QString::fromUtf8(words));
        return edit->commit();
    };
    CHECK(type("chartPixels", "1600 x 900"));
    CHECK(QTest::qWaitFor([&] { return publish().width == 1600 && publish().height == 900; }, 10000));
    for (const char* wrong : {"1600", "100 x 900", "1600 x 90000", "wide x high", "1600 x 900 x 2"})
        CHECK_FALSE(type("chartPixels", wrong));
    CHECK(type("motionSeconds", "4.5"));
    CHECK(QTest::qWaitFor([&] { return publish().motionSeconds == 4.5; }, 10000));
    CHECK_FALSE(type("motionSeconds", "0"));
    CHECK_FALSE(type("motionSeconds", "121"));
    CHECK(desk.problems.size() == 7); // each refusal says what is wanted
    CHECK(publish().width == 1600);
}

TEST_CASE("an empty session has nothing to publish", "[pages][publish]")
{
    InFront<ui::PublishPage> desk{session::Document{}};
    CHECK_FALSE(desk.child<QPushButton>("publish")->isEnabled());
    desk.key(Qt::Key_E, Qt::ControlModifier);
    QTest::qWait(50);
    CHECK(QDir(desk.folder()).entryList(QDir::Dirs | QDir::NoDotAndDotDot).isEmpty());
}

TEST_CASE("publishing asks before it replaces what this session didn't write", "[pages][publish]")
{
    InFront<ui::PublishPage> desk;
    const QDir folder(desk.folder() + QStringLiteral("/Pedal links published"));
    REQUIRE(QDir().mkpath(folder.path()));
    const QString path = folder.filePath(QStringLiteral("results.csv"));
    const auto bytes = [](const QString& name) {
        QFile file(name);
        REQUIRE(file.open(QIODevice::ReadOnly));
        return file.readAll();
    };
    QFile others(path);
    REQUIRE(others.open(QIODevice::WriteOnly));
    others.write("somebody's results");
    others.close();

    auto* replace = desk.child<QPushButton>("replaceForeign");
    desk.key(Qt::Key_E, Qt::ControlModifier);
    REQUIRE(QTest::qWaitFor([&] { return replace->isVisible(); }, 10000));
    CHECK(bytes(path) == "somebody's results");
    CHECK(folder.entryList(QDir::Files | QDir::Hidden) == QStringList{QStringLiteral("results.csv")});
    CHECK(desk.problems.isEmpty());
    desk.click(replace);
    REQUIRE(QTest::qWaitFor([&] { return desk.page->stateLine().startsWith(QStringLiteral("published")); }, 10000));
    CHECK_FALSE(replace->isVisible());
    CHECK(bytes(path).startsWith("configuration,"));

    // Its own it replaces unasked.
    auto* title = desk.child<ui::CommitText>("chartTitle");
    title->setFocus();
    title->selectAll();
    QTest::keyClicks(title, QStringLiteral("Pedals"));
    desk.key(Qt::Key_E, Qt::ControlModifier);
    const QString svg = folder.filePath(QStringLiteral("comparison-chart.svg"));
    CHECK(QTest::qWaitFor([&] { return bytes(svg).contains("<title>Pedals</title>"); }, 10000));
    CHECK_FALSE(replace->isVisible());
}

TEST_CASE("products are chosen by ticks, which the session keeps", "[pages][publish]")
{
    InFront<ui::PublishPage> desk;
    const auto chosen = [&] { return desk.model.document()->settings.publish.products; };
    CHECK(chosen().empty());
    CHECK(desk.child<QCheckBox>("product-chart")->isChecked());
    CHECK_FALSE(desk.child<QCheckBox>("product-motion")->isChecked());
    for (const char* unwanted :
         {"product-build-up", "product-evidence", "product-difference", "product-chart", "product-report"})
        QTest::keyClick(desk.child<QCheckBox>(unwanted), Qt::Key_Space);
    REQUIRE(QTest::qWaitFor([&] { return chosen() == "table,sentences,note"; }, 10000));
    desk.key(Qt::Key_E, Qt::ControlModifier);
    const QDir folder(desk.folder() + QStringLiteral("/Pedal links published"));
    REQUIRE(QTest::qWaitFor([&] { return desk.page->stateLine().startsWith(QStringLiteral("published")); }, 10000));
    CHECK(folder.entryList(QDir::Files).size() == 10); // four tables, JSON, the script, sentences, note, checksums
    CHECK_FALSE(desk.child<QCheckBox>("allowFlashing")->isVisible());
    QTest::keyClick(desk.child<QCheckBox>("product-clip"), Qt::Key_Space);
    REQUIRE(QTest::qWaitFor([&] { return desk.child<QCheckBox>("allowFlashing")->isVisible(); }, 10000));
    CHECK(chosen() == "clip,table,sentences,note");

    // Whose evidence: by name, and a name that isn't there is said before anything is written.
    auto* trials = desk.child<ui::CommitEdit>("shownTrials");
    CHECK_FALSE(desk.child<QCheckBox>("sideBySide")->isVisible());
    desk.type(trials, "run01:1, nowhere:1");
    QTest::keyClick(trials, Qt::Key_Return);
    REQUIRE(QTest::qWaitFor([&] { return desk.child<QCheckBox>("sideBySide")->isVisible(); }, 10000));
    CHECK(desk.model.document()->settings.publish.shownTrials == "run01:1, nowhere:1");
    CHECK_THROWS_AS(ui::choiceOf(*desk.model.document()), core::Error);
    desk.key(Qt::Key_E, Qt::ControlModifier);
    CHECK(desk.child<QPushButton>("publish")->isEnabled());
}

TEST_CASE("publishing is stopped by its button and leaves nothing behind", "[pages][publish]")
{
    InFront<ui::PublishPage> desk;
    auto* stop = desk.child<QPushButton>("stopPublishing");
    CHECK_FALSE(stop->isVisible());
    desk.key(Qt::Key_E, Qt::ControlModifier);
    REQUIRE(stop->isVisible());
    CHECK_FALSE(desk.child<QPushButton>("publish")->isEnabled());
    stop->click(); // while the chart is drawn
    REQUIRE(QTest::qWaitFor([&] { return !stop->isVisible(); }, 10000));
    CHECK(desk.child<QPushButton>("publish")->isEnabled());
    CHECK(desk.page->stateLine() == QStringLiteral("chart, tables, sentences"));
    const QDir folder(desk.folder() + QStringLiteral("/Pedal links published"));
    CHECK(folder.entryList(QDir::Files | QDir::Hidden).isEmpty());
    CHECK(desk.problems.isEmpty());
}

TEST_CASE("a folder that can't be written is said in one sentence", "[pages][publish]")
{
    InFront<ui::PublishPage> desk;
    QFile inTheWay(desk.folder() + QStringLiteral("/taken"));
    REQUIRE(inTheWay.open(QIODevice::WriteOnly));
    auto* folder = desk.child<ui::CommitEdit>("publishFolder");
    desk.type(folder, "taken");
    desk.key(Qt::Key_E, Qt::ControlModifier);
    REQUIRE(QTest::qWaitFor([&] { return !desk.problems.isEmpty(); }, 10000));
    CHECK(desk.problems.front().contains(QStringLiteral("Choose another folder")));
    CHECK(desk.child<QPushButton>("publish")->isEnabled());
}
