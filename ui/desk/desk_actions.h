#pragma once
#include "ui/controls/page.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include <QAction>
#include <QKeySequence>
#include <functional>
#include <map>

class QKeyEvent;
class QMenu;

namespace ui {

/// The desk's keys: each an action in a menu, with what the bottom bar and the help say of it. The keys work while the
/// desk is in front; text fields keep theirs.
class DeskActions : public QObject {
    Q_OBJECT
public:
    enum class Menu { Footage, Trial, View };

    explicit DeskActions(QWidget& desk);

    struct Key {
        QString text; ///< in the menu
        QList<QKeySequence> keys;
        std::function<void()> run;
        bool repeats = false;    ///< while the key is held
        bool everywhere = false; ///< on the other pages as well
    };
    QAction* add(Menu menu, const Key& key);
    QAction* add(QMenu& submenu, const Key& key);
    void addSeparator(Menu menu);
    QMenu* addSubmenu(Menu menu, const QString& title);
    QList<QAction*> actions(Menu menu) const;

    void addHint(const KeyHint& hint, bool whileBlind)
    {
        m_hints << hint;
        if (whileBlind)
            m_blindHints << hint;
    }
    const QVector<KeyHint>& hints(bool blind) const { return blind ? m_blindHints : m_hints; }

    void setInFront(bool inFront);
    /// The key that is being handled repeats because it is held.
    bool held() const { return m_held; }

signals:
    void released(); ///< a key, for good

protected:
    bool eventFilter(QObject*, QEvent*) override;

private:
    QAction* make(const Key& key);
    bool keepsKey(const QWidget& focused, const QKeyEvent& key) const;

    QWidget& m_desk;
    std::map<Menu, QList<QAction*>> m_menus;
    QList<QAction*> m_local;
    QVector<KeyHint> m_hints, m_blindHints;
    bool m_inFront = false, m_held = false;
};

} // namespace ui
