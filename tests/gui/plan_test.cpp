// Planning by keys and clicks: runs and trials, the run sheet.
#include "core/analysis/plan_effort.h"
#include "tests/gui/page_in_front.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/look/label.h"
#include "ui/plan/plan_page.h"
#include "ui/plan/sheet_panel.h"

#include <QFile>
#include <QMap>
#include <QPushButton>

using namespace pages_session;
using Plan = InFront<ui::PlanPage>;

namespace {

QString text(const Plan& plan, const char* label) { return plan.child<ui::Label>(label)->text(); }

/// The sample's configurations don't say their refresh.
void sayRefresh(Plan& plan)
{
    plan.type(plan.child<ui::CommitEdit>("planRefresh"), "144");
    plan.key(Qt::Key_Return);
}

} // namespace

TEST_CASE("numbers follow what is typed at once, and F8 takes them over", "[pages][plan]")
{
    Plan plan;
    plan.key(Qt::Key_F6);
    sayRefresh(plan);
    const QString first = text(plan, "effortNumbers");
    CHECK(first.contains(QStringLiteral(" runs of ")));

    auto* power = plan.child<ui::CommitEdit>("planPower");
    plan.type(power, "95"); // not committed yet
    const QString more = text(plan, "effortNumbers");
    CHECK(more != first);
    CHECK(plan.document().settings.plan.basis->power == 0.8);

    plan.key(Qt::Key_F8);
    const session::Plan& taken = plan.document().settings.plan;
    REQUIRE(taken.basis);
    CHECK(taken.basis->power == Approx(0.95).epsilon(1e-12));
    const auto effort =
        analysis::planEffort(plan.document(), *taken.basis,
                             analysis::pilotFigures(plan.document(), analysis::compute(plan.document())))
            .effort;
    REQUIRE(effort);
    CHECK(taken.runsPerConfiguration == effort->runs);
    CHECK(taken.trialsPerConfiguration == effort->runs * effort->trialsPerRun);
    CHECK(taken.baselineRuns == effort->baselineRuns);
    CHECK(plan.model.undoLabel() == QStringLiteral("take over the plan"));
    plan.undo();
    CHECK(plan.document().settings.plan.trialsPerConfiguration == 24);
    CHECK_FALSE(plan.document().settings.plan.baselineRuns);
    CHECK(plan.problems.isEmpty());
}

TEST_CASE("the plan goes by the session's own trials, by typed SDs, or by a model", "[pages][plan]")
{
    Plan plan;
    plan.key(Qt::Key_F6);
    auto* from = plan.child<ui::ChoiceBox>("planFrom");
    from->setFocus();
    const QString model = text(plan, "effortNumbers"); // empty: no configuration says its refresh
    plan.key(Qt::Key_Down);
    CHECK(plan.document().settings.plan.basis->from == session::SpreadFrom::Typed);
    auto* wrong = plan.child<ui::ShapeLabel>("effortWrong");
    CHECK(wrong->isVisible());
    CHECK(wrong->word().text() == QStringLiteral("Type the SD of trials within a run."));
    CHECK_FALSE(plan.child<QPushButton>("takeOver")->isEnabled());
    plan.type(plan.child<ui::CommitEdit>("planWithin"), "3.5");
    CHECK_FALSE(wrong->isVisible());
    from->setFocus();
    plan.key(Qt::Key_Down);
    CHECK(plan.document().settings.plan.basis->from == session::SpreadFrom::Trials);
    CHECK_FALSE(wrong->isVisible());
    CHECK(text(plan, "effortNumbers") != model);
}

TEST_CASE("shared uncertainty that is too large is told, and nothing is taken over", "[pages][plan]")
{
    Plan plan;
    plan.key(Qt::Key_F6);
    sayRefresh(plan);
    plan.type(plan.child<ui::CommitEdit>("planShared"), "3");
    auto* wrong = plan.child<ui::ShapeLabel>("effortWrong");
    CHECK(wrong->isVisible());
    CHECK(wrong->word().text().startsWith(QStringLiteral("No number of runs is enough")));
    plan.key(Qt::Key_F8);
    CHECK(plan.problems.size() == 1);
    CHECK(plan.document().settings.plan.trialsPerConfiguration == 24);
    plan.type(plan.child<ui::CommitEdit>("planShared"), "nonsense");
    plan.key(Qt::Key_Return);
    CHECK(plan.problems.last().contains(QStringLiteral("nonsense")));
}

