#pragma once
#include "ui/controls/page.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header

class QHBoxLayout;
class QPushButton;

namespace ui {

class Label;
class SessionModel;

/// The whole job once, step by step: a strip below the page in front that says what to do next. What is done is read
/// off the session alone, so that undo goes back a step, and it can be left and begun again at any time.
class FirstSession : public QWidget {
    Q_OBJECT
public:
    /// `model` outlives it. `films`: what the first step offers to take in; empty: one's own footage is asked for.
    FirstSession(const SessionModel& model, QStringList films, QWidget* parent = nullptr);
    void setPageInFront(const QString& name);

signals:
    void footageAsked(const QStringList& films);
    void left();

protected:
    void paintEvent(QPaintEvent*) override;

private:
    struct Step;
    QVector<Step> steps() const;
    void refresh();

    const SessionModel& m_model;
    QStringList m_films;
    QString m_front;
    Label *m_count, *m_title, *m_words;
    QHBoxLayout* m_keys;
    QPushButton *m_take, *m_leave;
    int m_shown = -1;
};

} // namespace ui
