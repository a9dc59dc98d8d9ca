#pragma once
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace report {

/// Text that a spreadsheet takes as text: with an apostrophe in front where it begins with one of = + - @, a tab or a
/// line break, any of which would make a formula of it.
std::string asSpreadsheetText(const std::string& field);

/// Comma-separated values after RFC 4180.
namespace csv {

/// As asSpreadsheetText(); quoted where it holds a comma, semicolon, tab, quotation mark or line break, whichever of
/// them the reader takes for the end of a field.
std::string text(const std::string& field);
std::string whole(std::int64_t field);
/// Shortest form that reads back as the same double; "inf" for infinity; 0 has no sign.
std::string number(const std::optional<double>& field);
/// A member of what may not be there.
template <class Holder, class Member> std::string number(const Holder& of, Member member)
{
    return of ? number(std::invoke(member, *of)) : std::string();
}
std::string yes(bool field); ///< "yes" or "no"

template <class Row> struct Column {
    const char* name;
    std::string (*cell)(const Row&); ///< as it stands in the file: one of the above, or nothing
};

/// The columns' names, then a line for each row; lines end with CR LF.
template <class Row, std::size_t Count>
std::string table(const Column<Row> (&columns)[Count], const std::vector<Row>& rows)
{
    std::string all;
    const auto addLine = [&](auto cellOf) {
        for (const Column<Row>& column : columns)
            all += (&column == columns ? "" : ",") + cellOf(column);
        all += "\r\n";
    };
    addLine([](const Column<Row>& column) { return text(column.name); });
    for (const Row& row : rows)
        addLine([&](const Column<Row>& column) { return column.cell(row); });
    return all;
}

} // namespace csv
} // namespace report
