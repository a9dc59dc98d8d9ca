#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/clock/frame_field.h"

class QPushButton;

namespace ui {

class ChoiceBox;
class CommitEdit;
class RowList;

/// The pieces of a capture that changes its speed, each with its clock: boundaries are taken out and put in here.
class PiecesPanel : public Panel {
    Q_OBJECT
public:
    explicit PiecesPanel(SessionModel& model, QWidget* parent = nullptr);
    void show(session::ClockId clock);
    /// What "frame in view" means; without it the button stays away.
    void setFrameInView(AskFrameInView ask);

signals:
    void clockAsked(session::ClockId id); ///< the piece's clock is to be shown

private:
    void fill(const session::Document& document);
    void showPieces();
    void paintRow(QPainter& painter, const QRect& rect, int row, bool selected) const;
    const session::Piece* selected(const session::Capture& capture) const;
    void begin();

    struct Row {
        timing::FrameNumber first, last;
        session::ClockId clock;
        QString name, steps;
        session::ClockState state = session::ClockState::Unknown;
    };
    SessionModel& m_model;
    session::ClockId m_clock;
    session::CaptureId m_capture;
    QVector<Row> m_rows;
    ChoiceBox* m_captures;
    RowList* m_list;
    Label* m_words;
    FrameField* m_frame;
    QWidget* m_actions;
    QPushButton *m_begin, *m_remove, *m_even, *m_here, *m_own;
};

} // namespace ui
