#include "ui/evidence/evidence_stills.h"
#include "core/error.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/picture/rendition.h"
#include "ui/evidence/evidence_pieces.h"

#include <algorithm>

namespace ui {
namespace {

using Form = ChartPiece::Form;

constexpr int titleSize = 60;
constexpr qreal groupGap = 56;
constexpr int framesBefore = 2, framesAfter = 1; ///< of each mark

QImage cropOf(const media::Picture& picture, const session::Region& region, int rotation)
{
    media::View view;
    view.source = {region.x, region.y, region.width, region.height};
    view.rotation = rotation;
    return imageOf(media::render(picture, view));
}

/// One frame of the strip.
struct Cell {
    QImage lamp, screen; ///< null: no region
    QString number, time;
    bool marked = false;
};

struct Group {
    MarkedEvent event;
    std::vector<Cell> cells;
};

Group fromFootage(const TrialEvidence& evidence, MarkedEvent event, media::FrameReader& reader,
                  const std::stop_token& stop)
{
    const timing::FrameNumber mark = event == MarkedEvent::Press ? evidence.press : evidence.response;
    Group group{event, {}};
    const std::int64_t first = std::max<std::int64_t>(0, mark.value - framesBefore);
    const std::int64_t last = std::min(reader.footage().frameCount().value - 1, mark.value + framesAfter);
    for (std::int64_t n = first; n <= last; ++n) {
        const timing::FrameNumber frame{n};
        const media::Picture picture = reader.read(frame, stop);
        Cell cell{{}, {}, QString::number(n), evidence.afterPress(frame), frame == mark};
        if (evidence.lamp.width > 0)
            cell.lamp = cropOf(picture, evidence.lamp, reader.footage().rotation);
        if (evidence.screen.width > 0)
            cell.screen = cropOf(picture, evidence.screen, reader.footage().rotation);
        group.cells.push_back(std::move(cell));
    }
    return group;
}

QImage loaded(session::EvidenceStore& crops, const std::string& hash)
{
    if (hash.empty())
        return {};
    const auto bytes = crops.load(hash);
    return bytes
               ? QImage::fromData(bytes->data(), static_cast<int>(bytes->size())).convertToFormat(QImage::Format_RGB32)
               : QImage();
}

Group fromCrops(const TrialEvidence& evidence, MarkedEvent event, session::EvidenceStore& store)
{
    const bool press = event == MarkedEvent::Press;
    const timing::FrameNumber mark = press ? evidence.press : evidence.response;
    const session::Crops& crops = press ? evidence.pressCrops : evidence.responseCrops;
    Group group{event, {}};
    const auto add = [&](timing::FrameNumber frame, const std::string& lamp, const std::string& screen, bool marked) {
        Cell cell{loaded(store, lamp), loaded(store, screen), QString::number(frame.value), evidence.afterPress(frame),
                  marked};
        if (!cell.lamp.isNull() || !cell.screen.isNull())
            group.cells.push_back(std::move(cell));
    };
    if (mark.value > 0)
        add(mark - timing::FrameCount{1}, crops.lampBefore, crops.screenBefore, false);
    add(mark, crops.lampAt, crops.screenAt, true);
    return group;
}

/// Configuration, trial and delay; what room is left.
QRectF addHead(ChartScene& scene, const TrialEvidence& evidence, const QString& what, const ChartStyle& style)
{
    const Typeface& face = style.theme.face;
    QRectF room = safeAreaOf(scene.size);
    qreal y = room.top();
    const auto add = [&](const QString& text, ChartPart part, ChartWeight weight, int size, const QColor& colour) {
        for (const QString& line : face.wrapped(text, weight, size, room.width())) {
            addWords(scene, face, line, part, weight, size, colour, {room.left(), y + chartAscent * size});
            y += 1.2 * size;
        }
    };
    add(evidence.configuration + QStringLiteral(": ") + evidence.delay, ChartPart::Title, ChartWeight::Bold, titleSize,
        style.theme.palette.text);
    add(evidence.name + QStringLiteral(", ") + what, ChartPart::Subtitle, ChartWeight::Regular, evidenceText,
        style.theme.palette.quietText);
    room.setTop(y + evidenceGap);
    return room;
}

/// Sign and word of an event; where what follows begins.
qreal addHeading(ChartScene& scene, MarkedEvent event, const ChartStyle& style, QPointF at)
{
    addSign(scene, event, QRectF(at.x(), at.y() + 10, 28, 28), eventColour(event, style.theme.palette.background));
    addWords(scene, style.theme.face, eventWord(event), ChartPart::Group, ChartWeight::Semibold, evidenceText,
             style.theme.palette.text, at + QPointF(40, chartAscent * evidenceText));
    return at.y() + evidencePitch + evidenceGap / 2;
}

/// For press and response: beside each other where the room is wide.
std::vector<QRectF> halvesOf(const QRectF& room)
{
    return partsOf(room, 2, groupGap, room.width() > 1.3 * room.height());
}

void addGroup(ChartScene& scene, const Group& group, const QRectF& room, const ChartStyle& style)
{
    const ChartPalette& palette = style.theme.palette;
    const qreal top = addHeading(scene, group.event, style, room.topLeft());
    const bool hasLamp = std::ranges::any_of(group.cells, [](const Cell& c) { return !c.lamp.isNull(); });
    const bool hasScreen = std::ranges::any_of(group.cells, [](const Cell& c) { return !c.screen.isNull(); });
    const qreal columns = static_cast<qreal>(std::max<std::size_t>(1, group.cells.size()));
    const qreal width = (room.width() - (columns - 1) * evidenceGap) / columns;
    const qreal rows = hasLamp + hasScreen;
    const qreal height =
        std::min(width, (room.bottom() - top - 2 * evidencePitch - (rows - 1) * evidenceGap) / std::max(1.0, rows));
    for (std::size_t i = 0; i < group.cells.size(); ++i) {
        const Cell& cell = group.cells[i];
        const qreal x = room.left() + static_cast<qreal>(i) * (width + evidenceGap);
        qreal y = top;
        const auto place = [&](const QImage& image, bool decides) {
            const QRectF box(x, y, width, height);
            addForm(scene, Form::Rectangle, ChartPart::Frame, palette.grid, box);
            if (!image.isNull()) {
                const QSizeF size = QSizeF(image.size()).scaled(box.size(), Qt::KeepAspectRatio);
                addPicture(scene, ChartPart::Picture, image,
                           QRectF(box.center() - QPointF(size.width(), size.height()) / 2, size));
            }
            if (cell.marked && decides)
                addRing(scene, box, 6, eventColour(group.event, palette.background));
            y += height + evidenceGap;
        };
        if (hasLamp)
            place(cell.lamp, group.event == MarkedEvent::Press);
        if (hasScreen)
            place(cell.screen, group.event == MarkedEvent::Response);
        const ChartWeight weight = cell.marked ? ChartWeight::Bold : ChartWeight::Regular;
        addWords(scene, style.theme.face, cell.number, ChartPart::Detail, weight, evidenceText, palette.text,
                 {x, y + chartAscent * evidenceText - evidenceGap / 2});
        addWords(scene, style.theme.face, cell.time, ChartPart::Detail, weight, evidenceText, palette.quietText,
                 {x, y + chartAscent * evidenceText - evidenceGap / 2 + evidencePitch});
    }
}

} // namespace

ChartScene evidenceStrip(const TrialEvidence& evidence, const ChartStyle& style, session::EvidenceStore* crops,
                         const std::stop_token& stop)
{
    std::vector<Group> groups;
    if (evidence.footage) {
        media::FrameReader reader(evidence.footage, stop);
        for (const MarkedEvent event : {MarkedEvent::Press, MarkedEvent::Response})
            groups.push_back(fromFootage(evidence, event, reader, stop));
    } else if (crops) {
        for (const MarkedEvent event : {MarkedEvent::Press, MarkedEvent::Response})
            groups.push_back(fromCrops(evidence, event, *crops));
    }
    if (groups.empty() || std::ranges::any_of(groups, [](const Group& group) { return group.cells.empty(); }))
        throw core::Error(core::ErrorKind::NotFound, "There are no pictures of " + evidence.name.toStdString()
                                                         + ": its marks kept no crops, and its footage can't be read. "
                                                         + evidence.noFootage);
    ChartScene scene = emptyScene(style);
    const QRectF room = addHead(scene, evidence, QStringLiteral("camera frames from press to response"), style);
    const std::size_t below = scene.pieces.size();
    const std::vector<QRectF> halves = halvesOf(room);
    for (std::size_t i = 0; i < 2; ++i)
        addGroup(scene, groups[i], halves[i], style);
    centreBelow(scene, below, room);
    return scene;
}

ChartScene evidencePair(const TrialEvidence& evidence, const ChartStyle& style, const std::stop_token& stop)
{
    ChartScene scene = emptyScene(style);
    const QRectF room = addHead(scene, evidence, QStringLiteral("press and response"), style);
    const std::size_t below = scene.pieces.size();
    media::FrameReader reader(evidence.footage, stop);
    const std::vector<QRectF> halves = halvesOf(room);
    for (const MarkedEvent event : {MarkedEvent::Press, MarkedEvent::Response}) {
        const QRectF& half = halves[event == MarkedEvent::Press ? 0 : 1];
        const timing::FrameNumber frame = event == MarkedEvent::Press ? evidence.press : evidence.response;
        media::View view;
        view.rotation = evidence.footage->rotation;
        const QImage image = imageOf(media::render(reader.read(frame, stop), view));
        const qreal top = addHeading(scene, event, style, half.topLeft());
        const QSizeF size = shownShape(*evidence.footage)
                                .scaled({half.width(), half.bottom() - top - 2 * evidencePitch}, Qt::KeepAspectRatio);
        addPicture(scene, ChartPart::Picture, image, {{half.left(), top}, size});
        const QPointF words(half.left(), top + size.height() + chartAscent * evidenceText + evidenceGap / 2);
        addWords(scene, style.theme.face, QStringLiteral("camera frame %1").arg(frame.value), ChartPart::Detail,
                 ChartWeight::Semibold, evidenceText, style.theme.palette.text, words);
        addWords(scene, style.theme.face, evidence.afterPress(frame), ChartPart::Detail, ChartWeight::Regular,
                 evidenceText, style.theme.palette.quietText, words + QPointF(0, evidencePitch));
    }
    centreBelow(scene, below, room);
    return scene;
}

} // namespace ui
