#pragma once
#include <QTimer>
#include <QWidget>
#include "core/media/index/footage.h"
#include "core/media/cache/cached_picture.h"
#include "ui/footage/picture_renderer.h"
#include "ui/footage/region_editor.h"
#include "ui/footage/region_overlay.h"

namespace ui {

/// One picture of a capture: turned and stretched as it is meant to be seen, zoomed, panned, brightened, with the
/// regions over it. Rendering happens in the background: fast at once, exact when the picture has stood for a moment.
/// The previous picture stays until the next one is rendered.
class FrameView : public QWidget {
    Q_OBJECT
public:
    explicit FrameView(QWidget* parent = nullptr);

    /// What a region of the picture is compared with: in its place stands what differs, with what differs outlined.
    struct Against {
        media::Picture before;                ///< empty: nothing is compared, and `words` say why
        media::Rect region;                   ///< native
        QString words;                        ///< "Change since frame 411"
        std::vector<media::Rect> hinted = {}; ///< blocks that are outlined instead of those found; native
    };

    /// Another capture: forgets the picture, fits; regions stay as they were set. Null: nothing to show.
    void setFootage(std::shared_ptr<const media::Footage> footage);
    /// Precondition: canShow(picture), or it is empty; it is native where it is compared.
    void setPicture(const media::CachedPicture& picture, timing::FrameNumber n,
                    const std::optional<Against>& against = {});
    /// Whether a reduced picture is enough for what is visible at this zoom.
    bool canShow(const media::CachedPicture& picture) const;
    /// What of the picture is visible, native; empty when nothing is.
    media::Rect visible() const { return m_mapping.visible(); }
    double scale()
        const; ///< device pixels a native pixel takes, along the side where it takes more; 0 without a picture
    /// In place of a picture: "indexing run10.mp4" with its progress 0..1, "run10.mp4 isn't where it was" with what to
    /// do. Goes with the next setPicture() or an empty headline.
    void setMessage(const QString& headline, const QString& sentence = {}, std::optional<double> progress = {});

    void setRegions(const QVector<ShownRegion>& regions);
    /// Arms the drawing of a region: pointer or arrow keys (Shift: size, Ctrl: ten pixels) place it, the end of a drag
    /// or Enter is regionDrawn(), Esc is regionCancelled(). Takes the keyboard. Does nothing without a picture.
    void beginRegion(session::RegionKind kind, std::optional<media::Rect> existing = {});
    /// The same with a region that the program found: Enter takes it as it is.
    void proposeRegion(session::RegionKind kind, const media::Rect& found);
    void cancelRegion();
    bool isDrawingRegion() const { return m_editor.isArmed(); }
    std::optional<media::Rect> regionDraft() const { return m_editor.draft(); } ///< native, as it is being drawn

    bool isFitted() const { return m_fitted; }
    double zoom() const;                ///< device pixels a picture pixel; what "100 %" means is 1
    QString zoomText() const;           ///< "fit, 56 %"
    static QVector<double> zoomSteps(); ///< 0.25 .. 16
    void setZoom(double zoom);          ///< about the middle of the view; clamped to the steps' ends
    double gain() const { return m_gain; }
    double gamma() const { return m_gamma; }
    double changeGain() const { return m_changeGain; }
    bool isComparing() const { return m_isComparing; }
    /// Of the picture that is shown; empty where nothing is compared, or it can't be.
    const std::optional<media::PictureChange>& change() const { return m_change; }
    QString note() const;                ///< what is told about that at the lower edge; empty: nothing
    QString pixelText(QPointF at) const; ///< "x 512, y 301   Y 87  Cb 120  Cr 131"; empty outside the picture

    QSize sizeHint() const override { return {960, 540}; }

public slots:
    void zoomIn();
    void zoomOut();
    void zoomFit();
    void setGain(double gain);   ///< brightness factor of what is shown, >= 0
    void setGamma(double gamma); ///< > 1 lifts dark parts of what is shown; > 0
    /// Pictures are compared from now on, or no longer; what with comes with each.
    void setComparing(bool comparing);
    void setChangeGain(double gain);    ///< of 255 by which grey moves for a change of one level, > 0
    void setLocalContrast(bool spread); ///< as View::localContrast
    void setPixelShown(bool shown);     ///< the value under the pointer, beside it

signals:
    void zoomChanged();
    void comparingChanged();
    void pictureTooSmall(); ///< the picture that was set is reduced, and isn't enough any more
    void frameShown(
        qint64 frame); ///< its picture, or why there is none, is on its way to the screen: pace of a held key
    void regionDrawn(session::RegionKind kind, media::Rect rect); ///< native
    void regionCancelled();

protected:
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;
    void mousePressEvent(QMouseEvent*) override;
    void mouseMoveEvent(QMouseEvent*) override;
    void mouseReleaseEvent(QMouseEvent*) override;
    void leaveEvent(QEvent*) override;
    void wheelEvent(QWheelEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    bool event(QEvent*) override;

private:
    void rendered(const RenderResult& result);
    media::View viewOf(const media::Rect& source, bool exact) const;
    void render(bool exact);
    void renderAnew();
    void setFactor(double& factor, double to);
    void viewMoved();
    void zoomTo(double zoom, QPointF about);
    void zoomStep(int steps, QPointF about);
    void finishRegion();
    bool regionKey(const QKeyEvent& key);
    void updateCursor(QPointF at);
    bool showsPixels() const;
    QSizeF reach() const;
    QRectF onDevice(const QRectF& inView) const;
    void paintPicture(QPainter&) const;
    void paintMessage(QPainter&) const;
    void paintRegionHint(QPainter&) const;
    void paintStrip(QPainter&, const QString& text) const;
    void paintPixel(QPainter&) const;

    ViewMapping m_mapping;
    bool m_fitted = true;
    double m_gain = 1, m_gamma = 1, m_changeGain = 4;
    bool m_localContrast = false, m_pixelShown = false, m_isComparing = false;
    std::optional<QPointF> m_pointer; ///< where it is, over the view
    int m_wheel = 0;                  ///< eighths of a degree that make no step yet
    std::optional<QPointF> m_panned;  ///< where the pointer was last while panning

    media::CachedPicture m_picture;
    qint64 m_frame = -1;
    std::shared_ptr<const Against> m_against;      ///< of `m_picture`; null: it isn't compared
    std::shared_ptr<const Against> m_imageAgainst; ///< of `m_image`
    std::optional<media::PictureChange> m_change;  ///< of `m_image`
    quint64 m_generation = 0;                      ///< tells late renderings of another capture
    QImage m_image;
    media::Rect m_imageSource;
    qint64 m_imageFrame = -1;

    QString m_headline, m_sentence;
    std::optional<double> m_progress;
    QVector<ShownRegion> m_regions;
    RegionEditor m_editor;
    std::optional<media::Rect> m_edited; ///< the region that is being changed, as it was
    QTimer m_still;                      ///< runs out when the picture has stood for a moment
    PictureRenderer m_renderer;          ///< last: its thread ends before the rest goes
};

} // namespace ui
