#include "ui/controls/form_grid.h"
#include "ui/look/label.h"

#include <QGridLayout>

namespace ui {

FormGrid::FormGrid(int labelWidth, QWidget* parent)
    : QWidget(parent), m_grid(new QGridLayout(this)), m_labelWidth(labelWidth)
{
    m_grid->setContentsMargins(0, 0, 0, 0);
    m_grid->setHorizontalSpacing(8);
    m_grid->setVerticalSpacing(grid::unit);
    m_grid->setColumnMinimumWidth(0, labelWidth);
    m_grid->setColumnStretch(1, 1);
}

void FormGrid::addHeading(const QString& text)
{
    auto* heading = new Label(text, Text::State, Tone::Primary, QFont::DemiBold);
    heading->setContentsMargins(0, m_row == 0 ? 0 : 8, 0, 2);
    addWide(heading);
}

void FormGrid::place(const QString& label, QWidget* field, const QString& unit)
{
    auto* words = wrapping(label, Text::Body, Tone::Secondary);
    words->setFixedWidth(m_labelWidth);
    words->setBuddy(field);
    field->setAccessibleName(unit.isEmpty() ? label : QStringLiteral("%1, %2").arg(label, unit));
    const bool tall = field->sizeHint().height() > 2 * grid::control;
    words->setMinimumHeight(grid::control);
    m_grid->addWidget(words, m_row, 0, tall ? Qt::AlignTop : Qt::AlignVCenter);
    m_grid->addWidget(field, m_row, 1, 1, unit.isEmpty() ? 2 : 1);
    if (!unit.isEmpty())
        m_grid->addWidget(new Label(unit, Text::Body, Tone::Secondary), m_row, 2);
    ++m_row;
}

void FormGrid::addWide(QWidget* widget) { m_grid->addWidget(widget, m_row++, 0, 1, 3); }

} // namespace ui
