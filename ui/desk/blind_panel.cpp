#include "ui/desk/blind_panel.h"
#include "core/analysis/blind_reading.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/numbers.h"
#include "ui/controls/row_list.h"
#include "ui/desk/desk_dialogs.h"
#include "ui/look/look.h"

#include <QPainter>
#include <QPushButton>
#include <QRandomGenerator>
#include <QSpinBox>

namespace ui {
namespace {

/// A stroke a trial, in fives.
class Strokes : public QWidget {
public:
    QVector<Stroke> strokes;
    explicit Strokes(QWidget* parent = nullptr) : QWidget(parent) { setFixedHeight(18); }

protected:
    void paintEvent(QPaintEvent*) override
    {
        QPainter painter(this);
        paintProgress(painter, rect(), strokes);
    }
};

} // namespace

BlindPanel::BlindPanel(SessionModel& model, DeskState& state, QWidget* parent)
    : QWidget(parent), m_model(model), m_state(state), m_head(new Panel(tr("Blind reading"))),
      m_places(new Panel(tr("Trials, by place in this reading"))), m_progress(new Strokes),
      m_words(new Label({}, Text::Body, Tone::Secondary)), m_naming(new QWidget),
      m_name(new CommitEdit(tr("who marks the frames")))
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    m_words->setWordWrap(true);
    m_head->body()->setSpacing(8);
    m_head->body()->addWidget(m_progress);
    m_head->body()->addWidget(m_words);
    auto* naming = new QVBoxLayout(m_naming);
    naming->setContentsMargins(0, 0, 0, 0);
    auto* form = new FormGrid(72);
    m_name->setObjectName(QStringLiteral("blindReader"));
    form->addRow(tr("Reader"), m_name);
    naming->addWidget(form);
    m_head->body()->addWidget(m_naming);
    connect(m_name, &CommitEdit::committed, this, [this](const QString& name) {
        m_model.edit([&](const session::Document& document) {
            session::Settings settings = document.settings;
            settings.reader = name.toStdString();
            return session::setSettings(document, settings, "change the reader");
        });
    });
    connect(m_name, &CommitEdit::entered, this, &BlindPanel::nameLeft);
    column->addWidget(m_head);

    auto* hidden = new Panel(tr("Hidden until the last is read"));
    for (const QString& what : {tr("configuration and file name"), tr("earlier marks and delays"), tr("hints, notes"),
                                tr("frame numbers of the capture"), tr("running means")})
        hidden->body()->addWidget(new Label(QStringLiteral("–  ") + what, Text::Body, Tone::Secondary));
    column->addWidget(hidden);

    m_places->setHairline(false);
    m_places->body()->setContentsMargins(0, 0, 0, 0);
    m_list = new RowList(grid::row, [this](QPainter& p, const QRect& rect, int row, bool selected) {
        const QRect inside = rect.adjusted(grid::padding, 0, -grid::padding, 0);
        p.setFont(ui::font(Text::Body));
        p.setPen(tokens().text2);
        p.drawText(QRect(inside.left(), rect.top(), 28, rect.height()), Qt::AlignLeft | Qt::AlignVCenter,
                   QString::number(row + 1));
        paintShape(p, m_rows[row].shape, QRectF(inside.left() + 32, rect.top(), 20, rect.height()));
        p.setFont(ui::font(Text::Body, selected ? QFont::DemiBold : QFont::Normal));
        p.setPen(selected ? tokens().text1 : tokens().text2);
        p.drawText(QRect(inside.left() + 64, rect.top(), inside.width() - 64, rect.height()),
                   Qt::AlignLeft | Qt::AlignVCenter, m_rows[row].word);
    });
    m_list->setAccessibleName(tr("Trials to read blind"));
    m_list->setFocusPolicy(Qt::NoFocus); // the keys are the desk's
    m_list->setHairlines(false);
    connect(m_list, &RowList::rowChosen, this, [this](int row) {
        if (row >= 0 && row < m_rows.size())
            emit placeChosen(m_rows[row].trial.value);
    });
    m_places->body()->addWidget(m_list, 1);
    column->addWidget(m_places, 1);
    m_stop = new QPushButton(tr("Stop here; go on another day"));
    m_stop->setObjectName(QStringLiteral("stopBlind"));
    m_stop->setFocusPolicy(Qt::TabFocus);
    connect(m_stop, &QPushButton::clicked, this, &BlindPanel::stopAsked);
    auto* foot = new QVBoxLayout;
    foot->setContentsMargins(grid::padding, 8, grid::padding, 12);
    foot->addWidget(m_stop);
    column->addLayout(foot);

