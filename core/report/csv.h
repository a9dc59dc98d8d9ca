#pragma once
#include <cstdint>
#include <optional>
#include <string>

namespace report {

/// Rows of comma-separated values after RFC 4180. Inside core/report only.
class Csv {
public:
    Csv& text(const std::string& field); ///< quoted where it holds a comma, a quotation mark or a line break
    Csv& whole(std::int64_t field);
    Csv& number(double field); ///< shortest form that reads back as the same double; "inf" for infinity
    Csv& number(const std::optional<double>& field);
    Csv& empty();
    Csv& yes(bool field); ///< "yes" or "no"
    void endRow();        ///< CR LF
    const std::string& str() const { return m_text; }

private:
    void separate();
    std::string m_text;
    bool m_rowBegun = false;
};

} // namespace report
