#pragma once
#include "core/report/results.h"

/// The words for results. Rounded by the uncertainty; never bare "frames"; a difference that isn't resolved is never
/// called none.
namespace report {

/// "31.3 ± 1.1", or "31.3" without an interval, or "–" without trials.
std::string meanText(const ConfigurationResult& configuration);
/// "24 trials, 1 rejected": what stands wherever a mean stands.
std::string countsText(const ConfigurationResult& configuration);
/// "+7.2" and "5.7 to 8.7"; empty where there is none.
std::string differenceText(const stats::Comparison& comparison);
std::string differenceIntervalText(const stats::Comparison& comparison);

/// "Longer by 7.2 ms", "Same within the margin", "Not resolved", "Too few trials"; interim is said elsewhere.
std::string verdictText(const stats::Comparison& comparison);
/// Whole sentences: what the interval shows, what these trials could have shown, what the margin needs.
std::vector<std::string> explanation(const ConfigurationResult& configuration, const Results& results);

/// To read out: one per configuration and one per comparison.
std::vector<std::string> script(const Results& results);

/// "scatter of 23 trials", ...: a line of the budget for people.
std::string budgetLabel(const stats::BudgetLine& line);

} // namespace report
