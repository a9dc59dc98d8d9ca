#pragma once
#include <QWidget>
#include "core/session/capture.h"
#include "ui/footage/picture_geometry.h"
#include "ui/footage/picture_renderer.h"
#include <array>

namespace ui {

/// Two frames of one region side by side, enlarged: the one before the change and the first one with it, at the same
/// scale and brightness. Shows as much around the region as its boxes have room for, never less than the region.
class PairView : public QWidget {
    Q_OBJECT
public:
    /// A picture, else a stored crop (footage gone), else what was shown before where the picture is on its way, else a
    /// dashed box. The caption changes together with the picture.
    struct Half {
        QString caption;             ///< "last dark"
        std::optional<qint64> frame; ///< its number stands before the caption where there is room
        media::CachedPicture picture;
        QImage stored;       ///< upright
        bool coming = false; ///< a picture that isn't there yet is on its way
    };

    explicit PairView(session::RegionKind kind, QWidget* parent = nullptr);

    /// An empty geometry: no region yet.
    void setRegion(const media::Rect& region, const PictureGeometry& geometry);
    void setHalves(const Half& before, const Half& at);
    void setMarked(bool marked);                   ///< ring of the right half: solid once marked, dashed until then
    void setBrightness(double gain, double gamma); ///< of both, as FrameView's
    media::Rect shownRect() const; ///< native; the region and what is shown around it; empty without a region
    void setFlipped(bool flipped); ///< the right half shows the frame before, so that a change jumps to the eye

    bool hasHeightForWidth() const override { return true; }
    int heightForWidth(int width) const override;
    QSize sizeHint() const override;
    QSize minimumSizeHint() const override;

protected:
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;

private:
    struct Shown {
        QString caption;
        std::optional<qint64> frame;
        QImage image; ///< fills its box when `fitted`, else is a stored crop
        bool fitted = false;
        std::optional<int> brightness; ///< mean of the region, 0..255
    };

    media::View view() const;
    void renderHalf(std::size_t half);
    void rendered(std::size_t half, const RenderResult& result);
    QRect box(std::size_t half) const;
    bool isPlaced() const { return !m_geometry.isEmpty() && m_region.width > 0 && m_region.height > 0; }
    void paintHalf(QPainter&, std::size_t half) const;
    void paintCaption(QPainter&, const QRect& row, const Shown&, bool strong) const;

    session::RegionKind m_kind;
    media::Rect m_region;
    PictureGeometry m_geometry;
    std::array<Half, 2> m_halves;
    std::array<Half, 2> m_asked; ///< what the latest rendering is of
    std::array<Shown, 2> m_shown;
    quint64 m_request = 0; ///< tells results of halves that were replaced
    std::array<quint64, 2> m_latest{};
    double m_gain = 1, m_gamma = 1;
    bool m_marked = false, m_flipped = false;
    PictureRenderer m_renderer; ///< last: its thread ends before the rest goes
};

} // namespace ui
