#include "ui/look/own_keys.h"

#include <QAction>
#include <QCoreApplication>
#include <QEvent>
#include <QMap>
#include <QShortcut>
#include <QVariant>
#include <QWidget>
#include <cassert>
#include <optional>

namespace ui::keys {

namespace {

constexpr const char* deliveredKeys = "deliveredKeys";

QMap<int, int>& table()
{
    static QMap<int, int> ownOf; // a permutation of the keys in it
    return ownOf;
}

QString nameOf(int key) { return QKeySequence(key).toString(QKeySequence::PortableText); }

std::optional<int> keyNamed(const QString& name)
{
    const QKeySequence sequence = QKeySequence::fromString(name, QKeySequence::PortableText);
    if (sequence.count() != 1 || sequence[0].keyboardModifiers() != Qt::NoModifier || !canMove(sequence[0].key()))
        return std::nullopt;
    return sequence[0].key();
}

void setKeys(QAction& action, const QList<QKeySequence>& keys) { action.setShortcuts(keys); }
void setKeys(QShortcut& shortcut, const QList<QKeySequence>& keys) { shortcut.setKeys(keys); }
QList<QKeySequence> keysOf(const QAction& action) { return action.shortcuts(); }
QList<QKeySequence> keysOf(const QShortcut& shortcut) { return shortcut.keys(); }

/// What it was delivered with is kept with it, so that it can be moved again.
template <class T> void followBy(T& holder)
{
    if (!holder.property(deliveredKeys).isValid())
        holder.setProperty(deliveredKeys, QVariant::fromValue(keysOf(holder)));
    QList<QKeySequence> keys;
    const auto deliveredOnes = holder.property(deliveredKeys).template value<QList<QKeySequence>>();
    for (const QKeySequence& sequence : deliveredOnes)
        keys << own(sequence);
    if (keys != keysOf(holder))
        setKeys(holder, keys);
}

} // namespace

bool canMove(int key)
{
    return (key >= Qt::Key_A && key <= Qt::Key_Z) || key == Qt::Key_BracketLeft || key == Qt::Key_BracketRight
           || key == Qt::Key_Plus || key == Qt::Key_Minus || key == Qt::Key_Comma || key == Qt::Key_Period
           || key == Qt::Key_Semicolon || key == Qt::Key_Apostrophe || key == Qt::Key_Slash
           || (key >= Qt::Key_nobreakspace && key <= Qt::Key_ydiaeresis);
}

int own(int delivered) { return table().value(delivered, delivered); }

int delivered(int own) { return table().key(own, own); }

QKeySequence own(const QKeySequence& delivered)
{
    if (delivered.count() != 1 || (delivered[0].keyboardModifiers() & ~Qt::ShiftModifier))
        return delivered;
    return QKeyCombination(delivered[0].keyboardModifiers(), Qt::Key(own(delivered[0].key())));
}

QString ownCap(const QString& cap)
{
    const auto key = keyNamed(cap);
    return key && table().contains(*key) ? QKeySequence(own(*key)).toString(QKeySequence::NativeText) : cap;
}

void put(int deliveredKey, int ownKey)
{
    assert(canMove(deliveredKey) && canMove(ownKey));
    const int freed = own(deliveredKey), other = delivered(ownKey);
    table()[deliveredKey] = ownKey;
    if (other != deliveredKey)
        table()[other] = freed;
    table().removeIf([](const auto& pair) { return pair.key() == pair.value(); });
}

QStringList moved()
{
    QStringList pairs;
    for (auto pair = table().cbegin(); pair != table().cend(); ++pair)
        pairs << nameOf(pair.key()) + QLatin1Char('=') + nameOf(pair.value());
    return pairs;
}

void setMoved(const QStringList& pairs)
{
    table().clear();
    for (const QString& pair : pairs) {
        const auto from = keyNamed(pair.section(QLatin1Char('='), 0, 0));
        const auto to = keyNamed(pair.section(QLatin1Char('='), 1));
        if (from && to)
            put(*from, *to);
    }
}

QList<QKeySequence> deliveredOf(const QAction& action)
{
    const QVariant kept = action.property(deliveredKeys);
    return kept.isValid() ? kept.value<QList<QKeySequence>>() : action.shortcuts();
}

void follow(QObject& window)
{
    const auto actions = window.findChildren<QAction*>();
    for (QAction* action : actions)
        followBy(*action);
    const auto shortcuts = window.findChildren<QShortcut*>();
    for (QShortcut* shortcut : shortcuts)
        followBy(*shortcut);
    const auto widgets = window.findChildren<QWidget*>();
    for (QWidget* widget : widgets) {
        QEvent moved(QEvent::KeyboardLayoutChange);
        QCoreApplication::sendEvent(widget, &moved);
        widget->updateGeometry();
        widget->update(); // caps stand in many places
    }
}

} // namespace ui::keys
