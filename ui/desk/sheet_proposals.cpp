#include "ui/desk/sheet_proposals.h"
#include "core/analysis/run_sheet.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/numbers.h"
#include "ui/look/key_cap.h"
#include "ui/look/look.h"

#include <QHBoxLayout>
#include <algorithm>

namespace ui {
namespace {

constexpr int mostRows = 2; // the lists below need the room; A takes them all

QString lineWords(const session::Document& document, qint64 line)
{
    const session::SheetLine& at = document.settings.runSheet->lines[static_cast<std::size_t>(line - 1)];
    return SheetProposals::tr("%1  %2").arg(line).arg(
        QString::fromStdString(session::find(document, at.configuration)->name));
}

} // namespace

/// "run07  [4  Powered hub]"
class SheetProposals::Row : public QWidget {
public:
    explicit Row(QWidget* parent)
        : QWidget(parent), m_name(new Label),
          m_warning(new ShapeLabel(Shape::Warning, {}, Text::Caption, Tone::Attention)), m_lines(new ChoiceBox)
    {
        auto* column = new QVBoxLayout(this);
        column->setContentsMargins(0, 0, 0, 0);
        column->setSpacing(2);
        auto* row = new QHBoxLayout;
        row->setSpacing(8);
        m_name->setElided(Qt::ElideMiddle);
        row->addWidget(m_name, 2);
        m_lines->setFocusPolicy(Qt::TabFocus);
        m_lines->setMinimumContentsLength(8);
        m_lines->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
        makeCompact(*m_lines);
        row->addWidget(m_lines, 3);
        column->addLayout(row);
        m_warning->word().setWordWrap(true);
        column->addWidget(m_warning);
    }

    Label* m_name;
    ShapeLabel* m_warning;
    ChoiceBox* m_lines;
};

SheetProposals::SheetProposals(SessionModel& model, QWidget* parent)
    : QWidget(parent), m_model(model), m_panel(new Panel(tr("Run sheet proposes"))),
      m_more(new Label({}, Text::Caption, Tone::Tertiary)), m_accept(new KeyButton(tr("Accept"), {QStringLiteral("A")}))
{
    auto* outer = new QVBoxLayout(this);
    outer->setContentsMargins(0, 0, 0, 0);
    outer->addWidget(m_panel);
    QVBoxLayout& body = *m_panel->body();
    body.setSpacing(4);
    for (int i = 0; i < mostRows; ++i) {
        auto* row = new Row(this);
        body.addWidget(row);
        m_rows << row;
        connect(row->m_lines, &ChoiceBox::chosen, this, [this, i](qint64 line) {
            if (i < m_shown.size())
                m_chosen[m_shown[i].capture] = line;
            refresh();
        });
    }
    auto* end = new QHBoxLayout;
    end->addWidget(m_more, 1);
    makeCompact(*m_accept);
    m_accept->setObjectName(QStringLiteral("acceptSheet"));
    m_accept->setFocusPolicy(Qt::TabFocus);
    m_accept->setToolTip(tr("Tags each capture with the configuration of its line, and makes it the run of that line"));
    end->addWidget(m_accept);
    body.addLayout(end);
    connect(m_accept, &QPushButton::clicked, this, &SheetProposals::accept);
    connect(&model, &SessionModel::changed, this, &SheetProposals::refresh);
    connect(&model, &SessionModel::sessionReplaced, this, [this] {
        m_chosen.clear();
        m_warned.clear();
    });
    refresh();
}

void SheetProposals::refresh()
{
    const auto document = m_model.document();
    QVector<Shown> shown;
    QString warned;
    for (const analysis::SheetProposal& proposal : analysis::sheetProposals(*document)) {
        Shown one{proposal.capture, proposal.line ? static_cast<qint64>(*proposal.line) + 1 : 0, {}};
        one.warning = QString::fromStdString(analysis::sheetWarning(*document, proposal.capture));
        if (const auto chosen = m_chosen.find(proposal.capture); chosen != m_chosen.end())
            one.line = std::min<qint64>(chosen->second, std::ssize(document->settings.runSheet->lines));
        if (!one.warning.isEmpty())
            warned = one.warning;
        shown << one;
    }
    if (!m_model.pending() && warned != m_warned) {
        m_warned = warned;
        if (!warned.isEmpty())
            emit cue(warned);
    }
    const bool other = shown.size() != m_shown.size();
    m_shown = shown;
    setVisible(any());
    if (any()) {
        QVector<std::pair<qint64, QString>> lines{{0, tr("off the sheet")}};
        for (qint64 line = 1; line <= std::ssize(document->settings.runSheet->lines); ++line)
            lines << std::pair(line, lineWords(*document, line));
        for (int i = 0; i < m_rows.size(); ++i) {
            m_rows[i]->setVisible(i < m_shown.size());
            if (i >= m_shown.size())
                continue;
            const session::Capture* capture = session::find(*document, m_shown[i].capture);
            m_rows[i]->m_name->setText(QString::fromStdString(capture->name));
            m_rows[i]->m_lines->setChoices(lines, m_shown[i].line);
            m_rows[i]->m_lines->setAccessibleName(
                tr("Line of the run sheet for %1").arg(QString::fromStdString(capture->name)));
            m_rows[i]->m_warning->setWord(m_shown[i].warning);
            m_rows[i]->m_warning->setVisible(!m_shown[i].warning.isEmpty());
        }
        m_panel->setTrailing(tr("%n capture(s)", nullptr, int(m_shown.size())));
        m_more->setText(m_shown.size() > mostRows ? tr("and %1 more, in order").arg(m_shown.size() - mostRows)
                                                  : QString());
        m_accept->setEnabled(!m_model.readOnly()
                             && std::ranges::any_of(m_shown, [](const Shown& one) { return one.line > 0; }));
    }
    if (other)
        emit changed();
}

void SheetProposals::accept()
{
    std::vector<session::FilmedFor> filmed;
    for (const Shown& one : std::as_const(m_shown))
        if (one.line > 0)
            filmed.push_back({one.capture, static_cast<std::size_t>(one.line - 1)});
    if (filmed.empty()) {
        emit cue(tr("The run sheet has nothing to propose: every capture has its run, or no line is open."));
        return;
    }
    m_model.edit([&](const session::Document& document) { return session::takeSheetLines(document, filmed); });
}

} // namespace ui
