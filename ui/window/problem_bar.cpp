#include "ui/window/problem_bar.h"
#include "ui/controls/layouts.h"
#include "ui/look/label.h"

#include <QPainter>
#include <QPushButton>
#include <algorithm>

namespace ui {

namespace {

constexpr int shownAtMost = 3;

} // namespace

ProblemBar::ProblemBar(QWidget* parent) : QWidget(parent), m_rows(new QVBoxLayout(this))
{
    m_rows->setContentsMargins(grid::padding, 4, grid::padding, 4);
    m_rows->setSpacing(4);
    setAccessibleName(tr("Problems"));
    hide();
}

void ProblemBar::add(const QString& sentence)
{
    const auto same = std::ranges::find(m_told, sentence, &Told::sentence);
    if (same == m_told.end())
        m_told.push_back({sentence});
    else
        ++same->times;
    rebuild();
}

void ProblemBar::clear()
{
    m_told.clear();
    rebuild();
}

QStringList ProblemBar::sentences() const
{
    QStringList all;
    for (const Told& told : m_told)
        all << told.sentence;
    return all;
}

void ProblemBar::rebuild()
{
    while (QLayoutItem* row = m_rows->takeAt(0)) {
        row->widget()->hide();
        row->widget()->deleteLater(); // it may be the row whose button was pressed
        delete row;
    }
    const auto more = m_told.size() - shownAtMost;
    for (qsizetype i = std::max<qsizetype>(0, more); i < m_told.size(); ++i) {
        const Told told = m_told[i];
        auto* row = new QWidget(this);
        auto* line = rowIn(row, 8);
        line->addWidget(new ShapeLabel(Shape::Warning), 0, Qt::AlignVCenter);
        const QString times = told.times > 1 ? tr(" (%1 times)").arg(told.times) : QString();
        line->addWidget(selectable(wrapping(told.sentence + times)), 1);
        auto* dismiss = compactButton(tr("Dismiss"));
        dismiss->setFocusPolicy(Qt::TabFocus);
        connect(dismiss, &QPushButton::clicked, this, [this, sentence = told.sentence] {
            m_told.removeIf([&](const Told& other) { return other.sentence == sentence; });
            rebuild();
        });
        line->addWidget(dismiss, 0, Qt::AlignTop);
        m_rows->addWidget(row);
    }
    if (m_told.size() > 1) {
        auto* all = compactButton(more > 0 ? tr("Dismiss all, %1 earlier too").arg(more) : tr("Dismiss all"));
        all->setFocusPolicy(Qt::TabFocus);
        connect(all, &QPushButton::clicked, this, &ProblemBar::clear);
        m_rows->addWidget(all, 0, Qt::AlignRight);
    }
    setVisible(!m_told.isEmpty());
}

void ProblemBar::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    painter.fillRect(rect(), tokens().raised);
    painter.fillRect(QRect(0, 0, grid::selectionBar, height()), tokens().attention);
    painter.fillRect(QRect(0, height() - 1, width(), 1), tokens().gutter);
}

} // namespace ui
