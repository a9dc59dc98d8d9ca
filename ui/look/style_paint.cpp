#include "ui/look/style_paint.h"

#include "ui/look/look.h"

#include <QPainter>
#include <QWidget>
#include <algorithm>

namespace ui::style_paint {
namespace {

QColor between(const QColor& a, const QColor& b)
{
    return QColor((a.red() + b.red()) / 2, (a.green() + b.green()) / 2, (a.blue() + b.blue()) / 2);
}

void roundedBox(QPainter& p, const QRectF& box, const QColor& fill, const QColor& edge)
{
    p.save();
    p.setRenderHint(QPainter::Antialiasing);
    p.setPen(edge.isValid() ? QPen(edge, 1) : QPen(Qt::NoPen));
    p.setBrush(fill.isValid() ? QBrush(fill) : QBrush(Qt::NoBrush));
    p.drawRoundedRect(box.adjusted(0.5, 0.5, -0.5, -0.5), grid::radius, grid::radius);
    p.restore();
}

bool has(const QStyleOption& option, QStyle::StateFlag flag) { return option.state & flag; }

} // namespace

void button(QPainter& p, const QStyleOption& option, const QWidget* widget)
{
    const Tokens& t = tokens();
    const bool enabled = has(option, QStyle::State_Enabled);
    if (!enabled)
        return roundedBox(p, option.rect, {}, t.hairline);
    if (widget && widget->property("primary").toBool()) {
        const QColor fill = has(option, QStyle::State_Sunken)      ? t.text2
                            : has(option, QStyle::State_MouseOver) ? t.focus
                                                                   : t.primary;
        return roundedBox(p, option.rect, fill, {});
    }
    const bool down = has(option, QStyle::State_Sunken);
    const bool on = has(option, QStyle::State_On);
    const bool over = has(option, QStyle::State_MouseOver);
    roundedBox(p, option.rect, down ? t.field : on || over ? t.selected : t.raised, between(t.hairline, t.fieldEdge));
    if (on)
        p.fillRect(QRect(option.rect.left(), option.rect.top() + 4, grid::selectionBar, option.rect.height() - 8),
                   t.text1);
}

void toolButton(QPainter& p, const QStyleOption& option)
{
    const Tokens& t = tokens();
    const bool on = has(option, QStyle::State_On);
    if (has(option, QStyle::State_Enabled)
        && (on || has(option, QStyle::State_Sunken) || has(option, QStyle::State_MouseOver)))
        roundedBox(p, option.rect, on ? t.selected : t.hover, {});
    if (on)
        p.fillRect(QRect(option.rect.left(), option.rect.top() + 4, grid::selectionBar, option.rect.height() - 8),
                   t.text1);
}

void field(QPainter& p, const QStyleOption& option, bool withEdge)
{
    const Tokens& t = tokens();
    const bool enabled = has(option, QStyle::State_Enabled);
    if (!withEdge)
        return p.fillRect(option.rect, t.field);
    const bool over = enabled && has(option, QStyle::State_MouseOver);
    roundedBox(p, option.rect, enabled ? t.field : QColor(), !enabled ? t.hairline : over ? t.text2 : t.fieldEdge);
}

void frame(QPainter& p, const QStyleOption& option)
{
    p.save();
    p.setPen(tokens().hairline);
    p.setBrush(Qt::NoBrush);
    p.drawRect(option.rect.adjusted(0, 0, -1, -1));
    p.restore();
}

void popup(QPainter& p, const QStyleOption& option, const QColor& fill)
{
    const Tokens& t = tokens();
    p.fillRect(option.rect, fill);
    p.save();
    p.setPen(between(t.hairline, t.fieldEdge));
    p.setBrush(Qt::NoBrush);
    p.drawRect(option.rect.adjusted(0, 0, -1, -1));
    p.restore();
}

void indicator(QPainter& p, const QStyleOption& option, bool round)
{
    const Tokens& t = tokens();
    const bool enabled = has(option, QStyle::State_Enabled);
    const QColor edge = !enabled ? t.disabled : has(option, QStyle::State_MouseOver) ? t.text1 : t.fieldEdge;
    const QColor ink = enabled ? t.text1 : t.disabled;
    const QRectF box(option.rect.left(), option.rect.top() + (option.rect.height() - 16) / 2, 16, 16);
    p.save();
    p.setRenderHint(QPainter::Antialiasing);
    p.setPen(QPen(edge, 1));
    p.setBrush(enabled ? QBrush(t.field) : QBrush(Qt::NoBrush));
    if (round)
        p.drawEllipse(box.adjusted(0.5, 0.5, -0.5, -0.5));
    else
        p.drawRoundedRect(box.adjusted(0.5, 0.5, -0.5, -0.5), 2, 2);
    if (has(option, QStyle::State_On) && round) {
        p.setPen(Qt::NoPen);
        p.setBrush(ink);
        p.drawEllipse(box.adjusted(4, 4, -4, -4));
    } else if (has(option, QStyle::State_On)) {
        paintShape(p, Shape::Check, box, t, ink);
    } else if (has(option, QStyle::State_NoChange)) {
        p.fillRect(box.adjusted(4, 7, -4, -7), ink);
    }
    p.restore();
}

void arrow(QPainter& p, const QStyleOption& option, QStyle::PrimitiveElement element)
{
    bool up = element == QStyle::PE_IndicatorArrowUp;
    if (element == QStyle::PE_IndicatorHeaderArrow) {
        const auto* header = qstyleoption_cast<const QStyleOptionHeader*>(&option);
        if (!header || header->sortIndicator == QStyleOptionHeader::None)
            return;
        up = header->sortIndicator == QStyleOptionHeader::SortUp;
    }
    const qreal turn = up                                          ? 180
                       : element == QStyle::PE_IndicatorArrowLeft  ? 90
                       : element == QStyle::PE_IndicatorArrowRight ? 270
                                                                   : 0;
    const QColor ink = has(option, QStyle::State_Enabled) ? tokens().text2 : tokens().disabled;
    p.save();
    p.translate(QRectF(option.rect).center());
    p.rotate(turn);
    const qreal half = std::min({6.0, option.rect.width() / 2.0, option.rect.height() / 2.0});
    paintShape(p, Shape::Chevron, QRectF(-half, -half, 2 * half, 2 * half), tokens(), ink);
    p.restore();
}

void itemState(QPainter& p, const QStyleOption& option)
{
    const auto* item = qstyleoption_cast<const QStyleOptionViewItem*>(&option);
    if (!item)
        return;
    const bool selected = has(option, QStyle::State_Selected);
    if (item->backgroundBrush.style() != Qt::NoBrush)
        p.fillRect(option.rect, item->backgroundBrush);
    if (selected)
        p.fillRect(option.rect, tokens().selected);
    else if (has(option, QStyle::State_MouseOver) && has(option, QStyle::State_Enabled))
        p.fillRect(option.rect, tokens().hover);
    // The bar stands at the left end of the row, not of every cell.
    const bool leftmost = item->viewItemPosition == QStyleOptionViewItem::Beginning
                          || item->viewItemPosition == QStyleOptionViewItem::OnlyOne
                          || (item->viewItemPosition == QStyleOptionViewItem::Invalid && option.rect.left() <= 0);
    if (selected && leftmost)
        p.fillRect(QRect(option.rect.left(), option.rect.top(), grid::selectionBar, option.rect.height()),
                   tokens().text1);
}

void itemFocus(QPainter& p, const QStyleOption& option) { paintFocusInside(p, option.rect); }

void focusRing(QPainter& p, const QRectF& outer)
{
    p.save();
    p.setRenderHint(QPainter::Antialiasing);
    p.setPen(QPen(tokens().focus, 2));
    p.setBrush(Qt::NoBrush);
    p.drawRoundedRect(outer.adjusted(1, 1, -1, -1), grid::radius + 2, grid::radius + 2);
    p.restore();
}

void menuBarItem(QPainter& p, const QStyleOption& option, const QStyle& style)
{
    const auto* item = qstyleoption_cast<const QStyleOptionMenuItem*>(&option);
    if (!item)
        return;
    const Tokens& t = tokens();
    const bool open = has(option, QStyle::State_Selected);
    p.fillRect(option.rect, open ? t.selected : t.panel);
    int flags = Qt::AlignCenter | Qt::TextSingleLine | Qt::TextShowMnemonic;
    if (!style.styleHint(QStyle::SH_UnderlineShortcut, &option))
        flags |= Qt::TextHideMnemonic;
    p.setPen(has(option, QStyle::State_Enabled) ? t.text1 : t.disabled);
    p.drawText(option.rect, flags, item->text);
}

void headerSection(QPainter& p, const QStyleOption& option)
{
    const Tokens& t = tokens();
    p.fillRect(option.rect, has(option, QStyle::State_MouseOver) ? t.hover : t.panel);
    p.fillRect(QRect(option.rect.left(), option.rect.bottom(), option.rect.width(), 1), t.hairline);
}

void tab(QPainter& p, const QStyleOption& option)
{
    const Tokens& t = tokens();
    const bool selected = has(option, QStyle::State_Selected);
    if (selected || has(option, QStyle::State_MouseOver))
        p.fillRect(option.rect, selected ? t.selected : t.hover);
    if (selected)
        p.fillRect(QRect(option.rect.left(), option.rect.top(), option.rect.width(), grid::selectionBar), t.text1);
    if (has(option, QStyle::State_HasFocus))
        itemFocus(p, option);
}

void progress(QPainter& p, const QStyleOption& option)
{
    const auto* bar = qstyleoption_cast<const QStyleOptionProgressBar*>(&option);
    if (!bar || bar->maximum <= bar->minimum)
        return;
    const double share = double(bar->progress - bar->minimum) / double(bar->maximum - bar->minimum);
    QRect done = option.rect;
    done.setWidth(int(std::clamp(share, 0.0, 1.0) * done.width()));
    p.fillRect(done, tokens().text2);
}

void scrollBar(QPainter& p, const QStyleOptionSlider& bar, const QRect& handle)
{
    const Tokens& t = tokens();
    p.fillRect(bar.rect, t.panel);
    if (bar.maximum <= bar.minimum)
        return;
    const bool horizontal = bar.orientation == Qt::Horizontal;
    const bool lively = bar.state & QStyle::State_MouseOver || bar.state & QStyle::State_Sunken;
    p.save();
    p.setRenderHint(QPainter::Antialiasing);
    p.setPen(Qt::NoPen);
    p.setBrush(lively ? t.text3 : t.fieldEdge);
    p.drawRoundedRect(
        QRectF(handle).adjusted(horizontal ? 1 : 3, horizontal ? 3 : 1, horizontal ? -1 : -2, horizontal ? -2 : -1),
        2.5, 2.5);
    p.restore();
}

} // namespace ui::style_paint
