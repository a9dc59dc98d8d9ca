#pragma once
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace reading {

/// One record of comma-separated values.
struct CsvRow {
    std::size_t line = 1; ///< of the text, where it begins
    std::vector<std::string> fields;
};

namespace csv_limits {
inline constexpr std::size_t bytes = std::size_t{16} << 20;
inline constexpr std::size_t rows = 100'001; ///< the head included
inline constexpr std::size_t fields = 64;    ///< of a row
inline constexpr std::size_t field = 4'096;  ///< bytes
} // namespace csv_limits

/// Records after RFC 4180: fields in quotation marks may hold separators, line breaks and, doubled, quotation marks.
/// Lines end with CR LF, LF or CR; empty ones are left out, spaces around a field without quotation marks too. What
/// separates fields - comma, semicolon or tab - is what the first line has. A byte order mark is passed over. Throws
/// core::Error (Malformed) with the line where the text isn't UTF-8, breaks the quoting, or exceeds csv_limits.
std::vector<CsvRow> csvRows(std::string_view text);

} // namespace reading
