#include "ui/window/keys_dialog.h"
#include "ui/controls/row_list.h"
#include "ui/look/lettering.h"
#include "ui/look/key_cap.h"
#include "ui/look/label.h"
#include "ui/look/own_keys.h"

#include <QKeyEvent>
#include <QPainter>
#include <QPushButton>
#include <QVBoxLayout>
#include <algorithm>

namespace ui {

namespace {

constexpr int keyRowHeight = 28, dialogWidth = 620, shownRows = 14, capLeft = 12, doesLeft = 64;

QString nameOf(int key) { return QKeySequence(key).toString(QKeySequence::NativeText); }

} // namespace

KeysDialog::KeysDialog(const QVector<MovableKey>& keys, QWidget* parent) : QDialog(parent), m_keys(keys)
{
    setWindowTitle(tr("Change keys"));
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(24, 20, 24, 20);
    column->setSpacing(10);
    auto* how = wrapping(tr("Choose a row and press the key that is to do it. What that key did goes to the one that "
                            "became free. Arrows, digits, Enter, Esc and what goes with Ctrl stay."),
                         Text::Body, Tone::Secondary);
    how->setFixedWidth(dialogWidth);
    column->addWidget(how);
    m_rows = new RowList(keyRowHeight,
                         [this](QPainter& painter, const QRect& rect, int row, bool) { paintRow(painter, rect, row); });
    m_rows->setAccessibleName(tr("Keys"));
    m_rows->setFixedSize(dialogWidth, keyRowHeight * std::min<int>(shownRows, static_cast<int>(m_keys.size())) + 2);
    m_rows->setFocusPolicy(Qt::NoFocus);
    column->addWidget(m_rows);
    m_said = wrapping({}, Text::Body, Tone::Primary);
    m_said->setObjectName(QStringLiteral("said"));
    m_said->setFixedWidth(dialogWidth);
    column->addWidget(m_said);
    auto* buttons = new QHBoxLayout;
    auto* asDelivered = new QPushButton(tr("All as delivered"));
    connect(asDelivered, &QPushButton::clicked, this, [this] {
        keys::setMoved({});
        show(tr("All keys are as delivered."));
    });
    buttons->addWidget(asDelivered);
    buttons->addStretch(1);
    auto* close = new QPushButton(tr("Close"));
    connect(close, &QPushButton::clicked, this, &QDialog::accept);
    buttons->addWidget(close);
    for (QPushButton* button : {asDelivered, close})
        button->setAutoDefault(false); // Enter belongs to the rows
    column->addLayout(buttons);
    show({});
    m_rows->selectRow(0);
    setFocus();
}

void KeysDialog::show(const QString& sentence)
{
    QStringList spoken;
    for (const MovableKey& row : std::as_const(m_keys))
        spoken << tr("%1: %2").arg(nameOf(keys::own(row.key)), row.does);
    m_rows->setRows(spoken);
    m_rows->viewport()->update();
    m_said->setText(sentence);
    if (!sentence.isEmpty())
        emit moved();
}

bool KeysDialog::event(QEvent* event)
{
    if (event->type() == QEvent::ShortcutOverride) {
        event->accept(); // keys of the window below rest
        return true;
    }
    return QDialog::event(event);
}

void KeysDialog::keyPressEvent(QKeyEvent* event)
{
    const int last = m_rows->count() - 1, row = m_rows->currentRow();
    const auto go = [&](int to) {
        m_rows->selectRow(std::clamp(to, 0, last));
        m_rows->scrollToItem(m_rows->item(m_rows->currentRow()));
    };
    if (event->key() == Qt::Key_Up)
        return go(row - 1);
    if (event->key() == Qt::Key_Down)
        return go(row + 1);
    if (!keys::canMove(event->key()) || event->modifiers() || row < 0 || row > last) {
        if (event->text().isEmpty() || event->key() == Qt::Key_Escape)
            return QDialog::keyPressEvent(event);
        return show({}), m_said->setText(tr("That key stays what it is; letters and signs can be moved."));
    }
    const int here = m_keys[row].key, before = keys::own(here);
    const auto other = std::ranges::find(m_keys, keys::delivered(event->key()), &MovableKey::key);
    if (event->key() == before)
        return m_said->setText(tr("It is on that key already."));
    keys::put(here, event->key());
    show(other == m_keys.end() ? tr("%1 does it now; %2 does nothing.").arg(nameOf(event->key()), nameOf(before))
                               : tr("%1 does it now, and %2 does what that did: %3.")
                                     .arg(nameOf(event->key()), nameOf(before), other->does));
}

void KeysDialog::paintRow(QPainter& painter, const QRect& rect, int row) const
{
    if (row < 0 || row >= m_keys.size())
        return;
    const Tokens& t = tokens();
    paintKeyCaps(painter, QRectF(rect).adjusted(capLeft, 0, 0, 0), {nameOf(m_keys[row].key)});
    painter.setPen(keys::own(m_keys[row].key) == m_keys[row].key ? t.text2 : t.text1);
    const QRect words = rect.adjusted(doesLeft, 0, -12, 0);
    drawShortened(painter, words, Qt::AlignVCenter, m_keys[row].does);
}

} // namespace ui
