#include "ui/look/key_cap.h"

#include "ui/look/own_keys.h"
#include "ui/look/shapes.h"

#include <QEvent>
#include <QFontMetricsF>
#include <QPainter>
#include <QStyle>
#include <QStyleOptionButton>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr int capHeight = 18;
constexpr int capGap = 4;
constexpr int wordGap = 8;
constexpr int buttonGap = 6; // in a button, which has margins of its own

std::optional<Shape> arrowOf(const QString& cap)
{
    static const std::pair<QString, Shape> arrows[] = {{QStringLiteral("Left"), Shape::ArrowLeft},
                                                       {QStringLiteral("Right"), Shape::ArrowRight},
                                                       {QStringLiteral("Up"), Shape::ArrowUp},
                                                       {QStringLiteral("Down"), Shape::ArrowDown}};
    for (const auto& [name, shape] : arrows)
        if (cap == name)
            return shape;
    return std::nullopt;
}

QFont capFont() { return font(Text::Caption, QFont::DemiBold); }

int capWidth(const QString& cap)
{
    if (arrowOf(cap))
        return 24;
    return std::max(20, int(std::ceil(QFontMetricsF(capFont()).horizontalAdvance(cap))) + 12);
}

void paintCap(QPainter& p, const QRectF& cap, const QString& text, CapSurface surface, bool enabled)
{
    const Tokens& t = tokens();
    const bool primary = surface == CapSurface::Primary;
    const QColor ink = !enabled ? t.disabled : primary ? t.primaryText : t.text1;
    const QColor edge = !enabled ? t.hairline : primary ? t.primaryText : t.text3;
    const QColor fill = !enabled ? QColor(Qt::transparent) : primary ? t.primary : t.field;
    p.setPen(QPen(edge, 1));
    p.setBrush(fill);
    p.drawRoundedRect(cap.adjusted(0.5, 0.5, -0.5, -0.5), 3, 3);
    p.fillRect(QRectF(cap.left() + 2, cap.bottom() - 2, cap.width() - 4, 1), edge); // the key's front
    const QRectF face = cap.adjusted(0, 0, 0, -1);
    if (const auto arrow = arrowOf(text)) {
        paintShape(p, *arrow, face, t, ink);
        return;
    }
    p.setPen(ink);
    p.setFont(capFont());
    p.drawText(face, Qt::AlignCenter, text);
}

void paintCaps(QPainter& painter, const QRectF& box, const QStringList& caps, CapSurface surface, bool enabled)
{
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing);
    qreal x = std::round(box.left());
    const qreal y = std::floor(box.center().y() - capHeight / 2.0);
    for (const QString& cap : caps) {
        const int width = capWidth(cap);
        paintCap(painter, QRectF(x, y, width, capHeight), cap, surface, enabled);
        x += width + capGap;
    }
    painter.restore();
}

QStringList ownCaps(const QStringList& caps)
{
    QStringList own;
    for (const QString& cap : caps)
        own << keys::ownCap(cap);
    return own;
}

/// Names a widget for screen readers by its caps where the analyst has them, and anew when he moves keys.
class SpokenCaps : public QObject {
public:
    SpokenCaps(QWidget& widget, const QStringList& caps, const QString& meaning)
        : QObject(&widget), m_widget(widget), m_caps(caps), m_meaning(meaning)
    {
        widget.installEventFilter(this);
        speak();
    }
    bool eventFilter(QObject*, QEvent* event) override
    {
        if (event->type() == QEvent::KeyboardLayoutChange) // keys::follow()
            speak();
        return false;
    }

private:
    void speak() { m_widget.setAccessibleName((ownCaps(m_caps) << m_meaning).join(QLatin1Char(' '))); }

    QWidget& m_widget;
    const QStringList m_caps;
    const QString m_meaning;
};

} // namespace

QSize keyCapsSize(const QStringList& caps)
{
    int width = 0;
    for (const QString& cap : ownCaps(caps))
        width += capWidth(cap) + (width > 0 ? capGap : 0);
    return {width, caps.isEmpty() ? 0 : capHeight};
}

void paintKeyCaps(QPainter& painter, const QRectF& box, const QStringList& caps, CapSurface surface, bool enabled)
{
    paintCaps(painter, box, ownCaps(caps), surface, enabled);
}

void paintLetterCap(QPainter& painter, const QRectF& box, const QString& letter)
{
    paintCaps(painter, box, {letter}, CapSurface::Panel, true);
}

KeyCaps::KeyCaps(const QStringList& caps, const QString& meaning, QWidget* parent)
    : QWidget(parent), m_caps(caps), m_meaning(meaning)
{
    setSizePolicy(QSizePolicy::Fixed, QSizePolicy::Fixed);
    setFont(ui::font(Text::State));
    new SpokenCaps(*this, caps, meaning);
}

QSize KeyCaps::sizeHint() const
{
    QSize size = keyCapsSize(m_caps);
    if (!m_meaning.isEmpty())
        size.rwidth() += wordGap + fontMetrics().horizontalAdvance(m_meaning);
    return {size.width(), std::max(size.height(), fontMetrics().height())};
}

void KeyCaps::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    const QSize caps = keyCapsSize(m_caps);
    paintKeyCaps(painter, QRectF(0, 0, caps.width(), height()), m_caps, CapSurface::Panel, isEnabled());
    painter.setPen(isEnabled() ? tokens().text2 : tokens().disabled);
    painter.setFont(font());
    painter.drawText(rect().adjusted(caps.width() + wordGap, 0, 0, 0), Qt::AlignVCenter | Qt::AlignLeft, m_meaning);
}

KeyButton::KeyButton(const QString& text, const QStringList& caps, Kind kind, QWidget* parent)
    : QPushButton(text, parent), m_caps(caps), m_kind(kind)
{
    setFont(ui::font(Text::Body, kind == Kind::Primary ? QFont::DemiBold : QFont::Normal));
    setSizePolicy(QSizePolicy::Minimum, QSizePolicy::Fixed);
    setProperty("primary", kind == Kind::Primary);
}

QSize KeyButton::sizeHint() const
{
    QSize size = QPushButton::sizeHint();
    if (!m_caps.isEmpty())
        size.rwidth() +=
            buttonGap + keyCapsSize(m_caps).width() - 4; // the last cap needs less room beside it than a word
    return size;
}

void KeyButton::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    QStyleOptionButton option;
    initStyleOption(&option);
    style()->drawControl(QStyle::CE_PushButtonBevel, &option, &painter, this);

    const Tokens& t = tokens();
    const int flags = Qt::AlignVCenter | Qt::AlignLeft
                      | (style()->styleHint(QStyle::SH_UnderlineShortcut, &option, this) ? Qt::TextShowMnemonic
                                                                                         : Qt::TextHideMnemonic);
    const int words = fontMetrics().size(Qt::TextShowMnemonic, text()).width();
    const int caps = m_caps.isEmpty() ? 0 : buttonGap + keyCapsSize(m_caps).width();
    const int left = (width() - words - caps) / 2;
    const bool primary = m_kind == Kind::Primary;
    painter.setPen(!isEnabled() ? t.disabled : primary ? t.primaryText : t.text1);
    painter.setFont(font());
    painter.drawText(QRect(left, 0, words + 1, height()), flags, text());
    if (caps > 0)
        paintKeyCaps(painter, QRectF(left + words + buttonGap, 0, caps, height()), m_caps,
                     primary ? CapSurface::Primary : CapSurface::Panel, isEnabled());
}

} // namespace ui
