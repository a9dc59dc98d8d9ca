#include "core/report/csv.h"
#include "core/analysis/phrases.h"
#include <string_view>

namespace report {

std::string asSpreadsheetText(const std::string& field)
{
    const bool formula = !field.empty() && std::string_view("=+-@\t\r\n").find(field.front()) != std::string::npos;
    return formula ? '\'' + field : field;
}

Csv& Csv::cell(const std::string& field)
{
    if (m_rowBegun)
        m_text += ',';
    m_rowBegun = true;
    if (field.find_first_of(",;\t\"\r\n") == std::string::npos) {
        m_text += field;
        return *this;
    }
    m_text += '"';
    for (const char c : field)
        m_text += c == '"' ? std::string("\"\"") : std::string(1, c);
    m_text += '"';
    return *this;
}

Csv& Csv::text(const std::string& field) { return cell(asSpreadsheetText(field)); }

Csv& Csv::whole(std::int64_t field) { return cell(std::to_string(field)); }

Csv& Csv::number(double field) { return cell(analysis::plain(field == 0 ? 0.0 : field)); }

Csv& Csv::number(const std::optional<double>& field) { return field ? number(*field) : empty(); }

Csv& Csv::empty() { return cell({}); }

Csv& Csv::yes(bool field) { return cell(field ? "yes" : "no"); }

void Csv::endRow()
{
    m_text += "\r\n";
    m_rowBegun = false;
}

} // namespace report
