#pragma once
#include "core/analysis/results.h"

/// Figures for people, rounded the same way wherever they stand. Files for machines take full precision instead.
namespace analysis {

/// A value and its interval with the decimals that the half-width supports. In ms, without the unit.
struct Figure {
    std::string value;     ///< "31.3"
    std::string halfWidth; ///< "1.1"; this and the ends are empty where there is no interval
    std::string low, high; ///< ends of the interval
    int decimals = 0; ///< of all of them, negative for tens; also for what stands beside it (median, SD, least, most)
};

/// Mean of one configuration. Empty for n = 0; for n = 1 the value with the decimals its uncertainty supports.
std::optional<Figure> meanFigure(const analysis::ConfigurationResult&);
/// Configuration minus baseline, value and ends with their signs ("+7.2", "+5.7", "+8.7"). Empty where there is no
/// difference.
std::optional<Figure> differenceFigure(const analysis::Results&, const analysis::ConfigurationResult&);

/// "31.3 ± 1.1", or "31.3" where there is no interval.
std::string plusMinus(const Figure&);
/// Delay of one trial and the range it lies in for certain, by the decimals that the range supports.
struct DelayFigure {
    std::string delay;            ///< "93.3"
    std::string earliest, latest; ///< "92.3", "94.4"
};
DelayFigure delayFigure(const timing::TrialDelay&);

} // namespace analysis
