#pragma once
#include <QWidget>
#include "ui/footage/picture_geometry.h"
#include "ui/footage/picture_renderer.h"
#include "ui/footage/trace_view.h"
#include <array>
#include <map>

namespace ui {

/// Close-ups of consecutive frames around the one in view, a row of the lamp and one of the screen region, with their
/// numbers and marks. Whoever shows it gives it the pictures of frames().
class FrameReel : public QWidget {
    Q_OBJECT
public:
    explicit FrameReel(QWidget* parent = nullptr);

    /// Empty regions have no row's pictures. `closer`: the screen's is only a part of the region, and the row says so.
    /// Forgets pictures where anything differs.
    void setPlaces(const std::optional<media::Rect>& lamp, const std::optional<media::Rect>& screen,
                   const PictureGeometry& geometry, bool closer = false);
    void setFootage(const std::shared_ptr<const media::Footage>& footage); ///< another one: forgets pictures
    void setFrame(qint64 frame, qint64 count);                             ///< in view, of so many
    void setMarks(const QVector<TraceMark>& marks);
    /// Blind reading: numbers count from the first, nothing is shown beyond what was seen. Empty: everything.
    void setBlind(std::optional<std::pair<qint64, qint64>> firstAndSeen);
    void setBrightness(double gain, double gamma); ///< as FrameView's

    /// Frames whose pictures are wanted, nearest first; none while hidden.
    std::vector<timing::FrameNumber> frames() const;
    bool wants(timing::FrameNumber n) const;     ///< its picture isn't shown yet
    std::vector<media::Rect> shownRects() const; ///< what of a picture it shows, native; none while hidden
    /// Of one of frames(); others are passed over.
    void setPicture(timing::FrameNumber n, const media::CachedPicture& picture);
    qint64 frameAt(QPointF at) const; ///< -1: none
    bool isShown(qint64 frame) const; ///< its close-ups are there

    QSize sizeHint() const override { return {700, 140}; }
    QSize minimumSizeHint() const override { return {320, 80}; }

signals:
    void frameChosen(qint64 frame);
    void framesChanged(); ///< others than were asked for last

protected:
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;
    void showEvent(QShowEvent*) override;
    void mousePressEvent(QMouseEvent*) override;

private:
    struct Cell {
        bool isGiven = false; ///< it holds no picture itself: those have their budget in the cache
        std::array<QImage, 2> rows;
    };
    void forget();
    void refresh();
    void rendered(const RenderResult& result, std::size_t row);
    QSize cell() const;                 ///< size of one close-up
    int columns() const;                ///< odd, so that the frame in view stands in the middle
    qint64 first() const;               ///< in the leftmost column; may lie before the film
    bool isInReach(qint64 frame) const; ///< there is such a frame, and it may be shown
    QRect column(qint64 frame) const;

    std::array<std::optional<media::Rect>, 2> m_regions; ///< lamp, screen
    PictureGeometry m_geometry;
    std::shared_ptr<const media::Footage> m_footage;
    bool m_closer = false;
    qint64 m_frame = 0, m_count = 0;
    QVector<TraceMark> m_marks;
    std::optional<std::pair<qint64, qint64>> m_blind;
    double m_gain = 1, m_gamma = 1;
    std::map<qint64, Cell> m_cells; ///< by frame
    quint64 m_generation = 0;       ///< tells late renderings of what was forgotten
    PictureRenderer m_renderer;     ///< last: its thread ends before the rest goes
};

} // namespace ui
