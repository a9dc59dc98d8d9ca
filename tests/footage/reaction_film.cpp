#include "tests/footage/reaction_film.h"
#include "tests/footage/random.h"
#include "tests/footage/writer.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace footage {
namespace {

/// One component, as fine as the scene is drawn.
struct Layer {
    int width = 0, height = 0;
    std::vector<float> level;

    Layer(int w, int h, float value = 0) : width(w), height(h), level(std::size_t(w) * std::size_t(h), value) {}
    float* row(int y) { return level.data() + std::size_t(y) * std::size_t(width); }
    const float* row(int y) const { return level.data() + std::size_t(y) * std::size_t(width); }
    /// Corners in fine samples; what is outside is left out.
    void fill(double left, double top, double right, double bottom, float value)
    {
        for (int y = std::max(0, int(std::lround(top))); y < std::min<int>(height, int(std::lround(bottom))); ++y)
            for (int x = std::max(0, int(std::lround(left))); x < std::min<int>(width, int(std::lround(right))); ++x)
                row(y)[x] = value;
    }
};

/// A lens: the mean of three by three samples.
void blur(Layer& layer)
{
    Layer from = layer;
    for (int y = 1; y + 1 < layer.height; ++y)
        for (int x = 1; x + 1 < layer.width; ++x) {
            float sum = 0;
            for (int v = -1; v <= 1; ++v)
                for (int u = -1; u <= 1; ++u)
                    sum += from.row(y + v)[x + u];
            layer.row(y)[x] = sum / 9;
        }
}

/// Smooth random movement of given standard deviation, as a hand's: sums of slow sines.
class Sway {
public:
    Sway(Random& random, double sd)
    {
        for (Wave& wave : m_waves)
            wave = {random.uniform(0.7, 9), random.uniform(0, 6.2832), sd * random.uniform(0.7, 1.3)};
        double sum = 0;
        for (const Wave& wave : m_waves)
            sum += wave.size * wave.size / 2;
        for (Wave& wave : m_waves)
            wave.size *= sum > 0 ? sd / std::sqrt(sum) : 0;
    }
    double at(double t) const
    {
        double sum = 0;
        for (const Wave& wave : m_waves)
            sum += wave.size * std::sin(6.2832 * wave.rate * t + wave.phase);
        return sum;
    }

private:
    struct Wave {
        double rate, phase, size;
    };
    std::array<Wave, 6> m_waves;
};

/// What the screen shows, refresh by refresh.
class Game {
public:
    Game(const ReactionSpec& spec, int width, int height)
        : m_spec(spec), m_still(width, height), m_sky(width + 4096, height * 3 / 10), m_random(spec.seed, 21)
    {
        const double unit = height / 150.0; // figures keep their share of the screen
        for (int y = 0; y < height; ++y)
            for (int x = 0; x < width; ++x) {
                const double u = x / double(m_spec.fine), v = y / double(height);
                const double hill = 0.42 + 0.05 * std::sin(u * 0.031) + 0.03 * std::sin(u * 0.083 + 1);
                m_still.row(y)[x] = float(v < hill ? 150 - 60 * v : 70 + 40 * v + 9 * std::sin(u * 0.4 + 9 * v));
            }
        for (int k = 0; k < 9; ++k) { // posts and stones
            const double x = m_random.uniform(0.02, 0.95) * width, y = m_random.uniform(0.45, 0.9) * height;
            m_still.fill(x, y, x + 12 * unit, y + m_random.uniform(10, 45) * unit, float(m_random.uniform(40, 170)));
        }
        for (int y = height / 25; y < m_sky.height; ++y)
            for (int x = 0; x < m_sky.width; ++x)
                m_sky.row(y)[x] = float(14 * std::sin(x * 0.05) * std::sin(y * 0.07 + x * 0.013));
        m_thing = {m_random.uniform(0.15, 0.7), m_random.uniform(0.3, 0.7)};
        m_thingSize = m_random.uniform(12, 30) * unit;
        m_wholeScreen = m_random.uniform() < 0.4;
        m_unit = unit;
    }

