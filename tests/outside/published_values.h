#pragma once
#include "core/stats/budget.h"
#include <vector>

/// Michelson's speed of light, 1879, km/s less 299000, in the order taken: five experiments of 20. Source: NIST StRD,
/// univariate data set Michelso (there 299.850 and so on, in thousands of km/s); also the data set "morley" of R.
inline const std::vector<double> michelson{
    850, 740, 900, 1070, 930, 850, 950, 980, 980, 880, 1000, 980, 930, 650, 760, 810, 1000, 1000, 960, 960,
    960, 940, 960, 940,  880, 800, 850, 880, 900, 840, 830,  790, 810, 880, 880, 830, 800,  790,  760, 800,
    880, 880, 880, 860,  720, 720, 620, 860, 970, 950, 880,  910, 850, 870, 840, 840, 850,  840,  840, 840,
    890, 810, 810, 820,  800, 770, 760, 740, 750, 760, 910,  920, 890, 860, 880, 720, 840,  850,  850, 780,
    890, 840, 780, 810,  760, 810, 790, 810, 820, 850, 870,  870, 810, 740, 810, 940, 950,  800,  810, 870};

/// Extra hours of sleep with two drugs, ten patients. Source: Student (1908), Biometrika 6:1; data set "sleep" of R.
inline const std::vector<double> sleepFirst{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0};
inline const std::vector<double> sleepSecond{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4};

/// Values as trials without camera: no interval, so neither counting floor nor phase, and no clock.
inline std::vector<stats::Observation> plainTrials(const std::vector<double>& values)
{
    std::vector<stats::Observation> trials;
    for (const double v : values)
        trials.push_back({v, 0, 0, 1, 1, false, {}});
    return trials;
}
