#include "core/timing/line_time.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <complex>
#include <functional>
#include <numbers>

namespace timing {
namespace {

constexpr std::size_t fewestPictures = 5, fewestRows = 32;
constexpr double fewestBands = 2, fewestRowsPerBand = 5;
constexpr int harmonics = 3;
constexpr double darkest = 0.02; ///< of the brightest row's mean: darker rows say nothing
constexpr double leastExplained =
    0.5; ///< of the rows' variance; bands of a light that fills the region explain nearly all
constexpr double tau = 2 * std::numbers::pi;

constexpr int mostColumns = 1 + 2 * harmonics;
using Vector = Eigen::VectorXd;
using Small = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, mostColumns, 1>;

/// Rows that are bright enough, and the relative brightness of each picture in them.
struct Pictures {
    Vector rows;
    std::vector<Vector> values;
    std::vector<FrameNumber> frames;
};

Pictures relativeBrightness(const std::vector<RowProfile>& profiles)
{
    const auto count = static_cast<Eigen::Index>(profiles.front().levels.size());
    Vector mean = Vector::Zero(count);
    for (const RowProfile& profile : profiles)
        mean += Eigen::Map<const Vector>(profile.levels.data(), count);
    mean /= static_cast<double>(profiles.size());
    const double floor = darkest * mean.maxCoeff();
    std::vector<Eigen::Index> kept;
    for (Eigen::Index y = 0; y < count; ++y)
        if (mean[y] > floor)
            kept.push_back(y);
    Pictures pictures;
    pictures.rows.resize(std::ssize(kept));
    for (std::size_t i = 0; i < kept.size(); ++i)
        pictures.rows[static_cast<Eigen::Index>(i)] = static_cast<double>(kept[i]);
    for (const RowProfile& profile : profiles) {
        Vector values(std::ssize(kept));
        for (std::size_t i = 0; i < kept.size(); ++i)
            values[static_cast<Eigen::Index>(i)] = profile.levels[kept[i]] / mean[kept[i]];
        pictures.values.push_back(std::move(values));
        pictures.frames.push_back(profile.frame);
    }
    return pictures;
}

double spread(const Vector& values) { return (values.array() - values.mean()).square().sum(); }

/// Least squares by columns 1, cos, sin of `bands` (bands a row) and its multiples. At two bands and more these are all
/// but orthogonal, so that the normal equations lose nothing.
class BandFit {
public:
    BandFit(const Vector& rows, double bands, int multiples) : m_columns(rows.size(), 1 + 2 * multiples)
    {
        m_columns.col(0).setOnes();
        for (int m = 1; m <= multiples; ++m) {
            m_columns.col(2 * m - 1) = (tau * bands * m * rows).array().cos();
            m_columns.col(2 * m) = (tau * bands * m * rows).array().sin();
        }
        m_normal.compute(m_columns.transpose().lazyProduct(m_columns));
    }

