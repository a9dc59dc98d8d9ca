#pragma once
#include "ui/controls/page.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/model/session_results.h"

namespace ui {

class ResultsPage : public PageToPublish {
    Q_OBJECT
public:
    ResultsPage(SessionModel& model, SessionResults& results, QWidget* parent = nullptr);
    ~ResultsPage() override;

    QString name() const override;
    QString stateLine() const override;
    QVector<KeyHint> keys() const override;
    QVector<KeyHint> allKeys() const override;
    void entered() override;

protected:
    void keyPressEvent(QKeyEvent*) override;

private:
    class Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace ui
