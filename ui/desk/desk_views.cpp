#include "ui/desk/desk_views.h"
#include "core/reading/footage_slips.h"
#include "core/reading/make_mark.h"
#include "ui/desk/reading_progress.h"

#include <QFileInfo>
#include <QRect>
#include <algorithm>
#include <iterator>

namespace ui {

using session::RegionKind;

namespace {

constexpr int restsAfter = 150;     // ms on one frame; a hand that looks at every frame takes 100
constexpr qint64 furthestStep = 64; // frames; whoever goes further at once has jumped, and may go on either way

bool sameFrames(const media::Footage& a, const media::Footage& b)
{
    return a.size == b.size
           && std::ranges::equal(a.frames, b.frames, {}, &media::FrameEntry::ordinal, &media::FrameEntry::ordinal);
}

} // namespace

DeskViews::DeskViews(SessionModel& model, FootagePool& pool, Captures& captures, DeskState& state, Views views,
                     QObject* parent)
    : QObject(parent), m_model(model), m_pool(pool), m_captures(captures), m_state(state), m_views(views),
      m_sincePress(pool)
{
    m_rest.setSingleShot(true);
    m_rest.setInterval(restsAfter);
    connect(&m_rest, &QTimer::timeout, this, &DeskViews::ask);
    connect(&m_views.frame, &FrameView::pictureTooSmall, this, [this] {
        m_rest.stop();
        ask();
    });
    connect(&m_views.frame, &FrameView::zoomChanged, this, &DeskViews::reduceFarOnes);
    connect(&m_views.reel, &FrameReel::framesChanged, this, [this] {
        fillReel();
        ask();
    });
    m_hintPause.setSingleShot(true);
    m_hintPause.setInterval(300);
    connect(&m_hintPause, &QTimer::timeout, this, &DeskViews::findHintsNow);
    connect(&state, &DeskState::captureChanged, this, &DeskViews::captureChanged);
    connect(&state, &DeskState::frameChanged, this, &DeskViews::frameChanged);
    connect(&state, &DeskState::trialChanged, this, [this] {
        showSeen();
        refreshMarks();
        m_views.pairs.refresh();
        showReel();
        compareAnew();
        ask();
    });
    connect(&state, &DeskState::regionsChanged, this, [this] {
        refreshTraces();
        showReel();
        compareAnew();
    });
    connect(&state, &DeskState::blindChanged, this, &DeskViews::findHintsNow);
    connect(&captures, &Captures::changed, this, &DeskViews::captureChanged);
    connect(&captures, &Captures::progressChanged, this, &DeskViews::captureChanged);
    connect(&pool, &FootagePool::confirmed, this, &DeskViews::framesMoved);
    connect(&pool, &FootagePool::pictureReady, this, &DeskViews::pictureReady);
    connect(&pool, &FootagePool::pictureFailed, this, &DeskViews::pictureFailed);
    connect(&pool, &FootagePool::traceGrew, this, [this](const QString& grown) {
        if (grown == path())
            refreshTraces();
    });
    connect(&m_sincePress, &ReferenceTrace::grew, this, &DeskViews::refreshSincePress);
    connect(&m_sincePress, &ReferenceTrace::failed, this, &DeskViews::problem);
    connect(&m_views.frame, &FrameView::frameShown, this, [this](qint64 frame) {
        m_shown = frame;
        if (caughtUp())
            emit shown();
    });
    captureChanged();
}

QString DeskViews::path() const
{
    const session::Capture* capture = m_state.capture();
    return capture ? m_model.footagePath(*capture) : QString();
}

/// Another capture, or its footage has become ready, is gone, or is another.
void DeskViews::captureChanged()
{
    const session::Capture* capture = m_state.capture();
    auto footage = capture ? m_pool.footage(path()) : nullptr;
    if (footage && !footage->confirmed && footage->frameCount() != capture->frames)
        footage = nullptr; // decoding is about to tell which frames these are
    const session::CaptureId id = capture ? capture->id : session::CaptureId{};
    if (id == m_capture && footage && m_open && sameFrames(*footage, *m_open)) {
        m_open = footage; // confirmed: what is shown stays
    } else if (id != m_capture || footage != m_open) {
        m_capture = id;
        m_open = footage;
        m_shown = m_given = -1;
        m_compared = {};
        m_before = m_state.frame().value;
        m_views.frame.setFootage(footage);
        m_views.reel.setFootage(footage);
        m_views.traces.setFrameCount(capture ? capture->frames.value : 0);
        m_hints.clear();
        m_hintsComplete = false;
        emit hintsChanged();
    }
    if (capture && !footage)
        showMessage(*capture, m_captures.status(*capture));
    m_views.traces.setFrame(m_state.frame().value);
    refreshTraces();
    showReel();
    showPicture();
    ask();
}

/// The picture in view keeps its place in the view under its new number; where it is no frame, the next one that is.
void DeskViews::framesMoved(const QString& at, const media::Confirmation& confirmation)
{
    const auto now = [&](timing::FrameNumber n) {
        for (auto scanned = static_cast<std::size_t>(n.value); scanned < confirmation.moved.size(); ++scanned)
            if (confirmation.moved[scanned])
                return *confirmation.moved[scanned];
        return n;
    };
    if (confirmation.moved.empty())
        return;
    for (const auto& [id, capture] : m_model.document()->captures)
        if (m_model.footagePath(*capture) == at)
            m_state.followFrames(id, now);
}

void DeskViews::showMessage(const session::Capture& capture, const Captures::Status& status)
{
    const QString name = QString::fromStdString(capture.name);
    switch (status.state) {
    case FootageState::Found:
    case FootageState::Scanned:
        if (!status.isUnderWay) {
            m_views.frame.setMessage(tr("%1 waits to be opened").arg(name));
            break;
        }
        m_views.frame.setMessage(tr("Numbering the frames of %1").arg(name), {}, status.progress);
        break;
    case FootageState::Absent:
    case FootageState::Changed:
    case FootageState::Failed:
        m_views.frame.setMessage(
            tr("The footage of %1 can't be shown").arg(name),
            tr("%1 Footage > Relink tells where it is now. Marks and their crops stay.").arg(status.sentence));
        break;
    case FootageState::Viewable:
    case FootageState::Confirmed: break;
    }
}

/// While blind: nothing of the traces beyond the frames that were in view.
void DeskViews::showSeen()
{
    if (!m_state.blind()) {
        m_seenIn = {};
        m_views.traces.setBlind(std::nullopt);
        m_views.reel.setBlind(std::nullopt);
        return;
    }
    if (m_state.trialId() != m_seenIn) {
        m_seenIn = m_state.trialId();
        m_seenUpTo = m_state.firstFrame().value;
    }
    m_seenUpTo = std::max(m_seenUpTo, m_state.frame().value);
    m_views.traces.setBlind(m_seenUpTo);
    m_views.reel.setBlind(std::pair(m_state.firstFrame().value, m_seenUpTo));
}

void DeskViews::frameChanged()
{
    showSeen();
    m_views.traces.setFrame(m_state.frame().value);
    m_rest.start();
    showPicture();
    showReel();
    ask();
    m_before = m_state.frame().value;
}

void DeskViews::setFlipped(std::optional<timing::FrameNumber> of)
{
    m_views.pairs.setFlipped(of);
    m_views.pairs.refresh();
}

void DeskViews::showPicture()
{
    const timing::FrameNumber n = m_state.frame();
    if (m_open)
        if (const media::CachedPicture picture = m_pool.shown(path(), n); isWanting(picture))
            give(picture, n);
    m_views.pairs.refresh();
}

/// Whether the view should get this picture of the frame in view: where it is compared, both native.
bool DeskViews::isWanting(const media::CachedPicture& picture)
{
    const timing::FrameNumber n = m_state.frame();
    const bool isNews = m_given != n.value || (!m_givenNative && picture.native());
    if (!isNews || !m_views.frame.canShow(picture))
        return false;
    const auto before = comparedWith(n).frame;
    return !before || (picture.native() && (pictureBefore(*before) || m_compared.isUnshowable));
}

void DeskViews::setComparison(Comparison with)
{
    m_comparison = with;
    m_views.frame.setComparing(with != Comparison::None);
    compareAnew();
    ask();
}

/// What the frame in view is compared with may be another, or no longer.
void DeskViews::compareAnew()
{
    m_given = -1;
    showPicture();
}

DeskViews::Compared DeskViews::comparedWith(timing::FrameNumber n) const
{
    if (m_comparison == Comparison::None)
        return {};
    if (!m_state.region(RegionKind::Screen))
        return {{}, tr("Draw the screen region first (S): what changes in it is shown")};
    const bool sincePress = m_comparison == Comparison::Press;
    const session::Reading* reading = m_state.reading();
    if (sincePress && !(reading && reading->press))
        return {{}, tr("Mark the press first (F): the change is shown since the frame before it")};
    const timing::FrameNumber before = (sincePress ? reading->press->frame : n) - timing::FrameCount{1};
    if (before.value < 0)
        return {{},
                sincePress ? tr("The press is the first frame: there is none before it")
                           : tr("This is the first frame: there is none before it")};
    if (before == n)
        return {{}, tr("The last frame before the press: later ones are compared with this one")};
    const std::int64_t number = (before - m_state.firstFrame()).value;
    return {before, sincePress ? tr("Change since frame %1, the last before the press").arg(number)
                               : tr("Change since frame %1").arg(number)};
}

media::Picture DeskViews::pictureBefore(timing::FrameNumber n)
{
    if (m_compared.frame != n.value)
        m_compared = {n.value, {}, false};
    if (!m_compared.picture)
        m_compared.picture = m_pool.picture(path(), n);
    return m_compared.picture;
}

std::optional<FrameView::Against> DeskViews::against(timing::FrameNumber n)
{
    if (m_comparison == Comparison::None)
        return {};
    const Compared with = comparedWith(n);
    if (!with.frame)
        return FrameView::Against{{}, {}, with.words};
    const media::Picture before = pictureBefore(*with.frame);
    if (!before)
        return FrameView::Against{{},
                                  {},
                                  tr("Frame %1 can't be shown, so nothing is compared with it")
                                      .arg((*with.frame - m_state.firstFrame()).value)};
    FrameView::Against against{before, reading::rectOf(*m_state.region(RegionKind::Screen)), with.words};
    for (const reading::HintPair& pair : m_hints)
        if (pair.response && pair.response->frame == n)
            against.hinted = pair.response->blocks;
    return against;
}

/// Of a region so large that its close-up shows little: where the hinted response of the trial at hand, else of the
/// press before the frame in view, changes it.
std::optional<media::Rect> DeskViews::hintedPart(const media::Rect& region) const
{
    constexpr int least = 120, around = 16; // pixels
    const session::Reading* reading = m_state.reading();
    const reading::HintPair* pair = nullptr;
    for (const reading::HintPair& one : m_hints)
        if (reading && reading->press ? reading::belongsTo(one, reading->press->frame)
                                      : one.press.frame <= m_state.frame())
            pair = &one;
    if (!pair || !pair->response || pair->response->blocks.empty())
        return {};
    QRect all;
    for (const media::Rect& block : pair->response->blocks)
        all |= QRect(block.x, block.y, block.width, block.height);
    const int wide = std::max(0, (least - all.width()) / 2), high = std::max(0, (least * 3 / 4 - all.height()) / 2);
    all.adjust(-std::max(wide, around), -std::max(high, around), std::max(wide, around), std::max(high, around));
    all &= QRect(region.x, region.y, region.width, region.height);
    if (all.isEmpty() || all.width() * 3 > region.width * 2)
        return {};
    return media::Rect{all.x(), all.y(), all.width(), all.height()};
}

void DeskViews::showReel()
{
    const session::Capture* capture = m_state.capture();
    const auto rectOfKind = [this](RegionKind kind) {
        const session::Region* region = m_state.region(kind);
        return region ? std::optional(reading::rectOf(*region)) : std::nullopt;
    };
    const std::optional<media::Rect> screen = rectOfKind(RegionKind::Screen);
    const std::optional<media::Rect> part = screen ? hintedPart(*screen) : std::nullopt;
    m_views.reel.setPlaces(rectOfKind(RegionKind::Lamp), part ? part : screen,
                           m_open ? PictureGeometry(m_open->size, m_open->rotation, m_open->pixelAspect.toDouble())
                                  : PictureGeometry(),
                           part.has_value());
    m_views.reel.setFrame(m_state.frame().value, capture ? capture->frames.value : 0);
}

/// With what the cache has.
void DeskViews::fillReel()
{
    for (const timing::FrameNumber n : m_views.reel.frames())
        if (m_open && m_views.reel.wants(n))
            m_views.reel.setPicture(n, m_pool.shown(path(), n));
}

/// The frame in view first, then its pair, then what the marks show; what is there already isn't asked for again.
void DeskViews::ask()
{
    if (!m_open)
        return;
    const QString at = path();
    const timing::FrameNumber n = m_state.frame();
    // While travelling a reduced picture will do, unless what is in view shows more than it has.
    const media::CachedPicture inView = m_pool.shown(at, n);
    // What is compared is compared as it is.
    const auto before = comparedWith(n).frame;
    const bool travels = m_rest.isActive() && !before && (!inView || m_views.frame.canShow(inView));
    std::vector<timing::FrameNumber> wanted{n};
    if (before && !pictureBefore(*before) && !m_compared.isUnshowable)
        wanted.push_back(*before);
    std::vector<timing::FrameNumber> others = m_views.pairs.frames();
    if (n.value > 0)
        others.insert(others.begin(), n - timing::FrameCount{1});
    for (const timing::FrameNumber shown : m_views.reel.frames())
        if (m_views.reel.wants(shown))
            others.push_back(shown);
    for (const timing::FrameNumber other : others)
        if (const media::CachedPicture known = m_pool.shown(at, other); travels ? !known : !known.native())
            wanted.push_back(other);
    if (m_rest.isActive())
        m_way = n.value - m_before;
    const int direction = m_way > 0 ? 1 : m_way < 0 ? -1 : 0;
    using Detail = media::FrameService::Detail;
    m_pool.want(at, wanted, std::abs(m_way) > furthestStep ? 0 : direction, travels ? Detail::Reduced : Detail::Native);
    reduceFarOnes();
}

/// To what this view and the pairs show, so that more of a large film fits in the cache.
void DeskViews::reduceFarOnes()
{
    if (!m_open)
        return;
    media::Reduction how;
    // A view that is zoomed in shows part of the picture as it is; the factor then is for going back to all of it.
    const double scale = m_views.frame.isFitted() ? m_views.frame.scale() : std::min(1.0, m_views.frame.scale());
    if (scale > 0)
        how.factor = std::clamp(static_cast<int>(std::floor(1 / scale + 1e-6)), 1, 8);
    how.whole = m_views.pairs.shownRects();
    std::ranges::copy(m_views.reel.shownRects(), std::back_inserter(how.whole));
    if (!m_views.frame.isFitted())
        how.whole.push_back(m_views.frame.visible());
    m_pool.setReduction(path(), how);
}

void DeskViews::give(const media::CachedPicture& picture, timing::FrameNumber n)
{
    m_given = n.value;
    m_givenNative = static_cast<bool>(picture.native());
    m_views.frame.setPicture(picture, n, against(n));
}

void DeskViews::pictureReady(const QString& at, qint64 frame)
{
    if (at != path() || !m_open)
        return;
    m_views.reel.setPicture({frame}, m_pool.shown(at, {frame}));
    showPicture(); // it may be the one in view, or what that is compared with
}

void DeskViews::pictureFailed(const QString& at, qint64 frame, const QString& sentence)
{
    if (at == path() && frame == m_compared.frame) {
        m_compared.isUnshowable = true;
        showPicture();
    }
    if (at != path() || frame != m_state.frame().value)
        return;
    m_views.frame.setMessage(tr("Frame %1 can't be shown").arg(frame), sentence);
    m_shown = frame; // stepping goes on past it
    m_given = -1;
    m_views.pairs.setUnshowable(at, {frame});
    m_views.pairs.refresh();
    emit failed();
}

std::optional<timing::FrameNumber> DeskViews::shownFrame() const
{
    return m_shown < 0 ? std::nullopt : std::optional(timing::FrameNumber{m_shown});
}

TraceView::TracePtr DeskViews::traceOf(RegionKind kind) const
{
    const session::Region* region = m_state.region(kind);
    return m_open && region ? m_pool.trace(path(), reading::rectOf(*region)) : nullptr;
}

void DeskViews::refreshTraces()
{
    m_views.traces.setTraces(traceOf(RegionKind::Lamp), traceOf(RegionKind::Screen));
    QString fault;
    for (const RegionKind kind : {RegionKind::Lamp, RegionKind::Screen})
        if (const session::Region* region = m_state.region(kind); m_open && region && fault.isEmpty())
            fault = m_pool.traceFault(path(), reading::rectOf(*region));
    m_views.traces.setFault(fault);
    if (!m_hintPause.isActive())
        m_hintPause.start();
    refreshMarks();
}

/// One search at a time: traces grow faster than it goes, and what came meanwhile is looked at afterwards.
void DeskViews::findHintsNow()
{
    if (m_finding) {
        m_findAgain = true;
        return;
    }
    const session::Region* screen = m_state.region(RegionKind::Screen);
    const auto lampTrace = traceOf(RegionKind::Lamp), screenTrace = traceOf(RegionKind::Screen);
    const auto take = [this](std::vector<reading::HintPair> hints, std::int64_t upTo, bool complete) {
        m_hints = std::move(hints);
        m_hintsUpTo = upTo;
        m_hintsComplete = complete;
        refreshMarks();
        showReel();
        emit hintsChanged();
    };
    if (!lampTrace || m_state.blind()) {
        take({}, 0, false);
        return;
    }
    const session::Capture& shown = *m_state.capture();
    const auto isWhole = [&](const auto& trace) { return trace && std::ssize(*trace) == shown.frames.value; };
    const bool complete = isWhole(lampTrace) && (!screen || isWhole(screenTrace));
    m_finding = true;
    const auto found = [this, take, complete, capture = m_state.captureId(),
                        upTo = std::ssize(*lampTrace)](std::vector<reading::HintPair> hints) {
        m_finding = false;
        const bool again = std::exchange(m_findAgain, false);
        if (capture == m_state.captureId() && !m_state.blind())
            take(std::move(hints), upTo, complete);
        if (again || capture != m_state.captureId())
            findHintsNow();
    };
    m_worker.run(
        [lampTrace, screenTrace, region = screen ? reading::rectOf(*screen) : media::Rect{},
         event = m_model.document()->settings.event.lamp](const std::stop_token&) {
            return reading::findHints(*lampTrace, screenTrace ? *screenTrace : media::Trace{}, region, event);
        },
        found,
        [this, found](const QString& sentence) {
            emit problem(sentence);
            found({});
        });
}

void DeskViews::findSlips()
{
    m_slipsAsked.request_stop();
    const auto take = [this](const std::vector<std::string>& sentences) {
        QStringList slips;
        for (const std::string& sentence : sentences)
            slips << QString::fromStdString(sentence);
        if (slips != std::exchange(m_slips, slips))
            emit footageSlipsChanged();
    };
    const session::Reading* reading = m_state.reading();
    const auto lampTrace = traceOf(RegionKind::Lamp), screenTrace = traceOf(RegionKind::Screen);
    constexpr std::int64_t after = 24; // frames by which a press shows
    if (!lampTrace || !screenTrace || m_state.blind() || !reading || !reading->press
        || reading->press->frame.value + after > m_hintsUpTo) {
        take({});
        return;
    }
    reading::MarkedFrames marks{reading->press->frame, {}};
    if (reading->response)
        marks.response = reading->response->frame;
    m_slipsAsked = m_worker.run(
        [lampTrace, screenTrace, region = reading::rectOf(*m_state.region(RegionKind::Lamp)), hints = m_hints, marks](
            const std::stop_token&) { return reading::footageSlips(*lampTrace, *screenTrace, region, hints, marks); },
        take, [this](const QString& sentence) { emit problem(sentence); });
}

/// Marks of the trial at hand; where one is missing, the hint for it.
void DeskViews::refreshMarks()
{
    const session::Document& document = *m_model.document();
    QVector<TraceTrial> trials;
    for (const session::Trial* trial : session::trialsOf(document, m_state.captureId()))
        if (const session::Reading* reading = session::countingReading(*trial); reading && reading->press)
            trials << TraceTrial{QString::number(trials.size() + 1), reading->press->frame.value,
                                 trial->id == m_state.trialId()};
    m_views.traces.setTrials(trials);

    QVector<TraceMark> marks;
    const session::Reading* reading = m_state.reading();
    const auto hintWords = [](const reading::Hint& hint) {
        return hint.strong() ? tr("hint %1, strong").arg(hint.frame.value) : tr("hint %1").arg(hint.frame.value);
    };
    if (reading && reading->press)
        marks << TraceMark{RegionKind::Lamp, reading->press->frame.value, true, {}};
    if (reading && reading->response)
        marks << TraceMark{RegionKind::Screen, reading->response->frame.value, true, {}};
    for (const reading::HintPair& pair : m_hints) {
        const bool marked = reading && reading->press;
        if (!marked)
            marks << TraceMark{RegionKind::Lamp, pair.press.frame.value, false, hintWords(pair.press)};
        // With the press marked only the reaction that belongs to it is of use.
        const bool belongs = !marked || reading::belongsTo(pair, reading->press->frame);
        if (pair.response && belongs && !(reading && (reading->response || reading->noReaction)))
            marks << TraceMark{RegionKind::Screen, pair.response->frame.value, false, hintWords(*pair.response)};
    }
    m_views.traces.setMarks(marks);
    m_views.reel.setMarks(marks);
    refreshSincePress();
    findSlips();
}

/// What moved in the screen region since just before the press that is marked.
void DeskViews::refreshSincePress()
{
    constexpr timing::FrameCount before{2}, after{480}; // the press frame itself may be lit already
    const session::Region* screen = m_state.region(RegionKind::Screen);
    const session::Reading* reading = m_state.reading();
    ReferenceTrace::Wish wish;
    if (m_open && !m_state.blind() && screen && reading && reading->press
        && reading->press->frame.value < m_open->frameCount().value)
        wish = {path(), m_open, reading::rectOf(*screen),
                std::max(timing::FrameNumber{}, reading->press->frame - before), before + after};
    m_sincePress.want(wish);
    m_views.traces.setSinceReference(wish.footage ? m_sincePress.known() : nullptr, wish.reference.value);
}

} // namespace ui
