#pragma once
#include <QWidget>
#include "ui/desk/desk_state.h"
#include "ui/look/shapes.h"
#include "ui/model/session_results.h"

namespace ui {

/// Configurations with how far each is read. The digit's cap is a button that does what the digit does: it tags. Means
/// show only while delays are shown.
class ConfigurationList : public QWidget {
    Q_OBJECT
public:
    ConfigurationList(SessionModel& model, SessionResults& results, DeskState& state, QWidget* parent = nullptr);
    QSize sizeHint() const override;
    QSize minimumSizeHint() const override;
    static int rowHeight() { return 38; }

signals:
    void tagAsked(int position); ///< from 0

protected:
    bool event(QEvent*) override;
    void paintEvent(QPaintEvent*) override;
    void mouseMoveEvent(QMouseEvent*) override;
    void mouseReleaseEvent(QMouseEvent*) override;
    void leaveEvent(QEvent*) override;

private:
    struct Row {
        session::ConfigurationId id;
        QString name, mean, halfWidth;
        bool baseline = false;
        int read = 0, planned = 0;
        QVector<Stroke> strokes;
    };
    void refresh();
    void paintRow(QPainter& painter, const QRect& rect, int index) const;
    int capAt(const QPoint& place) const; ///< row whose cap is there, or -1

    SessionModel& m_model;
    SessionResults& m_results;
    DeskState& m_state;
    QVector<Row> m_rows;
    int m_hovered = -1;
};

} // namespace ui
