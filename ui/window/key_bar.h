#pragma once
#include "ui/controls/page.h"
#include <QWidget>

class QHBoxLayout;

namespace ui {

/// Bottom bar: the keys of the page in front, as many as fit, and the way to help.
class KeyBar : public QWidget {
    Q_OBJECT
public:
    explicit KeyBar(QWidget* parent = nullptr);
    void setKeys(const QVector<KeyHint>& keys);

signals:
    void helpAsked();

protected:
    void resizeEvent(QResizeEvent*) override;
    void mouseReleaseEvent(QMouseEvent*) override;

private:
    void fit();

    QHBoxLayout* m_row;
    QVector<QWidget*> m_caps;
    QWidget* m_help;
};

} // namespace ui
