#pragma once
#include <QWidget> // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include <QAbstractButton>

class QVBoxLayout;

namespace ui {

class FoldHead;

/// A section that folds away behind its title and a line that says what it is for, or what it holds. Tab goes to the
/// title, Space and Enter open and close. Closed unless told otherwise.
class Fold : public QWidget {
    Q_OBJECT
public:
    explicit Fold(const QString& title, const QString& purpose, QWidget* parent = nullptr);
    void setPurpose(const QString& words);
    void setOpen(bool open); ///< emits nothing
    bool isOpen() const;
    QVBoxLayout* body() { return m_body; } ///< margins 0, 0, 0, 8

signals:
    void opened(bool open); ///< by key or mouse

private:
    FoldHead* m_head;
    QWidget* m_inside;
    QVBoxLayout* m_body;
};

/// Painted head of a fold.
class FoldHead : public QAbstractButton {
    Q_OBJECT
public:
    explicit FoldHead(const QString& title, QWidget* parent = nullptr);
    void setPurpose(const QString& words);
    QSize sizeHint() const override;
    QSize minimumSizeHint() const override;

protected:
    void paintEvent(QPaintEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    void enterEvent(QEnterEvent*) override { update(); }
    void leaveEvent(QEvent*) override { update(); }

private:
    QString m_purpose;
};

} // namespace ui
