#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/results/results_view.h"

namespace ui {

/// Delays of one configuration in the order they were taken: drift, warm-up and runs that differ show here.
class OrderPlot : public QWidget {
    Q_OBJECT
public:
    explicit OrderPlot(QWidget* parent = nullptr);
    void show(const ResultsView& view);
    QSize sizeHint() const override { return {280, 150}; }

protected:
    void paintEvent(QPaintEvent*) override;

private:
    struct Point {
        double ms = 0;
        bool rejected = false;
        QString run; ///< name where a run begins, else empty
    };
    QVector<Point> m_points; ///< trials that have a delay
    std::optional<double> m_mean;
};

/// The plot, and which trials are left out and why.
class OrderPanel : public Panel {
    Q_OBJECT
public:
    explicit OrderPanel(QWidget* parent = nullptr);
    void show(const ResultsView& view);

private:
    OrderPlot* m_plot;
    Label *m_left, *m_nothing;
};

} // namespace ui
