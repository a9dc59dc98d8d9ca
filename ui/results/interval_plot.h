#pragma once
#include <QWidget>
#include <optional>

namespace ui {

/// An interval of a difference against 0 and the margin's band, on its own axis in ms.
class IntervalPlot : public QWidget {
    Q_OBJECT
public:
    explicit IntervalPlot(QWidget* parent = nullptr);
    struct Shown {
        double low = 0, high = 0, estimate = 0; ///< ms
        std::optional<double> margin;           ///< > 0
        /// What "same within the margin" goes by, within low and high; empty where it isn't in question.
        std::optional<double> sameLow, sameHigh;
    };
    void show(const Shown& shown);
    QSize sizeHint() const override { return {280, 96}; }

protected:
    void paintEvent(QPaintEvent*) override;

private:
    Shown m_shown;
};

} // namespace ui
