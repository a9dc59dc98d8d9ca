#include "core/reading/screen_series.h"
#include "core/media/measure/still_blocks.h"

#include <algorithm>
#include <cmath>

namespace reading {

std::vector<float> meanOf(const Series& s, std::int64_t from, std::int64_t to)
{
    std::vector<float> mean(s.places);
    for (std::int64_t t = from; t < to; ++t)
        for (std::size_t i = 0; i < s.places; ++i)
            mean[i] += s.at(t)[i];
    for (float& m : mean)
        m /= float(to - from);
    return mean;
}

float medianOf(std::vector<float>& values)
{
    const auto middle = values.begin() + std::ptrdiff_t(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

namespace {

/// What all blocks share, as a factor: the median of their ratios to what they usually are.
std::vector<double> takeCommonOut(Series& luma, const std::vector<float>& usual)
{
    constexpr float leastLevel = 12; // darker blocks' ratios are noise
    constexpr std::size_t enough = 400;
    std::vector<std::size_t> bright;
    for (std::size_t i = 0; i < usual.size(); ++i)
        if (usual[i] > leastLevel)
            bright.push_back(i);
    std::vector<double> factors;
    const std::size_t step = bright.size() / enough + 1;
    std::vector<float> ratios;
    for (std::int64_t t = luma.first; t < luma.end(); ++t) {
        ratios.clear();
        float* now = luma.at(t);
        for (std::size_t k = 0; k < bright.size(); k += step)
            ratios.push_back(now[bright[k]] / usual[bright[k]]);
        const bool tell = 5 * bright.size() > usual.size();
        const float factor = tell ? std::clamp(medianOf(ratios), 0.2f, 5.f) : 1.f;
        factors.push_back(double(factor));
        for (std::size_t i = 0; i < luma.places; ++i)
            now[i] /= factor;
    }
    return factors;
}

/// Places that keep moving before the press are followed by what they do against the few frames before: how far they
/// get to is new all the time, how fast isn't.
void followTheBusy(Series& s, std::int64_t press)
{
    constexpr std::int64_t few = 6;
    constexpr float busy = 2; // times as far from a long rest as from a short one; white noise: 0.94
    if (press - s.first < 3 * few)
        return;
    const std::vector<float> usual = meanOf(s, s.first, press);
    for (std::size_t i = 0; i < s.places; ++i) {
        float overLong = 0, overShort = 0, sum = 0;
        const auto value = [&](std::int64_t t) -> float& { return s.at(t)[i]; };
        for (std::int64_t t = s.first; t < s.first + few; ++t)
            sum += value(t);
        std::vector<float> steps;
        for (std::int64_t t = s.first + few; t < s.end(); ++t) {
            const float step = value(t) - sum / float(few);
            steps.push_back(step);
            if (t < press) {
                overShort += step * step;
                overLong += (value(t) - usual[i]) * (value(t) - usual[i]);
            }
            sum += value(t) - value(t - few);
        }
        if (overLong > busy * busy * overShort && overLong > s.leastNoise * s.leastNoise * float(press - s.first))
            for (std::int64_t t = s.first; t < s.end(); ++t)
                value(t) = t < s.first + few ? 0 : steps[std::size_t(t - s.first - few)];
    }
}

} // namespace

ScreenSeries seriesOf(const media::Trace& screen, std::int64_t first, std::int64_t press, std::int64_t end)
{
    ScreenSeries s;
    const media::StillBlocks& kind = *screen[std::size_t(press)].blocks;
    // A codec freezes blocks and brings them up to date now and then, by a level or two.
    s.luma = {kind.columns, kind.rows, 1, first, kind.luma.size(), 0.25f, {}};
    s.colour = {kind.colourColumns, kind.colourRows, 2, first, kind.colour.size(), 0.15f, {}};
    s.common = {1, 1, 1, first, 1, 0.1f, {}};
    std::vector<double> light;
    const auto append = [](Series& to, const std::vector<std::int16_t>& from) {
        for (const std::int16_t v : from)
            to.values.push_back(float(v * media::StillBlocks::unit));
    };
    for (std::int64_t t = first; t < end; ++t) {
        const auto& blocks = screen[std::size_t(t)].blocks;
        if (!blocks || !blocks->alike(kind))
            break;
        s.alone.push_back(blocks->alone);
        append(s.luma, blocks->luma);
        append(s.colour, blocks->colour);
        light.push_back(kind.movementKnown && blocks->movementKnown ? std::log(std::max(blocks->light, 1e-3)) : 0);
    }
    if (s.luma.end() <= press)
        return s;
    const std::vector<float> usual = meanOf(s.luma, first, press);
    const std::vector<double> factors = takeCommonOut(s.luma, usual);
    s.plain = s.luma;
    followTheBusy(s.luma, press);
    followTheBusy(s.colour, press);
    double level = 0;
    for (const float u : usual)
        level += double(u) / double(usual.size());
    // How much of the room's light the screen takes part in, from before the press.
    const auto n = std::size_t(press - first);
    double meanLight = 0, meanOwn = 0, both = 0, square = 1e-9;
    for (std::size_t k = 0; k < n; ++k) {
        meanLight += light[k] / double(n);
        meanOwn += std::log(factors[k]) / double(n);
    }
    for (std::size_t k = 0; k < n; ++k) {
        both += (light[k] - meanLight) * (std::log(factors[k]) - meanOwn);
        square += (light[k] - meanLight) * (light[k] - meanLight);
    }
    const double part = std::clamp(both / square, 0.0, 1.5);
    for (std::size_t k = 0; k < factors.size(); ++k)
        s.common.values.push_back(float(level * (std::log(factors[k]) - meanOwn - part * (light[k] - meanLight))));
    return s;
}

} // namespace reading
