#pragma once
#include "ui/look/shapes.h"
#include <QLabel>

namespace ui {

enum class Tone { Primary, Secondary, Tertiary, Attention };

/// A name as text of a menu entry or a button, where a single & would underline the letter after it.
QString menuText(const QString& name);

/// Text in one of the sizes, following the theme. Wraps only when told to.
class Label : public QLabel {
    Q_OBJECT
public:
    explicit Label(const QString& text = {}, Text size = Text::Body, Tone = Tone::Primary,
                   QFont::Weight = QFont::Normal, QWidget* parent = nullptr);
    void setTone(Tone);
    /// Shortens to the width it gets and shows all of it in a tool tip. Single line, plain text.
    void setElided(Qt::TextElideMode);
    QSize minimumSizeHint() const override;

protected:
    void paintEvent(QPaintEvent*) override;
    bool event(QEvent*) override;

private:
    Qt::TextElideMode m_elide = Qt::ElideNone;
};

/// A label of several lines.
Label* wrapping(const QString& text = {}, Text size = Text::Body, Tone = Tone::Primary, QFont::Weight = QFont::Normal);
/// The label, now with words that the mouse selects.
Label* selectable(Label* label);

/// A painted shape, and its word when there is one: "(clock) settled", "(diamond) press before the capture's start".
class ShapeLabel : public QWidget {
    Q_OBJECT
public:
    explicit ShapeLabel(Shape, const QString& word = {}, Text size = Text::State, Tone = Tone::Secondary,
                        QWidget* parent = nullptr);
    void setShape(Shape);
    void setWord(const QString&);
    void setTone(Tone);
    Label& word() { return *m_word; }
    QSize sizeHint() const override;
    QSize minimumSizeHint() const override;

protected:
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;

private:
    QSize sizeWith(QSize word) const;

    Shape m_shape;
    Label* m_word;
};

} // namespace ui
