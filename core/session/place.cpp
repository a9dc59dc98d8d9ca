#include "core/session/place.h"

namespace session {

namespace {

constexpr std::size_t longest = 80;

/// Whole characters of UTF-8 only.
std::string_view cut(std::string_view text)
{
    if (text.size() <= longest)
        return text;
    std::size_t end = longest;
    while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0) == 0x80)
        --end;
    return text.substr(0, end);
}

} // namespace

std::string pointerPart(std::string_view key)
{
    std::string part;
    for (const char c : cut(key)) {
        if (c == '~')
            part += "~0";
        else if (c == '/')
            part += "~1";
        else
            part += static_cast<unsigned char>(c) < 0x20 ? '?' : c;
    }
    return part;
}

std::string quoted(std::string_view name)
{
    std::string inside(cut(name));
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

std::string Place::pointer() const
{
    if (!m_in)
        return {};
    return m_in->pointer() + '/' + (m_key ? pointerPart(m_key) : std::to_string(m_index));
}

} // namespace session
