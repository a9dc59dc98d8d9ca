#include "coverage.h"

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <initializer_list>
#include <string>

/// The long simulation: a table in Markdown, the worst of all camera and refresh rates in each row.
///   coverage_table [sessions [scatter]]     2000 sessions a case and every scatter unless said otherwise
int main(int count, char** words)
{
    const int sessions = count > 1 ? std::atoi(words[1]) : 2000;
    if (sessions < 1) {
        std::fprintf(stderr, "“%s” isn't a number of sessions: give one from 1.\n", words[1]);
        return 2;
    }
    const std::string only = count > 2 ? words[2] : "";
    std::printf("| scatter | run shift | runs | n | mean holds | difference holds | false verdict | false same |\n");
    std::printf("| --- | --- | --- | --- | --- | --- | --- | --- |\n");
    for (const coverage::Shape shape : {coverage::Shape::Smooth, coverage::Shape::Skewed, coverage::Shape::TwoModes}) {
        if (!only.empty() && only != coverage::name(shape))
            continue;
        std::uint64_t seed =
            1 + 1000 * static_cast<std::uint64_t>(shape); // rows come out alike, alone or with the others
        for (const double shift : {0.0, 2.0})
            for (const int runs : {1, 4, 6})
                for (const int trials : {5, 10, 20, 40}) {
                    if (trials < runs)
                        continue;
                    coverage::Rates worst{1, 1, 0, 0};
                    for (const double camera : {240.0, 480.0, 1000.0})
                        for (const double refresh : {60.0, 75.0, 144.0}) {
                            const coverage::Rates rates =
                                coverage::simulate({camera, refresh, trials, runs, shift, shape}, sessions, ++seed);
                            worst.meanHeld = std::min(worst.meanHeld, rates.meanHeld);
                            worst.differenceHeld = std::min(worst.differenceHeld, rates.differenceHeld);
                            worst.falseVerdict = std::max(worst.falseVerdict, rates.falseVerdict);
                            worst.falseSame = std::max(worst.falseSame, rates.falseSame);
                        }
                    std::printf("| %s | %s | %d | %d | %.1f %% | %.1f %% | %.1f %% | %.1f %% |\n",
                                coverage::name(shape), shift > 0 ? "2 ms" : "none", runs, trials, 100 * worst.meanHeld,
                                100 * worst.differenceHeld, 100 * worst.falseVerdict, 100 * worst.falseSame);
                    std::fflush(stdout);
                }
    }
    return 0;
}
