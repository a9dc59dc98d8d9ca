#include "core/stats/dunnett.h"
#include "core/stats/distributions.h"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <boost/math/quadrature/gauss.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cassert>
#include <cmath>
#include <vector>

namespace stats {
namespace {

using Gauss = boost::math::quadrature::gauss<double, 30>;

constexpr double farthest = 8;     ///< standard deviations; beyond it lie 1e-15
constexpr double negligible = -34; ///< log of what is left out of the scatter's distribution

struct Group {
    double lambda = 0;
    int comparisons = 0; ///< that have it
};

double normalWithin(double low, double high)
{
    constexpr double root = boost::math::constants::one_div_root_two<double>();
    return (std::erfc(low * root) - std::erfc(high * root)) / 2;
}

/// With the scatter known: the mean over the baseline's error z of the chance that all comparisons stay within. Even in
/// z, so half of it is done.
double coverageKnown(double factor, std::span<const Group> groups)
{
    return 2
           * Gauss::integrate(
               [&](double z) {
                   double all = std::exp(-z * z / 2) * boost::math::constants::one_div_root_two_pi<double>();
                   for (const Group& group : groups) {
                       const double own = std::sqrt(1 - group.lambda * group.lambda);
                       all *=
                           std::pow(normalWithin((group.lambda * z - factor) / own, (group.lambda * z + factor) / own),
                                    group.comparisons);
                   }
                   return all;
               },
               0.0, farthest);
}

double coverage(double factor, double dof, std::span<const Group> groups)
{
    if (std::isinf(dof))
        return coverageKnown(factor, groups);
    // The scatter found is e^x of the true one, its square chi-squared over dof; x is near normal, with a peak at 0.
    const auto logDensity = [&](double x) { return dof * (x - std::expm1(2 * x) / 2); };
    const auto end = [&](double direction) {
        double x = direction / std::sqrt(dof);
        while (logDensity(x) > negligible)
            x *= 1.3;
        return x;
    };
    const double scale = 2 * std::exp(dof / 2 * (std::log(dof / 2) - 1) - std::lgamma(dof / 2));
    const auto weighted = [&](double x) {
        return std::exp(logDensity(x)) * coverageKnown(factor * std::exp(x), groups);
    };
    // Few degrees of freedom leave a long way down from the peak, which takes more pieces.
    double total = 0, from = end(-1);
    for (double to = from / 4; to < -1; from = to, to = from / 4)
        total += Gauss::integrate(weighted, from, to);
    const double peak = from / 4;
    return scale * (total + Gauss::integrate(weighted, from, peak) + Gauss::integrate(weighted, peak, end(1)));
}

double factorFor(double level, double dof, std::span<const Group> groups, int comparisons)
{
    const double risk = 1 - level;
    const double least = coverageFactor(level, dof), most = coverageFactor(1 - risk / comparisons, dof);
    if (comparisons == 1)
        return least;
    const auto above = [&](double factor) {
        return std::log(std::max(1 - coverage(factor, dof, groups), 1e-300) / risk);
    };
    const double atLeast = above(least), atMost = above(most);
    if (atLeast <= 0)
        return least;
    if (atMost >= 0) // Bonferroni's is as good, to what quadrature tells
        return most;
    std::uintmax_t steps = 50;
    const auto [low, high] = boost::math::tools::toms748_solve(above, least, most, atLeast, atMost,
                                                               boost::math::tools::eps_tolerance<double>(34), steps);
    return (low + high) / 2;
}

double singleRisk(double factor, double dof) { return 2 * tCdf(-factor, dof); }

} // namespace

double dunnettCoverage(double factor, double dof, std::span<const double> lambdas)
{
    assert(factor > 0 && dof >= 1 && !lambdas.empty());
    std::vector<Group> groups;
    for (const double lambda : lambdas) {
        assert(lambda >= 0 && lambda * lambda <= 0.9 + 1e-12);
        groups.push_back({lambda, 1});
    }
    return coverage(factor, dof, groups);
}

double dunnettFactor(double level, double dof, std::span<const double> lambdas)
{
    assert(level > 0 && level < 1 && dof >= 1 && !lambdas.empty());
    std::vector<Group> groups;
    for (const double lambda : lambdas)
        groups.push_back({lambda, 1});
    return factorFor(level, dof, groups, static_cast<int>(groups.size()));
}

double dunnettFactor(double level, double dof, int comparisons, double rho)
{
    assert(level > 0 && level < 1 && dof >= 1 && comparisons >= 1 && rho >= 0 && rho <= 0.9);
    const Group all{std::sqrt(rho), comparisons};
    return factorFor(level, dof, {&all, 1}, comparisons);
}

SingleRisk::SingleRisk(double alpha, int comparisons, double rho) : m_least(alpha / comparisons), m_most(alpha)
{
    constexpr double few = 6;
    m_endless = singleRisk(dunnettFactor(1 - alpha, endlessDof, comparisons, rho), endlessDof);
    m_slope = (singleRisk(dunnettFactor(1 - alpha, few, comparisons, rho), few) - m_endless) * few;
}

double SingleRisk::at(double dof) const { return std::clamp(m_endless + m_slope / dof, m_least, m_most); }

} // namespace stats
