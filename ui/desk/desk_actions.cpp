#include "ui/desk/desk_actions.h"

#include <QAbstractButton>
#include <QAbstractItemView>
#include <QApplication>
#include <QComboBox>
#include <QKeyEvent>
#include <QLineEdit>
#include <QMenu>

namespace ui {

DeskActions::DeskActions(QWidget& desk) : QObject(&desk), m_desk(desk) { qApp->installEventFilter(this); }

QAction* DeskActions::make(const Key& key)
{
    auto* action = new QAction(key.text, this);
    action->setShortcuts(key.keys);
    action->setAutoRepeat(key.repeats);
    connect(action, &QAction::triggered, this, [run = key.run] { run(); });
    if (!key.everywhere) {
        m_local << action;
        action->setEnabled(m_inFront);
    }
    return action;
}

QAction* DeskActions::add(Menu menu, const Key& key)
{
    m_menus[menu] << make(key);
    return m_menus[menu].last();
}

QAction* DeskActions::add(QMenu& submenu, const Key& key)
{
    QAction* action = make(key);
    submenu.addAction(action);
    return action;
}

void DeskActions::addSeparator(Menu menu)
{
    auto* line = new QAction(this);
    line->setSeparator(true);
    m_menus[menu] << line;
}

QMenu* DeskActions::addSubmenu(Menu menu, const QString& title)
{
    auto* submenu = new QMenu(title, &m_desk);
    m_menus[menu] << submenu->menuAction();
    return submenu;
}

QList<QAction*> DeskActions::actions(Menu menu) const
{
    const auto found = m_menus.find(menu);
    return found == m_menus.end() ? QList<QAction*>() : found->second;
}

void DeskActions::setInFront(bool inFront)
{
    m_inFront = inFront;
    for (QAction* action : std::as_const(m_local))
        action->setEnabled(inFront);
}

/// A key goes to the control that has the keyboard where people expect it to; everything else is the desk's.
bool DeskActions::keepsKey(const QWidget& focused, const QKeyEvent& key) const
{
    const int code = key.key();
    if (qobject_cast<const QLineEdit*>(&focused))
        return !(key.modifiers() & (Qt::ControlModifier | Qt::AltModifier))
               && (code < Qt::Key_F1 || code > Qt::Key_F35);
    if (qobject_cast<const QAbstractButton*>(&focused))
        return code == Qt::Key_Space;
    if (qobject_cast<const QComboBox*>(&focused))
        return code == Qt::Key_Space || code == Qt::Key_Up || code == Qt::Key_Down;
    if (qobject_cast<const QAbstractItemView*>(&focused))
        return code == Qt::Key_Up || code == Qt::Key_Down;
    return false;
}

bool DeskActions::eventFilter(QObject* watched, QEvent* event)
{
    if (event->type() == QEvent::KeyRelease && m_inFront && !static_cast<QKeyEvent*>(event)->isAutoRepeat())
        emit released();
    if (event->type() != QEvent::ShortcutOverride || !m_inFront)
        return QObject::eventFilter(watched, event);
    auto* key = static_cast<QKeyEvent*>(event);
    m_held = key->isAutoRepeat();
    const auto* focused = qobject_cast<QWidget*>(watched);
    if (focused && m_desk.isAncestorOf(focused) && keepsKey(*focused, *key)) {
        event->accept();
        return true;
    }
    return QObject::eventFilter(watched, event);
}

} // namespace ui
