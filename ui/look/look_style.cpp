#include "ui/look/look_style.h"

#include "ui/look/style_paint.h"

#include <QAbstractItemView>
#include <QComboBox>
#include <QHeaderView>
#include <QLabel>
#include <QPainter>
#include <QPushButton>
#include <QStyleOption>
#include <QTabBar>
#include <QToolButton>
#include <algorithm>

namespace ui {
namespace {

constexpr int scrollExtent = 10;
constexpr int shortestHandle = 24;

bool isCompact(const QWidget* widget) { return widget && widget->property("compact").toBool(); }

int controlHeight(const QWidget* widget) { return isCompact(widget) ? grid::compactControl : grid::control; }

/// Handle of a scroll bar along its groove; without arrows the groove is all of it.
QRect scrollHandle(const QStyleOptionSlider& bar)
{
    const bool horizontal = bar.orientation == Qt::Horizontal;
    const int length = horizontal ? bar.rect.width() : bar.rect.height();
    const qint64 range = qint64(bar.maximum) - bar.minimum;
    int handle = length;
    if (range > 0)
        handle = std::clamp(int(qint64(bar.pageStep) * length / std::max<qint64>(1, range + bar.pageStep)),
                            std::min(shortestHandle, length), length);
    const int at =
        QStyle::sliderPositionFromValue(bar.minimum, bar.maximum, bar.sliderPosition, length - handle, bar.upsideDown);
    return horizontal ? QRect(bar.rect.x() + at, bar.rect.y(), handle, bar.rect.height())
                      : QRect(bar.rect.x(), bar.rect.y() + at, bar.rect.width(), handle);
}

} // namespace

LookStyle::LookStyle() : QProxyStyle(QStringLiteral("Fusion")) {}

void LookStyle::polish(QWidget* widget)
{
    QProxyStyle::polish(widget);
    if (qobject_cast<QPushButton*>(widget) || qobject_cast<QToolButton*>(widget) || qobject_cast<QComboBox*>(widget)
        || widget->inherits("QCheckBox") || widget->inherits("QRadioButton") || qobject_cast<QTabBar*>(widget))
        widget->setAttribute(Qt::WA_Hover);
    // Tool tips name captures and files, which may be called "<b>"; Qt would take that for markup.
    if (auto* tip = qobject_cast<QLabel*>(widget); tip && tip->inherits("QTipLabel"))
        tip->setTextFormat(Qt::PlainText);
    if (auto* tabs = qobject_cast<QTabBar*>(widget))
        tabs->setExpanding(false);
    if (auto* header = qobject_cast<QHeaderView*>(widget); header && header->orientation() == Qt::Horizontal)
        header->setDefaultAlignment(Qt::AlignLeft | Qt::AlignVCenter);
}

int LookStyle::pixelMetric(PixelMetric metric, const QStyleOption* option, const QWidget* widget) const
{
    switch (metric) {
    case PM_ScrollBarExtent: return scrollExtent;
    case PM_ScrollBarSliderMin: return shortestHandle;
    case PM_ScrollView_ScrollBarSpacing: return 0;
    case PM_ButtonShiftHorizontal:
    case PM_ButtonShiftVertical: return 0;
    case PM_ButtonMargin: return 20;
    case PM_DefaultFrameWidth: return 1;
    case PM_SplitterWidth: return 1;
    case PM_FocusFrameHMargin:
        if (qobject_cast<const QAbstractItemView*>(widget))
            return 7; // Qt takes it for the space before an item's text, which must clear the bar
        [[fallthrough]];
    case PM_FocusFrameVMargin: return 3; // a gap of 1, a ring of 2
    case PM_IndicatorWidth:
    case PM_IndicatorHeight:
    case PM_ExclusiveIndicatorWidth:
    case PM_ExclusiveIndicatorHeight: return 16;
    case PM_CheckBoxLabelSpacing:
    case PM_RadioButtonLabelSpacing: return 8;
    case PM_LayoutHorizontalSpacing: return 8;
    case PM_LayoutVerticalSpacing: return 8;
    case PM_LayoutLeftMargin:
    case PM_LayoutRightMargin:
    case PM_LayoutTopMargin:
    case PM_LayoutBottomMargin: return grid::padding;
    case PM_MenuPanelWidth: return 1;
    case PM_MenuVMargin: return 4;
    case PM_MenuHMargin: return 0;
    case PM_MenuBarPanelWidth: return 0;
    case PM_MenuBarItemSpacing: return 4;
    case PM_ToolTipLabelFrameWidth: return 6;
    case PM_HeaderMargin: return 3;
    case PM_TabBarTabHSpace: return 24;
    case PM_TabBarTabShiftVertical: return 0;
    case PM_SmallIconSize: return 16;
    default: return QProxyStyle::pixelMetric(metric, option, widget);
    }
}

int LookStyle::styleHint(StyleHint hint, const QStyleOption* option, const QWidget* widget,
                         QStyleHintReturn* result) const
{
    switch (hint) {
    case SH_EtchDisabledText:
    case SH_DitherDisabledText:
    case SH_ScrollBar_Transient:
    case SH_Widget_Animate:
    case SH_Widget_Animation_Duration:
    case SH_Menu_FadeOutOnHide:
    case SH_Menu_FlashTriggeredItem:
    case SH_ComboBox_Popup:
    case SH_DialogButtonBox_ButtonsHaveIcons:
    case SH_ItemView_PaintAlternatingRowColorsForEmptyArea: return 0;
    case SH_ItemView_ShowDecorationSelected:
    case SH_FocusFrame_AboveWidget:
    case SH_ScrollBar_LeftClickAbsolutePosition: return 1;
    default: return QProxyStyle::styleHint(hint, option, widget, result);
    }
}

QSize LookStyle::sizeFromContents(ContentsType type, const QStyleOption* option, const QSize& contents,
                                  const QWidget* widget) const
{
    QSize size = QProxyStyle::sizeFromContents(type, option, contents, widget);
    switch (type) {
    case CT_PushButton:
        size.setWidth(contents.width() + (isCompact(widget) ? 16 : 20));
        size.setHeight(std::max(controlHeight(widget), contents.height() + 4));
        break;
    case CT_ComboBox:
        size.setWidth(contents.width() + 36);
        size.setHeight(controlHeight(widget));
        break;
    case CT_LineEdit:
    case CT_SpinBox: size.setHeight(controlHeight(widget)); break;
    case CT_ToolButton: size.setHeight(std::max(controlHeight(widget), contents.height())); break;
    case CT_ItemViewItem: size.setHeight(std::max(size.height(), int(grid::row))); break;
    case CT_HeaderSection: size.setHeight(std::max(size.height(), int(grid::row))); break;
    case CT_MenuItem:
        if (const auto* item = qstyleoption_cast<const QStyleOptionMenuItem*>(option);
            item && item->menuItemType != QStyleOptionMenuItem::Separator)
            size.setHeight(std::max(size.height(), 26));
        break;
    case CT_MenuBarItem: size = contents + QSize(16, 10); break;
    case CT_ProgressBar: size.setHeight(6); break;
    case CT_TabBarTab: size.setHeight(32); break;
    default: break;
    }
    return size;
}

QRect LookStyle::subControlRect(ComplexControl control, const QStyleOptionComplex* option, SubControl part,
                                const QWidget* widget) const
{
    if (const auto* bar = qstyleoption_cast<const QStyleOptionSlider*>(option); bar && control == CC_ScrollBar) {
        const QRect handle = scrollHandle(*bar);
        const bool horizontal = bar->orientation == Qt::Horizontal;
        switch (part) {
        case SC_ScrollBarGroove: return bar->rect;
        case SC_ScrollBarSlider: return handle;
        case SC_ScrollBarSubPage:
            return horizontal ? QRect(bar->rect.topLeft(), QSize(handle.left() - bar->rect.left(), bar->rect.height()))
                              : QRect(bar->rect.topLeft(), QSize(bar->rect.width(), handle.top() - bar->rect.top()));
        case SC_ScrollBarAddPage:
            return horizontal ? QRect(handle.topRight() + QPoint(1, 0), bar->rect.bottomRight())
                              : QRect(handle.bottomLeft() + QPoint(0, 1), bar->rect.bottomRight());
        default: return {};
        }
    }
    if (control == CC_ComboBox) {
        switch (part) {
        case SC_ComboBoxEditField: return option->rect.adjusted(8, 1, -24, -1);
        case SC_ComboBoxArrow: return QRect(option->rect.right() - 23, option->rect.top(), 24, option->rect.height());
        default: break;
        }
    }
    return QProxyStyle::subControlRect(control, option, part, widget);
}

QRect LookStyle::subElementRect(SubElement element, const QStyleOption* option, const QWidget* widget) const
{
    switch (element) {
    case SE_ProgressBarGroove:
    case SE_ProgressBarContents:
        return QRect(option->rect.left(), option->rect.center().y() - 2, option->rect.width(),
                     std::min(6, option->rect.height()));
    case SE_LineEditContents: return option->rect.adjusted(6, 1, -6, -1);
    default: return QProxyStyle::subElementRect(element, option, widget);
    }
}

void LookStyle::drawPrimitive(PrimitiveElement element, const QStyleOption* option, QPainter* painter,
                              const QWidget* widget) const
{
    switch (element) {
    case PE_PanelButtonCommand: return style_paint::button(*painter, *option, widget);
    case PE_PanelButtonTool: return style_paint::toolButton(*painter, *option);
    case PE_PanelLineEdit:
    case PE_FrameLineEdit:
        if (widget
            && qobject_cast<const QAbstractItemView*>(widget->parentWidget() ? widget->parentWidget()->parentWidget()
                                                                             : nullptr))
            return style_paint::field(*painter, *option, false); // an editor inside a cell
        if (const auto* frame = qstyleoption_cast<const QStyleOptionFrame*>(option); frame && frame->lineWidth == 0)
            return; // the edit of a combo or spin box, which has a frame of its own
        return style_paint::field(*painter, *option, true);
    case PE_Frame:
    case PE_FrameGroupBox:
    case PE_FrameTabWidget: return style_paint::frame(*painter, *option);
    case PE_FrameMenu:
    case PE_PanelMenu: return style_paint::popup(*painter, *option, tokens().panel);
    case PE_PanelTipLabel: return style_paint::popup(*painter, *option, tokens().raised);
    case PE_PanelMenuBar:
    case PE_PanelStatusBar:
    case PE_FrameStatusBarItem:
    case PE_FrameTabBarBase: return;
    case PE_IndicatorCheckBox:
    case PE_IndicatorItemViewItemCheck:
    case PE_IndicatorRadioButton: return style_paint::indicator(*painter, *option, element == PE_IndicatorRadioButton);
    case PE_IndicatorArrowDown:
    case PE_IndicatorArrowUp:
    case PE_IndicatorArrowLeft:
    case PE_IndicatorArrowRight:
    case PE_IndicatorHeaderArrow: return style_paint::arrow(*painter, *option, element);
    case PE_PanelItemViewRow: return; // the items paint their states themselves
    case PE_PanelItemViewItem: return style_paint::itemState(*painter, *option);
    case PE_FrameFocusRect:
        if (qobject_cast<const QAbstractItemView*>(widget))
            style_paint::itemFocus(*painter, *option);
        return; // other controls get the ring around them
    default: return QProxyStyle::drawPrimitive(element, option, painter, widget);
    }
}

void LookStyle::drawControl(ControlElement element, const QStyleOption* option, QPainter* painter,
                            const QWidget* widget) const
{
    switch (element) {
    case CE_FocusFrame: return style_paint::focusRing(*painter, QRectF(option->rect));
    case CE_PushButtonBevel:
        style_paint::button(*painter, *option, widget);
        if (const auto* button = qstyleoption_cast<const QStyleOptionButton*>(option);
            button && button->features.testFlag(QStyleOptionButton::HasMenu)) {
            const int side = pixelMetric(PM_MenuButtonIndicator, option, widget);
            paintShape(*painter, Shape::Chevron,
                       QRect(option->rect.right() - side - 4, option->rect.top(), side, option->rect.height()),
                       tokens(), option->state & State_Enabled ? tokens().text2 : tokens().disabled);
        }
        return;
    case CE_MenuBarItem: return style_paint::menuBarItem(*painter, *option, *this);
    case CE_MenuBarEmptyArea:
    case CE_HeaderEmptyArea: return painter->fillRect(option->rect, tokens().panel);
    case CE_HeaderSection: return style_paint::headerSection(*painter, *option);
    case CE_HeaderLabel:
        if (const auto* header = qstyleoption_cast<const QStyleOptionHeader*>(option)) {
            QStyleOptionHeader quiet(*header);
            quiet.state.setFlag(State_On, false); // would be bold above the selection
            quiet.palette.setColor(QPalette::ButtonText, tokens().text2);
            quiet.rect.adjust(5, 0, -5, 0); // above the items' text
            QProxyStyle::drawControl(element, &quiet, painter, widget);
        }
        return;
    case CE_ComboBoxLabel:
        if (const auto* box = qstyleoption_cast<const QStyleOptionComboBox*>(option)) {
            QStyleOptionComboBox fitting(*box);
            const int room = subControlRect(CC_ComboBox, box, SC_ComboBoxEditField, widget).width() - 2;
            fitting.currentText = box->fontMetrics.elidedText(box->currentText, Qt::ElideMiddle, room);
            QProxyStyle::drawControl(element, &fitting, painter, widget);
        }
        return;
    case CE_TabBarTabShape: return style_paint::tab(*painter, *option);
    case CE_ProgressBarGroove: return painter->fillRect(option->rect, tokens().selected);
    case CE_ProgressBarContents: return style_paint::progress(*painter, *option);
    case CE_ProgressBarLabel: return; // the words stand beside it
    case CE_Splitter: return painter->fillRect(option->rect, tokens().gutter);
    default: return QProxyStyle::drawControl(element, option, painter, widget);
    }
}

void LookStyle::drawComplexControl(ComplexControl control, const QStyleOptionComplex* option, QPainter* painter,
                                   const QWidget* widget) const
{
    switch (control) {
    case CC_ScrollBar:
        if (const auto* bar = qstyleoption_cast<const QStyleOptionSlider*>(option))
            style_paint::scrollBar(*painter, *bar, scrollHandle(*bar));
        return;
    case CC_ComboBox:
        style_paint::field(*painter, *option, true);
        paintShape(*painter, Shape::Chevron, subControlRect(CC_ComboBox, option, SC_ComboBoxArrow, widget), tokens(),
                   option->state & State_Enabled ? tokens().text2 : tokens().disabled);
        return;
    case CC_SpinBox:
        style_paint::field(*painter, *option, true);
        if (const auto* spin = qstyleoption_cast<const QStyleOptionSpinBox*>(option);
            spin && spin->buttonSymbols != QAbstractSpinBox::NoButtons) {
            QStyleOption arrow(*option);
            arrow.rect = subControlRect(CC_SpinBox, option, SC_SpinBoxUp, widget);
            arrow.state.setFlag(State_Enabled, spin->state.testFlag(State_Enabled)
                                                   && spin->stepEnabled & QAbstractSpinBox::StepUpEnabled);
            style_paint::arrow(*painter, arrow, PE_IndicatorArrowUp);
            arrow.rect = subControlRect(CC_SpinBox, option, SC_SpinBoxDown, widget);
            arrow.state.setFlag(State_Enabled, spin->state.testFlag(State_Enabled)
                                                   && spin->stepEnabled & QAbstractSpinBox::StepDownEnabled);
            style_paint::arrow(*painter, arrow, PE_IndicatorArrowDown);
        }
        return;
    default: return QProxyStyle::drawComplexControl(control, option, painter, widget);
    }
}

} // namespace ui
