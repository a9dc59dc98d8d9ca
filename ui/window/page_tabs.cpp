#include "ui/window/page_tabs.h"
#include "ui/look/lettering.h"
#include "ui/look/look.h"
#include "ui/look/shapes.h"
#include "ui/controls/layouts.h"
#include "ui/controls/page.h"

#include <QButtonGroup>
#include <QPainter>

namespace ui {

namespace {

constexpr int side = 20, tabHeight = 44, topBar = 3, nameBaseline = 21, stateBaseline = 36, shapeRoom = 16;

/// One page's name with its state line.
class PageTab : public QAbstractButton {
public:
    explicit PageTab(Page& page, QWidget* parent) : QAbstractButton(parent), m_page(page)
    {
        setCheckable(true);
        setText(page.name());
        setAccessibleName(page.name());
        setFocusPolicy(Qt::TabFocus);
        setAttribute(Qt::WA_Hover);
        const auto refresh = [this] {
            setAccessibleDescription(m_page.stateLine());
            updateGeometry();
            update();
        };
        connect(&page, &Page::stateChanged, this, refresh);
        refresh();
    }

    QSize sizeHint() const override
    {
        const int name = QFontMetrics(ui::font(Text::Emphasis, QFont::DemiBold)).horizontalAdvance(text());
        const int state = QFontMetrics(ui::font(Text::Caption)).horizontalAdvance(m_page.stateLine())
                          + (m_page.needsAttention() ? shapeRoom : 0);
        return {std::max(name, state) + 2 * side, tabHeight};
    }
    QSize minimumSizeHint() const override { return sizeHint(); }

protected:
    void paintEvent(QPaintEvent*) override
    {
        const Tokens& t = tokens();
        QPainter painter(this);
        if (isChecked()) {
            painter.fillRect(rect(), t.raised);
            painter.fillRect(QRect(0, 0, width(), topBar), t.text1);
        } else if (underMouse()) {
            painter.fillRect(rect(), t.hover);
        }
        setLettering(painter, Text::Emphasis, isChecked() ? t.text1 : t.text2, QFont::DemiBold);
        painter.drawText(side, nameBaseline, text());

        int x = side;
        setLettering(painter, Text::Caption, isChecked() ? t.text2 : t.text3);
        if (m_page.needsAttention()) {
            paintShape(painter, Shape::Warning, QRectF(x, stateBaseline - 10, 12, 12));
            painter.setPen(t.attention);
            x += shapeRoom;
        }
        painter.drawText(x, stateBaseline, m_page.stateLine());
        if (hasFocus())
            paintFocusInside(painter, rect());
    }

private:
    Page& m_page;
};

} // namespace

PageTabs::PageTabs(const QVector<Page*>& pages, QWidget* parent) : QWidget(parent)
{
    auto* row = rowIn(this, 0);
    auto* group = new QButtonGroup(this);
    for (Page* page : pages) {
        auto* tab = new PageTab(*page, this);
        row->addWidget(tab);
        group->addButton(tab, static_cast<int>(m_tabs.size()));
        m_tabs << tab;
    }
    connect(group, &QButtonGroup::idClicked, this, &PageTabs::chosen);
}

void PageTabs::setCurrent(int index) { m_tabs[index]->setChecked(true); }

} // namespace ui
