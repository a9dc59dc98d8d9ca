#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/session/document.h"

namespace ui {

/// What the metadata of a clock's captures says of rates, entry by entry, and what that means: evidence, playback, or
/// nothing.
class TagsPanel : public Panel {
    Q_OBJECT
public:
    explicit TagsPanel(QWidget* parent = nullptr);
    void show(const session::Document& document, session::ClockId clock);
    /// Entries that should state a rate and don't.
    int damaged() const { return m_damaged; }
    int count() const { return static_cast<int>(m_shown.size()); }

private:
    struct Entry {
        session::RateTag tag;
        QString captures;
        bool operator==(const Entry&) const = default;
    };
    void add(const Entry& entry);

    std::vector<Entry> m_shown;
    int m_damaged = 0;
    QVBoxLayout* m_rows;
    Label* m_none;
};

} // namespace ui
