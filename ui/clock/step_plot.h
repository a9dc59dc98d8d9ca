#pragma once
#include <QWidget> // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/timing/stamp_steps.h"

namespace ui {

/// How many steps between stamps have which length: bars over a logarithmic scale of counts, so that one odd step shows
/// beside thousands.
class StepPlot : public QWidget {
    Q_OBJECT
public:
    explicit StepPlot(QWidget* parent = nullptr);
    void show(const timing::StampSteps& steps);
    QSize sizeHint() const override { return {260, 96}; }
    QSize minimumSizeHint() const override { return {160, 96}; }

protected:
    void paintEvent(QPaintEvent*) override;

private:
    timing::StampSteps m_steps;
};

} // namespace ui