    /// `walked` in pixels; `on`: the reaction shows; `t`: when it is scanned out.
    Layer draw(double walked, bool on, double t) const
    {
        Layer out = m_still;
        const double w = out.width, h = out.height, s = m_unit;
        if (m_spec.idle == IdleKind::Sky) {
            const int move = int(t * m_spec.refreshRate + 2) * m_spec.fine % 4096; // a pixel a refresh
            for (int y = 0; y < m_sky.height; ++y)
                for (int x = 0; x < out.width; ++x)
                    out.row(y)[x] += m_sky.row(y)[x + move];
        }
        if (m_spec.idle == IdleKind::Blink && std::fmod(t * 4, 1) < 0.5)
            out.fill(0.9 * w, 0.88 * h, 0.9 * w + 8 * s, 0.88 * h + 12 * s, 230);
        const bool step = on && m_spec.kind == ReactionKind::Step;
        if (step && m_wholeScreen)
            for (float& level : out.level)
                level += float(m_spec.contrast);
        if (step && !m_wholeScreen)
            for (int y = int(0.2 * h); y < int(0.55 * h); ++y)
                for (int x = int(0.1 * w); x < int(0.4 * w); ++x)
                    out.row(y)[x] += float(m_spec.contrast);
        if (on && m_spec.kind == ReactionKind::Appears)
            for (int y = int(m_thing.second * h); y < std::min<int>(out.height, int(m_thing.second * h + m_thingSize));
                 ++y)
                for (int x = int(m_thing.first * w); x < std::min<int>(out.width, int(m_thing.first * w + m_thingSize));
                     ++x)
                    out.row(y)[x] += float(m_spec.contrast);
        // The figure turns round at the edges.
        const double room = 0.8 * w / m_spec.fine;
        double x = std::fmod(walked + 0.4 * room, 2 * room);
        x = (0.06 * w) + m_spec.fine * (x > room ? 2 * room - x : x);
        const double bob = m_spec.idle == IdleKind::Bob ? m_spec.fine * std::round(1.2 * std::sin(t * 11)) : 0;
        const double y = 0.52 * h + bob;
        out.fill(x + 4 * s, y, x + 12 * s, y + 8 * s, 62);
        out.fill(x, y + 8 * s, x + 16 * s, y + 26 * s, 38);
        out.fill(x + 2 * s, y + 26 * s, x + 7 * s, 0.52 * h + 40 * s, 30);
        out.fill(x + 9 * s, y + 26 * s, x + 14 * s, 0.52 * h + 40 * s, 30);
        return out;
    }
    std::pair<double, double> thing() const { return m_thing; }
    double thingSize() const { return m_thingSize; }
    /// Rows, as shares of the screen, that the reaction changes.
    std::pair<double, double> changedRows() const
    {
        const double h = m_still.height;
        switch (m_spec.kind) {
        case ReactionKind::Step: return m_wholeScreen ? std::pair{0.0, 1.0} : std::pair{0.2, 0.55};
        case ReactionKind::Appears:
        case ReactionKind::Colour: return {m_thing.second, m_thing.second + m_thingSize / h};
        default: return {0.52, 0.52 + 40 * m_unit / h};
        }
    }

private:
    ReactionSpec m_spec;
    Layer m_still, m_sky;
    Random m_random;
    std::pair<double, double> m_thing;
    double m_thingSize = 0, m_unit = 1;
    bool m_wholeScreen = false;
};

/// A refresh: what is scanned out from `start` on, top first.
struct Refresh {
    double start;
    Layer picture;
    double colour; ///< of the thing that changes colour
};

struct Shown {
    double from, to; ///< seconds
};

class Film {
public:
    Film(const ReactionSpec& spec);
    ReactionTruth make(const std::filesystem::path& out);
    ReactionTruth truth() const;

private:
    void plan();
    void drawRoom();
    bool on(double t) const
    {
        return std::ranges::any_of(m_shown, [t](const Shown& s) { return t >= s.from && t < s.to; });
    }
    double rippleAt(double t) const { return 1 + m_spec.ripple * std::sin(6.2832 * 100 * t + 1); }
    CameraState cameraAt(int frame) const
    {
        const double middle = (frame + m_spec.exposure / 2) / m_spec.captureRate;
        return {m_swayX.at(middle), m_swayY.at(middle), rippleAt(middle) * (1 + m_spec.drift * middle)};
    }
    double lampLight(double t) const;
    double lampIn(int frame) const;
    void refreshUntil(double t);
    void expose(int n, Frame& frame);

