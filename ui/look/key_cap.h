#pragma once
#include "ui/look/tokens.h"
#include <QPushButton>
#include <QStringList>
#include <QWidget>

class QPainter;

namespace ui {

/// Key caps side by side, as they are painted beside actions: what is moved (ui::keys) stands where the analyst has it.
/// "Left", "Right", "Up" and "Down" show arrows.
QSize keyCapsSize(const QStringList& caps);
enum class CapSurface { Panel, Primary }; ///< what lies behind: colours follow
/// At the left of `box`, centred in its height.
void paintKeyCaps(QPainter&, const QRectF& box, const QStringList& caps, CapSurface = CapSurface::Panel,
                  bool enabled = true);

/// A letter that is typed, at the left of `box`, centred in its height: no key of the program's.
void paintLetterCap(QPainter&, const QRectF& box, const QString& letter);

/// Caps and what they do: "[<-] [->] 1 frame".
class KeyCaps : public QWidget {
    Q_OBJECT
public:
    explicit KeyCaps(const QStringList& caps, const QString& meaning = {}, QWidget* parent = nullptr);
    QSize sizeHint() const override;
    QSize minimumSizeHint() const override { return sizeHint(); }

protected:
    void paintEvent(QPaintEvent*) override;

private:
    QStringList m_caps;
    QString m_meaning;
};

/// Push button with its key beside the words. The caps only tell; the key itself belongs to an action of the page.
class KeyButton : public QPushButton {
    Q_OBJECT
public:
    enum class Kind { Plain, Primary }; ///< one primary button a page at most
    explicit KeyButton(const QString& text, const QStringList& caps = {}, Kind = Kind::Plain,
                       QWidget* parent = nullptr);
    QSize sizeHint() const override;
    QSize minimumSizeHint() const override { return sizeHint(); }

protected:
    void paintEvent(QPaintEvent*) override;

private:
    QStringList m_caps;
    Kind m_kind;
};

} // namespace ui
