#include "ui/controls/commit_edit.h"
#include "ui/controls/numbers.h"
#include "ui/look/tokens.h"

#include <QFocusEvent>
#include <QKeyEvent>
#include <QPainter>

namespace ui {
namespace {

bool isEnter(const QKeyEvent& event) { return event.key() == Qt::Key_Return || event.key() == Qt::Key_Enter; }

/// The field keeps the keyboard when only a menu or another window comes in front.
bool leaves(const QFocusEvent& event)
{
    return event.reason() != Qt::PopupFocusReason && event.reason() != Qt::ActiveWindowFocusReason;
}

CommitEdit::Check unless(std::function<bool(const QString&)> fine, const QString& wrong)
{
    return [fine = std::move(fine), wrong](const QString& text) {
        return text.isEmpty() || fine(text) ? QString() : wrong.arg(text);
    };
}

} // namespace

CommitEdit::Check CommitEdit::numberFor(std::function<bool(double)> fine, const QString& wrong)
{
    return unless(
        [fine = std::move(fine)](const QString& text) {
            const auto number = typedNumber(text);
            return number && fine(*number);
        },
        wrong);
}

CommitEdit::Check CommitEdit::rate(const QString& wrong)
{
    return unless([](const QString& text) { return typedRate(text).has_value(); }, wrong);
}

CommitEdit::Check CommitEdit::wholeNumber(qint64 least, const QString& wrong)
{
    return unless(
        [least](const QString& text) {
            bool whole = false;
            return text.toLongLong(&whole) >= least && whole;
        },
        wrong);
}

CommitEdit::CommitEdit(const QString& placeholder, QWidget* parent) : QLineEdit(parent)
{
    setPlaceholderText(placeholder);
    setMinimumWidth(64);
}

void CommitEdit::setValue(const QString& text)
{
    const bool typedIn = hasFocus() && isModified() && QLineEdit::text() != m_value;
    m_value = text;
    if (!typedIn && QLineEdit::text() != text) {
        setText(text);
        setCursorPosition(0);
    }
}

bool CommitEdit::commit()
{
    const QString typed = text().trimmed();
    if (typed == m_value) {
        setText(m_value);
        return true;
    }
    if (const QString wrong = m_check ? m_check(typed) : QString(); !wrong.isEmpty()) {
        setText(m_value);
        emit refused(wrong);
        return false;
    }
    m_value = typed;
    setText(typed);
    emit committed(typed);
    return true;
}

void CommitEdit::keyPressEvent(QKeyEvent* event)
{
    if (isEnter(*event)) {
        const bool fine = commit();
        selectAll();
        if (fine)
            emit entered();
        event->accept(); // Enter in a field never reaches the page's own Enter
        return;
    }
    if (event->key() == Qt::Key_Escape && text() != m_value) {
        setText(m_value);
        selectAll();
        event->accept();
        return;
    }
    QLineEdit::keyPressEvent(event);
}

void CommitEdit::focusOutEvent(QFocusEvent* event)
{
    if (leaves(*event))
        commit();
    QLineEdit::focusOutEvent(event);
}

CommitText::CommitText(int lines, const QString& placeholder, QWidget* parent) : QPlainTextEdit(parent)
{
    setFont(ui::font(Text::Body));
    setPlaceholderText(placeholder);
    setTabChangesFocus(true);
    setViewportMargins(3, 1, 3, 1);
    setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    setFixedHeight(fontMetrics().lineSpacing() * lines + 14);
}

void CommitText::setValue(const QString& text)
{
    const bool typedIn = hasFocus() && toPlainText() != m_value;
    m_value = text;
    if (!typedIn && toPlainText() != text)
        setPlainText(text);
}

void CommitText::commit()
{
    const QString typed = toPlainText().trimmed();
    if (typed == m_value) {
        if (toPlainText() != m_value)
            setPlainText(m_value);
        return;
    }
    m_value = typed;
    emit committed(typed);
}

/// A field has an edge that can be seen, where frames around lists are fainter.
bool CommitText::event(QEvent* event)
{
    if (event->type() != QEvent::Paint)
        return QPlainTextEdit::event(event);
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    painter.setPen(QPen(isEnabled() ? tokens().fieldEdge : tokens().hairline, 1));
    painter.setBrush(palette().base());
    painter.drawRoundedRect(QRectF(rect()).adjusted(0.5, 0.5, -0.5, -0.5), grid::radius, grid::radius);
    return true;
}

void CommitText::keyPressEvent(QKeyEvent* event)
{
    if (isEnter(*event) && event->modifiers() & Qt::ControlModifier) {
        commit();
        return;
    }
    if (event->key() == Qt::Key_Escape && toPlainText() != m_value) {
        setPlainText(m_value);
        return;
    }
    QPlainTextEdit::keyPressEvent(event);
}

void CommitText::focusOutEvent(QFocusEvent* event)
{
    if (leaves(*event))
        commit();
    QPlainTextEdit::focusOutEvent(event);
}

} // namespace ui
