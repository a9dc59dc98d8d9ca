#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/session/document.h"

namespace ui {

class RowList;

/// What is known of one clock: the consequence, and the evidence best first.
class EvidencePanel : public QWidget {
    Q_OBJECT
public:
    explicit EvidencePanel(QWidget* parent = nullptr);
    void show(const session::Document& document, const session::Clock& clock, session::EvidenceId selected);
    /// How many entries of metadata speak of rates, and how many of them should state one and don't.
    void setTags(int entries, int damaged);
    RowList& list() { return *m_list; }

signals:
    void chosen(session::EvidenceId id);

private:
    void paintRow(QPainter& painter, const QRect& rect, int row, bool selected) const;

    void showRemarks();

    session::Clock m_clock;
    bool m_stamps = false; ///< are evidence
    int m_tags = 0, m_damagedTags = 0;
    std::vector<const session::ClockEvidence*> m_ranked; ///< of m_clock
    Label *m_name, *m_sentence, *m_second, *m_playback, *m_none;
    ShapeLabel* m_state;
    QWidget* m_headings;
    RowList* m_list;
};

} // namespace ui
