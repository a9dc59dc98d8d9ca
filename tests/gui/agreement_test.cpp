// The agreement of readings on the results page.
#include "tests/gui/page_in_front.h"
#include "ui/look/label.h"
#include "ui/results/agreement_panel.h"
#include "ui/results/results_page.h"

using namespace pages_session;

namespace {

/// Every trial of the sample read again by another reader: the first one two camera frames later, the others alike.
session::Document readTwice()
{
    session::Document document = pages_session::document();
    bool first = true;
    for (auto& [id, trial] : document.trials) {
        session::Trial again = *trial;
        session::Reading reading = again.readings.front();
        reading.id = session::ReadingId{document.nextId++};
        reading.reader = "B. Two";
        reading.blind = true;
        if (first)
            reading.response->frame.value += 2;
        first = false;
        again.readings.push_back(reading);
        trial = std::make_shared<const session::Trial>(again);
    }
    return document;
}

} // namespace

TEST_CASE("A shows how readings agree, and Enter opens a trial to settle at the desk", "[pages][agreement]")
{
    const session::Document document = readTwice();
    InFront<ui::ResultsPage> results(document);
    auto* panel = results.page->findChild<ui::AgreementPanel*>();
    REQUIRE(panel);
    CHECK_FALSE(panel->isVisible());
    results.key(Qt::Key_A);
    REQUIRE(panel->isVisible());
    CHECK(results.child<ui::Label>("agreementSummary")->text()
          == QStringLiteral("99 % the same count, 99 % within one camera frame."));
    ui::RowList* list = results.list("Trials to settle");
    REQUIRE(list->count() == 1);
    CHECK(list->hasFocus());
    results.key(Qt::Key_Return);
    CHECK(results.trialAsked == document.trials.begin()->first);
    results.key(Qt::Key_A);
    CHECK_FALSE(panel->isVisible());
}

TEST_CASE("with one reading each the panel says how to get others", "[pages][agreement]")
{
    InFront<ui::ResultsPage> results;
    results.key(Qt::Key_A);
    CHECK(results.child<ui::Label>("agreementSummary")
              ->text()
              .startsWith(QStringLiteral("No trial was read a second time yet.")));
    CHECK(results.list("Trials to settle")->count() == 0);
}
