#include "tests/footage/timeline.h"
#include "tests/footage/random.h"
#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace footage {

void SwitchedLight::switchAt(double time, bool on)
{
    m_pieces.push_back({time, on ? 1.0 : 0.0, level(time), integral(time)});
}

const SwitchedLight::Piece* SwitchedLight::pieceAt(double time) const
{
    const auto after = std::upper_bound(m_pieces.begin(), m_pieces.end(), time,
                                        [](double t, const Piece& piece) { return t < piece.start; });
    return after == m_pieces.begin() ? nullptr : &*std::prev(after);
}

double SwitchedLight::levelIn(const Piece& piece, double time) const
{
    return piece.target + (piece.level - piece.target) * std::exp(-(time - piece.start) / constant(piece));
}

double SwitchedLight::level(double time) const
{
    const Piece* piece = pieceAt(time);
    return piece ? levelIn(*piece, time) : 0.0;
}

double SwitchedLight::integral(double time) const
{
    const Piece* piece = pieceAt(time);
    if (!piece)
        return 0.0;
    const double span = time - piece->start;
    const double tau = constant(*piece);
    return piece->integral + piece->target * span
           + (piece->level - piece->target) * tau * (1.0 - std::exp(-span / tau));
}

double SwitchedLight::mean(double from, double to) const { return (integral(to) - integral(from)) / (to - from); }

std::optional<double> SwitchedLight::passes(double share, double from) const
{
    for (std::size_t i = 0; i < m_pieces.size(); ++i) {
        const Piece& piece = m_pieces[i];
        const bool last = i + 1 == m_pieces.size();
        if (piece.target == 0.0 || (!last && m_pieces[i + 1].start <= from))
            continue;
        const double begin = std::max(from, piece.start);
        const double now = levelIn(piece, begin);
        const double at = now >= share ? begin : begin + constant(piece) * std::log((1.0 - now) / (1.0 - share));
        if (last || at < m_pieces[i + 1].start)
            return at;
    }
    return std::nullopt;
}

namespace {

double nextOnGrid(double time, double interval, double phase)
{
    return phase + std::ceil((time - phase) / interval) * interval;
}

std::optional<OddityKind> oddityOf(const SceneSpec& scene, int press)
{
    for (const Oddity& oddity : scene.oddities)
        if (oddity.press == press)
            return oddity.kind;
    return std::nullopt;
}

std::vector<double> pressTimes(const SceneSpec& scene, Random& random)
{
    if (!scene.pressTimes.empty())
        return scene.pressTimes;
    std::vector<double> times;
    double next = scene.firstPress;
    for (int i = 0; i < scene.presses; ++i) {
        times.push_back(next);
        next += random.uniform(scene.pressGapMin, scene.pressGapMax);
    }
    return times;
}

} // namespace

Timeline plan(const SceneSpec& scene, std::uint64_t seed)
{
    const DelaySpec& delay = scene.delay;
    if (!(delay.refreshRate > 0) || !(delay.tickRate > 0))
        throw std::runtime_error("footage: tick rate and refresh rate must be above 0");

    Random random(seed, 1);
    const double refresh = 1.0 / delay.refreshRate;
    const double tick = 1.0 / delay.tickRate;
    Timeline line{refresh,
                  refresh * random.uniform(),
                  delay.displayProcessing,
                  {},
                  SwitchedLight(scene.lampRise, scene.lampFall),
                  SwitchedLight(scene.pixelRise, scene.pixelFall)};
    const double tickPhase = tick * random.uniform();
    const double pollPhase = delay.pollInterval * random.uniform();
    if (scene.kind != SceneKind::Bench)
        return line;

    // How long a double press keeps the contact closed, then open: over before any reaction.
    constexpr double firstHold = 0.006, openFor = 0.005;
    constexpr double earlyLead = 0.030;

    std::optional<double> panelOffAt;
    const std::vector<double> times = pressTimes(scene, random);
    for (std::size_t i = 0; i < times.size(); ++i) {
        PlannedPress press{times[i], std::nullopt, std::nullopt, oddityOf(scene, static_cast<int>(i))};
        const double lampOff = times[i] + scene.lampHold;
        if (i + 1 < times.size() && lampOff >= times[i + 1])
            throw std::runtime_error("footage: a press begins before the last one ends");
        line.lamp.switchAt(times[i], true);
        if (press.oddity == OddityKind::DoublePress) {
            press.secondPress = times[i] + firstHold + openFor;
            line.lamp.switchAt(times[i] + firstHold, false);
            line.lamp.switchAt(*press.secondPress, true);
        }
        line.lamp.switchAt(lampOff, false);

        // Drawn for every press, so that an oddity changes no other press.
        double t = times[i] + std::max(0.0, delay.device + delay.deviceSpread * random.normal());
        if (press.oddity == OddityKind::EarlyChange)
            t = times[i] - earlyLead;
        if (delay.pollInterval > 0)
            t = nextOnGrid(t, delay.pollInterval, pollPhase);
        t = nextOnGrid(t, tick, tickPhase);
        t = nextOnGrid(t, refresh, line.refreshPhase) + delay.queueFrames * refresh + delay.displayProcessing;
        if (press.oddity != OddityKind::NoReaction) {
            if (panelOffAt && t <= *panelOffAt)
                throw std::runtime_error("footage: a reaction begins before the last one is over");
            press.scanStart = t;
            panelOffAt = t + std::ceil(scene.reactionHold / refresh) * refresh;
            line.panel.switchAt(t, true);
            line.panel.switchAt(*panelOffAt, false);
        }
        line.presses.push_back(press);
    }
    return line;
}

std::vector<double> captureTimes(const CameraSpec& camera, std::uint64_t seed)
{
    Random random(seed, 2);
    const double interval = 1.0 / (camera.nominalRate.value() * (1.0 + camera.ppm * 1e-6));
    const double limit = 0.4 * interval; // instants never change places
    std::vector<double> times(static_cast<std::size_t>(camera.frames));
    for (std::size_t k = 0; k < times.size(); ++k)
        times[k] = static_cast<double>(k) * interval;
    if (!camera.speeds.empty())
        for (std::size_t k = 1; k < times.size(); ++k) {
            double step = interval;
            for (const auto& [from, rate] : camera.speeds)
                if (static_cast<int>(k) >= from)
                    step = 1.0 / (rate.value() * (1.0 + camera.ppm * 1e-6));
            times[k] = times[k - 1] + step;
        }
    if (camera.timeJitter > 0)
        for (double& time : times)
            time += std::clamp(camera.timeJitter * random.normal(), -limit, limit);
    return times;
}

} // namespace footage
