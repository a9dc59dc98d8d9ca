#include "core/session/json_fields.h"
#include "core/session/consistency.h"
#include "core/session/limits.h"
#include <QJsonDocument>
#include <algorithm>
#include <vector>

namespace session {

namespace {

constexpr bool isContinuation(char c) { return (static_cast<unsigned char>(c) & 0xC0) == 0x80; }

/// Lines and columns (in characters) from 1, as editors count.
std::string lineAndColumn(const QByteArray& text, qsizetype offset)
{
    const char* at = text.data() + std::clamp<qsizetype>(offset, 0, text.size());
    const char* line = at;
    while (line > text.data() && line[-1] != '\n')
        --line;
    const auto row = 1 + std::count(text.data(), line, '\n');
    const auto column = 1 + std::count_if(line, at, [](char c) { return !isContinuation(c); });
    return "line " + std::to_string(row) + ", column " + std::to_string(column);
}

[[noreturn]] void refuseText(const QByteArray& text, qsizetype offset, const std::string& sentence)
{
    throw Problem{lineAndColumn(text, offset), sentence};
}

/// Where the first byte that can't be UTF-8 stands; the text is known not to be valid.
qsizetype firstBadByte(const QByteArray& text)
{
    qsizetype good = 0, bad = text.size();
    while (good < bad) { // the longest valid beginning, by halving; a cut character counts as valid
        const qsizetype middle = good + (bad - good + 1) / 2;
        qsizetype whole = middle;
        while (whole > 0 && whole < text.size() && isContinuation(text[whole]))
            --whole;
        if (QByteArrayView(text).first(whole).isValidUtf8())
            good = middle;
        else
            bad = middle - 1;
    }
    return good;
}

/// Qt takes the last of two fields of the same name without a word, and nests deeper than we ever write. This walk
/// looks at strings and brackets only; whether the rest is JSON is for the parser to say.
class Walk {
public:
    explicit Walk(const QByteArray& text) : m_text(text) {}

    void go()
    {
        for (m_at = 0; m_at < m_text.size(); ++m_at) {
            switch (m_text[m_at]) {
            case '"': skipString(); break;
            case '{':
            case '[': open(); break;
            case '}':
            case ']': close(); break;
            case ':': name(); break;
            default: break;
            }
        }
    }

private:
    void skipString()
    {
        m_stringFrom = m_at + 1;
        for (++m_at; m_at < m_text.size() && m_text[m_at] != '"'; ++m_at)
            if (m_text[m_at] == '\\')
                ++m_at;
        m_stringTo = std::min(m_at, m_text.size());
    }

    void open()
    {
        if (std::ssize(m_objects) >= limits::fileDepth)
            refuseText(m_text, m_at,
                       "lists and objects lie more than " + std::to_string(limits::fileDepth)
                           + " deep within each other");
        m_objects.emplace_back();
    }

    void close()
    {
        if (!m_objects.empty())
            m_objects.pop_back();
    }

    /// A colon: the string before it was a field's name.
    void name()
    {
        if (m_objects.empty())
            return;
        const QByteArrayView key = QByteArrayView(m_text).sliced(m_stringFrom, m_stringTo - m_stringFrom);
        if (key.contains('\\'))
            refuseText(m_text, m_stringFrom,
                       "a field's name is written with a backslash; no field of a session needs one");
        std::vector<QByteArrayView>& names = m_objects.back();
        if (std::ranges::find(names, key) != names.end())
            refuseText(m_text, m_stringFrom,
                       "the field " + inQuotes(key.toByteArray().toStdString()) + " is there twice");
        if (names.size() >= mostFields)
            refuseText(m_text, m_stringFrom, "an object has more than " + std::to_string(mostFields) + " fields");
        names.push_back(key);
    }

    static constexpr std::size_t mostFields = 100; // the longest checklist has 23

    const QByteArray& m_text;
    qsizetype m_at = 0, m_stringFrom = 0, m_stringTo = 0;
    std::vector<std::vector<QByteArrayView>> m_objects; // names so far in every object that is open; empty for lists
};

} // namespace

QJsonObject parseObject(const QByteArray& text)
{
    if (!text.isValidUtf8())
        refuseText(text, firstBadByte(text), "a byte here isn't UTF-8 text");
    Walk(text).go();
    QJsonParseError error;
    const QJsonDocument parsed = QJsonDocument::fromJson(text, &error);
    if (parsed.isNull())
        refuseText(text, error.offset, "this isn't JSON: " + error.errorString().toStdString());
    if (!parsed.isObject())
        refuseText(text, 0, "this is a list where an object belongs");
    return parsed.object();
}

} // namespace session
