#pragma once
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace session {

/// Characters (code points) of UTF-8 text; empty when the bytes aren't UTF-8 or hold control characters other than
/// tab and line feed.
std::optional<std::size_t> charactersIn(std::string_view utf8);

/// The beginning of a text that would be overlong in a sentence; whole characters.
std::string_view shortened(std::string_view text);
/// A name as it stands in a sentence: in quotation marks, cut where it is overlong.
std::string inQuotes(std::string_view name);
/// With a capital letter at its beginning and a full stop at its end.
std::string asSentence(std::string text);

/// Exactly `digits` lower-case hexadecimal digits.
bool isHex(std::string_view text, std::size_t digits);

/// ISO 8601 date and time to the second or finer, with offset: "2030-01-31T18:05:00+01:00", or Z for UTC.
bool isTime(std::string_view text);
/// The time now in that form, in the local offset.
std::string timeNow();

} // namespace session
