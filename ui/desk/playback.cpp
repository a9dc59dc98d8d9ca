#include "ui/desk/playback.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

namespace ui {

namespace {

constexpr double mostPictures = 30;  // a second
constexpr double lateFrom = 0.3;     // seconds behind from which frames beyond the stride are passed over
constexpr double measuredOver = 1.0; // seconds
constexpr double saidEvery = 1.0;    // seconds between two measured figures, so that they can be read
constexpr double shortOfRate = 0.85; // share of the rate below which the one reached is told
constexpr int heldFor = 600;         // ms without a repeat after which a key counts as released
constexpr std::array<double, 11> ladder{1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 960};

QString rateText(double rate) { return QString::number(rate, 'f', std::abs(rate - std::round(rate)) < 0.05 ? 0 : 1); }

/// Rates that aren't whole take the plural.
QString framesASecond(double rate)
{
    return Playback::tr("%1 frame(s) a second", nullptr, static_cast<int>(std::ceil(rate))).arg(rateText(rate));
}

} // namespace

Pace paceOf(double rate)
{
    assert(rate > 0);
    const int stride = std::max(1, static_cast<int>(std::ceil(rate / mostPictures - 1e-9)));
    return {stride, stride / rate};
}

Playback::Playback(SessionModel& model, DeskState& state, DeskViews& views, QObject* parent)
    : QObject(parent), m_model(model), m_state(state), m_views(views)
{
    m_timer.setSingleShot(true);
    m_timer.setTimerType(Qt::PreciseTimer);
    connect(&m_timer, &QTimer::timeout, this, &Playback::tick);
    m_held.setSingleShot(true);
    m_held.setInterval(heldFor);
    connect(&m_held, &QTimer::timeout, this, &Playback::endTravel);
    connect(&views, &DeskViews::shown, this, &Playback::tick);
    connect(&views, &DeskViews::failed, this, [this] { end(tr("Playing stops here: this frame can't be shown.")); });
    connect(&state, &DeskState::frameChanged, this, &Playback::moved);
    connect(&state, &DeskState::captureChanged, this, &Playback::stop);
}

std::optional<double> Playback::realTime() const
{
    const session::Capture* capture = m_state.capture();
    const session::Clock* clock =
        capture ? session::find(*m_model.document(), session::clockAt(*capture, m_state.frame())) : nullptr;
    const session::ClockEvidence* settled = clock ? session::settledEvidence(*clock) : nullptr;
    return settled ? std::optional(settled->rate.rate) : std::nullopt;
}

QVector<double> Playback::rates() const
{
    const std::optional<double> top = realTime();
    QVector<double> rates;
    for (const double rate : ladder)
        if (!top || rate < *top * 0.999)
            rates << rate;
    if (top)
        rates << *top;
    return rates;
}

double Playback::rate() const { return m_travels ? mostPictures : std::min(m_wanted, rates().last()); }

void Playback::play(int direction)
{
    assert(direction == 1 || direction == -1);
    if (m_direction == direction && !m_travels)
        stop();
    else
        begin(direction, false);
}

void Playback::travel(int direction)
{
    assert(direction == 1 || direction == -1);
    m_held.start();
    if (m_direction != direction || !m_travels)
        begin(direction, true);
}

void Playback::endTravel()
{
    if (m_travels)
        stop();
}

void Playback::begin(int direction, bool travels)
{
    stop();
    const session::Capture* capture = m_state.capture();
    if (!capture || !m_views.footage())
        return;
    if (m_state.frame() == (direction > 0 ? lastFrame(*capture) : timing::FrameNumber{})) {
        if (!travels)
            emit cue(direction > 0 ? tr("This is the last frame.") : tr("This is the first frame."));
        return;
    }
    m_direction = direction;
    m_travels = travels;
    restartClock();
    emit sentenceChanged();
    tick();
}

void Playback::restartClock()
{
    m_clock.start();
    m_from = m_state.frame().value;
    m_due = 0;
    m_seen.clear();
    m_reached = 0;
    m_jumpedAt = -1;
    m_saidAt = 0;
}

void Playback::stop()
{
    if (m_direction == 0)
        return;
    if (const auto inView = m_views.shownFrame(); inView && *inView != m_state.frame())
        m_state.setFrame(*inView); // which ends it
    halt();
}

void Playback::halt()
{
    if (m_direction == 0)
        return;
    m_direction = 0;
    m_travels = false;
    m_timer.stop();
    m_held.stop();
    emit sentenceChanged();
}

void Playback::end(const QString& why)
{
    if (m_direction == 0)
        return;
    const bool told = !m_travels;
    stop();
    if (told)
        emit cue(why);
}

/// Something else moved the frame in view: the analyst is where he wants to be.
void Playback::moved()
{
    if (!m_moves)
        halt();
}

void Playback::stepRate(int steps)
{
    const QVector<double> all = rates();
    const auto place = std::ranges::lower_bound(all, std::min(m_wanted, all.last()) * 0.999) - all.begin();
    m_wanted = all[std::clamp<qsizetype>(place + steps, 0, all.size() - 1)];
    if (m_direction == 0) {
        emit cue(tr("Playback rate: %1")
                     .arg(m_wanted == realTime() ? tr("real time, %1").arg(framesASecond(m_wanted))
                                                 : framesASecond(m_wanted)));
        return;
    }
    if (m_travels)
        return;
    restartClock();
    m_due = paceOf(rate()).interval;
    emit sentenceChanged();
}

/// Comes when the time is, and when a picture has come onto the screen: whichever is last moves on.
void Playback::tick()
{
    if (m_direction == 0 || m_moves || !m_views.caughtUp())
        return;
    if (m_views.busy()) {
        stop();
        return;
    }
    const double now = static_cast<double>(m_clock.nsecsElapsed()) / 1e9;
    if (now < m_due - 0.0005) {
        m_timer.start(static_cast<int>(std::ceil((m_due - now) * 1000 - 0.5)));
        return;
    }
    measure(now);
    const timing::FrameNumber first, last = lastFrame(*m_state.capture());
    if (m_state.frame() == (m_direction > 0 ? last : first)) {
        end(m_direction > 0 ? tr("This is the last frame.") : tr("This is the first frame."));
        return;
    }
    const timing::FrameNumber to = next(now);
    // One interval may be made up for, so that a late picture doesn't slow the whole down; more would look like a rush.
    m_due = std::max(m_due + paceOf(rate()).interval, now);
    m_moves = true;
    m_state.setFrame(std::clamp(to, first, last));
    m_moves = false;
    if (m_views.caughtUp())
        tick();
}

timing::FrameNumber Playback::next(double now)
{
    const Pace pace = paceOf(rate());
    const qint64 here = m_state.frame().value;
    const timing::FrameNumber stepped{here + m_direction * pace.stride};
    if (pace.stride == 1)
        return stepped;
    const double due = static_cast<double>(m_from) + m_direction * rate() * now;
    if (m_direction * (due - static_cast<double>(stepped.value)) < lateFrom * rate())
        return stepped;
    // Every frame between has to be decoded, shown or not, except where one can be entered without them.
    const auto entry = entryTowards(due);
    if (!entry || m_direction * (entry->value - stepped.value) <= 0)
        return stepped;
    m_jumpedAt = now;
    return *entry;
}

/// The entry point nearest to `due` on this side of it.
std::optional<timing::FrameNumber> Playback::entryTowards(double due) const
{
    const std::vector<media::FrameEntry>& frames = m_views.footage()->frames;
    const qint64 last = std::ssize(frames) - 1;
    for (qint64 n = std::clamp<qint64>(std::llround(due), 0, last); n != m_state.frame().value && n >= 0 && n <= last;
         n -= m_direction)
        if (frames[static_cast<std::size_t>(n)].cleanEntry)
            return timing::FrameNumber{n};
    return {};
}

/// How fast it really goes, from the pictures of the last second.
void Playback::measure(double now)
{
    m_seen.push_back({now, m_state.frame().value});
    while (m_seen.size() > 2 && now - m_seen[1].at >= measuredOver)
        m_seen.pop_front();
    const double seconds = now - m_seen.front().at;
    if (seconds < measuredOver || now - m_saidAt < saidEvery)
        return;
    const double frames = static_cast<double>(std::abs(m_seen.back().frame - m_seen.front().frame));
    m_reached = frames / seconds;
    m_everyMeasured = frames / static_cast<double>(m_seen.size() - 1);
    m_saidAt = now;
    emit sentenceChanged();
}

QString Playback::sentence() const
{
    if (m_direction == 0 || m_travels)
        return {};
    const double asked = rate();
    const QString speed = framesASecond(asked);
    const bool real = asked == realTime();
    QString text = m_direction > 0 ? real ? tr("Plays forward in real time, %1") : tr("Plays forward, %1")
                   : real ? tr("Plays backward in real time, %1")
                                   : tr("Plays backward, %1");
    text = text.arg(speed);
    const Pace pace = paceOf(asked);
    const bool jumps = m_jumpedAt >= 0 && m_saidAt - m_jumpedAt < 3 * measuredOver;
    if (jumps && m_reached > 0)
        text += tr(": shows about one frame in %1")
                    .arg(std::max(pace.stride, static_cast<int>(std::lround(m_everyMeasured))));
    else if (pace.stride > 1)
        text += tr(": shows one frame in %1").arg(pace.stride);
    if (m_reached > 0 && m_reached < shortOfRate * asked)
        text += tr(", reaches %1 a second").arg(rateText(std::round(m_reached)));
    return text;
}

} // namespace ui
