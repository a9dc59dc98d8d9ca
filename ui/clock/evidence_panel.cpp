#include "ui/clock/evidence_panel.h"
#include "ui/clock/clock_words.h"
#include "ui/controls/layouts.h"
#include "ui/controls/row_list.h"
#include "ui/look/lettering.h"

#include <QHBoxLayout>
#include <QPainter>
#include <algorithm>

namespace ui {
namespace {

constexpr int evidencePanelRowHeight = 46;

/// Right edges of the figures and where the words begin, from the row's left.
struct Columns {
    int source = 36, rate, u, standing;
    explicit Columns(int width)
    {
        rate = source + 190;
        u = rate + 150;
        standing = std::min(u + 72, std::max(u + 32, width - 230));
    }
};

/// Headings of the table, above the list.
class Headings : public QWidget {
public:
    using QWidget::QWidget;

protected:
    void paintEvent(QPaintEvent*) override
    {
        QPainter painter(this);
        setLettering(painter, Text::Caption, tokens().text2);
        const Columns c(width());
        const auto left = [&](int x, const QString& words) {
            painter.drawText(QRect(x, 0, 300, height()), Qt::AlignLeft | Qt::AlignVCenter, words);
        };
        const auto right = [&](int x, const QString& words) {
            painter.drawText(QRect(x - 300, 0, 300, height()), Qt::AlignRight | Qt::AlignVCenter, words);
        };
        left(c.source, EvidencePanel::tr("source"));
        right(c.rate, EvidencePanel::tr("captured a second"));
        right(c.u, EvidencePanel::tr("standard u"));
        left(c.standing, EvidencePanel::tr("against the one in use"));
        painter.fillRect(QRect(0, height() - 1, width(), 1), tokens().hairline);
    }
};

} // namespace

EvidencePanel::EvidencePanel(QWidget* parent)
    : QWidget(parent), m_name(new Label({}, Text::Heading, Tone::Primary, QFont::DemiBold)),
      m_sentence(wrapping({}, Text::Emphasis, Tone::Primary)), m_second(wrapping({}, Text::Body, Tone::Secondary)),
      m_playback(wrapping({}, Text::State, Tone::Secondary)), m_none(wrapping({}, Text::Body, Tone::Secondary)),
      m_state(new ShapeLabel(Shape::ClockUnknown, {}, Text::State, Tone::Primary)), m_headings(new Headings)
{
    auto* column = columnIn(this, 0);

    auto* head = new QVBoxLayout;
    head->setContentsMargins(grid::padding, 10, grid::padding, 12);
    head->setSpacing(6);
    auto* title = new QHBoxLayout;
    title->setSpacing(12);
    m_name->setElided(Qt::ElideRight);
    m_name->setSizePolicy(QSizePolicy::Preferred, QSizePolicy::Preferred);
    title->addWidget(m_name);
    title->addWidget(m_state);
    title->addStretch(1);
    head->addLayout(title);
    head->addWidget(m_sentence);
    head->addWidget(m_second);
    column->addLayout(head);

    auto* evidence = new Panel(tr("Evidence"));
    evidence->setTrailing(tr("best source first; never averaged"));
    evidence->body()->setContentsMargins(0, 0, 0, 8);
    evidence->body()->setSpacing(0);
    m_headings->setFixedHeight(22);
    evidence->body()->addWidget(m_headings);
    m_list = new RowList(evidencePanelRowHeight, [this](QPainter& p, const QRect& r, int row, bool selected) {
        paintRow(p, r, row, selected);
    });
    m_list->setAccessibleName(tr("Evidence"));
    m_list->setFitted(true);
    m_list->setPassedOn({Qt::Key_Return, Qt::Key_Enter, Qt::Key_PageUp, Qt::Key_PageDown, Qt::Key_Left, Qt::Key_Right});
    evidence->body()->addWidget(m_list);
    for (Label* label : {m_none, m_playback}) {
        label->setContentsMargins(grid::padding, 8, grid::padding, 0);
        evidence->body()->addWidget(label);
    }
    m_none->setText(tr("None yet. Declare the rate that the camera was set to, at the right."));
    column->addWidget(evidence);
    connect(m_list, &RowList::rowChosen, this, [this](int row) {
        if (row >= 0 && row < std::ssize(m_ranked))
            emit chosen(m_ranked[static_cast<std::size_t>(row)]->id);
    });
}

void EvidencePanel::show(const session::Document& document, const session::Clock& clock, session::EvidenceId selected)
{
    m_clock = clock;
    m_ranked = rankedEvidence(m_clock);
    const session::ClockState state = session::stateOf(m_clock);
    m_name->setText(QString::fromStdString(clock.name));
    m_state->setShape(stateShape(state));
    m_state->setWord(stateWord(state));
    m_state->setTone(state == session::ClockState::InDispute ? Tone::Attention : Tone::Primary);
    const ClockWords words = clockWords(document, m_clock);
    m_sentence->setText(words.sentence);
    m_second->setText(words.second);

    QStringList spoken;
    int selectedRow = -1;
    bool stamps = false;
    for (const session::ClockEvidence* evidence : m_ranked) {
        if (evidence->id == selected)
            selectedRow = static_cast<int>(spoken.size());
        stamps = stamps || evidence->rate.origin == timing::Origin::Stamps;
        spoken << tr("%1, %2 captured a second, %3")
                      .arg(originWord(evidence->rate.origin), rateOf(*evidence), standing(m_clock, *evidence).words);
    }
    m_list->setRows(spoken);
    m_list->selectRow(selectedRow);
    m_list->setVisible(!m_ranked.empty());
    m_headings->setVisible(!m_ranked.empty());
    m_none->setVisible(m_ranked.empty());
    m_stamps = stamps;
    showRemarks();
}

void EvidencePanel::setTags(int entries, int damaged)
{
    m_tags = entries;
    m_damagedTags = damaged;
    showRemarks();
}

/// What there is besides evidence, so that nobody looks for it in vain.
void EvidencePanel::showRemarks()
{
    QStringList lines;
    if (!m_stamps)
        lines << tr(
            "Stamps: playback time of the container. They say nothing of the capture rate and contradict nothing.");
    if (m_damagedTags > 0)
        lines << tr("Tags: %1 of %2 that speak of rates can't be one and are left alone; Tags below tells which.")
                     .arg(m_damagedTags)
                     .arg(m_tags);
    m_playback->setText(lines.join(QLatin1Char('\n')));
    m_playback->setVisible(!lines.isEmpty());
}

void EvidencePanel::paintRow(QPainter& painter, const QRect& rect, int row, bool selected) const
{
    const session::ClockEvidence& evidence = *m_ranked[static_cast<std::size_t>(row)];
    const Tokens& t = tokens();
    const Columns c(rect.width());
    const bool settled = m_clock.settled && m_clock.settled->evidence == evidence.id;
    const QRect first = rect.adjusted(0, 5, 0, -23);
    if (settled || row == 0)
        paintShape(painter, settled ? Shape::ClockSettled : Shape::ClockProposed,
                   QRectF(grid::padding, first.top(), 12, first.height()));
    const auto right = [&](int x, const QString& words) {
        painter.drawText(QRect(x - 300, first.top(), 300, first.height()), Qt::AlignRight | Qt::AlignVCenter, words);
    };
    const double u = evidence.rate.rate * evidence.rate.relativeUncertainty;
    setLettering(painter, Text::Body, t.text1, QFont::DemiBold);
    painter.drawText(QRect(c.source, first.top(), 120, first.height()), Qt::AlignLeft | Qt::AlignVCenter,
                     originWord(evidence.rate.origin));
    right(c.rate, rateOf(evidence));
    painter.setFont(ui::font(Text::Body));
    right(c.u,
          u > 0 ? tr("%1 (%2 %)")
                      .arg(QString::number(u, 'g', 2), QString::number(evidence.rate.relativeUncertainty * 100, 'g', 2))
                : tr("none stated"));

    const Standing stands = standing(m_clock, evidence);
    int left = c.standing;
    if (stands.disputed) {
        paintShape(painter, Shape::Warning, QRectF(left, first.top(), 12, first.height()));
        left += 18;
        setLettering(painter, Text::Body, t.attention, QFont::DemiBold);
    }
    painter.drawText(QRect(left, first.top(), rect.right() - grid::padding - left, first.height()),
                     Qt::AlignLeft | Qt::AlignVCenter, stands.words);
    setLettering(painter, Text::Caption, selected ? t.text2 : t.text3);
    const QRect second(c.source, first.bottom() + 2, rect.width() - c.source - grid::padding, 16);
    painter.drawText(
        second, Qt::AlignLeft | Qt::AlignVCenter,
        painter.fontMetrics().elidedText(QString::fromStdString(evidence.rate.note), Qt::ElideRight, second.width()));
}

} // namespace ui
