#pragma once
#include <QWidget>

class QPushButton;

namespace ui {

class Label;

/// What stands in place of the frame while a session has no footage: the first step, and the four after it.
class StartPage : public QWidget {
    Q_OBJECT
public:
    explicit StartPage(QWidget* parent = nullptr);
    void setSampleOffered(bool offered);
    void setUnderWay(const QString& line); ///< footage on its way in; empty when there is none

signals:
    void addFootageAsked();
    void openSessionAsked();
    void openSampleAsked();
    void firstSessionAsked();

protected:
    void paintEvent(QPaintEvent*) override;

private:
    QWidget* m_drop;
    Label* m_underWay;
    QPushButton* m_sample;
};

} // namespace ui
