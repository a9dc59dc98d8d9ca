#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/model/session_model.h"

class QPushButton;

namespace ui {

class CommitEdit;
class KeyButton;
class RowList;

/// What the analyst does with one clock: declare a rate, settle, say which captures use it.
class SettlePanel : public QWidget {
    Q_OBJECT
public:
    explicit SettlePanel(SessionModel& model, QWidget* parent = nullptr);
    void show(session::ClockId clock, session::EvidenceId selected);
    void settle();

private:
    void buildSettle(QVBoxLayout& column);
    void buildDeclare(QVBoxLayout& column);
    void buildCaptures(QVBoxLayout& column);
    void showSettle(const session::Document& document, const session::Clock& clock);
    void fillReason(const session::Clock& clock);
    void fillDeclaration(const session::Clock& clock);
    void showCaptures(const session::Document& document, const session::Clock& clock);
    void declare();
    void showPieces(const session::Document& document);
    void share(const std::vector<session::CaptureId>& captures);
    void toggleCapture(int row);
    void takeUnsettled();
    void paintCapture(QPainter& painter, const QRect& rect, int row, bool selected) const;

    struct Row {
        session::CaptureId id;
        QString name, other; ///< name of the clock it is on, where that is another; which part of it is on this one,
                             ///< where it is in pieces
        bool uses = false;
    };
    SessionModel& m_model;
    session::ClockId m_clock;
    session::EvidenceId m_evidence;
    std::optional<std::pair<session::ClockId, std::optional<timing::RateEvidence>>>
        m_filled; ///< what the form was filled from
    std::optional<std::pair<session::ClockId, std::optional<session::Settlement>>>
        m_filledReason; ///< what the reason was filled from
    session::ClockId m_scrolledFor;
    QVector<Row> m_rows;
    std::vector<session::CaptureId> m_shared;    ///< put on this clock last; what that did to those in pieces is told
    std::vector<session::CaptureId> m_unsettled; ///< on other clocks that aren't settled
    Panel *m_settlePanel = nullptr, *m_capturePanel = nullptr;
    QWidget* m_figures = nullptr;
    Label *m_with = nullptr, *m_rate = nullptr, *m_unit = nullptr, *m_facts = nullptr, *m_settled = nullptr,
          *m_effect = nullptr, *m_pieces = nullptr;
    CommitEdit *m_reason = nullptr, *m_declared = nullptr, *m_tolerance = nullptr, *m_note = nullptr;
    KeyButton* m_settle = nullptr;
    QPushButton *m_unsettle = nullptr, *m_take = nullptr;
    RowList* m_captures = nullptr;
};

} // namespace ui
