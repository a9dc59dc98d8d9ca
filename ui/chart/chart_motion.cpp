#include "ui/chart/chart_motion.h"
#include "core/error.h"
#include "core/media/encode/movie_writer.h"
#include "ui/chart/chart_painter.h"

#include <QPainter>
#include <algorithm>
#include <cmath>
#include <map>

namespace ui {
namespace {

constexpr double holdAtStart = 0.05, holdAtEnd = 0.2; ///< shares of the time
// Shares of a lane's time.
constexpr double wordsDone = 0.15, barFrom = 0.05, barDone = 0.5, dotsFrom = 0.25, dotsDone = 0.75;
constexpr double intervalFrom = 0.7, intervalDone = 0.9, valueFrom = 0.85;
constexpr double dotFade = 0.12, fall = 26, openInterval = 0.8;

double ramp(double p, double from, double to) { return std::clamp((p - from) / (to - from), 0.0, 1.0); }

bool isDot(const ChartPiece& piece) { return piece.part == ChartPart::Dot || piece.part == ChartPart::Ring; }

/// Pieces that stand from the first frame on.
bool isStill(const ChartPiece& piece)
{
    switch (piece.part) {
    case ChartPart::Group:
    case ChartPart::Grid:
    case ChartPart::Axis:
    case ChartPart::Band: return true;
    default: return piece.lane < 0 && piece.part != ChartPart::Baseline;
    }
}

} // namespace

ChartMotion::ChartMotion(ChartScene scene, const std::vector<session::ConfigurationId>& order,
                         session::ConfigurationId baseline, const MotionSettings& settings)
    : m_scene(std::move(scene)), m_settings(settings),
      m_frames(std::max(1, static_cast<int>(std::lround(settings.seconds * settings.rate))))
{
    const auto place = [&](session::ConfigurationId id) { return std::ranges::find(order, id) - order.begin(); };
    std::vector<int> lanes(m_scene.lanes.size());
    for (std::size_t i = 0; i < lanes.size(); ++i)
        lanes[i] = static_cast<int>(i);
    std::ranges::stable_sort(lanes, {}, [&](int lane) { return place(m_scene.lanes[static_cast<std::size_t>(lane)]); });
    m_turn.resize(lanes.size());
    for (std::size_t turn = 0; turn < lanes.size(); ++turn)
        m_turn[static_cast<std::size_t>(lanes[turn])] = static_cast<int>(turn);
    const auto found = std::ranges::find(m_scene.lanes, baseline);
    if (found != m_scene.lanes.end())
        m_baselineLane = static_cast<int>(found - m_scene.lanes.begin());

    std::map<int, int> dots, landed;
    std::map<int, std::pair<double, double>> intervals;
    for (const ChartPiece& piece : m_scene.pieces) {
        dots[piece.lane] += piece.part == ChartPart::Dot;
        if (piece.part != ChartPart::Interval) // inner marks open with it, about the same centre
            continue;
        const auto [entry, added] = intervals.try_emplace(piece.lane, piece.box.left(), piece.box.right());
        entry->second.first = std::min(entry->second.first, piece.box.left());
        entry->second.second = std::max(entry->second.second, piece.box.right());
    }
    for (const ChartPiece& piece : m_scene.pieces) {
        const double all = std::max(1, dots[piece.lane]);
        m_landing.push_back(isDot(piece) ? landed[piece.lane] / all : 0); // a ring comes right before its dot
        landed[piece.lane] += piece.part == ChartPart::Dot;
        const auto interval = intervals.find(piece.lane);
        m_centre.push_back(interval == intervals.end() ? 0 : (interval->second.first + interval->second.second) / 2);
    }
}

double ChartMotion::progressOf(int lane, int frame) const
{
    if (lane < 0)
        return 1;
    const double t = (frame + 1.0) / m_frames, lanes = static_cast<double>(m_turn.size());
    const double each = (1 - holdAtStart - holdAtEnd) / lanes;
    const double begin = holdAtStart + each * m_turn[static_cast<std::size_t>(lane)];
    return ramp(t, begin, begin + each);
}

bool ChartMotion::moved(ChartPiece& piece, std::size_t index, int frame) const
{
    if (isStill(piece))
        return true;
    const int lane = piece.part == ChartPart::Baseline ? m_baselineLane : piece.lane;
    const double p = progressOf(lane, frame);
    if (p <= 0)
        return false;
    const auto eased = [&](double x) { return m_settings.easing == Easing::Even ? x : x * x * (3 - 2 * x); };
    const auto fade = [&](double share) {
        piece.fill.setAlphaF(static_cast<float>(piece.fill.alphaF() * share));
        return share > 0;
    };
    switch (piece.part) {
    case ChartPart::Bar: piece.box.setWidth(piece.box.width() * eased(ramp(p, barFrom, barDone))); return p > barFrom;
    case ChartPart::Box:
    case ChartPart::Whisker:
    case ChartPart::Median:
    case ChartPart::Point: return fade(eased(ramp(p, barFrom, barDone)));
    case ChartPart::Baseline: return fade(eased(ramp(p, barDone, dotsDone)));
    case ChartPart::Dot:
    case ChartPart::Ring: {
        if (piece.part == ChartPart::Ring
            && m_scene.pieces[std::min(index + 1, m_scene.pieces.size() - 1)].part == ChartPart::Point)
            return fade(eased(ramp(p, barFrom, barDone)));
        const double from = dotsFrom + (dotsDone - dotsFrom - dotFade) * m_landing[index];
        const double share = ramp(p, from, from + dotFade);
        piece.box.translate(0, -fall * (1 - eased(share)));
        return fade(share);
    }
    case ChartPart::Interval:
    case ChartPart::InnerMark: {
        const double open = 1 + openInterval * (1 - eased(ramp(p, intervalFrom, intervalDone)));
        const bool cap = piece.box.height() > piece.box.width();
        const double left = cap ? piece.box.center().x() : piece.box.left();
        const double right = cap ? left : piece.box.right();
        const double centre = m_centre[index];
        const double newLeft = centre + (left - centre) * open, newRight = centre + (right - centre) * open;
        if (cap)
            piece.box.moveLeft(newLeft - piece.box.width() / 2);
        else {
            piece.box.setLeft(newLeft);
            piece.box.setRight(newRight);
        }
        return fade(ramp(p, intervalFrom, intervalFrom + 0.1));
    }
    case ChartPart::Value:
    case ChartPart::Uncertainty:
    case ChartPart::Verdict: return fade(eased(ramp(p, valueFrom, 1)));
    default: return fade(eased(ramp(p, 0, wordsDone))); // names, details, states
    }
}

ChartScene ChartMotion::sceneAt(int frame) const
{
    ChartScene scene = m_scene;
    scene.pieces.clear();
    for (std::size_t i = 0; i < m_scene.pieces.size(); ++i) {
        ChartPiece piece = m_scene.pieces[i];
        if (moved(piece, i, frame))
            scene.pieces.push_back(std::move(piece));
    }
    return scene;
}

const QImage& ChartMotion::imageAt(int frame)
{
    // Lanes come in turn, so those that rest and the one that moves never lie over each other.
    const auto rests = [&](const ChartPiece& piece) {
        return isStill(piece)
               || progressOf(piece.part == ChartPart::Baseline ? m_baselineLane : piece.lane, frame) >= 1;
    };
    int lanes = 0;
    for (std::size_t lane = 0; lane < m_turn.size(); ++lane)
        lanes += progressOf(static_cast<int>(lane), frame) >= 1;
    if (lanes != m_settledLanes) {
        ChartScene settled = m_scene;
        std::erase_if(settled.pieces, [&](const ChartPiece& piece) { return !rests(piece); });
        m_settled = chartImage(settled);
        m_settledLanes = lanes;
        m_image = m_settled.copy();
        m_painted = {};
    }
    // What was painted last is taken off again: a whole picture's worth of memory each time took as long as painting.
    for (int y = m_painted.top(); y <= m_painted.bottom(); ++y)
        std::copy_n(m_settled.constScanLine(y), m_settled.bytesPerLine(), m_image.scanLine(y));
    QRectF painted;
    QPainter painter(&m_image);
    painter.setRenderHint(QPainter::Antialiasing);
    painter.scale(m_scene.pixels.width() / m_scene.size.width(), m_scene.pixels.height() / m_scene.size.height());
    for (std::size_t i = 0; i < m_scene.pieces.size(); ++i) {
        if (rests(m_scene.pieces[i]))
            continue;
        ChartPiece piece = m_scene.pieces[i];
        if (!moved(piece, i, frame))
            continue;
        paintPiece(painter, piece);
        painted |= painter.transform().mapRect(piece.box);
    }
    m_painted = painted.toAlignedRect().adjusted(-1, -1, 1, 1) & m_image.rect();
    return m_image;
}

void ChartMotion::eachImage(const std::stop_token& stop, const MotionProgress& progress,
                            const std::function<void(const QImage&)>& take)
{
    for (int frame = 0; frame < m_frames; ++frame) {
        if (stop.stop_requested())
            throw core::Cancelled();
        if (progress)
            progress(frame, m_frames);
        take(imageAt(frame));
    }
}

void ChartMotion::write(const std::filesystem::path& file, const std::stop_token& stop, const MotionProgress& progress)
{
    const bool alpha = m_scene.background.alpha() == 0;
    media::MovieWriter movie(file, {alpha ? media::MovieCodec::ProRes4444 : media::MovieCodec::H264,
                                    {m_scene.pixels.width(), m_scene.pixels.height()},
                                    timing::FrameRate(m_settings.rate)});
    eachImage(stop, progress, [&](QImage image) {
        if (alpha)
            image = image.convertToFormat(QImage::Format_ARGB32); // straight
        movie.add({image.constBits(), image.bytesPerLine()});
    });
    movie.finish();
    movie.commit();
}

std::vector<QByteArray> ChartMotion::pictures(std::int64_t mostBytes, const std::stop_token& stop,
                                              const MotionProgress& progress)
{
    std::vector<QByteArray> pictures;
    QImage last;
    std::int64_t bytes = 0;
    eachImage(stop, progress, [&](const QImage& image) {
        // The chart stands still for a while at its beginning and end.
        pictures.push_back(image == last ? pictures.back() : pngBytes(image));
        last = image;
        bytes += pictures.back().size();
        if (bytes > mostBytes)
            throw core::Error(core::ErrorKind::Unsupported,
                              "The pictures of the chart in motion take more than " + std::to_string(mostBytes >> 20)
                                  + " MB together; choose a smaller size, fewer seconds or fewer pictures a second.");
    });
    return pictures;
}

} // namespace ui
