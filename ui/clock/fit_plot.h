#pragma once
#include <QWidget> // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/timing/reference_fit.h"

namespace ui {

/// Edges of a reference fit over the camera frames: how far each lies off the least squares line, against the band of
/// +-1 frame. On is a full, off a hollow disc, what is left out a cross. Arrows go from edge to edge, Space or a click
/// leaves one out or takes it back.
class FitPlot : public QWidget {
    Q_OBJECT
public:
    explicit FitPlot(QWidget* parent = nullptr);
    /// `kept`: one for each edge. Empty edges show nothing.
    void show(const std::vector<timing::FittedEdge>& edges, const std::vector<bool>& kept);
    int current() const { return m_current; } ///< -1 without edges
    QSize sizeHint() const override { return {400, 168}; }
    QSize minimumSizeHint() const override { return {200, 148}; }

signals:
    void toggled(int edge);
    void currentChanged(int edge);

protected:
    void paintEvent(QPaintEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    void mousePressEvent(QMouseEvent*) override;

private:
    QRectF field() const;
    QPointF placeOf(int edge) const;
    void go(int edge);
    void paintBand(QPainter& painter, const QRectF& field) const;
    void paintEdge(QPainter& painter, int edge) const;

    std::vector<timing::FittedEdge> m_edges;
    std::vector<bool> m_kept;
    double m_reach = 1.5; ///< frames that the plot shows either way
    int m_current = -1;
};

} // namespace ui
