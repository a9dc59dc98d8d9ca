#include "core/report/method_note.h"
#include "core/analysis/results.h"
#include "core/report/sentences.h"
#include "small_session.h"

#include <catch2/catch.hpp>

using Catch::Contains;
using namespace analysis;
using namespace report;

TEST_CASE("a baseline with a number of its own is interim until it is reached", "[report]")
{
    small::Session s = small::session();
    s.document.settings.plan.trialsPerConfiguration = 4;
    const Results reached = compute(s.document);
    REQUIRE(find(reached, s.radio)->comparison);
    const int baseline = find(reached, s.wired)->n;
    REQUIRE(baseline >= 4);
    REQUIRE(find(reached, s.radio)->n >= 4);
    CHECK_FALSE(find(reached, s.radio)->comparison->interim);

    s.document.settings.plan.baselineTrials = baseline + 1;
    const Results open = compute(s.document);
    CHECK(open.interim);
    CHECK(find(open, s.radio)->comparison->interim);
    CHECK(find(open, s.wired)->planned == baseline + 1);
    CHECK(find(open, s.radio)->planned == 4);
    CHECK_THAT(methodNote(s.document, open, "1.0"), Contains("Planned for the baseline, which serves every comparison: "
                                                             + std::to_string(baseline + 1) + " trials."));
}
