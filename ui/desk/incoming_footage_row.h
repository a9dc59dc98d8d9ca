#pragma once
#include <QWidget>
#include "ui/desk/captures.h"

class QPushButton;

namespace ui {

/// One piece of footage on its way in: name, progress, cancel.
class IncomingFootageRow : public QWidget {
    Q_OBJECT
public:
    explicit IncomingFootageRow(QWidget* parent = nullptr);
    void show(const Captures::Incoming& item);

signals:
    void cancelAsked(const QString& path);

protected:
    void paintEvent(QPaintEvent*) override;

private:
    Captures::Incoming m_item;
    QPushButton* m_cancel;
};

/// Thin bar, `share` 0..1 of it filled.
void paintShare(QPainter& painter, const QRectF& bar, double share);

} // namespace ui
