#include "ui/desk/evidence_pairs.h"
#include "core/session/evidence_store.h"
#include "core/reading/make_mark.h"
#include "ui/footage/trace_view.h"
#include "ui/look/own_keys.h"
#include "ui/look/panel.h"
#include "ui/model/file_paths.h"

#include <QVBoxLayout>

namespace ui {

using session::RegionKind;

EvidencePairs::EvidencePairs(SessionModel& model, FootagePool& pool, Captures& captures, DeskState& state,
                             QWidget* parent)
    : QWidget(parent), m_model(model), m_pool(pool), m_captures(captures), m_state(state)
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    for (Side* side : {&m_lamp, &m_screen}) {
        const bool lamp = side == &m_lamp;
        side->kind = lamp ? RegionKind::Lamp : RegionKind::Screen;
        side->panel = new Panel(lamp ? tr("Lamp") : tr("Screen"));
        side->view = new PairView(side->kind);
        side->panel->body()->addWidget(side->view);
        column->addWidget(side->panel);
    }
    connect(&model, &SessionModel::sessionReplaced, this, [this] {
        m_worker.stop();
        m_crops.clear();
    });
}

void EvidencePairs::setBrightness(double gain, double gamma)
{
    m_lamp.view->setBrightness(gain, gamma);
    m_screen.view->setBrightness(gain, gamma);
}

void EvidencePairs::setFlipped(std::optional<timing::FrameNumber> frame)
{
    m_flipped = frame;
    m_lamp.view->setFlipped(frame.has_value());
    m_screen.view->setFlipped(frame.has_value());
}

void EvidencePairs::setUnshowable(const QString& path, timing::FrameNumber n) { m_unshowable.insert({path, n}); }

timing::FrameNumber EvidencePairs::inView() const { return m_flipped.value_or(m_state.frame()); }

std::vector<timing::FrameNumber> EvidencePairs::frames() const
{
    std::vector<timing::FrameNumber> all;
    if (const session::Reading* reading = m_state.reading())
        for (const auto* mark : {&reading->press, &reading->response})
            if (*mark) {
                all.push_back((*mark)->frame);
                if ((*mark)->frame.value > 0)
                    all.push_back((*mark)->frame - timing::FrameCount{1});
            }
    return all;
}

std::vector<media::Rect> EvidencePairs::shownRects() const
{
    std::vector<media::Rect> rects;
    for (const Side* side : {&m_lamp, &m_screen})
        if (const media::Rect rect = side->view->shownRect(); rect.width > 0)
            rects.push_back(rect);
    return rects;
}

void EvidencePairs::refresh()
{
    refreshSide(m_lamp);
    refreshSide(m_screen);
}

PairView::Half EvidencePairs::half(timing::FrameNumber n, const QString& caption, const std::string& crop)
{
    PairView::Half half;
    half.caption = caption;
    if (n >= m_state.firstFrame()) // the frame before an excerpt has no number in it
        half.frame = (n - m_state.firstFrame()).value;
    const session::Capture* capture = m_state.capture();
    const QString path = m_model.footagePath(*capture);
    half.picture = m_pool.shown(path, n);
    if (!half.picture && !crop.empty())
        half.stored = stored(crop);
    half.coming = m_pool.footage(path) && !m_unshowable.contains({path, n});
    return half;
}

void EvidencePairs::refreshSide(const Side& side)
{
    const bool lamp = side.kind == RegionKind::Lamp;
    const session::Capture* capture = m_state.capture();
    const session::Region* region = m_state.region(side.kind);
    const session::Reading* reading = m_state.reading();
    const std::optional<session::Mark>* mark = reading ? lamp ? &reading->press : &reading->response : nullptr;
    const bool marked = mark && mark->has_value();
    const QString lastBefore = lamp ? tr("last dark") : tr("last before");
    const QString firstAt = lamp ? tr("first lit") : tr("first reaction");
    side.panel->setShape(markShape(side.kind, marked));
    side.view->setMarked(marked);
    if (!capture || !region) {
        side.panel->setTrailing(
            capture
                ? tr("no region yet: %1 draws it").arg(keys::ownCap(lamp ? QStringLiteral("L") : QStringLiteral("S")))
                : tr("no region yet"));
        side.view->setRegion({}, {});
        side.view->setHalves({lastBefore, {}, {}, {}}, {firstAt, {}, {}, {}});
        return;
    }
    const bool noReaction = !lamp && reading && reading->noReaction;
    side.panel->setTrailing(marked       ? lamp ? tr("press marked") : tr("response marked")
                                  : noReaction ? tr("no reaction")
                            : lamp       ? tr("press not marked yet")
                                         : tr("response not marked yet"));

    const auto footage = m_pool.footage(m_model.footagePath(*capture));
    const media::Size native{capture->width, capture->height};
    side.view->setRegion(reading::rectOf(*region),
                         footage ? PictureGeometry(native, footage->rotation, footage->pixelAspect.toDouble())
                                 : PictureGeometry(native, 0, 1));
    const timing::FrameNumber at = marked ? (*mark)->frame : inView();
    const session::Crops crops = marked ? (*mark)->crops : session::Crops{};
    PairView::Half before;
    if (at.value > 0)
        before = half(at - timing::FrameCount{1}, marked ? lastBefore : tr("frame before"),
                      lamp ? crops.lampBefore : crops.screenBefore);
    else
        before.caption = tr("no frame before");
    side.view->setHalves(before, half(at, marked ? firstAt : tr("in view"), lamp ? crops.lampAt : crops.screenAt));
}

/// Read off the window's thread; what can't be read stays a dashed box and is told once by the session's check.
QImage EvidencePairs::stored(const std::string& sha256)
{
    if (const auto known = m_crops.find(sha256); known != m_crops.end())
        return known->second;
    const auto evidence = m_model.evidence();
    if (!evidence)
        return {}; // the session is being closed
    m_crops[sha256] = {};
    m_worker.run(
        [evidence, sha256](std::stop_token) {
            const auto png = evidence->load(sha256);
            return png ? QImage::fromData(png->data(), static_cast<int>(png->size())) : QImage();
        },
        [this, sha256](const QImage& image) {
            m_crops[sha256] = image;
            if (!image.isNull())
                refresh();
        },
        [this](const QString& sentence) { emit m_model.problem(sentence); });
    return {};
}

} // namespace ui
