#pragma once
#include <QWidget>
#include "ui/desk/take_in.h"

class QPushButton;

namespace ui {

/// One piece of footage on its way in: name, progress, cancel.
class IncomingRow : public QWidget {
    Q_OBJECT
public:
    explicit IncomingRow(QWidget* parent = nullptr);
    void show(const TakeIn::Item& item);

signals:
    void cancelAsked(const QString& path);

protected:
    void paintEvent(QPaintEvent*) override;

private:
    TakeIn::Item m_item;
    QPushButton* m_cancel;
};

/// Thin bar, `share` 0..1 of it filled.
void paintShare(QPainter& painter, const QRectF& bar, double share);

} // namespace ui
