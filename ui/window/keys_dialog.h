#pragma once
#include <QDialog>
#include <QVector>

namespace ui {

class Label;
class RowList;

/// A letter or sign and what the program takes it for, as delivered.
struct MovableKey {
    int key = 0;  ///< Qt::Key
    QString does; ///< "Mark press; Results: all figures"
};

/// Which key does what: Up and Down choose, the next letter or sign is what does it from then on.
class KeysDialog : public QDialog {
    Q_OBJECT
public:
    KeysDialog(const QVector<MovableKey>& keys, QWidget* parent);

signals:
    void moved(); ///< ui::keys says what is where

protected:
    void keyPressEvent(QKeyEvent*) override;
    bool event(QEvent*) override;

private:
    void show(const QString& sentence);
    void paintRow(QPainter& painter, const QRect& rect, int row) const;

    QVector<MovableKey> m_keys;
    RowList* m_rows;
    Label* m_said;
};

} // namespace ui