    connect(&state, &DeskState::trialChanged, this, &BlindPanel::refresh);
    refresh();
}

void BlindPanel::askName() { m_name->setFocus(Qt::OtherFocusReason); }

void BlindPanel::refresh()
{
    const auto document = m_model.document();
    const auto& reread = document->settings.reread;
    if (!m_state.blind() || !reread)
        return;
    const bool packet = !reread->packet.empty();
    m_rows.clear();
    QStringList spoken;
    QVector<Stroke> strokes;
    int current = -1;
    for (const session::RereadPlace& place : reread->places) {
        const session::Trial* trial = session::find(*document, place.trial);
        if (!trial)
            continue;
        const session::Reading* reading = session::blindReading(*reread, *trial);
        const bool done = reading && reading->accepted;
        Row row{trial->id, tr("unread"), Shape::TrialProposed};
        Stroke stroke = Stroke::Open;
        if (trial->reject) {
            row = {trial->id, tr("rejected"), Shape::TrialRejected};
            stroke = Stroke::Rejected;
        } else if (done) {
            row = {trial->id, reading->doubtful ? tr("read, in doubt") : tr("read"),
                   reading->doubtful ? Shape::TrialDoubt : Shape::TrialRead};
            stroke = Stroke::Read;
        } else if (reading) {
            row = {trial->id, tr("half read"), Shape::TrialHalfRead};
            stroke = Stroke::HalfRead;
        }
        if (trial->id == m_state.trialId()) {
            current = static_cast<int>(m_rows.size());
            row.word = done ? row.word : tr("now");
        }
        spoken << row.word;
        strokes << stroke;
        m_rows << row;
    }
    m_list->setRows(spoken);
    m_list->selectRow(current);
    if (current >= 0)
        m_list->scrollTo(m_list->model()->index(current, 0));
    static_cast<Strokes*>(m_progress)->strokes = strokes;
    m_progress->update();
    const analysis::RereadState state = analysis::rereadState(*document);
    m_head->setTrailing(tr("%1 of %2").arg(state.done).arg(state.total));
    m_words->setText(packet ? tr("A packet for a second reader: %1 in shuffled order. Mark each press and response; "
                                 "send the folder back when the last is read.")
                                  .arg(tr("%n trial(s)", nullptr, state.total))
                            : tr("%1, drawn evenly from the configurations, in shuffled order.")
                                  .arg(tr("%n trial(s)", nullptr, state.total)));
    m_naming->setVisible(packet);
    m_name->setValue(QString::fromStdString(document->settings.reader));
    m_stop->setVisible(!packet);
}

QString askForBlindReading(SessionModel& model, QWidget& over, const std::function<void()>& drawn)
{
    const auto document = model.document();
    if (const std::string problem = analysis::rereadProblem(*document); !problem.empty())
        return QString::fromStdString(problem);
    const ShareDialog ask = shareDialog(
        over, *document, BlindPanel::tr("Read blind"),
        BlindPanel::tr("Some trials are drawn at random and read again, in shuffled order, without their configuration "
                       "and first marks. Another person or another day tells more."),
        BlindPanel::tr("Draw and read"),
        [](int count, int all) {
            return BlindPanel::tr("%1 of %2 that are read; never fewer than %3 where there are as many.")
                .arg(count)
                .arg(all)
                .arg(analysis::fewestReread);
        },
        [&model, drawn](QDialog& dialog, double share) {
            const qint64 seed = QRandomGenerator::global()->bounded(1'000'000'000);
            if (model.edit([&](const session::Document& latest) {
                    return session::beginReread(latest, analysis::drawReread(latest, share, seed));
                })) {
                dialog.accept();
                drawn();
            }
        });
    ask.share->setObjectName(QStringLiteral("blindShare"));
    ask.dialog->open();
    return {};
}

} // namespace ui
