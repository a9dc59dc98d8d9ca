#include "ui/clock/frame_field.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/layouts.h"

namespace ui {

FrameField::FrameField(SessionModel& model, const char* name, QWidget* parent)
    : QWidget(parent), m_model(model), m_edit(called(name, new CommitEdit(tr("frame")))),
      m_take(compactButton(tr("Frame in view"), (name + std::string("InView")).c_str(), tr("Of the reading desk")))
{
    auto* row = rowIn(this, 8);
    row->addWidget(m_edit, 1);
    row->addWidget(m_take);
    m_take->hide();
    m_edit->setCheck(CommitEdit::wholeNumber(0, tr("\u201c%1\u201d isn't the number of a frame.")));
    connect(m_edit, &CommitEdit::committed, this, &FrameField::changed);
    connect(m_take, &QPushButton::clicked, this, &FrameField::take);
}

void FrameField::setFrameInView(AskFrameInView ask)
{
    m_inView = std::move(ask);
    m_take->setVisible(static_cast<bool>(m_inView));
}

void FrameField::take()
{
    const std::optional<FrameInView> place = m_inView();
    if (!place || place->capture != m_capture) {
        emit m_model.problem(tr("The reading desk shows another capture: go to the frame in this one first."));
        return;
    }
    m_edit->setText({});
    m_edit->setValue(QString::number(place->frame.value));
    emit changed();
}

std::optional<timing::FrameNumber> FrameField::frame() const
{
    bool whole = false;
    const timing::FrameNumber frame{m_edit->value().toLongLong(&whole)};
    return whole ? std::optional(frame) : std::nullopt;
}

} // namespace ui
