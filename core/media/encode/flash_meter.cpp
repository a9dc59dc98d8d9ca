#include "core/media/encode/flash_meter.h"
#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

namespace media {
namespace {

constexpr int columns = 48, rows = 27;
constexpr int partColumns = columns / 3, partRows = rows / 3;
constexpr int quarterOfPart = partColumns * partRows / 4;
constexpr int mostChanges = 6;
constexpr double luminanceChange = 0.1, darkerBelow = 0.8;
constexpr double redChange = 20, redFactor = 320, saturatedRed = 0.8;

/// IEC 61966-2-1, as WCAG 2.2 writes it.
const std::array<float, 256>& linearLight()
{
    static const std::array<float, 256> table = [] {
        std::array<float, 256> t{};
        for (std::size_t i = 0; i < t.size(); ++i) {
            const double v = static_cast<double>(i) / 255;
            t[i] = static_cast<float>(v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4));
        }
        return t;
    }();
    return table;
}

} // namespace

bool Flashing::tooMuch() const { return general > mostChanges || red > mostChanges; }

FlashMeter::FlashMeter(Size picture, double picturesPerSecond)
    : m_size(picture), m_rate(picturesPerSecond), m_general(columns * rows), m_red(columns * rows),
      m_sums(columns * rows * 3)
{
    assert(picturesPerSecond > 0 && picture.width >= columns && picture.height >= rows);
}

void FlashMeter::add(const MoviePicture& picture)
{
    const auto& linear = linearLight();
    std::ranges::fill(m_sums, 0.0);
    std::vector<int> samples(columns * rows);
    for (int row = 0; row < rows; ++row) {
        const int top = m_size.height * row / rows, bottom = m_size.height * (row + 1) / rows;
        for (int y = top; y < bottom; ++y) {
            const std::uint8_t* line = picture.pixels + y * picture.stride;
            for (int column = 0; column < columns; ++column) {
                const int left = m_size.width * column / columns, right = m_size.width * (column + 1) / columns;
                float red = 0, green = 0, blue = 0;
                for (int x = left; x < right; ++x) {
                    blue += linear[line[4 * x]];
                    green += linear[line[4 * x + 1]];
                    red += linear[line[4 * x + 2]];
                }
                const auto cell = static_cast<std::size_t>(row * columns + column);
                m_sums[3 * cell] += red;
                m_sums[3 * cell + 1] += green;
                m_sums[3 * cell + 2] += blue;
                samples[cell] += right - left;
            }
        }
    }

    bool generalChanged = false, redChanged = false;
    for (std::size_t cell = 0; cell < m_general.size(); ++cell) {
        const double r = m_sums[3 * cell] / samples[cell], g = m_sums[3 * cell + 1] / samples[cell],
                     b = m_sums[3 * cell + 2] / samples[cell];
        const bool saturated = r + g + b > 0 && r / (r + g + b) >= saturatedRed;
        generalChanged |= follow(m_general[cell], 0.2126 * r + 0.7152 * g + 0.0722 * b, luminanceChange, false, false);
        redChanged |= follow(m_red[cell], std::max(0.0, r - g - b) * redFactor, redChange, true, saturated);
    }
    if (generalChanged)
        count(m_general, m_worst.general);
    if (redChanged)
        count(m_red, m_worst.red);
    ++m_picture;
}

/// Whether a change came about that counts.
bool FlashMeter::follow(Swing& swing, double value, double least, bool ofRed, bool red)
{
    if (m_picture == 0) {
        swing.low = swing.high = value;
        swing.redLow = swing.redHigh = red;
        return false;
    }
    const auto enough = [&](double change, double darker, bool eitherRed) {
        return ofRed ? change > least && eitherRed : change >= least && darker < darkerBelow;
    };
    const auto lowered = [&] {
        swing.low = value;
        swing.redLow = red;
    };
    const auto raised = [&] {
        swing.high = value;
        swing.redHigh = red;
    };
    if (value < swing.low)
        lowered();
    if (value > swing.high)
        raised();
    int direction = 0;
    if (swing.direction <= 0 && enough(value - swing.low, swing.low, red || swing.redLow))
        direction = 1;
    else if (swing.direction >= 0 && enough(swing.high - value, value, red || swing.redHigh))
        direction = -1;
    if (direction == 0)
        return false;
    // From here the way back is looked for.
    swing.direction = direction;
    direction > 0 ? raised() : lowered();
    const auto second = static_cast<std::int64_t>(std::ceil(m_rate));
    while (!swing.changes.empty() && swing.changes.front() <= m_picture - second)
        swing.changes.pop_front();
    swing.changes.push_back(m_picture);
    return true;
}

/// The most changes that a quarter of some part has seen in the second that ends with this picture.
void FlashMeter::count(const Swings& swings, int& worst)
{
    const auto begin = m_picture - static_cast<std::int64_t>(std::ceil(m_rate)) + 1;
    std::array<int, columns * rows> changes;
    for (std::size_t cell = 0; cell < changes.size(); ++cell)
        changes[cell] =
            static_cast<int>(std::ranges::count_if(swings[cell].changes, [&](auto at) { return at >= begin; }));
    for (;;) {
        std::array<int, (columns + 1) * (rows + 1)> sums{}; // of cells with more than the worst so far, above and left
        for (int row = 0; row < rows; ++row)
            for (int column = 0; column < columns; ++column) {
                const auto at = static_cast<std::size_t>((row + 1) * (columns + 1) + column + 1);
                const bool more = changes[row * columns + column] > worst;
                sums[at] = more + sums[at - 1] + sums[at - columns - 1] - sums[at - columns - 2];
            }
        const auto sum = [&](int row, int column) { return sums[row * (columns + 1) + column]; };
        bool found = false;
        for (int row = 0; row + partRows <= rows && !found; ++row)
            for (int column = 0; column + partColumns <= columns && !found; ++column)
                found = sum(row + partRows, column + partColumns) - sum(row, column + partColumns)
                            - sum(row + partRows, column) + sum(row, column)
                        >= quarterOfPart;
        if (!found)
            return;
        ++worst;
        if (worst >= std::max(m_worst.general, m_worst.red))
            m_worst.first = std::max<std::int64_t>(0, begin);
    }
}

} // namespace media
