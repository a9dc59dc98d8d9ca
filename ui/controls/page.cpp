#include "ui/controls/page.h"
#include "ui/controls/commit_edit.h"

#include <QKeyEvent>

namespace ui {

void Page::tellRefusals()
{
    for (const CommitEdit* edit : findChildren<CommitEdit*>())
        connect(edit, &CommitEdit::refused, this, &Page::problem);
}

bool PageToPublish::isPublishKey(const QKeyEvent& event)
{
    return event.key() == Qt::Key_E && event.modifiers() == Qt::ControlModifier;
}

bool PageToPublish::event(QEvent* event)
{
    if (event->type() == QEvent::ShortcutOverride && isPublishKey(*static_cast<QKeyEvent*>(event))) {
        event->accept();
        return true;
    }
    return Page::event(event);
}

} // namespace ui
