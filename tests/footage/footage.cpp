#include "tests/footage/footage.h"
#include "tests/footage/camera.h"
#include "tests/footage/random.h"
#include "tests/footage/writer.h"
#include <algorithm>
#include <cassert>
#include <stdexcept>

namespace footage {
namespace {

namespace fs = std::filesystem;

void refuse(const char* what) { throw std::runtime_error(std::string("footage: ") + what); }

void validate(const Spec& spec)
{
    const CameraSpec& c = spec.camera;
    const StorageSpec& s = spec.storage;
    if (c.width < 32 || c.height < 32 || c.width > 8192 || c.height > 8192)
        refuse("the picture must be 32 to 8192 pixels wide and high");
    if (c.frames < 1)
        refuse("at least one frame must be filmed");
    if (s.barcode && c.frames > barcodeLimit)
        refuse("the barcode holds numbers below 65536 only");
    if (!(c.exposure > 0) || c.exposure > 1)
        refuse("exposure must be above 0 and at most 1 capture interval");
    if (c.nominalRate.num <= 0 || c.nominalRate.den <= 0 || s.playbackRate.num <= 0 || s.playbackRate.den <= 0)
        refuse("rates must be above 0");
    if (s.pixelAspect.num <= 0 || s.pixelAspect.den <= 0)
        refuse("the pixel aspect must be above 0");
    if (s.rotation != 0 && s.rotation != 90 && s.rotation != 180 && s.rotation != 270)
        refuse("rotation must be 0, 90, 180 or 270");
}

/// What the camera stored, hidden frames included, and who sees it.
class Take {
public:
    explicit Take(const Spec& spec)
        : m_spec((validate(spec), spec)), m_timeline(plan(spec.scene, spec.seed)),
          m_times(captureTimes(spec.camera, spec.seed)), m_camera(spec, m_timeline, m_times)
    {
        const CameraSpec& camera = spec.camera;
        int picture = 0;
        for (int k = 0; k < camera.frames; ++k) {
            if (std::binary_search(camera.missing.begin(), camera.missing.end(), k))
                continue;
            if (m_stored.empty() || !std::binary_search(camera.repeated.begin(), camera.repeated.end(), k))
                picture = k;
            m_stored.push_back({k, picture, m_times[k], 0});
        }
        if (spec.storage.hiddenFrames < 0 || m_stored.size() <= static_cast<std::size_t>(spec.storage.hiddenFrames))
            refuse("no frame is left to show");
    }

    const Camera& camera() const { return m_camera; }
    const std::vector<TrueFrame>& stored() const { return m_stored; }
    Stamps stamps() const;
    Truth truth() const;

private:
    using Region = double Camera::Meter::*;
    TruePress truePress(const PlannedPress& planned, const std::vector<TrueFrame>& shown) const;
    std::optional<int> firstVisible(const std::vector<TrueFrame>& shown, double from, double until, Region region,
                                    const Rect& rect) const;

