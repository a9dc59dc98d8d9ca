#include "ui/clock/clock_words.h"
#include "core/analysis/figures.h"
#include "core/analysis/phrases.h"
#include "core/stats/rounding.h"
#include "ui/controls/numbers.h"

#include <QCoreApplication>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr double usualDelay = 0.05; ///< seconds, where no trial is read yet

QString tr(const char* words, const char* note = nullptr, int n = -1)
{
    return QCoreApplication::translate("ui", words, note, n);
}

/// Two digits of the difference, as a delay in ms.
QString msText(double ms, double scale)
{
    return QString::number(ms, 'f', std::clamp(stats::decimalsFor(std::max(scale, 1e-6)), 0, 4));
}

/// Of all pairs in dispute the one with the best ranked members.
std::pair<const session::ClockEvidence*, const session::ClockEvidence*> firstDispute(
    const std::vector<const session::ClockEvidence*>& ranked)
{
    for (std::size_t i = 0; i < ranked.size(); ++i)
        for (std::size_t j = i + 1; j < ranked.size(); ++j)
            if (!timing::agree(ranked[i]->rate, ranked[j]->rate))
                return {ranked[i], ranked[j]};
    return {};
}

QString marginShare(double apart, const std::optional<double>& margin)
{
    return margin ? tr(", %1 % of your margin of %2 ms")
                        .arg(QString::number(apart / *margin * 100, 'f', 0), shortNumber(*margin))
                  : QString();
}

double delayMs(const session::ClockEvidence& evidence, const ClockUse& use)
{
    return static_cast<double>(use.typicalFrames) / evidence.rate.rate * 1000;
}

QString disputeSentence(const session::Document& document, const session::ClockEvidence& a,
                        const session::ClockEvidence& b, const ClockUse& use)
{
    if (b.rate.origin == timing::Origin::Pictures) // the last by rank
        return tr("The pictures contradict the %1 rate of %2: only %3 a second of its camera frames show something "
                  "new, so that this mode may really capture that many. "
                  "Film a lamp of known frequency, or settle the rate that counts all frames; marks may then lie late.")
            .arg(originWord(a.rate.origin), rateOf(a), rateOf(b));
    const double first = delayMs(a, use), second = delayMs(b, use);
    const double apart = std::abs(first - second);
    const double combined =
        std::hypot(a.rate.rate * a.rate.relativeUncertainty, b.rate.rate * b.rate.relativeUncertainty);
    const QString times = combined > 0
                              ? tr("%1 times their combined uncertainty")
                                    .arg(QString::number(std::abs(a.rate.rate - b.rate.rate) / combined, 'g', 2))
                              : tr("and neither leaves room for it");
    return tr("The %1 rate of %2 and the %3 rate of %4 differ by %5. A delay of %6 is %7 ms by one and %8 ms by the "
              "other: %9 ms apart")
               .arg(originWord(a.rate.origin), rateOf(a), originWord(b.rate.origin), rateOf(b), times,
                    tr("%n camera frame(s)", nullptr, int(use.typicalFrames)), msText(first, apart),
                    msText(second, apart), msText(apart, apart))
           + marginShare(apart, document.settings.plan.marginMs) + QLatin1Char('.');
}

QString delayByClock(const session::ClockEvidence& evidence, const ClockUse& use)
{
    const double ms = delayMs(evidence, use), u = ms * evidence.rate.relativeUncertainty;
    return u > 0 ? tr("%1 ms, with a standard uncertainty of %2 ms from the clock").arg(msText(ms, u), msText(u, u))
                 : tr("%1 ms").arg(QString::number(ms, 'f', 3));
}

QString untilSettled(const ClockUse& use)
{
    if (use.trials == 0)
        return tr("Until it is settled, what is read with it is counted in camera frames and stays out of every mean.");
    return tr(
        "Until it is settled, its %n trial(s) (is|are) counted in camera frames and (stays|stay) out of every mean.",
        nullptr, use.trials);
}

} // namespace

std::vector<const session::ClockEvidence*> rankedEvidence(const session::Clock& clock)
{
    std::vector<const session::ClockEvidence*> ranked;
    for (const session::ClockEvidence& evidence : clock.evidence)
        ranked.push_back(&evidence);
    std::ranges::stable_sort(ranked, {}, [](const session::ClockEvidence* e) {
        return std::pair(e->rate.origin, e->rate.relativeUncertainty);
    });
    return ranked;
}

QString rateOf(const session::ClockEvidence& evidence)
{
    return QString::fromStdString(analysis::rateText(evidence.rate));
}

