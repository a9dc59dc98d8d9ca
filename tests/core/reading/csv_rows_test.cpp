#include "core/reading/csv_rows.h"
#include "core/error.h"
#include <catch2/catch.hpp>
#include <random>

using Catch::Contains;
using Fields = std::vector<std::string>;

namespace {

std::vector<Fields> fieldsOf(std::string_view text)
{
    std::vector<Fields> all;
    for (const reading::CsvRow& row : reading::csvRows(text))
        all.push_back(row.fields);
    return all;
}

} // namespace

TEST_CASE("records are read after RFC 4180", "[csv]")
{
    // Section 2 of the RFC, by its numbers.
    CHECK(fieldsOf("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n")
          == std::vector<Fields>{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}});                  // 1
    CHECK(fieldsOf("aaa,bbb\r\nzzz,yyy") == std::vector<Fields>{{"aaa", "bbb"}, {"zzz", "yyy"}}); // 2
    CHECK(fieldsOf("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx")
          == std::vector<Fields>{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}); // 5
    CHECK(fieldsOf("\"aaa\",\"b\r\nbb\",\"c,c\"\r\nzzz,,\"\"")
          == std::vector<Fields>{{"aaa", "b\r\nbb", "c,c"}, {"zzz", "", ""}});       // 6
    CHECK(fieldsOf("\"aaa\",\"b\"\"bb\"") == std::vector<Fields>{{"aaa", "b\"bb"}}); // 7
}

TEST_CASE("what spreadsheets write beside the RFC is read as well", "[csv]")
{
    CHECK(fieldsOf("\xEF\xBB\xBF"
                   "file;press\n a ; 7 \r\rb;\"8\" ;\n\n")
          == std::vector<Fields>{{"file", "press"}, {"a", "7"}, {"b", "8", ""}});
    CHECK(fieldsOf("\"a,b\"\tc\nd\te,f") == std::vector<Fields>{{"a,b", "c"}, {"d", "e,f"}});
    CHECK(fieldsOf("").empty());
    CHECK(fieldsOf("\n\r\n").empty());
    const auto rows = reading::csvRows("a\n\"b\nc\"\n\nd");
    REQUIRE(rows.size() == 3);
    CHECK(rows[1].line == 2);
    CHECK(rows[2].line == 5);
}

TEST_CASE("a broken or boundless table is refused with its line", "[csv]")
{
    const auto refused = [](std::string text, const char* words) {
        CHECK_THROWS_WITH(reading::csvRows(text), Contains(words));
    };
    refused("a,b\nc,\"d\n", "Line 2 of the table has a quotation mark that is never closed.");
    refused("a,b\nc,d\"e\"", "Line 2 of the table has a quotation mark within a field");
    refused("a\n\"b\" c", "Line 2 of the table goes on after the quotation mark");
    refused("a\nb\xff", "Line 2 of the table isn't UTF-8");
    refused(std::string("a\0b", 3), "Line 1 of the table isn't UTF-8");
    refused(std::string(reading::csv_limits::fields, ','), "has more than 64 fields");
    refused(std::string(reading::csv_limits::field + 1, 'x'), "a field of more than 4096 bytes");
    refused(std::string(reading::csv_limits::bytes + 1, '\n'), "more than 16 MB");
    std::string rows;
    for (std::size_t row = 0; row <= reading::csv_limits::rows; ++row)
        rows += "1\n";
    refused(rows, "at most 100000 rows");
}

TEST_CASE("any bytes are read or refused", "[csv]")
{
    std::mt19937 chance(4180);
    const std::string signs = "ab,;\t\"\"\r\n 1";
    for (int text = 0; text < 20'000; ++text) {
        std::string bytes;
        for (int length = int(chance() % 24); length > 0; --length)
            bytes += chance() % 20 == 0 ? char(chance()) : signs[chance() % signs.size()];
        try {
            for (const reading::CsvRow& row : reading::csvRows(bytes))
                REQUIRE(row.line <= bytes.size() + 1);
        } catch (const core::Error& error) {
            REQUIRE(error.kind() == core::ErrorKind::Malformed);
        }
    }
}
