#pragma once
#include "ui/chart/chart_scene.h"
#include <QWidget>

namespace ui {

/// A picture as it will be published, as large as it fits or pixel for pixel, with the safe area on request. What is
/// transparent shows a chequered ground.
class ChartPreview : public QWidget {
    Q_OBJECT
public:
    explicit ChartPreview(QWidget* parent = nullptr);
    void show(const ChartScene& scene); ///< one without a size: nothing to show yet
    /// Another product's picture, of `pixels` when it is published; null: none is known yet.
    void show(const QImage& picture, QSize pixels);
    void setSafeArea(bool shown);
    int percent() const;            ///< of its real size
    int heightFor(int width) const; ///< in which nothing is left over around the picture
    QSize sizeHint() const override { return {640, 360}; }

signals:
    void scaled(); ///< percent() is another

protected:
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;

private:
    QRectF place() const;

    ChartScene m_scene;
    QImage m_picture; ///< in place of the scene
    bool m_ofPicture = false;
    QSize m_pixels{1920, 1080};
    bool m_safeArea = true;
};

} // namespace ui
