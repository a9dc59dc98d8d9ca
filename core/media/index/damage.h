#pragma once // not public: only core/media may include it
#include "core/media/index/footage.h"

namespace media {

enum class Harm {
    MarkedBytes, ///< the container says that the packet's bytes are damaged
    Undecodable, ///< the decoder complained about it or had to guess parts of the picture
    LostBefore,  ///< packets right before this one are lost
};

/// Something is wrong at one packet.
struct Trouble {
    std::int64_t ordinal = 0;
    Harm harm = Harm::Undecodable;
    std::string detail; ///< the library's words
};

/// Fills `doubts`, and takes damaged pictures out of the clean entry points. `troubles` in any order.
void markDamage(Footage& footage, std::vector<Trouble> troubles);

/// True when nothing is wrong but at the last packets, as in a recording that was cut off.
bool onlyAtTheEnd(const std::vector<Trouble>& troubles, std::int64_t packetCount);

} // namespace media