    ReactionSpec m_spec;
    Random m_random;
    Sway m_swayX, m_swayY;
    Rect m_screen, m_lamp;
    Game m_game;
    Layer m_room, m_scene;
    std::vector<double> m_presses;
    std::vector<Shown> m_shown, m_lit;
    std::vector<Refresh> m_refreshes; ///< the last few
    double m_nextRefresh = 0, m_walked = 0, m_phase = 0, m_blink = 9.7;
    int m_frames = 0;
    std::vector<float> m_noise;
};

Rect part(const ReactionSpec& s, double x, double y, double w, double h)
{
    return {int(x * s.width), int(y * s.height), int(w * s.width), int(h * s.height)};
}

Film::Film(const ReactionSpec& spec)
    : m_spec(spec), m_random(spec.seed, 20), m_swayX(m_random, spec.shake), m_swayY(m_random, spec.shake),
      m_screen(part(spec, 0.30, 0.16, 0.58, 0.62)), m_lamp(part(spec, 0.09, 0.42, 0.07, 0.12)),
      m_game(spec, m_screen.width * m_spec.fine, m_screen.height * m_spec.fine),
      m_room(spec.width * m_spec.fine, spec.height * m_spec.fine), m_scene(m_room)
{
    plan();
    drawRoom();
    m_noise.resize(1 << 16);
    for (float& n : m_noise)
        n = float(m_random.normal());
}

void Film::plan()
{
    double t = m_spec.start + m_random.uniform(0, 0.1);
    m_phase = m_random.uniform();
    m_nextRefresh = -2 / m_spec.refreshRate + m_phase / m_spec.refreshRate;
    for (int k = 0; k < m_spec.presses; ++k) {
        if (m_spec.lamp != LampKind::Blinking)
            m_presses.push_back(t);
        const double gap = m_spec.pressGap * m_random.uniform(0.85, 1.15);
        const double hold = m_spec.lamp == LampKind::Held ? gap - 0.12 : m_random.uniform(0.08, 0.16);
        m_lit.push_back({t, t + hold});
        // The reaction is scanned out with a refresh.
        const double ready = t + m_random.uniform(0.03, 0.13) * std::min(1.0, m_spec.pressGap / 0.5);
        const double refresh = (std::ceil(ready * m_spec.refreshRate - m_phase) + m_phase) / m_spec.refreshRate;
        const double stays = m_random.uniform(0.3, 0.4) * gap;
        if (m_spec.kind != ReactionKind::None && m_spec.lamp != LampKind::Blinking)
            m_shown.push_back({refresh - 1e-6, refresh + stays});
        t += gap;
    }
    m_blink = m_random.uniform(7, 13);
    m_frames = int((t - m_spec.pressGap * 0.2) * m_spec.captureRate);
}

void Film::drawRoom()
{
    const double w = m_room.width, h = m_room.height;
    for (int y = 0; y < m_room.height; ++y)
        for (int x = 0; x < m_room.width; ++x) {
            const double u = x / w, v = y / h;
            m_room.row(y)[x] = float(v < 0.82 ? 58 + 22 * u - 14 * v : 84 - 20 * u + 6 * std::sin(x * 0.11 + v * 90));
        }
    m_room.fill(0.04 * w, 0.10 * h, 0.20 * w, 0.30 * h, 104); // a notice on the wall
    m_room.fill(0.06 * w, 0.14 * h, 0.17 * w, 0.16 * h, 50);
    m_room.fill(0.06 * w, 0.20 * h, 0.14 * w, 0.22 * h, 50);
    m_room.fill(0.28 * w, 0.12 * h, 0.90 * w, 0.82 * h, 24); // the screen's frame
    m_room.fill(0.54 * w, 0.82 * h, 0.64 * w, 0.93 * h, 30);
    m_room.fill(0.05 * w, 0.86 * h, 0.22 * w, 0.95 * h, 40);
}

double Film::lampLight(double t) const
{
    if (m_spec.lamp == LampKind::Blinking)
        return std::fmod(t * m_blink, 1) < 0.5 ? 1 : 0;
    const double low = m_spec.lamp == LampKind::Dims ? 0.25 : 0;
    for (const Shown& lit : m_lit)
        if (t >= lit.from && t < lit.to) {
            if (m_spec.lamp == LampKind::Pulsed && std::fmod((t - lit.from) * 700, 1) >= 0.4)
                return low;
            if (m_spec.lamp == LampKind::AutoFire && std::fmod((t - lit.from) * 15, 1) >= 0.5)
                return low;
            return 1;
        }
    return low;
}

double Film::lampIn(int frame) const
{
    constexpr int steps = 24;
    double sum = 0;
    for (int k = 0; k < steps; ++k)
        sum += lampLight((frame + m_spec.exposure * (k + 0.5) / steps) / m_spec.captureRate);
    return sum / steps;
}

void Film::refreshUntil(double t)
{
    while (m_nextRefresh <= t) {
        const bool shown = on(m_nextRefresh);
        const bool walks = m_spec.kind == ReactionKind::MotionStarts  ? shown
                           : m_spec.kind == ReactionKind::MotionStops ? !shown
                                                                      : false;
        if (walks)
            m_walked += m_spec.speed;
        m_refreshes.push_back({m_nextRefresh, m_game.draw(m_walked, shown, m_nextRefresh), shown ? 34.0 : 0.0});
        if (m_refreshes.size() > 4)
            m_refreshes.erase(m_refreshes.begin());
        m_nextRefresh += 1 / m_spec.refreshRate;
    }
}

void Film::expose(int n, Frame& frame)
{
    const double start = n / m_spec.captureRate, length = m_spec.exposure / m_spec.captureRate, end = start + length;
    refreshUntil(end);
    const double middle = start + length / 2;
    Layer& scene = m_scene; // the room stays; lamp and screen are drawn anew
    const double lamp = lampIn(n);
    const double cx = (m_lamp.x + m_lamp.width / 2.0) * m_spec.fine,
                 cy = (m_lamp.y + m_lamp.height / 2.0) * m_spec.fine;
    const double radius = 0.4 * m_lamp.height * m_spec.fine;
    for (int y = m_lamp.y * m_spec.fine; y < (m_lamp.y + m_lamp.height) * m_spec.fine; ++y)
        for (int x = m_lamp.x * m_spec.fine; x < (m_lamp.x + m_lamp.width) * m_spec.fine; ++x)
            if (std::hypot(x - cx, y - cy) < radius)
                scene.row(y)[x] = float(46 + 330 * lamp); // more than the sensor can hold
    const CameraState camera = cameraAt(n);
    const double ripple = rippleAt(middle);
    const double screenGain = (m_spec.rippleOnScreen ? 1 : 1 / ripple)
                              * (1 + m_spec.flicker * std::sin(6.2832 * 2 * m_spec.refreshRate * middle + 0.4));
    double colour = 0;
    const auto shareOf = [&](std::size_t k, double delay) { // of the exposure that row shows refresh k
        const double from = k == 0 ? -1e9 : m_refreshes[k].start + delay;
        const double to = k + 1 == m_refreshes.size() ? 1e9 : m_refreshes[k + 1].start + delay;
        return std::max(0.0, std::min(to, end) - std::max(from, start)) / length;
    };
    const int rows = m_screen.height * m_spec.fine, columns = m_screen.width * m_spec.fine;
    for (int y = 0; y < rows; ++y) {
        const double delay = 0.9 * y / rows / m_spec.refreshRate;
        float* to = scene.row(m_screen.y * m_spec.fine + y) + m_screen.x * m_spec.fine;
        std::fill(to, to + columns, 0.f);
        for (std::size_t k = 0; k < m_refreshes.size(); ++k)
            if (const auto share = float(shareOf(k, delay) * screenGain); share > 0) {
                const float* from = m_refreshes[k].picture.row(y);
                for (int x = 0; x < columns; ++x)
                    to[x] += share * from[x];
            }
    }
    const double thingDelay = 0.9 * m_game.thing().second / m_spec.refreshRate;
    for (std::size_t k = 0; k < m_refreshes.size(); ++k)
        colour += shareOf(k, thingDelay) * m_refreshes[k].colour;

    // The camera: each pixel is a box of the fine picture, at a place that sways.
    const double sx = camera.x, sy = camera.y;
    std::vector<float> line(std::size_t(m_room.width));
    const auto at = [](int i, int count) { return std::clamp(i, 0, count - 1); };
    std::size_t noise = m_random.bits() & 0xffff;
    for (int y = 0; y < m_spec.height; ++y) {
        const double top = (y - sy) * m_spec.fine;
        const int firstRow = int(std::floor(top));
        const auto v = float(top - firstRow);
        std::ranges::fill(line, 0.f);
        for (int k = 0; k <= m_spec.fine; ++k) {
            const float weight = k == 0 ? 1 - v : k == m_spec.fine ? v : 1;
            const float* from = scene.row(at(firstRow + k, m_room.height));
            for (std::size_t x = 0; x < line.size(); ++x)
                line[x] += weight * from[x];
        }
        for (int x = 0; x < m_spec.width; ++x) {
            const double left = (x - sx) * m_spec.fine;
            const int first = int(std::floor(left));
            const auto u = float(left - first);
            float sum = 0;
            for (int k = 0; k <= m_spec.fine; ++k)
                sum += (k == 0 ? 1 - u : k == m_spec.fine ? u : 1) * line[at(first + k, m_room.width)];
            noise = (noise + 1) & 0xffff;
            double level =
                sum / float(m_spec.fine * m_spec.fine) * camera.light + m_spec.noise * double(m_noise[noise]);
            frame.row(0, y)[x] = std::uint16_t(std::clamp(level * 257, 0.0, 65535.0));
        }
        noise = m_random.bits() & 0xffff;
    }
    for (const int plane : {1, 2})
        std::ranges::fill(frame.planes[plane], std::uint16_t(32768));
    if (m_spec.kind == ReactionKind::Colour && colour > 0) {
        const auto [tx, ty] = m_game.thing();
        const int x0 = int(m_screen.x + tx * m_screen.width + sx), y0 = int(m_screen.y + ty * m_screen.height + sy);
        const int size = int(m_game.thingSize() / m_spec.fine);
        for (int y = std::max(0, y0); y < std::min(m_spec.height, y0 + size); ++y)
            for (int x = std::max(0, x0); x < std::min(m_spec.width, x0 + size); ++x) {
                frame.row(1, y)[x] = std::uint16_t(32768 - colour * 257 * 0.6);
                frame.row(2, y)[x] = std::uint16_t(32768 + colour * 257);
            }
    }
}

ReactionTruth Film::truth() const
{
    ReactionTruth truth;
    truth.screen = m_screen;
    truth.lamp = m_lamp;
    truth.frames = m_frames;
    for (int n = 0; n < m_frames; ++n)
        truth.camera.push_back(cameraAt(n));
    const double low = m_spec.lamp == LampKind::Dims ? 0.25 : 0;
    for (std::size_t k = 0; k < m_presses.size(); ++k) {
        ReactionTruth::Press press;
        int n = std::max(0, int(m_presses[k] * m_spec.captureRate) - 2);
        const double full = m_spec.lamp == LampKind::Pulsed ? 0.4 : 1 - low;
        while (lampIn(n) - low < 0.01 * full)
            ++n;
        press.first = n;
        while (lampIn(n) - low < 0.1 * full)
            ++n;
        press.plain = n;
        if (k < m_shown.size()) {
            const auto [top, bottom] = m_game.changedRows();
            // The first tenth of what changes: of its rows, and of the exposure.
            for (n = press.first;; ++n) {
                const double start = n / m_spec.captureRate, length = m_spec.exposure / m_spec.captureRate;
                double sum = 0;
                constexpr int steps = 40;
                for (int i = 0; i < steps; ++i) {
                    const double row = top + (bottom - top) * (i + 0.5) / steps;
                    const double change = m_shown[k].from + 0.9 * row / m_spec.refreshRate;
                    sum += std::clamp((start + length - change) / length, 0.0, 1.0) / steps;
                }
                if (sum >= 0.1)
                    break;
            }
            if (n < m_frames)
                press.response = n;
        }
        if (press.plain < m_frames)
            truth.presses.push_back(press);
    }
    return truth;
}

ReactionTruth Film::make(const std::filesystem::path& out)
{
    StorageSpec storage;
    storage.quality = m_spec.quality;
    storage.barcode = false;
    blur(m_room);
    m_scene = m_room;
    std::vector<int> places(static_cast<std::size_t>(m_frames));
    std::iota(places.begin(), places.end(), 0);
    const auto writer =
        openFile(out, storage, m_spec.width, m_spec.height, Stamps::even(places, storage.playbackRate, 0));
    Frame frame(m_spec.width, m_spec.height);
    for (int n = 0; n < m_frames; ++n) {
        expose(n, frame);
        writer->write(frame);
    }
    writer->finish();
    return truth();
}

} // namespace

ReactionTruth filmReactions(const ReactionSpec& spec, const std::filesystem::path& out) { return Film(spec).make(out); }

ReactionTruth foreseeReactions(const ReactionSpec& spec) { return Film(spec).truth(); }

} // namespace footage
