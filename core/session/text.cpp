#include "core/session/text.h"
#include <QCryptographicHash>
#include <QDateTime>
#include <QString>
#include <algorithm>

namespace session {

namespace {

constexpr std::size_t longest = 80; // bytes of something foreign in a sentence

bool isControl(char c)
{
    const auto byte = static_cast<unsigned char>(c);
    return (byte < 0x20 && c != '\t' && c != '\n') || byte == 0x7F;
}

bool isDigit(char c) { return c >= '0' && c <= '9'; }

/// `pattern`: 0 stands for a digit, everything else for itself.
bool fits(std::string_view text, std::string_view pattern)
{
    return std::ranges::equal(text, pattern, [](char c, char p) { return p == '0' ? isDigit(c) : c == p; });
}

bool isOffset(std::string_view text) { return text == "Z" || fits(text, "+00:00") || fits(text, "-00:00"); }

} // namespace

std::string_view shortened(std::string_view text)
{
    if (text.size() <= longest)
        return text;
    std::size_t end = longest;
    while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0) == 0x80)
        --end;
    return text.substr(0, end);
}

std::string inQuotes(std::string_view name)
{
    std::string inside(shortened(name));
    for (char& c : inside)
        if (static_cast<unsigned char>(c) < 0x20)
            c = ' ';
    return "“" + inside + (inside.size() < name.size() ? "…”" : "”");
}

std::string asSentence(std::string text)
{
    if (text.empty())
        return text;
    if (text.front() >= 'a' && text.front() <= 'z')
        text.front() = static_cast<char>(text.front() - 'a' + 'A');
    if (text.back() != '.')
        text += '.';
    return text;
}

std::optional<std::size_t> charactersIn(std::string_view utf8)
{
    bool ascii = true;
    for (const char c : utf8) {
        if (isControl(c))
            return std::nullopt;
        ascii = ascii && static_cast<unsigned char>(c) < 0x80;
    }
    if (ascii)
        return utf8.size();
    const QByteArray bytes = QByteArray::fromRawData(utf8.data(), static_cast<qsizetype>(utf8.size()));
    if (!bytes.isValidUtf8())
        return std::nullopt;
    return static_cast<std::size_t>(
        std::ranges::count_if(utf8, [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

std::string counted(std::int64_t count, const std::string& one, const std::string& many)
{
    return std::to_string(count) + ' ' + (count == 1 ? one : many.empty() ? one + 's' : many);
}

std::string sha256Of(const QByteArray& bytes)
{
    return QCryptographicHash::hash(bytes, QCryptographicHash::Sha256).toHex().toStdString();
}

bool isHex(std::string_view text, std::size_t digits)
{
    return text.size() == digits
           && std::ranges::all_of(text, [](char c) { return isDigit(c) || (c >= 'a' && c <= 'f'); });
}

bool isTime(std::string_view text)
{
    constexpr std::string_view seconds = "0000-00-00T00:00:00";
    if (text.size() > 40 || !fits(text.substr(0, seconds.size()), seconds))
        return false;
    std::string_view rest = text.substr(seconds.size());
    if (rest.starts_with('.')) {
        const std::size_t end = std::min(rest.find_first_not_of("0123456789", 1), rest.size());
        if (end < 2)
            return false;
        rest.remove_prefix(end);
    }
    const QString day = QString::fromLatin1(text.data(), 10), clock = QString::fromLatin1(text.data() + 11, 8);
    return isOffset(rest) && QDate::fromString(day, Qt::ISODate).isValid()
           && QTime::fromString(clock, Qt::ISODate).isValid();
}

std::string timeNow()
{
    const QDateTime now = QDateTime::currentDateTime();
    return now.toOffsetFromUtc(now.offsetFromUtc()).toString(Qt::ISODate).toStdString();
}

} // namespace session
