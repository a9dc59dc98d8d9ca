#pragma once
#include <cstdint>
#include <optional>
#include <string>

namespace report {

/// Text that a spreadsheet takes as text: with an apostrophe in front where it begins with one of = + - @, a tab or a
/// line break, any of which would make a formula of it.
std::string asSpreadsheetText(const std::string& field);

/// Rows of comma-separated values after RFC 4180.
class Csv {
public:
    /// As asSpreadsheetText(); quoted where it holds a comma, semicolon, tab, quotation mark or line break, whichever
    /// of them the reader takes for the end of a field.
    Csv& text(const std::string& field);
    Csv& whole(std::int64_t field);
    /// Shortest form that reads back as the same double; "inf" for infinity; 0 has no sign.
    Csv& number(double field);
    Csv& number(const std::optional<double>& field);
    Csv& empty();
    Csv& yes(bool field); ///< "yes" or "no"
    void endRow();        ///< CR LF
    const std::string& str() const { return m_text; }

private:
    Csv& cell(const std::string& field);
    std::string m_text;
    bool m_rowBegun = false;
};

} // namespace report
