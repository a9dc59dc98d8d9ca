#include "core/session/edit_steps.h"

#include <algorithm>

namespace session {
namespace {

constexpr auto fromPictures = timing::Origin::Pictures;

/// Not of a finding that contradicts itself, which is refused when the edit is finished.
bool tellsRate(const PictureFinding& found)
{
    return timing::isPattern(found.verdict) && found.adding >= 1 && found.adding < found.period;
}

/// Of the captures on this clock whose pictures repeat in a pattern the one of which most could be judged; null: none.
const Capture* tellingCapture(const Document& document, ClockId clock)
{
    const Capture* telling = nullptr;
    for (const Capture* capture : inOrder(document.captures))
        if (runsOn(*capture, clock) && capture->pictures && tellsRate(*capture->pictures)
            && (!telling || capture->pictures->judged > telling->pictures->judged))
            telling = capture;
    return telling;
}

} // namespace

void followPictures(EditBuilder& builder, ClockId id)
{
    const Clock* known = find(builder.document(), id);
    if (!known)
        return;
    Clock clock = *known;
    const std::vector<ClockEvidence> before = clock.evidence;
    std::erase_if(clock.evidence, [](const ClockEvidence& evidence) { return evidence.rate.origin == fromPictures; });
    const Capture* capture = tellingCapture(builder.document(), id);
    const ClockEvidence* claimed = proposedEvidence(clock);
    if (capture && claimed) {
        const timing::PictureRepeats repeats{capture->pictures->verdict,
                                             capture->pictures->period,
                                             capture->pictures->adding,
                                             {},
                                             capture->pictures->judged};
        timing::RateEvidence rate = timing::pictureEvidence(repeats, claimed->rate);
        rate.note = capture->name + ": " + rate.note;
        const auto same =
            std::ranges::find_if(before, [&](const ClockEvidence& evidence) { return evidence.rate == rate; });
        if (same != before.end())
            return;
        builder.put(clock); // without the old statement, so that the new one gets a source of its own
        addStatement(builder, clock, rate);
    } else if (clock.evidence.size() == before.size()) {
        return;
    }
    builder.put(clock);
    dropUnusedSources(builder, before);
}

Edit setPictureFindings(const Document& document, const std::vector<std::pair<CaptureId, PictureFinding>>& findings,
                        EditKind kind)
{
    EditBuilder builder(document,
                        findings.size() == 1
                            ? "note what the pictures of " + named(need(document, findings.front().first)) + " show"
                            : "note what the pictures of " + counted(findings.size(), "capture") + " show",
                        kind);
    for (const auto& [id, finding] : findings) {
        Capture capture = need(document, id);
        capture.pictures = finding;
        builder.put(capture);
    }
    for (const auto& [id, finding] : findings)
        for (const ClockId clock : clocksOf(need(document, id)))
            followPictures(builder, clock);
    return std::move(builder).finish();
}

} // namespace session