    Small coefficients(const Vector& values) const
    {
        const Small right = m_columns.transpose().lazyProduct(values);
        return m_normal.solve(right);
    }
    /// Sum of squares that they leave.
    double left(const Vector& values) const
    {
        return (values - m_columns.lazyProduct(coefficients(values))).squaredNorm();
    }

private:
    Eigen::MatrixXd m_columns;
    Eigen::LDLT<Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, mostColumns, mostColumns>> m_normal;
};

/// Sums of squares that bands of this width leave, one a picture.
std::vector<double> leftBy(const Pictures& pictures, double bands, int multiples)
{
    const BandFit fit(pictures.rows, bands, multiples);
    std::vector<double> left;
    for (const Vector& values : pictures.values)
        left.push_back(fit.left(values));
    return left;
}

double sum(const std::vector<double>& values)
{
    double all = 0;
    for (const double value : values)
        all += value;
    return all;
}

/// Where `at` is least between `low` and `high`, by golden section.
double least(double low, double high, const std::function<double(double)>& at)
{
    constexpr double golden = 0.6180339887498949;
    double a = high - golden * (high - low), b = low + golden * (high - low);
    double fa = at(a), fb = at(b);
    for (int i = 0; i < 40; ++i) {
        if (fa < fb) {
            high = b, b = a, fb = fa;
            a = high - golden * (high - low);
            fa = at(a);
        } else {
            low = a, a = b, fa = fb;
            b = low + golden * (high - low);
            fb = at(b);
        }
    }
    return (low + high) / 2;
}

double wrapped(double turns) { return turns - std::round(turns); }

/// Phase of the bands in one picture, in turns.
double phaseOf(const BandFit& fit, const Vector& values)
{
    const Small c = fit.coefficients(values);
    return std::atan2(-c[2], c[1]) / tau; // a cos + b sin = r cos(2 pi y / P + phase)
}

/// Bands of a sensor read from the first row move by frequency / rate of a turn from frame to frame, read from the last
/// by as much the other way.
void tellOrder(LineTimeFit& fit, const Pictures& pictures, double bands, const ReferenceLamp& light,
               const BandContext& context)
{
    if (!context.captureRate) {
        fit.remarks.push_back("The direction of readout can't be told without a capture rate.");
        return;
    }
    const double turns = light.frequency / *context.captureRate;
    const double doubt = turns * std::hypot(context.captureRateU, fit.lightUncertainty);
    const double apart = std::abs(wrapped(2 * turns));
    const BandFit waves(pictures.rows, bands, harmonics);
    std::complex<double> step;
    int steps = 0;
    for (std::size_t i = 1; i < pictures.values.size(); ++i)
        if (pictures.frames[i] - pictures.frames[i - 1] == FrameCount{1}) {
            step +=
                std::polar(1.0, tau * (phaseOf(waves, pictures.values[i]) - phaseOf(waves, pictures.values[i - 1])));
            ++steps;
        }
    if (steps < 3) {
        fit.remarks.push_back("The direction of readout can't be told: too few of the pictures follow each other.");
        return;
    }
    constexpr double clear = 0.05; // of a turn
    if (apart < clear + 6 * doubt) {
        fit.remarks.push_back(
            "The direction of readout can't be told: bands move alike from frame to frame either way. A light pulsed a "
            "little faster or slower "
            "(not near a multiple of half the capture rate), or a better known capture rate, would tell it.");
        return;
    }
    const double moved = std::arg(step) / tau;
    const double down = std::abs(wrapped(moved - turns)), up = std::abs(wrapped(moved + turns));
    if (std::abs(step) < 0.9 * steps || std::min(down, up) > apart / 4)
        fit.remarks.push_back("The direction of readout can't be told: the bands move from frame to frame neither as a "
                              "light of this frequency would make them "
                              "going down nor going up. Check frequency and capture rate.");
    else
        fit.order = down < up ? ReadoutOrder::FirstRowFirst : ReadoutOrder::LastRowFirst;
}

/// Of ν, standard: by the curvature of the sum of squares, and by what single pictures scatter.
double uncertaintyOf(const Pictures& pictures, double bands, double halfPeak)
{
    const double step = halfPeak / 50;
    const auto total = [&](double at) { return sum(leftBy(pictures, at, harmonics)); };
    const double here = total(bands);
    const double curvature = (total(bands + step) - 2 * here + total(bands - step)) / (step * step);
    const auto m = static_cast<double>(pictures.values.size());
    const double freedom = m * static_cast<double>(pictures.rows.size() - 1 - 2 * harmonics) - 1;
    const double byResiduals = curvature > 0 ? std::sqrt(2 * here / freedom / curvature) : halfPeak;

    double squares = 0;
    for (std::size_t k = 0; k < pictures.values.size(); ++k) {
        const Pictures one{pictures.rows, {pictures.values[k]}, {pictures.frames[k]}};
        const double own = least(bands - halfPeak / 4, bands + halfPeak / 4,
                                 [&](double at) { return sum(leftBy(one, at, harmonics)); });
        squares += (own - bands) * (own - bands);
    }
    return std::max(byResiduals, std::sqrt(squares / (m - 1) / m));
}

} // namespace

LineTimeFit fitLineTime(const std::vector<RowProfile>& profiles, const ReferenceLamp& light, const BandContext& context)
{
    LineTimeFit fit;
    const auto refuse = [&](std::string sentence) {
        fit.refused = std::move(sentence);
        return fit;
    };
    if (profiles.size() < fewestPictures)
        return refuse("Bands are measured in at least " + std::to_string(fewestPictures) + " pictures; there are "
                      + std::to_string(profiles.size()) + ".");
    const Pictures pictures = relativeBrightness(profiles);
    if (pictures.rows.size() < static_cast<Eigen::Index>(fewestRows))
        return refuse("Only " + std::to_string(pictures.rows.size()) + " rows of the region are lit; at least "
                      + std::to_string(fewestRows)
                      + " are needed. Film a plain, evenly lit surface and choose a region as high as it.");
    double all = 0;
    for (const Vector& values : pictures.values)
        all += spread(values);
    const double span = pictures.rows.maxCoeff() - pictures.rows.minCoeff() + 1;
    const double lowest = fewestBands / span, highest = 1 / fewestRowsPerBand, halfPeak = 1 / span;
    if (!(all > 0))
        return refuse("All pictures are alike: no bands move through them.");

    double best = lowest, bestLeft = all;
    for (double bands = lowest; bands <= highest; bands += halfPeak / 6) {
        const double left = sum(leftBy(pictures, bands, 1));
        if (left < bestLeft)
            best = bands, bestLeft = left;
    }
    const double refined = least(best - halfPeak / 4, best + halfPeak / 4,
                                 [&](double at) { return sum(leftBy(pictures, at, harmonics)); });
    fit.explained = 1 - sum(leftBy(pictures, refined, harmonics)) / all;
    fit.pictures = static_cast<int>(pictures.values.size());
    fit.rowsPerBand = 1 / refined;
    if (fit.explained < leastExplained)
        return refuse("No even bands show in these pictures. The light has to be pulsed (full on, full off) so that at "
                      "least 2 bands of at least "
                      + std::to_string(static_cast<int>(fewestRowsPerBand))
                      + " rows fit in the region, the exposure short, its frequency no multiple of the capture rate. A "
                        "camera that exposes all rows at once shows none.");
    if (best - lowest < halfPeak / 4)
        return refuse("Fewer than 2 bands fit in the region; choose a higher region or pulse the light faster.");
    // Twice as wide bands with a strong second overtone look like this, too: then their fundamental shows.
    for (const int part : {2, 3})
        if (refined / part > lowest && 1 - sum(leftBy(pictures, refined / part, 1)) / all > 0.05)
            return refuse("Bands of two widths show, so it can't be told which are the light's; shorten the exposure.");

    fit.fitUncertainty = uncertaintyOf(pictures, refined, halfPeak) / refined;
    fit.lightUncertainty = light.tolerance / std::sqrt(3.0);
    const Seconds lineTime{refined / light.frequency};
    if (context.captureRate) {
        const double readout = lineTime.count() * (context.height - 1), interval = 1 / *context.captureRate;
        const double doubt = 4 * std::hypot(fit.fitUncertainty, fit.lightUncertainty, context.captureRateU);
        if (readout > interval * (1 + doubt))
            return refuse(
                "With bands of " + std::to_string(static_cast<int>(std::lround(fit.rowsPerBand))) + " rows all "
                + std::to_string(context.height) + " rows would be read in " + std::to_string(readout * 1000)
                + " ms, longer than a camera frame lasts (" + std::to_string(interval * 1000)
                + " ms). Check the light's frequency, and that the footage holds the whole height of the picture.");
    }
    fit.lineTime = lineTime;
    fit.standardUncertainty = lineTime * std::hypot(fit.fitUncertainty, fit.lightUncertainty);
    tellOrder(fit, pictures, refined, light, context);
    return fit;
}

} // namespace timing
