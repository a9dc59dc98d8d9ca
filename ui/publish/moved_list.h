#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/report/publication_changes.h"

namespace ui {

/// What moved since the last publication into the folder: figures with what they were and are, and why. Hidden while
/// there is nothing to tell.
class MovedList : public Panel {
    Q_OBJECT
public:
    explicit MovedList(QWidget* parent = nullptr);
    /// `published`: with what was published last; else it isn't out yet.
    void show(const report::Changes& changes, bool published);
    void clear();

private:
    void add(const report::Moved& moved, bool figure);
    void note(const QString& sentence);
};

} // namespace ui
