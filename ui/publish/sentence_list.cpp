#include "ui/publish/sentence_list.h"
#include "core/report/own_sentences.h"
#include "core/report/sentences.h"
#include "core/session/edits.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/layouts.h"

#include <QClipboard>
#include <QGuiApplication>
#include <QHBoxLayout>
#include <QMenu>
#include <QPushButton>

namespace ui {
namespace {

constexpr int figuresWidth = 336;

QWidget* rowOf(const std::string& sentence, const std::string& figuresOfIt, Tone figuresTone)
{
    auto* row = new QWidget;
    auto* layout = new QHBoxLayout(row);
    layout->setContentsMargins(0, 3, 0, 3);
    layout->setSpacing(16);
    const auto add = [&](const std::string& words, Text size, Tone tone, int stretch) {
        Label* label = selectable(wrapping(QString::fromStdString(words), size, tone));
        layout->addWidget(label, stretch, Qt::AlignTop);
        return label;
    };
    add(sentence, Text::Body, figuresTone == Tone::Attention ? Tone::Secondary : Tone::Primary, 1);
    Label* figures = add(figuresOfIt, Text::State, figuresTone, 0);
    figures->setAlignment(Qt::AlignRight | Qt::AlignTop);
    figures->setFixedWidth(figuresWidth);
    return row;
}

} // namespace

SentenceList::SentenceList(SessionModel& model, QWidget* parent)
    : Panel(tr("Sentences to read out"), parent), m_model(model),
      m_own(called("ownSentences", new CommitText(3, tr("One a line. {mean of NAME} and the like follow the data.")))),
      m_insert(compactButton(tr("Insert figure"), "insertFigure")), m_copy(compactButton(tr("Copy all")))
{
    addToHeader(m_copy);
    setHairline(false);
    connect(m_copy, &QPushButton::clicked, this, [this] { QGuiApplication::clipboard()->setText(m_script); });
    m_own->setAccessibleName(tr("Your own sentences"));
    m_insert->setMenu(new QMenu(m_insert));
    connect(m_own, &CommitText::committed, this, [this](const QString& text) {
        m_model.changeSettings(tr("change your own sentences"),
                               [&](session::Settings& settings) { settings.publish.sentences = text.toStdString(); });
    });
    auto* column = scrolledColumn(*this);
    column->setSpacing(4);
    m_rows = new QVBoxLayout;
    m_rows->setSpacing(0);
    column->addLayout(m_rows);
    auto* own = new QHBoxLayout;
    own->addWidget(new Label(tr("Your own sentences"), Text::State, Tone::Secondary), 1);
    own->addWidget(m_insert);
    column->addLayout(own);
    column->addWidget(m_own);
    column->addStretch(1);
}

void SentenceList::commit() { m_own->commit(); }

/// The syntax needn't be known: a figure that is chosen is written where the cursor stands.
void SentenceList::offerFigures(const analysis::Results& results)
{
    QStringList names;
    for (const analysis::ConfigurationResult& result : results.configurations)
        names << QString::fromStdString(result.name);
    if (names == m_offered)
        return;
    m_offered = names;
    QMenu& menu = *m_insert->menu();
    menu.clear();
    const auto offer = [this](QMenu& where, const QString& words, const QString& placeholder) {
        connect(where.addAction(words), &QAction::triggered, this, [this, placeholder] {
            m_own->insertPlainText(QLatin1Char('{') + placeholder + QLatin1Char('}'));
            m_own->setFocus();
        });
    };
    for (const QString& name : std::as_const(names)) {
        QMenu* of = menu.addMenu(menuText(name));
        for (const std::string& figure : report::configurationFigures()) {
            const QString words = QString::fromStdString(figure);
            offer(*of, words, words + QStringLiteral(" of ") + name);
        }
    }
    menu.addSeparator();
    for (const std::string& figure : report::sessionFigures())
        offer(menu, QString::fromStdString(figure), QString::fromStdString(figure));
}

void SentenceList::show(const session::Document& document, const analysis::Results& results)
{
    m_script = QString::fromStdString(report::scriptText(document, results));
    m_own->setValue(QString::fromStdString(document.settings.publish.sentences));
    offerFigures(results);
    emptyOut(*m_rows);
    const std::vector<report::ScriptSentence> sentences = report::scriptSentences(results);
    for (const report::ScriptSentence& sentence : sentences)
        m_rows->addWidget(rowOf(sentence.sentence, sentence.figures, Tone::Secondary));
    const std::vector<report::OwnSentence> own = report::ownSentences(document, results);
    for (const report::OwnSentence& sentence : own)
        m_rows->addWidget(rowOf(sentence.sentence, sentence.problem.empty() ? sentence.figures : sentence.problem,
                                sentence.problem.empty() ? Tone::Secondary : Tone::Attention));
    if (sentences.empty())
        m_rows->addWidget(
            emptyNote(tr("A sentence for each configuration and each comparison, with the figures it rests on.")));
    m_copy->setEnabled(!sentences.empty());
    setTrailing(sentences.empty() ? QString() : QString::number(sentences.size() + own.size()));
}

} // namespace ui
