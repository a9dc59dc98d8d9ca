#include "ui/plan/checklist.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"

#include <QCoreApplication>
#include <QVBoxLayout>
#include <algorithm>

namespace ui {
namespace {

constexpr int twoColumnsFrom = 640;

} // namespace

Checklist::Checklist(std::span<const session::TextField> fields, int labelWidth, QWidget* parent) : QWidget(parent)
{
    QString group;
    for (const session::TextField& field : fields) {
        const QString heading = QCoreApplication::translate("Checklist", field.group);
        if (m_groups.isEmpty() || heading != group) {
            group = heading;
            m_groups << new FormGrid(labelWidth, this);
            m_groups.back()->addHeading(heading);
        }
        const QString key = QString::fromLatin1(field.key);
        auto* edit = new CommitEdit;
        edit->setObjectName(key);
        m_groups.back()->addRow(QCoreApplication::translate("Checklist", field.label), edit);
        m_edits.insert(key, edit);
        connect(edit, &CommitEdit::committed, this, [this, key](const QString& text) { emit committed(key, text); });
    }
    arrange(1);
}

void Checklist::setTexts(const session::Texts& texts)
{
    for (auto it = m_edits.cbegin(); it != m_edits.cend(); ++it) {
        const auto found = texts.find(it.key().toStdString());
        it.value()->setValue(found == texts.end() ? QString() : QString::fromStdString(found->second));
    }
}

int Checklist::filled() const
{
    return static_cast<int>(
        std::ranges::count_if(m_edits, [](const CommitEdit* edit) { return !edit->value().isEmpty(); }));
}

void Checklist::resizeEvent(QResizeEvent* event)
{
    QWidget::resizeEvent(event);
    arrange(width() >= twoColumnsFrom ? 2 : 1);
}

/// Groups stay whole; the second column begins with the group that crosses half of the fields' height.
void Checklist::arrange(int columns)
{
    if (columns == m_columns)
        return;
    m_columns = columns;
    delete layout();
    auto* row = rowIn(this, 24);
    int total = 0, used = 0;
    for (const FormGrid* group : std::as_const(m_groups))
        total += group->sizeHint().height();
    QVBoxLayout* column = nullptr;
    for (FormGrid* group : std::as_const(m_groups)) {
        const bool second = columns == 2 && row->count() == 1 && used >= total / 2;
        if (!column || second) {
            if (column)
                column->addStretch(1);
            column = new QVBoxLayout;
            column->setSpacing(8);
            row->addLayout(column, 1);
        }
        column->addWidget(group);
        used += group->sizeHint().height();
    }
    if (column)
        column->addStretch(1);
}

session::Texts withText(session::Texts texts, const QString& key, const QString& text)
{
    if (text.isEmpty())
        texts.erase(key.toStdString());
    else
        texts[key.toStdString()] = text.toStdString();
    return texts;
}

} // namespace ui
