#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/model/session_model.h"

class QCheckBox;
class QPushButton;

namespace ui {

class CommitEdit;
class KeyButton;
class MovedList;

/// What is published, where, and the button that does it.
class PublishPanel : public QWidget {
    Q_OBJECT
public:
    explicit PublishPanel(SessionModel& model, QWidget* parent = nullptr);
    void refresh();
    /// Absolute; empty while none is chosen and the session has no place of its own.
    QString folder() const;
    void chooseFolder();
    bool allowsFlashing() const; ///< clips that flash too much are to be written nevertheless
    void setBusy(bool busy);
    void setReady(bool ready); ///< false: there is nothing to publish yet
    /// Files of somebody else are in the way: says so and offers to replace them.
    void offerReplacing(const QString& sentence);
    /// What the last publishing did, in one sentence.
    void setOutcome(const QString& sentence, Tone tone);
    MovedList& moved() { return *m_moved; }
    /// A product's small picture; null where there is none, and why as far as known.
    void setPicture(const std::string& key, const QImage& picture, const QString& why);

signals:
    void productShown(const std::string& key); ///< the analyst came to it or its picture
    void publishAsked();
    void replaceAsked(); ///< publish, and replace what is in the way
    void stopAsked();

private:
    void chooseProducts();
    bool eventFilter(QObject* watched, QEvent* event) override; ///< of the products' ticks
    void change(const QString& label, const std::function<void(session::PublishSettings&)>& how);

    SessionModel& m_model;
    std::vector<QCheckBox*> m_products;   ///< as productKinds()
    std::vector<QPushButton*> m_pictures; ///< likewise
    QCheckBox *m_flashing, *m_sideBySide;
    CommitEdit* m_trials;
    CommitEdit* m_folder;
    KeyButton* m_publish;
    QPushButton *m_replace, *m_stop;
    Label* m_outcome;
    MovedList* m_moved;
    bool m_busy = false, m_ready = true;
};

} // namespace ui
