#pragma once
#include "ui/controls/page.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/clock/frame_field.h"

namespace ui {

class PictureFindings;

class ClockPage : public Page {
    Q_OBJECT
public:
    explicit ClockPage(SessionModel& model, QWidget* parent = nullptr);
    ~ClockPage() override;
    /// What is in view on the reading desk, so that its frame can be taken here.
    void setFrameInView(AskFrameInView ask);
    void showClock(session::ClockId id);                      ///< its evidence and what to do about it
    void setPictureFindings(const PictureFindings& findings); ///< outlives this

    QString name() const override;
    QString stateLine() const override;
    bool needsAttention() const override;
    QVector<KeyHint> keys() const override;
    void entered() override;

protected:
    void keyPressEvent(QKeyEvent*) override;
    void resizeEvent(QResizeEvent*) override;

private:
    class Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace ui
