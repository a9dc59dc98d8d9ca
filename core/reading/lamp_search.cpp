#include "core/reading/lamp_search.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/measure/still_blocks.h"
#include "core/media/picture/rendition.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <limits>

namespace reading {

namespace {

constexpr int cellsHigh = 120;     // a lamp is a few of them; finer ones would show noise
constexpr int averaged = 3;        // frames, that pulse width and ripple don't show
constexpr int side = 2 * averaged; // frames on either side of the one looked at
constexpr float leastStep = 20;    // levels of 255
constexpr int largestShare = 40;   // of the picture's cells, the inverse: what is larger is no lamp
constexpr int history = 40;        // frames before the one in view from which a cell's usual steps are known
constexpr float forgets = 0.98f;   // of that, a frame: a press before is forgotten
constexpr int beside = 2;          // cells beside the spot that have to stand still

/// The brightest of red, green and blue in each cell: lamps are coloured. Each shows the same part of the scene in
/// every frame, wherever the camera's shake has taken it.
struct Cells {
    int columns = 0, rows = 0;
    std::vector<float> levels;
    double dx = 0, dy = 0; ///< pixels that the scene has moved by
};

/// `shift` in cells.
std::vector<float> shifted(const std::vector<float>& levels, int columns, int rows, double shiftX, double shiftY)
{
    std::vector<float> out(levels.size());
    const auto left = int(std::floor(shiftX)), top = int(std::floor(shiftY));
    const auto u = float(shiftX - left), v = float(shiftY - top);
    const auto row = [&](int y) { return &levels[std::size_t(std::clamp(y, 0, rows - 1)) * std::size_t(columns)]; };
    for (int y = 0; y < rows; ++y) {
        const float *upper = row(y + top), *lower = row(y + top + 1);
        const auto between = [&](int x) {
            const auto at = std::size_t(std::clamp(x, 0, columns - 1));
            return upper[at] + v * (lower[at] - upper[at]);
        };
        for (int x = 0; x < columns; ++x)
            out[std::size_t(y) * std::size_t(columns) + std::size_t(x)] =
                between(x + left) + u * (between(x + left + 1) - between(x + left));
    }
    return out;
}

Cells cellsOf(const media::Picture& picture, const media::StillBlocks* still)
{
    const media::Size size = picture.size();
    const int factor = std::max(2, size.height / cellsHigh);
    const media::RgbImage image =
        media::render(picture, {.source = {},
                                .target = {std::max(1, size.width / factor), std::max(1, size.height / factor)},
                                .exact = false});
    Cells cells{image.width, image.height, std::vector<float>(std::size_t(image.width) * std::size_t(image.height))};
    for (std::size_t at = 0; at < cells.levels.size(); ++at)
        cells.levels[at] = std::max({image.pixels[3 * at], image.pixels[3 * at + 1], image.pixels[3 * at + 2]});
    if (still && still->movementKnown) {
        cells.dx = still->dx;
        cells.dy = still->dy;
        cells.levels = shifted(cells.levels, cells.columns, cells.rows, cells.dx * cells.columns / size.width,
                               cells.dy * cells.rows / size.height);
    }
    return cells;
}

/// What of the picture may be a lamp.
std::vector<bool> openCells(const Cells& cells, media::Size picture, const std::vector<media::Rect>& except)
{
    std::vector<bool> open(cells.levels.size(), true);
    for (const media::Rect& rect : except) {
        // With its edges, which shake, and what its light falls on.
        const int margin = std::min(rect.width, rect.height) / 10;
        const auto column = [&](int x) { return x * cells.columns / picture.width; };
        const auto row = [&](int y) { return y * cells.rows / picture.height; };
        const int left = std::max(0, column(rect.x - margin) - beside);
        const int top = std::max(0, row(rect.y - margin) - beside);
        const int right = std::min(cells.columns, column(rect.x + rect.width + margin) + 1 + beside);
        const int bottom = std::min(cells.rows, row(rect.y + rect.height + margin) + 1 + beside);
        for (int y = top; y < bottom; ++y)
            for (int x = left; x < right; ++x)
                open[std::size_t(y) * std::size_t(cells.columns) + std::size_t(x)] = false;
    }
    return open;
}

/// How each cell goes from six frames before the one in the middle of `window` to six after.
struct Steps {
    std::vector<float> step;   ///< from the three frames before to the three after
    std::vector<float> before; ///< to those three from the three before them
    std::vector<float> unrest; ///< what these differ by, or the three after and the three after them
};

Steps stepsOf(const std::deque<Cells>& window, float sign)
{
    const auto mean = [&](int first, std::size_t cell) {
        float sum = 0;
        for (int at = first; at < first + averaged; ++at)
            sum += window[std::size_t(at)].levels[cell];
        return sum / averaged;
    };
    const std::size_t cells = window.front().levels.size();
    Steps steps{std::vector<float>(cells), std::vector<float>(cells), std::vector<float>(cells)};
    for (std::size_t cell = 0; cell < cells; ++cell) {
        const float before = mean(averaged, cell), after = mean(side + 1, cell);
        steps.step[cell] = sign * (after - before);
        steps.before[cell] = sign * (before - mean(0, cell));
        steps.unrest[cell] = std::max(std::abs(steps.before[cell]), std::abs(mean(side + 1 + averaged, cell) - after));
    }
    return steps;
}

/// Cells that hang together with `seed` and step by at least half of what it does.
std::vector<std::size_t> spotAround(std::size_t seed, const Steps& steps, const std::vector<bool>& open, int columns)
{
    const int rows = int(steps.step.size()) / columns;
    std::vector<bool> taken(steps.step.size(), false);
    std::vector<std::size_t> spot{seed};
    taken[seed] = true;
    for (std::size_t next = 0; next < spot.size(); ++next) {
        const int row = int(spot[next]) / columns, column = int(spot[next]) % columns;
        for (int y = std::max(0, row - 1); y <= std::min(rows - 1, row + 1); ++y)
            for (int x = std::max(0, column - 1); x <= std::min(columns - 1, column + 1); ++x) {
                const std::size_t cell = std::size_t(y) * std::size_t(columns) + std::size_t(x);
                if (taken[cell] || !open[cell] || steps.step[cell] < steps.step[seed] / 2)
                    continue;
                taken[cell] = true;
                spot.push_back(cell);
            }
    }
    return spot;
}

struct Box {
    int left = std::numeric_limits<int>::max(), top = left, right = -1, bottom = -1; ///< cells, the last ones included
};

Box boxOf(const std::vector<std::size_t>& spot, int columns)
{
    Box box;
    for (const std::size_t cell : spot) {
        const int row = int(cell) / columns, column = int(cell) % columns;
        box = {std::min(box.left, column), std::min(box.top, row), std::max(box.right, column),
               std::max(box.bottom, row)};
    }
    return box;
}

/// What lights by itself has a border that stays as it is; a hand or the room's light goes on beside it.
bool standsAlone(const Box& box, const Steps& steps, int columns, float step)
{
    const int rows = int(steps.step.size()) / columns;
    int moving = 0, looked = 0;
    for (int y = std::max(0, box.top - 2 * beside); y <= std::min(rows - 1, box.bottom + 2 * beside); ++y)
        for (int x = std::max(0, box.left - 2 * beside); x <= std::min(columns - 1, box.right + 2 * beside); ++x) {
            if (x >= box.left - beside && x <= box.right + beside && y >= box.top - beside && y <= box.bottom + beside)
                continue; // the spot and its glow
            const std::size_t cell = std::size_t(y) * std::size_t(columns) + std::size_t(x);
            ++looked;
            moving += steps.unrest[cell] > step / 4 || std::abs(steps.step[cell]) > step / 2;
        }
    return looked > 0 && moving * 10 <= looked;
}

std::optional<media::Rect> lampIn(const Steps& steps, const std::vector<float>& usual, const std::vector<bool>& open,
                                  int columns, media::Size picture)
{
    const int rows = int(steps.step.size()) / columns;
    std::optional<std::size_t> seed;
    for (std::size_t cell = 0; cell < steps.step.size(); ++cell)
        if (open[cell] && steps.step[cell] >= leastStep && steps.unrest[cell] < steps.step[cell] / 3
            && usual[cell] < steps.step[cell] / 4 && (!seed || steps.step[cell] > steps.step[*seed]))
            seed = cell;
    if (!seed)
        return std::nullopt;
    const std::vector<std::size_t> spot = spotAround(*seed, steps, open, columns);
    if (spot.size() * largestShare > steps.step.size())
        return std::nullopt;
    const Box box = boxOf(spot, columns);
    if (!standsAlone(box, steps, columns, steps.step[*seed]))
        return std::nullopt;
    const int x = box.left * picture.width / columns, y = box.top * picture.height / rows;
    return media::Rect{x, y, (box.right + 1) * picture.width / columns - x,
                       (box.bottom + 1) * picture.height / rows - y};
}

} // namespace

std::optional<FoundLamp> findLamp(const std::shared_ptr<const media::Footage>& footage, timing::FrameNumber from,
                                  const std::vector<media::Rect>& except, session::LampEvent event,
                                  std::stop_token stop)
{
    media::FrameReader reader(footage, stop);
    // The shake is what stands still around the screens; where there are none, all but a corner.
    media::StillMeter still(except.empty() ? std::vector{media::Rect{0, 0, 1, 1}} : except);
    std::deque<Cells> window;
    std::vector<float> usual; // steps of each cell: it may well have gone the other way, as a lamp just let go does
    // The frame in view may be the lit one already.
    const std::int64_t first = std::max<std::int64_t>(0, from.value - side - history);
    const std::int64_t end = std::min(footage->frameCount().value, from.value + lampSearchFrames);
    for (std::int64_t n = first; n < end; ++n) {
        const media::Picture picture = reader.read({n}, stop);
        Cells now = cellsOf(picture, still.measure({n}, picture).front().get());
        if (window.empty() || window.front().columns != now.columns || window.front().rows != now.rows) {
            window.assign(side, now); // nothing else is known of what was before
            usual.assign(now.levels.size(), 0);
        }
        window.push_back(std::move(now));
        if (std::ssize(window) <= 2 * side)
            continue;
        const Steps steps = stepsOf(window, event == session::LampEvent::Lights ? 1.f : -1.f);
        for (std::size_t cell = 0; cell < usual.size(); ++cell)
            usual[cell] = std::max(usual[cell] * forgets, steps.before[cell]);
        const Cells& lit = window[side + 1];
        // One frame before it: the light may have begun there.
        if (n - side >= from.value - 1)
            if (auto spot = lampIn(steps, usual, openCells(lit, picture.size(), except), lit.columns, picture.size())) {
                spot->x += int(std::lround(lit.dx));
                spot->y += int(std::lround(lit.dy));
                return FoundLamp{*spot, {n - side + 1}};
            }
        window.pop_front();
    }
    return std::nullopt;
}

media::Rect regionOn(const media::Rect& spot, const std::optional<media::Rect>& region, media::Size picture)
{
    constexpr int leastSide = 12;
    int width = std::max(leastSide, spot.width * 3 / 2), height = std::max(leastSide, spot.height * 3 / 2);
    if (region) {
        width = region->width;
        height = region->height;
    }
    width = std::min(width, picture.width);
    height = std::min(height, picture.height);
    return {std::clamp(spot.x + (spot.width - width) / 2, 0, picture.width - width),
            std::clamp(spot.y + (spot.height - height) / 2, 0, picture.height - height), width, height};
}

} // namespace reading
