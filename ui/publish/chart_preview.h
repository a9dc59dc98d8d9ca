#pragma once
#include "ui/chart/chart_scene.h"
#include <QWidget>

namespace ui {

/// The chart as it will be published, as large as it fits, with the safe area on request.
class ChartPreview : public QWidget {
    Q_OBJECT
public:
    explicit ChartPreview(QWidget* parent = nullptr);
    void show(const ChartScene& scene); ///< one without a size: nothing to show yet
    void setSafeArea(bool shown);
    int percent() const;             ///< of its real size
    static int heightFor(int width); ///< in which nothing is left over around the chart
    QSize sizeHint() const override { return {640, 360}; }

signals:
    void scaled(); ///< percent() is another

protected:
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;

private:
    QRectF place() const;

    ChartScene m_scene;
    bool m_safeArea = true;
};

} // namespace ui
