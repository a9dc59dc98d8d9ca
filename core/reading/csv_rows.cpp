#include "core/reading/csv_rows.h"
#include "core/error.h"
#include "core/session/text.h"

#include <algorithm>

namespace reading {

namespace {

[[noreturn]] void malformed(std::size_t line, const std::string& what)
{
    throw core::Error(core::ErrorKind::Malformed, "Line " + std::to_string(line) + " of the table " + what + ".");
}

/// Of the first line, outside quotation marks.
char separatorOf(std::string_view text)
{
    bool quoted = false;
    for (const char c : text) {
        if (c == '"')
            quoted = !quoted;
        else if (!quoted && (c == '\n' || c == '\r'))
            break;
        else if (!quoted && (c == ',' || c == ';' || c == '\t'))
            return c;
    }
    return ',';
}

class Reader {
public:
    explicit Reader(std::string_view text) : m_text(text), m_separator(separatorOf(text)) {}

    std::vector<CsvRow> rows()
    {
        std::vector<CsvRow> all;
        while (m_at < m_text.size()) {
            CsvRow row = next();
            if (row.fields.size() == 1 && row.fields.front().empty())
                continue;
            if (all.size() == csv_limits::rows)
                malformed(row.line, "is one too many: at most " + std::to_string(csv_limits::rows - 1)
                                        + " rows are taken in at a time");
            all.push_back(std::move(row));
        }
        return all;
    }

private:
    bool atEnd() const { return m_at == m_text.size(); }
    bool atBreak() const { return !atEnd() && (m_text[m_at] == '\n' || m_text[m_at] == '\r'); }

    void passBreak()
    {
        if (m_text[m_at] == '\r' && m_at + 1 < m_text.size() && m_text[m_at + 1] == '\n')
            ++m_at;
        ++m_at;
        ++m_line;
    }

    CsvRow next()
    {
        CsvRow row{m_line, {}};
        for (;;) {
            if (row.fields.size() == csv_limits::fields)
                malformed(row.line, "has more than " + std::to_string(csv_limits::fields) + " fields");
            row.fields.push_back(field());
            if (atEnd())
                return row;
            if (atBreak()) {
                passBreak();
                return row;
            }
            ++m_at; // the separator
        }
    }

    std::string field()
    {
        passSpaces();
        const std::size_t line = m_line;
        std::string text;
        if (!atEnd() && m_text[m_at] == '"') {
            text = quotedField(line);
        } else {
            const std::size_t begin = m_at;
            while (!atEnd() && !atBreak() && m_text[m_at] != m_separator)
                if (m_text[m_at++] == '"')
                    malformed(line, "has a quotation mark within a field that doesn't begin with one");
            text = m_text.substr(begin, m_at - begin);
            text.erase(text.find_last_not_of(' ') + 1);
        }
        if (text.size() > csv_limits::field)
            malformed(line, "has a field of more than " + std::to_string(csv_limits::field) + " bytes");
        return text;
    }

    std::string quotedField(std::size_t line)
    {
        std::string text;
        for (++m_at;; ++m_at) {
            if (atEnd())
                malformed(line, "has a quotation mark that is never closed");
            if (m_text[m_at] != '"') {
                m_line += m_text[m_at] == '\n' ? 1 : 0;
                text += m_text[m_at];
            } else if (m_at + 1 < m_text.size() && m_text[m_at + 1] == '"') {
                text += m_text[++m_at];
            } else {
                break;
            }
        }
        ++m_at;
        passSpaces();
        if (!atEnd() && !atBreak() && m_text[m_at] != m_separator)
            malformed(m_line, "goes on after the quotation mark that closes a field");
        return text;
    }

    void passSpaces()
    {
        while (!atEnd() && m_text[m_at] == ' ')
            ++m_at;
    }

    std::string_view m_text;
    char m_separator;
    std::size_t m_at = 0, m_line = 1;
};

} // namespace

std::vector<CsvRow> csvRows(std::string_view text)
{
    if (text.size() > csv_limits::bytes)
        throw core::Error(core::ErrorKind::Malformed, "The table has more than "
                                                          + std::to_string(csv_limits::bytes >> 20)
                                                          + " MB; take it in by parts.");
    if (text.starts_with("\xEF\xBB\xBF"))
        text.remove_prefix(3);
    std::size_t line = 1;
    for (std::size_t from = 0; from < text.size(); ++line) {
        const std::size_t end = std::min(text.find_first_of("\r\n", from), text.size());
        if (!session::charactersIn(text.substr(from, end - from)))
            malformed(line, "isn't UTF-8 text; save the table as CSV in UTF-8");
        from = end + (text.substr(end, 2) == "\r\n" ? 2 : 1);
    }
    return Reader(text).rows();
}

} // namespace reading
