#pragma once
#include "core/timing/rate_evidence.h"

namespace timing {

/// What one entry of a file's metadata says that states a capture rate or could be taken for one.
struct TagReading {
    enum class Says {
        CaptureRate, ///< the rate asked for: evidence
        NoRate,      ///< playback, exposure, readout, a wish to the player, text that nobody defines
        Nothing,     ///< it should state a rate, but what it holds can't be one, or it is damaged
    };
    std::string key, value; ///< on one line, plain ASCII, `value` shortened
    Says says = Says::NoRate;
    std::optional<RateEvidence> evidence; ///< only of a capture rate
    std::string meaning;                  ///< completes "KEY says VALUE: ..."
};

/// Empty where the entry has nothing to do with rates. Never throws, whatever the text holds.
/// Keys: libav's in any case, those of media::rateTags(), and whatever names a rate in its key or text.
std::optional<TagReading> readTag(const std::string& key, const std::string& value);

/// Of all entries: capture rates first, in a fixed order of keys.
std::vector<TagReading> readTags(const std::map<std::string, std::string>& tags);

} // namespace timing
