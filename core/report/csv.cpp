#include "core/report/csv.h"
#include "core/analysis/phrases.h"
#include "core/analysis/figures.h"

namespace report {

void Csv::separate()
{
    if (m_rowBegun)
        m_text += ',';
    m_rowBegun = true;
}

Csv& Csv::text(const std::string& field)
{
    separate();
    if (field.find_first_of(",\"\r\n") == std::string::npos) {
        m_text += field;
        return *this;
    }
    m_text += '"';
    for (const char c : field)
        m_text += c == '"' ? std::string("\"\"") : std::string(1, c);
    m_text += '"';
    return *this;
}

Csv& Csv::whole(std::int64_t field) { return text(std::to_string(field)); }

Csv& Csv::number(double field) { return text(analysis::plain(field)); }

Csv& Csv::number(const std::optional<double>& field) { return field ? number(*field) : empty(); }

Csv& Csv::empty() { return text({}); }

Csv& Csv::yes(bool field) { return text(field ? "yes" : "no"); }

void Csv::endRow()
{
    m_text += "\r\n";
    m_rowBegun = false;
}

} // namespace report