TEST_CASE("a run sheet is drawn by its seed, ticked by Space, and undone", "[pages][plan]")
{
    session::Document document = pages_session::document();
    document.settings.plan.runsPerConfiguration = 4;
    Plan plan(document);
    plan.key(Qt::Key_F7);
    plan.type(plan.child<ui::CommitEdit>("sheetSeed"), "2030");
    plan.click(plan.child<QPushButton>("drawSheet"));
    REQUIRE(plan.document().settings.runSheet);
    CHECK(plan.document().settings.runSheet->seed == 2030);
    CHECK(plan.document().settings.runSheet->lines.size() == 24);
    ui::RowList* list = plan.list("Run sheet");
    CHECK(list->count() == 24);
    CHECK(list->currentRow() == 0);
    list->setFocus();
    plan.key(Qt::Key_Space);
    CHECK(plan.document().settings.runSheet->lines[0].ticked);
    plan.key(Qt::Key_Down);
    plan.key(Qt::Key_Space);
    CHECK(plan.document().settings.runSheet->lines[1].ticked);
    plan.key(Qt::Key_Space);
    CHECK_FALSE(plan.document().settings.runSheet->lines[1].ticked);
    plan.click(plan.child<QPushButton>("dropSheet"));
    CHECK_FALSE(plan.document().settings.runSheet);
    plan.undo();
    CHECK(plan.document().settings.runSheet->lines[0].ticked);
    CHECK(plan.problems.isEmpty());
}

TEST_CASE("a run sheet is written as CSV and PDF, and says where it can't be", "[pages][plan]")
{
    session::Document document = pages_session::document();
    document.settings.plan.runsPerConfiguration = 2;
    Plan plan(document);
    plan.key(Qt::Key_F7);
    plan.key(Qt::Key_F8);
    REQUIRE(plan.document().settings.runSheet);
    auto* sheet = plan.page->findChild<ui::SheetPanel*>();
    REQUIRE(sheet);
    const QString csv = plan.folder() + QStringLiteral("/sheet.csv"),
                  pdf = plan.folder() + QStringLiteral("/sheet.pdf");
    CHECK(sheet->writeCsv(csv));
    CHECK(sheet->writePdf(pdf));
    QFile written(csv);
    REQUIRE(written.open(QIODevice::ReadOnly));
    CHECK(written.readAll().count("\r\n") == 13); // head and 6 x 2 runs
    QFile paper(pdf);
    REQUIRE(paper.open(QIODevice::ReadOnly));
    CHECK(paper.read(5) == "%PDF-");
    CHECK(paper.size() > 2'000);
    CHECK_FALSE(sheet->writePdf(plan.folder() + QStringLiteral("/no/such/folder/sheet.pdf")));
    REQUIRE(plan.problems.size() == 1);
    CHECK(plan.problems.last().startsWith(QStringLiteral("The run sheet can't be written to ")));
}

TEST_CASE("without planned numbers the sheet says what it lacks", "[pages][plan]")
{
    session::Document document = pages_session::document();
    document.settings.plan.trialsPerConfiguration.reset();
    Plan plan(document);
    plan.key(Qt::Key_F7);
    CHECK_FALSE(plan.child<QPushButton>("drawSheet")->isEnabled());
    plan.key(Qt::Key_F8);
    REQUIRE(plan.problems.size() == 1);
    CHECK(plan.problems.last().startsWith(QStringLiteral("The plan doesn't say how many runs and trials")));
}

TEST_CASE("names, baseline and the smallest difference that matters stand alone, the rest says what it is for",
          "[pages][plan]")
{
    Plan plan;
    CHECK(plan.child<ui::CommitEdit>("planMargin")->isVisible());
    QMap<QString, QString> folds;
    for (const auto* head : plan.page->findChildren<ui::FoldHead*>())
        folds[head->text()] = head->accessibleDescription();
    for (const char* title :
         {"Trials and runs", "Press and reaction", "Question, title and reader", "Before you wire a lamp",
          "Rates and height", "Checklist", "Runs", "Corrections", "Rig", "Camera"}) {
        CAPTURE(title);
        CHECK_FALSE(folds.value(QString::fromLatin1(title)).isEmpty());
    }
    CHECK(folds[QStringLiteral("Press and reaction")].startsWith(QStringLiteral("lamp lights, ")));
    plan.type(plan.child<ui::CommitEdit>("planMargin"), "3");
    plan.key(Qt::Key_Return);
    CHECK(plan.document().settings.plan.marginMs == 3);
}

TEST_CASE("what run lengths, interleaving and a faster camera buy stands side by side with its time", "[pages][plan]")
{
    Plan plan;
    plan.key(Qt::Key_F6);
    sayRefresh(plan);
    QString words;
    const auto shown = [&] {
        words.clear();
        for (const auto* label : plan.page->findChildren<ui::Label*>())
            if (label->isVisible())
                words += label->text() + QLatin1Char('\n');
        return words.contains(QStringLiteral("100 %"));
    };
    CHECK(QTest::qWaitFor(shown)); // new rows show with the next layout
    for (const char* part : {"as planned, in interleaved blocks", "runs of ", "not interleaved, where something drifts",
                             "camera at ", "100 %", "takes least time"}) {
        CAPTURE(part);
        CHECK(words.contains(QString::fromLatin1(part)));
    }
}
