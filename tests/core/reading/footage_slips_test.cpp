#include "core/reading/footage_slips.h"
#include "core/media/measure/still_blocks.h"
#include "tests/footage/reaction_film.h"
#include "tests/footage/temp_folder.h"
#include <catch2/catch.hpp>

namespace {

/// A film with three presses, its traces and the hints they give.
struct Filmed {
    TempFolder folder;
    footage::ReactionTruth truth;
    media::Rect lampRegion;
    std::vector<media::Trace> traces;
    std::vector<reading::HintPair> hints;

    explicit Filmed(footage::ReactionSpec spec)
    {
        spec.width = 320;
        spec.height = 180;
        spec.pressGap = 0.5;
        truth = footage::filmReactions(spec, folder / "film.mp4");
        lampRegion = {truth.lamp.x, truth.lamp.y, truth.lamp.width, truth.lamp.height};
        const media::Rect screen{truth.screen.x, truth.screen.y, truth.screen.width, truth.screen.height};
        traces = media::traceRegions(*media::openFootage(folder / "film.mp4"), {lampRegion, screen});
        hints = reading::findHints(traces[0], traces[1], screen, session::LampEvent::Lights);
    }
    std::vector<std::string> slips(int press, std::optional<int> response) const
    {
        reading::MarkedFrames marks{{press}, {}};
        if (response)
            marks.response = timing::FrameNumber{*response};
        return reading::footageSlips(traces[0], traces[1], lampRegion, hints, marks);
    }
};

bool oneThatSays(const std::vector<std::string>& slips, const std::string& words)
{
    INFO(Catch::StringMaker<std::vector<std::string>>::convert(slips));
    return slips.size() == 1 && slips.front().find(words) != std::string::npos;
}

/// What the camera and its light do from frame `from` on is changed.
void change(media::Trace& trace, std::size_t from, double dx, double light)
{
    for (std::size_t n = from; n < trace.size(); ++n) {
        auto blocks = std::make_shared<media::StillBlocks>(*trace[n].blocks);
        blocks->dx += dx;
        blocks->light *= light;
        trace[n].blocks = blocks;
    }
}

} // namespace

TEST_CASE("footage tells of marks where nothing happens", "[slips]")
{
    footage::ReactionSpec spec;
    spec.kind = footage::ReactionKind::Appears;
    spec.contrast = 30;
    spec.shake = 0.8;
    spec.ripple = 0.02;
    spec.seed = 5;
    const Filmed film(spec);
    REQUIRE(film.truth.presses.size() == 3);
    const auto& second = film.truth.presses[1];
    REQUIRE(second.response);
    using None = std::vector<std::string>;
    CHECK(film.slips(second.first, *second.response) == None{});
    CHECK(film.slips(second.first, *second.response + 2) == None{});
    CHECK(film.slips(second.first, std::nullopt) == None{});
    CHECK(oneThatSays(film.slips(second.first - 40, *second.response), "lamp doesn't change at the press"));
    REQUIRE(*second.response - second.first > 12);
    CHECK(oneThatSays(film.slips(second.first, second.first + 2), "Nothing on the screen changes"));
}

TEST_CASE("footage tells of a camera that was bumped and of light that steps", "[slips]")
{
    footage::ReactionSpec spec;
    spec.kind = footage::ReactionKind::Appears;
    spec.contrast = 30;
    spec.ripple = 0.02;
    spec.seed = 5;
    Filmed film(spec);
    const auto& last = film.truth.presses.back();
    REQUIRE(last.response);
    CHECK(film.slips(last.first, last.response).empty());
    SECTION("bumped")
    {
        change(film.traces[0], std::size_t(last.first - 20), 0.8 * film.lampRegion.width, 1);
        CHECK(oneThatSays(film.slips(last.first, last.response), "off the lamp region"));
    }
    SECTION("a step of light between the marks")
    {
        change(film.traces[0], std::size_t(last.first + 6), 0, 1.3);
        CHECK(oneThatSays(film.slips(last.first, last.response), "light steps"));
    }
}
