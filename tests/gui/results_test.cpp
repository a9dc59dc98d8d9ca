#include "core/analysis/results.h"
#include "tests/gui/page_in_front.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/results/budget_panel.h"
#include "ui/look/key_cap.h"
#include "ui/results/results_page.h"

#include <QAbstractItemView>
#include <QClipboard>
#include <QLabel>
#include <QGuiApplication>
#include <QMimeData>
#include <algorithm>
#include <cmath>

using namespace pages_session;

namespace {

/// All words in view on the page.
QString wordsOf(const QWidget& page)
{
    QStringList words;
    for (const QLabel* label : page.findChildren<QLabel*>())
        if (label->isVisibleTo(&page))
            words << label->text();
    return words.join(QLatin1Char('\n'));
}

/// C, then down to the entry of that name and Enter, as a hand would.
void compareWith(InFront<ui::ResultsPage>& desk, const char* name)
{
    desk.key(Qt::Key_C);
    auto* box = desk.child<ui::ChoiceBox>("comparedWith");
    REQUIRE(box->view()->isVisible());
    const int wanted = box->findText(QString::fromLatin1(name));
    REQUIRE(wanted >= 0);
    for (int row = box->currentIndex(); row < wanted; ++row)
        QTest::keyClick(box->view(), Qt::Key_Down);
    QTest::keyClick(box->view(), Qt::Key_Return);
    REQUIRE(settled(desk.model));
}

} // namespace

TEST_CASE("C compares the configuration in hand with any other, by itself", "[pages][results]")
{
    InFront<ui::ResultsPage> desk;
    const QString before = wordsOf(*desk.page);
    CHECK_FALSE(before.contains(QStringLiteral("by itself")));
    const auto first = configurationNamed(desk.document(), "Powered hub"),
               second = configurationNamed(desk.document(), "Chained hubs");
    compareWith(desk, "Chained hubs");
    desk.key(Qt::Key_K);
    desk.unfold("What this rests on");
    const analysis::Results pair = analysis::pairOf(desk.document(), first, second);
    const QString words = wordsOf(*desk.page);
    CHECK(words.contains(QStringLiteral("Powered hub minus Chained hubs")));
    CHECK(words.contains(QStringLiteral("none of the comparisons with the baseline that hold together")));
    CHECK(words.contains(QStringLiteral("By ranks alone the shift from Chained hubs is")));
    REQUIRE(pair.configurations.front().comparison->interval);

    // The other one can't be compared with itself: going to it leaves the pair.
    desk.list("Results by configuration")->setFocus();
    desk.key(Qt::Key_Down);
    CHECK_FALSE(wordsOf(*desk.page).contains(QStringLiteral("by itself")));
}

TEST_CASE("the baseline itself can be compared with another", "[pages][results]")
{
    InFront<ui::ResultsPage> desk;
    desk.key(Qt::Key_Up);
    compareWith(desk, "Powered hub");
    desk.unfold("What this rests on");
    CHECK(wordsOf(*desk.page).contains(QStringLiteral("Direct minus Powered hub")));
}

TEST_CASE("the uncertainty in view is copied with all it takes to work it out again", "[pages][results]")
{
    InFront<ui::ResultsPage> desk;
    desk.key(Qt::Key_C, Qt::ControlModifier | Qt::ShiftModifier);
    const QMimeData* copied = QGuiApplication::clipboard()->mimeData();
    const QStringList lines = copied->text().split(QLatin1Char('\n'), Qt::SkipEmptyParts);
    CHECK(lines.front() == QStringLiteral("Mean of Powered hub"));
    CHECK(lines[1].split(QLatin1Char('\t')).size() == 9);
    double squares = 0, together = 0;
    for (const QString& line : lines.mid(2)) {
        const QStringList cells = line.split(QLatin1Char('\t'));
        if (cells.front() == QStringLiteral("together"))
            together = cells[6].toDouble();
        else if (cells.size() == 9 && together == 0)
            squares += std::pow(std::abs(cells[4].toDouble()) * cells[2].toDouble(), 2);
    }
    CHECK(together > 0);
    CHECK(std::abs(std::sqrt(squares) - together) < 1e-9 * together); // full precision is copied
    CHECK(copied->data(QStringLiteral("text/csv")).startsWith("quantity,configuration,minus"));
    const auto* table = desk.page->findChild<ui::BudgetTable*>();
    REQUIRE(table);
    CHECK(table->accessibleName().contains(QStringLiteral("scatter of 23 trials")));
    CHECK(table->accessibleName().contains(QStringLiteral("coverage factor")));
}

