#pragma once
#include <QByteArray>
#include <cstddef>
#include <cstdint>
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

/// "1 trial", "24 trials"; `many` where it isn't `one` with an s.
std::string counted(std::int64_t count, const std::string& one, const std::string& many = {});
/// `name`, or with a number more as long as taken(name).
template <class Taken> std::string freeName(const std::string& name, Taken taken)
{
    std::string free = name;
    for (int more = 2; taken(free); ++more)
        free = name + " (" + std::to_string(more) + ")";
    return free;
}

/// Of the bytes, in lower-case hexadecimal digits.
std::string sha256Of(const QByteArray& bytes);
/// Exactly `digits` lower-case hexadecimal digits.
bool isHex(std::string_view text, std::size_t digits);

/// ISO 8601 date and time to the second or finer, with offset: "2030-01-31T18:05:00+01:00", or Z for UTC.
bool isTime(std::string_view text);
/// The time now in that form, in the local offset.
std::string timeNow();

} // namespace session
