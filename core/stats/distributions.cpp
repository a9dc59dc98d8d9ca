#include "core/stats/distributions.h"

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/hypergeometric.hpp>
#include <boost/math/distributions/non_central_t.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cassert>
#include <cmath>

namespace stats {

double tQuantile(double p, double dof)
{
    assert(p > 0 && p < 1 && dof > 0);
    if (std::isinf(dof))
        return quantile(boost::math::normal(), p);
    return quantile(boost::math::students_t(dof), p);
}

double tCdf(double t, double dof)
{
    assert(dof > 0);
    if (std::isinf(dof))
        return cdf(boost::math::normal(), t);
    return cdf(boost::math::students_t(dof), t);
}

double coverageFactor(double level, double dof)
{
    assert(level > 0 && level < 1);
    return -tQuantile((1 - level) / 2, dof); // the lower tail: (1 + level)/2 would lose digits near 1
}

double fairBinomialCdf(int k, int n)
{
    assert(n >= 1 && k >= 0 && k <= n);
    return cdf(boost::math::binomial(n, 0.5), k);
}

double normalTwoSidedP(double z)
{
    return std::erfc(std::abs(z) / std::sqrt(2.0)); // direct: 1 - cdf would lose small values
}

double fisherTwoSidedP(int a, int n, int b, int m)
{
    assert(a >= 0 && a <= n && b >= 0 && b <= m && n >= 1 && m >= 1);
    const boost::math::hypergeometric table(static_cast<unsigned>(a + b), static_cast<unsigned>(n),
                                            static_cast<unsigned>(n + m));
    const double here = pdf(table, a) * (1 + 1e-7); // equally likely tables count, whatever rounding makes of them
    double p = 0;
    for (int k = std::max(0, a + b - m); k <= std::min(n, a + b); ++k)
        if (const double likely = pdf(table, k); likely <= here)
            p += likely;
    return std::min(p, 1.0);
}

double noncentralTCdf(double t, double dof, double shift)
{
    assert(dof > 0);
    if (std::isinf(dof))
        return cdf(boost::math::normal(shift), t);
    return cdf(boost::math::non_central_t(dof, shift), t);
}

double noncentralTUpper(double t, double dof, double shift)
{
    assert(dof > 0);
    if (std::isinf(dof))
        return cdf(complement(boost::math::normal(shift), t));
    return cdf(complement(boost::math::non_central_t(dof, shift), t));
}

} // namespace stats