TEST_CASE("what the reader should know of all figures is in view, rejects that differ too", "[pages][results]")
{
    Content content;
    content.settleAll = true;
    session::Document document = pages_session::document(content);
    const session::ConfigurationId hub = configurationNamed(document, "Chained hubs");
    int rejected = 0;
    for (const auto& [id, trial] : session::Document(document).trials)
        if (trial->configuration == hub && !trial->reject && rejected < 10) {
            document = session::apply(document, session::rejectTrial(document, id, session::RejectReason::Hitch, ""));
            ++rejected;
        }
    REQUIRE(rejected == 10);
    InFront<ui::ResultsPage> desk{document};
    const QString words = wordsOf(*desk.page);
    CHECK(words.contains(QStringLiteral("Take note")));
    CHECK(words.contains(QStringLiteral("Rejects differ between configurations")));
}

TEST_CASE("checks and corrections stand beside the figures", "[pages][results]")
{
    session::Document document = pages_session::document();
    session::Configuration hub = *session::find(document, configurationNamed(document, "Powered hub"));
    hub.refreshHz = 143.98;
    hub.gameFrameRate = 120;
    document = session::apply(document, session::setConfiguration(document, hub));
    InFront<ui::ResultsPage> desk{document};
    desk.key(Qt::Key_K);
    QString words = wordsOf(*desk.page);
    desk.key(Qt::Key_U);
    words += QLatin1Char('\n') + wordsOf(*desk.page);
    for (const char* part :
         {"Checks, none of which decides", "interval by order", "half of the trials lie within", "trend",
          "refresh intervals", "game frames", "By ranks alone", "Corrections\n", "Scan-out: not corrected"}) {
        CAPTURE(part);
        CHECK(words.contains(QString::fromLatin1(part)));
    }

    REQUIRE(desk.model.edit([](const session::Document& d) {
        session::Settings settings = d.settings;
        settings.event.lampLeadMs = 0.5;
        return session::setSettings(d, settings, "lamp");
    }));
    REQUIRE(settled(desk.model));
    CHECK(wordsOf(*desk.page).contains(QString::fromUtf8("lamp \u22120.50")));
}

TEST_CASE("one plain sentence a configuration comes first, all else lies behind keys", "[pages][results]")
{
    InFront<ui::ResultsPage> desk;
    const QString rows = desk.list("Results by configuration")->item(1)->data(Qt::AccessibleTextRole).toString()
                         + desk.list("Results by configuration")->item(1)->text();
    CHECK(rows.contains(QStringLiteral(" with 95 % confidence")));
    const QString first = wordsOf(*desk.page);
    CHECK(first.contains(QStringLiteral(" with 95 % confidence")));
    for (const char* behind : {"p = ", "Checks, none", "hold together", "Corrections", "degrees of freedom"}) {
        CAPTURE(behind);
        CHECK_FALSE(first.contains(QString::fromLatin1(behind)));
    }
    auto* all = desk.child<ui::KeyButton>("allFigures");
    CHECK_FALSE(all->isChecked());
    desk.key(Qt::Key_F);
    CHECK(all->isChecked());
    desk.key(Qt::Key_F);
    desk.key(Qt::Key_K);
    CHECK(wordsOf(*desk.page).contains(QStringLiteral("Checks, none of which decides")));
    desk.key(Qt::Key_O);
    CHECK_FALSE(wordsOf(*desk.page).contains(QStringLiteral("Checks, none of which decides")));
}

TEST_CASE("C is promised only where there is another to compare with", "[pages][results]")
{
    const auto promised = [](int configurations) {
        Content content;
        content.configurations = configurations;
        InFront<ui::ResultsPage> desk{pages_session::document(content)};
        return std::ranges::any_of(
            desk.page->keys(), [](const ui::KeyHint& hint) { return hint.caps == QStringList{QStringLiteral("C")}; });
    };
    CHECK(promised(3));
    CHECK_FALSE(promised(2));
}

TEST_CASE("a capture without a run stands by itself in the order of trials, and is pointed to", "[pages][results]")
{
    session::Document document = pages_session::document();
    const session::ConfigurationId hub = configurationNamed(document, "Powered hub");
    session::CaptureId capture;
    for (const auto& [id, trial] : session::Document(document).trials)
        if (trial->configuration == hub && (!capture || capture == trial->capture)) {
            capture = trial->capture;
            session::Trial without = *trial;
            without.run = {};
            document.trials[id] = std::make_shared<const session::Trial>(without);
        }
    InFront<ui::ResultsPage> desk{document};
    CHECK(wordsOf(*desk.page).contains(QStringLiteral(" has no run: its ")));
}
