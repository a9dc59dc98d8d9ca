#include "core/media/index/damage.h"
#include <algorithm>

namespace media {
namespace {

std::string reasonFor(Harm harm)
{
    switch (harm) {
    case Harm::MarkedBytes: return "bytes of it or of a picture it builds on are damaged";
    case Harm::Undecodable: return "parts of it or of a picture it builds on can't be decoded";
    case Harm::LostBefore: return "pictures it builds on are lost";
    }
    return {};
}

void addDoubt(std::vector<Doubt>& doubts, std::int64_t n, const std::string& why)
{
    if (!doubts.empty() && doubts.back().last.value == n - 1 && doubts.back().why == why)
        doubts.back().last = {n};
    else
        doubts.push_back({{n}, {n}, why});
}

} // namespace

void markDamage(Footage& footage, std::vector<Trouble> troubles)
{
    std::ranges::sort(troubles, {}, &Trouble::ordinal);
    std::vector<FrameEntry>& frames = footage.frames;
    for (FrameEntry& frame : frames)
        for (const Trouble& trouble : std::ranges::equal_range(troubles, frame.ordinal, {}, &Trouble::ordinal))
            frame.cleanEntry = frame.cleanEntry && trouble.harm == Harm::LostBefore;

    // Whatever is decoded after the damage may build on it, up to the next place where decoding begins afresh.
    const std::int64_t count = std::ssize(frames);
    std::int64_t end = 0; // where the doubt that the troubles so far cast ends
    for (const Trouble& trouble : troubles) {
        const std::int64_t earliestFresh = trouble.ordinal + (trouble.harm == Harm::LostBefore ? 0 : 1);
        for (; end < count && !(frames[end].cleanEntry && frames[end].ordinal >= earliestFresh); ++end)
            if (frames[end].ordinal >= trouble.ordinal)
                addDoubt(footage.doubts, end, reasonFor(trouble.harm));
    }
}

bool onlyAtTheEnd(const std::vector<Trouble>& troubles, std::int64_t packetCount)
{
    constexpr std::int64_t last = 2; // packets: the one that was cut, and a piece that looks like one
    return std::ranges::all_of(troubles, [&](const Trouble& t) { return t.ordinal >= packetCount - last; });
}

} // namespace media
