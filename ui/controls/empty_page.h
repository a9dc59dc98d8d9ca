#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header

namespace ui {

class KeyButton;

/// In place of a page that has nothing to show yet: what it will show, and the step that leads there.
class EmptyPage : public Panel {
    Q_OBJECT
public:
    explicit EmptyPage(QWidget* parent = nullptr);
    void say(const QString& title, const QString& words, const QString& action); ///< no action: nothing to be done
    KeyButton& action() { return *m_action; }

private:
    Label *m_heading, *m_words;
    KeyButton* m_action;
};

} // namespace ui
