#include "core/stats/distributions.h"

#include <boost/math/distributions/binomial.hpp>
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

} // namespace stats
