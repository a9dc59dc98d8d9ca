#pragma once
#include <QStringList>
#include <QVector>
#include <QWidget>

namespace ui {

/// One entry of the bottom bar and of the help overlay: key caps and what they do.
struct KeyHint {
    QStringList caps;  ///< "Shift", "→"
    QString meaning;   ///< "10 frames"
    bool inBar = true; ///< false: in the help overlay only
};

/// One of the five pages under the tabs.
class Page : public QWidget {
    Q_OBJECT
public:
    using QWidget::QWidget;
    virtual QString name() const = 0;      ///< "Read"
    virtual QString stateLine() const = 0; ///< small line under the name: "42 of 144 to read"
    /// The state line is drawn in the attention colour with its shape.
    virtual bool needsAttention() const { return false; }
    virtual QVector<KeyHint> keys() const = 0;                  ///< as it stands now
    virtual QVector<KeyHint> allKeys() const { return keys(); } ///< whatever is on it
    virtual void entered() {}                                   ///< the page has come to the front

signals:
    void stateChanged();
    void goTo(const QString& pageName); ///< asks the window to show another page
    void trialAsked(qint64 trial);      ///< asks the window to show that trial on the reading desk
    void captureAsked(qint64 capture);  ///< the same of a capture
    void clockAsked(qint64 clock);      ///< asks the window to show that clock on its page
    void problem(const QString& sentence);

protected:
    /// Tells what fields on the page refuse as problems; for the end of its constructor, when they are there.
    void tellRefusals();
};

/// A page that leads to publishing by Ctrl+E, whatever a menu does with that key on other pages.
class PageToPublish : public Page {
    Q_OBJECT
public:
    using Page::Page;
    static bool isPublishKey(const QKeyEvent& event);

protected:
    bool event(QEvent*) override;
};

} // namespace ui
