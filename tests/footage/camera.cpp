#include "tests/footage/camera.h"
#include "tests/footage/moving_scene.h"
#include "tests/footage/random.h"
#include <cassert>

namespace footage {
namespace {

constexpr int curveSteps = 1 << 14;
constexpr std::size_t noiseSamples = 1 << 16;

struct Weights {
    float red, blue;
};

Weights weights(Matrix matrix)
{
    // ITU-R BT.601-7 2.5.1 and BT.709-6 3.2, from memory.
    return matrix == Matrix::Bt601 ? Weights{0.299f, 0.114f} : Weights{0.2126f, 0.0722f};
}

std::uint16_t toCode(float value)
{
    return static_cast<std::uint16_t>(std::clamp(value, 0.0f, 1.0f) * 65535.0f + 0.5f);
}

} // namespace

Camera::Camera(const Spec& spec, Timeline timeline, std::vector<double> captureTimes)
    : m_spec(spec), m_timeline(std::move(timeline)), m_times(std::move(captureTimes))
{
    const double interval = 1.0 / (spec.camera.nominalRate.value() * (1.0 + spec.camera.ppm * 1e-6));
    m_exposure = spec.camera.exposure * interval;

    m_curve.reserve(curveSteps + 2);
    for (int i = 0; i < curveSteps + 2; ++i) {
        const double light = static_cast<double>(i) / curveSteps;
        m_curve.push_back(
            static_cast<float>(light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055));
    }
    Random random(spec.seed, 3);
    for (std::size_t i = 0; i < noiseSamples; ++i)
        m_noise.push_back(static_cast<float>(random.normal()));

    if (spec.scene.kind != SceneKind::Bench)
        return;
    const CameraSpec& camera = spec.camera;
    const View view(camera.width, camera.height, spec.storage.pixelAspect.value(), spec.storage.rotation);
    m_bench = drawBench(view, spec.scene);
    m_still = Frame(camera.width, camera.height);
    for (std::size_t i = 0; i < m_bench.still.size(); ++i) {
        const int x = static_cast<int>(i) % camera.width, y = static_cast<int>(i) / camera.width;
        store({x, y, m_bench.still[i], {}, 0, 0, 0}, 0, m_still);
    }
}

Camera::Coded Camera::encode(Colour light) const
{
    const auto curve = [&](float value) {
        const float place = std::clamp(value, 0.0f, 1.0f) * curveSteps;
        const auto step = static_cast<std::size_t>(place);
        return m_curve[step] + (m_curve[step + 1] - m_curve[step]) * (place - static_cast<float>(step));
    };
    const Weights w = weights(m_spec.storage.matrix);
    const float r = curve(light.r), g = curve(light.g), b = curve(light.b);
    const float y = w.red * r + (1 - w.red - w.blue) * g + w.blue * b;
    return {y, (b - y) / (2 * (1 - w.blue)), (r - y) / (2 * (1 - w.red))};
}

void Camera::store(const LitPixel& pixel, double level, Frame& frame) const
{
    const Coded coded = encode(pixel.base + pixel.added * level);
    frame.row(0, pixel.y)[pixel.x] = toCode(coded.y);
    frame.row(1, pixel.y)[pixel.x] = toCode(coded.cb + 0.5f);
    frame.row(2, pixel.y)[pixel.x] = toCode(coded.cr + 0.5f);
}

double Camera::rowTime(int captureIndex, int row) const
{
    const int order = m_spec.camera.readFromBottom ? m_spec.camera.height - 1 - row : row;
    return m_times[captureIndex] + order * m_spec.camera.lineTime;
}

double Camera::lampLevel(int captureIndex, int row) const
{
    const double start = rowTime(captureIndex, row);
    return m_timeline.lamp.mean(start, start + m_exposure);
}

double Camera::panelLevel(int captureIndex, const LitPixel& pixel, double lag) const
{
    const double start = rowTime(captureIndex, pixel.y) - pixel.screenRow * m_timeline.refreshInterval - lag;
    return m_timeline.panel.mean(start, start + m_exposure);
}

double Camera::dashLevel(int captureIndex, const LitPixel& pixel) const
{
    // The road moves from refresh to refresh; rows already scanned show the newer one.
    const double seen = rowTime(captureIndex, pixel.y) + m_exposure / 2 - m_timeline.refreshPhase
                        - m_timeline.displayProcessing - pixel.screenRow * m_timeline.refreshInterval;
    const double shown = std::floor(seen / m_timeline.refreshInterval) * m_timeline.refreshInterval;
    const double place = pixel.depth + shown * m_spec.scene.roadSpeed;
    const double fromMiddle = std::abs(place - std::floor(place) - 0.5); // dash where below 0.25
    return std::clamp((0.25 - fromMiddle) / std::max(pixel.footprint, 1e-6) + 0.5, 0.0, 1.0);
}

double Camera::regionMean(const Rect& region, const std::vector<LitPixel>& lit, const Level& level) const
{
    double sum = 0;
    for (int y = region.y; y < region.y + region.height; ++y)
        for (int x = region.x; x < region.x + region.width; ++x)
            sum += static_cast<double>(m_still.row(0, y)[x]) / 65535.0;
    for (const LitPixel& pixel : lit)
        if (pixel.x >= region.x && pixel.x < region.x + region.width && pixel.y >= region.y
            && pixel.y < region.y + region.height)
            sum += static_cast<double>(encode(pixel.base + pixel.added * level(pixel)).y - encode(pixel.base).y);
    return sum / (region.width * region.height);
}

Camera::Meter Camera::regionMeans(const Level& lamp,
                                  const std::function<double(const LitPixel&, double lag)>& panel) const
{
    Meter meter{regionMean(m_bench.lampRegion, m_bench.lamp, lamp),
                regionMean(m_bench.screenRegion, m_bench.panel, [&](const LitPixel& p) { return panel(p, 0); })};
    if (const double lag = m_spec.scene.mirrorLag; lag > 0)
        meter.mirror =
            regionMean(m_bench.mirrorRegion, m_bench.mirror, [&](const LitPixel& p) { return panel(p, lag); });
    return meter;
}

Camera::Meter Camera::meter(int captureIndex) const
{
    return regionMeans([&](const LitPixel& p) { return lampLevel(captureIndex, p.y); },
                       [&](const LitPixel& p, double lag) { return panelLevel(captureIndex, p, lag); });
}

Camera::Meter Camera::restMeter() const
{
    return regionMeans([](const LitPixel&) { return 0.0; }, [](const LitPixel&, double) { return 0.0; });
}

Camera::Meter Camera::fullMeter() const
{
    return regionMeans([](const LitPixel&) { return 1.0; }, [](const LitPixel&, double) { return 1.0; });
}

void Camera::expose(int captureIndex, Frame& frame) const
{
    assert(captureIndex >= 0 && static_cast<std::size_t>(captureIndex) < m_times.size());
    if (frame.width != m_spec.camera.width || frame.height != m_spec.camera.height)
        frame = Frame(m_spec.camera.width, m_spec.camera.height);
    switch (m_spec.scene.kind) {
    case SceneKind::Bench: exposeBench(captureIndex, frame); break;
    case SceneKind::Pattern: exposePattern(captureIndex, frame); break;
    case SceneKind::PulsedLight: exposePulsedLight(captureIndex, frame); break;
    case SceneKind::Sway: break; // as what moves below
    }
    exposeMovement(captureIndex, frame);
    if (m_spec.camera.noise > 0)
        addNoise(captureIndex, frame);
}

void Camera::exposeBench(int captureIndex, Frame& frame) const
{
    frame.planes = m_still.planes;
    double level = 0;
    int row = -1;
    for (const LitPixel& pixel : m_bench.lamp) {
        if (pixel.y != row)
            level = lampLevel(captureIndex, row = pixel.y);
        if (level > 0)
            store(pixel, level, frame);
    }
    exposePanel(captureIndex, m_bench.panel, 0, frame);
    exposePanel(captureIndex, m_bench.mirror, m_spec.scene.mirrorLag, frame);
    for (const LitPixel& pixel : m_bench.road)
        store(pixel, dashLevel(captureIndex, pixel), frame);
}

void Camera::exposePanel(int captureIndex, const std::vector<LitPixel>& panel, double lag, Frame& frame) const
{
    // Within a row of the picture the screen row hardly changes: reuse what is less than a 5000th of a refresh away.
    int row = -1;
    double level = 0, screenRow = 0;
    for (const LitPixel& pixel : panel) {
        if (pixel.y != row || std::abs(pixel.screenRow - screenRow) > 2e-4) {
            level = panelLevel(captureIndex, pixel, lag);
            row = pixel.y;
            screenRow = pixel.screenRow;
        }
        if (level > 0)
            store(pixel, level, frame);
    }
}

void Camera::exposeMovement(int captureIndex, Frame& frame) const
{
    const SceneSpec& scene = m_spec.scene;
    for (int y = 0; y < frame.height; ++y) {
        const RowExposure exposure{rowTime(captureIndex, y), m_exposure};
        if (scene.kind == SceneKind::Sway)
            drawSway(scene, m_spec.seed, exposure, y, frame);
        if (scene.kind == SceneKind::Bench && scene.handSpeed != 0)
            drawHand(scene, exposure, y, frame);
        if (scene.lightDrift != 0 || scene.ripple != 0)
            dimRow(scene, exposure, y, frame);
    }
}

void Camera::exposePattern(int captureIndex, Frame& frame) const
{
    const auto ramp = [](int place) { // up and down between 0 and 511, period 1024
        const int p = place & 1023;
        return p < 512 ? p : 1023 - p;
    };
    const int k = captureIndex;
    const int boxSize = std::max(8, frame.height / 6);
    const int boxX = k * 7 % std::max(1, frame.width - boxSize), boxY = k * 3 % std::max(1, frame.height - boxSize);
    for (int y = 0; y < frame.height; ++y) {
        std::uint16_t* luma = frame.row(0, y);
        std::uint16_t* cb = frame.row(1, y);
        std::uint16_t* cr = frame.row(2, y);
        for (int x = 0; x < frame.width; ++x) {
            luma[x] = static_cast<std::uint16_t>(6000 + 52 * ramp(5 * x + 3 * y + 67 * k)
                                                 + 50 * ramp(2 * x - 4 * y - 41 * k));
            cb[x] = static_cast<std::uint16_t>(16000 + 64 * ramp(2 * x + y + 31 * k));
            cr[x] = static_cast<std::uint16_t>(16000 + 64 * ramp(x - 2 * y + 23 * k));
        }
        if (y >= boxY && y < boxY + boxSize)
            std::fill(luma + boxX, luma + boxX + std::min(boxSize, frame.width),
                      static_cast<std::uint16_t>(k % 2 ? 60000 : 5000));
    }
}

void Camera::exposePulsedLight(int captureIndex, Frame& frame) const
{
    const SceneSpec& scene = m_spec.scene;
    const auto onUntil = [&](double time) { // how long the light was on since the capture's start
        const double pulses = time * scene.pulseRate, whole = std::floor(pulses);
        return (whole * scene.pulseShare + std::min(pulses - whole, scene.pulseShare)) / scene.pulseRate;
    };
    for (int y = 0; y < frame.height; ++y) {
        const double start = rowTime(captureIndex, y);
        const double level = 0.04 + 0.7 * (onUntil(start + m_exposure) - onUntil(start)) / m_exposure;
        for (int x = 0; x < frame.width; ++x) {
            // Brighter towards the middle, as a lamp in front of a wall makes it.
            const double across = 2.0 * x / frame.width - 1, down = 2.0 * y / frame.height - 1;
            const auto light = static_cast<float>(level * (1 - 0.25 * (across * across + down * down)));
            store({x, y, {light, light, light}, {}, 0, 0, 0}, 0, frame);
        }
    }
}

void Camera::addNoise(int captureIndex, Frame& frame) const
{
    Random random(m_spec.seed, 1000 + static_cast<std::uint64_t>(captureIndex));
    const auto luma = static_cast<float>(m_spec.camera.noise * 257.0);
    for (int plane = 0; plane < 3; ++plane) {
        const float scale = plane == 0 ? luma : luma * 0.6f;
        for (int y = 0; y < frame.height; ++y) {
            std::uint16_t* row = frame.row(plane, y);
            std::size_t place = random.bits() % noiseSamples;
            for (int x = 0; x < frame.width;) {
                const int run = std::min(frame.width - x, static_cast<int>(noiseSamples - place));
                const float* noise = m_noise.data() + place;
                for (int i = 0; i < run; ++i) {
                    const float value = static_cast<float>(row[x + i]) + noise[i] * scale;
                    row[x + i] = static_cast<std::uint16_t>(std::clamp(value, 0.0f, 65535.0f));
                }
                x += run;
                place = 0;
            }
        }
    }
}

} // namespace footage
