#pragma once
#include <QKeySequence>
#include <QStringList>

class QAction;
class QObject;

/// Letters and signs that the analyst has put elsewhere on his keyboard. Two keys are always exchanged, so that none is
/// lost and none is taken twice. Arrows, digits, Enter, Esc and what goes with Ctrl or Alt stay where everybody expects
/// them. For the window's thread.
namespace ui::keys {

/// Letters and the signs that the program uses.
bool canMove(int key);
int own(int delivered); ///< where the analyst has it; itself where it wasn't moved
int delivered(int own); ///< what the program takes that key for
QKeySequence own(const QKeySequence& delivered);
QString ownCap(const QString& cap); ///< "F" is "Q"; caps of other keys as they are

/// What `delivered` is for is done by the key `own` from here on, and what that was for by the key that `delivered`
/// had. Preconditions: both can move.
void put(int delivered, int own);
QStringList moved();                     ///< "F=Q", ascending; empty where all are as delivered
void setMoved(const QStringList& pairs); ///< what can't be is left out

QList<QKeySequence> deliveredOf(const QAction& action); ///< wherever they are now
/// Gives each action and shortcut below `window` the keys that the analyst has for it.
void follow(QObject& window);

} // namespace ui::keys
