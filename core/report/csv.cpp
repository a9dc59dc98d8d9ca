#include "core/report/csv.h"
#include "core/analysis/phrases.h"
#include <string_view>

namespace report {

std::string asSpreadsheetText(const std::string& field)
{
    const bool formula = !field.empty() && std::string_view("=+-@\t\r\n").find(field.front()) != std::string::npos;
    return formula ? '\'' + field : field;
}

namespace csv {

std::string text(const std::string& field)
{
    const std::string shown = asSpreadsheetText(field);
    if (shown.find_first_of(",;\t\"\r\n") == std::string::npos)
        return shown;
    std::string quoted = "\"";
    for (const char c : shown)
        quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
    return quoted + '"';
}

std::string whole(std::int64_t field) { return std::to_string(field); }

std::string number(const std::optional<double>& field) { return field ? analysis::plain(*field) : std::string(); }

std::string yes(bool field) { return field ? "yes" : "no"; }

} // namespace csv

} // namespace report