    Spec m_spec;
    Timeline m_timeline;
    std::vector<double> m_times;
    Camera m_camera;
    std::vector<TrueFrame> m_stored;
};

Stamps Take::stamps() const
{
    const StorageSpec& storage = m_spec.storage;
    const auto hidden = static_cast<std::size_t>(storage.hiddenFrames);
    if (storage.stamps == StampKind::Even) {
        std::vector<int> places;
        for (std::size_t i = 0; i < m_stored.size(); ++i)
            places.push_back(storage.stampsShowGaps ? m_stored[i].captureIndex - m_stored[hidden].captureIndex
                                                    : static_cast<int>(i) - storage.hiddenFrames);
        if (storage.speeds.empty())
            return Stamps::even(std::move(places), storage.playbackRate, storage.start);
        // A ramp: every step has the length of the speed that it is played at.
        std::vector<double> seconds{storage.start};
        for (std::size_t i = 1; i < places.size(); ++i) {
            Ratio rate = storage.playbackRate;
            for (const auto& [from, speed] : storage.speeds)
                if (static_cast<int>(i) >= from)
                    rate = speed;
            seconds.push_back(seconds.back() + (places[i] - places[i - 1]) / rate.value());
        }
        return Stamps::real(std::move(seconds));
    }
    Random random(m_spec.seed, 4);
    std::vector<double> seconds;
    for (const TrueFrame& frame : m_stored) {
        double stamp = storage.start + frame.time - m_stored[hidden].time;
        if (storage.stampJitter > 0)
            stamp += storage.stampJitter * random.normal();
        // A container can't take a stamp that goes back.
        const double least = seconds.empty() ? stamp : seconds.back() + 0.1 / m_spec.camera.nominalRate.value();
        seconds.push_back(std::max(stamp, least));
    }
    return Stamps::real(std::move(seconds));
}

std::optional<int> Take::firstVisible(const std::vector<TrueFrame>& shown, double from, double until, Region region,
                                      const Rect& rect) const
{
    const double rest = m_camera.restMeter().*region, full = m_camera.fullMeter().*region;
    for (std::size_t n = 0; n < shown.size(); ++n) {
        const int picture = shown[n].pictureIndex;
        const double firstRow = m_camera.rowTime(picture, rect.y),
                     lastRow = m_camera.rowTime(picture, rect.y + rect.height - 1);
        if (std::max(firstRow, lastRow) + m_camera.exposureTime() <= from)
            continue;
        if (std::min(firstRow, lastRow) > until)
            return std::nullopt;
        if (m_camera.meter(picture).*region - rest >= m_spec.scene.visibleShare * (full - rest)) {
            if (n == 0)
                return std::nullopt; // lit already when the film begins
            return static_cast<int>(n);
        }
    }
    return std::nullopt;
}

TruePress Take::truePress(const PlannedPress& planned, const std::vector<TrueFrame>& shown) const
{
    const BenchScene& bench = m_camera.bench();
    const double share = m_spec.scene.visibleShare;
    const double lampOff = planned.press + m_spec.scene.lampHold;
    TruePress press;
    press.press = planned.press;
    press.oddity = planned.oddity;
    press.lampFrame = firstVisible(shown, planned.press, lampOff, &Camera::Meter::lamp, bench.lampRegion);
    if (planned.secondPress)
        press.secondLampFrame =
            firstVisible(shown, *planned.secondPress, lampOff, &Camera::Meter::lamp, bench.lampRegion);
    if (!planned.scanStart)
        return press;

    const double top = bench.panelTop * m_timeline.refreshInterval;
    press.reaction = *planned.scanStart + top;
    press.delay = *press.reaction - press.press;
    const auto lampVisible = m_timeline.lamp.passes(share, planned.press);
    const auto panelVisible = m_timeline.panel.passes(share, *planned.scanStart);
    if (lampVisible && panelVisible)
        press.visibleDelay = *panelVisible + top - *lampVisible;
    const auto firstLit = [&](double lag, Region region, const Rect& rect) {
        return firstVisible(shown, *press.reaction + lag, *press.reaction + lag + m_spec.scene.reactionHold, region,
                            rect);
    };
    press.reactionFrame = firstLit(0, &Camera::Meter::screen, bench.screenRegion);
    if (const double lag = m_spec.scene.mirrorLag; lag > 0)
        press.mirrorFrame = firstLit(lag, &Camera::Meter::mirror, bench.mirrorRegion);
    return press;
}

Truth Take::truth() const
{
    const CameraSpec& camera = m_spec.camera;
    Truth truth;
    truth.width = camera.width;
    truth.height = camera.height;
    truth.captureRate = camera.nominalRate.value() * (1 + camera.ppm * 1e-6);
    truth.lineTime = camera.lineTime;
    const Stamps times = stamps();
    for (std::size_t i = static_cast<std::size_t>(m_spec.storage.hiddenFrames); i < m_stored.size(); ++i) {
        TrueFrame frame = m_stored[i];
        frame.stamp = times.seconds(static_cast<std::int64_t>(i));
        const int number = static_cast<int>(truth.frames.size());
        if (number > 0) {
            const TrueFrame& last = truth.frames.back();
            if (const int lost = frame.captureIndex - last.captureIndex - 1; lost > 0)
                truth.missing.push_back({number, lost});
            if (frame.pictureIndex == last.pictureIndex)
                truth.repeats.push_back(number);
        }
        truth.frames.push_back(frame);
    }
    truth.lamp = m_camera.bench().lampRegion;
    truth.screen = m_camera.bench().screenRegion;
    truth.mirror = m_camera.bench().mirrorRegion;
    for (const PlannedPress& planned : m_timeline.presses)
        truth.presses.push_back(truePress(planned, truth.frames));
    return truth;
}

void exposeStored(const Camera& camera, const CameraSpec& spec, int k, Frame& frame)
{
    if (k == 0 || k + 1 >= spec.frames || !std::binary_search(spec.blended.begin(), spec.blended.end(), k))
        return camera.expose(k, frame);
    Frame after;
    camera.expose(k - 1, frame);
    camera.expose(k + 1, after);
    for (std::size_t plane = 0; plane < frame.planes.size(); ++plane)
        for (std::size_t i = 0; i < frame.planes[plane].size(); ++i)
            frame.planes[plane][i] = static_cast<std::uint16_t>((frame.planes[plane][i] + after.planes[plane][i]) / 2);
}

std::unique_ptr<Writer> openWriter(const Take& take, const Spec& spec, const fs::path& out)
{
    const CameraSpec& camera = spec.camera;
    if (!isPictureKind(spec.storage.container))
        return openFile(out, spec.storage, camera.width, camera.height, take.stamps());
    std::vector<int> numbers;
    for (const TrueFrame& frame : take.stored())
        numbers.push_back(frame.captureIndex);
    return openPictureFolder(out, spec.storage, camera.width, camera.height, std::move(numbers));
}

} // namespace

Truth foresee(const Spec& spec) { return Take(spec).truth(); }

Truth make(const Spec& spec, const fs::path& out)
{
    const Take take(spec);
    if (isPictureKind(spec.storage.container))
        fs::remove_all(out);
    else
        fs::remove(out);
    if (out.has_parent_path())
        fs::create_directories(out.parent_path());
    try {
        const auto writer = openWriter(take, spec, out);
        Frame frame;
        int picture = -1;
        for (const TrueFrame& stored : take.stored()) {
            if (stored.pictureIndex != picture) {
                picture = stored.pictureIndex;
                exposeStored(take.camera(), spec.camera, picture, frame);
                if (spec.storage.barcode)
                    drawBarcode(frame, picture);
            }
            writer->write(frame);
        }
        writer->finish();
    } catch (...) {
        std::error_code ignored; // the first failure is the one to report
        fs::remove_all(out, ignored);
        throw;
    }
    Truth truth = take.truth();
    truth.path = out.string();
    return truth;
}

} // namespace footage
