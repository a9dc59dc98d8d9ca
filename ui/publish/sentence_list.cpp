#include "ui/publish/sentence_list.h"
#include "ui/controls/form_grid.h"
#include "ui/look/look.h"

#include <QClipboard>
#include <QGuiApplication>
#include <QHBoxLayout>
#include <QPushButton>

namespace ui {
namespace {

constexpr int figuresWidth = 336;

QWidget* rowOf(const report::ScriptSentence& shown)
{
    auto* row = new QWidget;
    auto* layout = new QHBoxLayout(row);
    layout->setContentsMargins(0, 3, 0, 3);
    layout->setSpacing(16);
    const auto add = [&](const std::string& words, Text size, Tone tone, int stretch) {
        auto* label = new Label(QString::fromStdString(words), size, tone);
        label->setWordWrap(true);
        label->setTextInteractionFlags(Qt::TextSelectableByMouse);
        layout->addWidget(label, stretch, Qt::AlignTop);
        return label;
    };
    add(shown.sentence, Text::Body, Tone::Primary, 1);
    Label* figures = add(shown.figures, Text::State, Tone::Secondary, 0);
    figures->setAlignment(Qt::AlignRight | Qt::AlignTop);
    figures->setFixedWidth(figuresWidth);
    return row;
}

} // namespace

SentenceList::SentenceList(QWidget* parent)
    : QWidget(parent), m_panel(new Panel(tr("Sentences to read out"))), m_copy(new QPushButton(tr("Copy all")))
{
    makeCompact(*m_copy);
    m_panel->addToHeader(m_copy);
    m_panel->setHairline(false);
    connect(m_copy, &QPushButton::clicked, this, [this] { QGuiApplication::clipboard()->setText(m_script); });
    auto* content = new QWidget;
    m_rows = new QVBoxLayout(content);
    m_rows->setContentsMargins(grid::padding, 0, grid::padding, 8);
    m_rows->setSpacing(0);
    m_panel->body()->setContentsMargins(0, 0, 0, 0);
    m_panel->body()->addWidget(scrolled(content));
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->addWidget(m_panel);
}

void SentenceList::show(const analysis::Results& results)
{
    m_script = QString::fromStdString(report::scriptText(results));
    while (QLayoutItem* item = m_rows->takeAt(0)) {
        delete item->widget();
        delete item;
    }
    const std::vector<report::ScriptSentence> sentences = report::scriptSentences(results);
    for (const report::ScriptSentence& sentence : sentences)
        m_rows->addWidget(rowOf(sentence));
    if (sentences.empty())
        m_rows->addWidget(
            emptyNote(tr("A sentence for each configuration and each comparison, with the figures it rests on.")));
    m_rows->addStretch(1);
    m_copy->setEnabled(!sentences.empty());
    m_panel->setTrailing(sentences.empty() ? QString() : QString::number(sentences.size()));
}

} // namespace ui
