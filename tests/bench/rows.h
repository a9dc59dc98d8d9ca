#pragma once
#include <chrono>
#include <optional>
#include <string>
#include <vector>

namespace bench {

/// One measured thing. Times are in ms unless the unit says otherwise.
struct Row {
    std::string subject; ///< film or session
    std::string what;
    double value = 0;
    std::string unit = "ms";
    std::string against{};        ///< the bare program it stands beside; empty when there is none
    std::optional<double> bare{}; ///< what that took, same unit
};
using Rows = std::vector<Row>;

/// Size of what is measured: everything for figures, a little for seeing that each row comes out.
struct Effort {
    bool small = false;
    std::string only; ///< kind of a film's rows that is wanted alone; empty: all
    bool wants(const char* kind) const { return only.empty() || only == kind; }
    double pace = 10; ///< steps a second of a hand that looks at every frame
    int steps() const { return small ? 12 : 300; }
    int steadySteps() const { return small ? 12 : 2'000; }
    int jumps() const { return small ? 3 : 12; }
    int trials() const { return small ? 30 : 2'000; }
    int rounds() const { return small ? 1 : 2; } ///< the quickest counts; ours and the bare program take turns
};

std::string tableHead();
std::string tableLines(const Rows& rows); ///< Markdown
/// The same for programs, with where and when: {"machine": {...}, "rows": [{...}]}.
std::string json(const Rows& rows);

/// `page` (tests/bench/RESULTS.md, empty at first) with this run's table: runs with the same `arguments` are replaced,
/// others stay.
std::string withRun(const std::string& page, const std::string& arguments, const Rows& rows);

class Stopwatch {
public:
    double ms() const { return std::chrono::duration<double, std::milli>(Clock::now() - m_start).count(); }

private:
    using Clock = std::chrono::steady_clock;
    Clock::time_point m_start = Clock::now();
};

/// Ms that `work` takes.
template <class Work> double timed(const Work& work)
{
    const Stopwatch watch;
    work();
    return watch.ms();
}

} // namespace bench