QString originWord(timing::Origin origin) { return QString::fromLatin1(timing::label(origin)); }

QString stateWord(session::ClockState state)
{
    switch (state) {
    case session::ClockState::Settled: return tr("settled");
    case session::ClockState::Proposed: return tr("proposed");
    case session::ClockState::InDispute: return tr("in dispute");
    case session::ClockState::Unknown: break;
    }
    return tr("unknown");
}

Shape stateShape(session::ClockState state)
{
    switch (state) {
    case session::ClockState::Settled: return Shape::ClockSettled;
    case session::ClockState::Proposed: return Shape::ClockProposed;
    case session::ClockState::InDispute: return Shape::ClockDispute;
    case session::ClockState::Unknown: break;
    }
    return Shape::ClockUnknown;
}

ClockUse clockUse(const session::Document& document, const session::Clock& clock)
{
    ClockUse use;
    for (const auto& [id, capture] : document.captures)
        use.captures += session::runsOn(*capture, clock.id);
    std::vector<std::int64_t> counts;
    for (const auto& [id, trial] : document.trials) {
        const session::Capture* capture = session::find(document, trial->capture);
        const session::Reading* reading = session::countingReading(*trial);
        if (!capture
            || session::clockAt(*capture, reading && reading->press ? reading->press->frame : timing::FrameNumber{})
                   != clock.id)
            continue;
        ++use.trials;
        if (reading && reading->press && reading->response && reading->response->frame > reading->press->frame)
            counts.push_back((reading->response->frame - reading->press->frame).value);
    }
    if (!counts.empty()) {
        const auto middle = counts.begin() + static_cast<std::ptrdiff_t>(counts.size() / 2);
        std::ranges::nth_element(counts, middle);
        use.typicalFrames = *middle;
    } else {
        const session::ClockEvidence* best = session::proposedEvidence(clock);
        use.typicalFrames = best ? std::max<std::int64_t>(1, std::llround(best->rate.rate * usualDelay)) : 12;
    }
    return use;
}

ClockWords clockWords(const session::Document& document, const session::Clock& clock)
{
    const ClockUse use = clockUse(document, clock);
    const auto ranked = rankedEvidence(clock);
    const auto [a, b] = firstDispute(ranked);
    const QString frames = tr("%n camera frame(s)", nullptr, int(use.typicalFrames));
    switch (session::stateOf(clock)) {
    case session::ClockState::Settled: {
        const session::ClockEvidence& settled = *session::settledEvidence(clock);
        ClockWords words{tr("A delay of %1 is %2.").arg(frames, delayByClock(settled, use)),
                         tr("Settled with the %1 rate: %2 captured a second.")
                             .arg(originWord(settled.rate.origin), rateOf(settled))};
        if (a)
            words.second += QLatin1Char(' ') + disputeSentence(document, *a, *b, use);
        return words;
    }
    case session::ClockState::InDispute: return {disputeSentence(document, *a, *b, use), untilSettled(use)};
    case session::ClockState::Proposed:
        return {tr("Nothing contradicts the %1 rate of %2. By it a delay of %3 would be %4.")
                    .arg(originWord(ranked.front()->rate.origin), rateOf(*ranked.front()), frames,
                         delayByClock(*ranked.front(), use)),
                untilSettled(use)};
    case session::ClockState::Unknown: break;
    }
    return {tr("Nothing says at what rate this was captured. Stamps are playback time. Declare the rate that the "
               "camera was set to, or film a lamp of "
               "known frequency."),
            untilSettled(use)};
}

Standing standing(const session::Clock& clock, const session::ClockEvidence& evidence)
{
    const session::ClockEvidence* best = rankedEvidence(clock).front();
    const session::ClockEvidence* settled = session::settledEvidence(clock);
    if (&evidence == settled)
        return {false, &evidence == best ? tr("in use, best evidence") : tr("in use")};
    if (!settled && &evidence == best)
        return {false, tr("best evidence, proposed")};
    const session::ClockEvidence* used = settled ? settled : best;
    const double apart = evidence.rate.rate / used->rate.rate - 1;
    const QString by = apart == 0 ? tr("equal")
                                  : tr("%1 % %2").arg(QString::number(std::abs(apart) * 100, 'g', 2),
                                                      apart > 0 ? tr("faster") : tr("slower"));
    if (!timing::agree(used->rate, evidence.rate))
        return {true, tr("in dispute: %1").arg(by)};
    return {false, tr("agrees: %1").arg(by)};
}

} // namespace ui
