#include "ui/desk/blind_panel.h"
#include "core/analysis/blind_reading.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/numbers.h"
#include "ui/controls/row_list.h"
#include "ui/look/look.h"

#include <QDialog>
#include <QDialogButtonBox>
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
        paintShape(p, static_cast<Shape>(m_rows[row].shape), QRectF(inside.left() + 32, rect.top(), 20, rect.height()));
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

    connect(&model, &SessionModel::changed, this, &BlindPanel::refresh);
    connect(&state, &DeskState::trialChanged, this, &BlindPanel::refresh);
    connect(&state, &DeskState::blindChanged, this, &BlindPanel::refresh);
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
        Row row{trial->id, tr("unread"), static_cast<int>(Shape::TrialProposed)};
        Stroke stroke = Stroke::Open;
        if (trial->reject) {
            row = {trial->id, tr("rejected"), static_cast<int>(Shape::TrialRejected)};
            stroke = Stroke::Rejected;
        } else if (done) {
            row = {trial->id, reading->doubtful ? tr("read, in doubt") : tr("read"),
                   static_cast<int>(reading->doubtful ? Shape::TrialDoubt : Shape::TrialRead)};
            stroke = Stroke::Read;
        } else if (reading) {
            row = {trial->id, tr("half read"), static_cast<int>(Shape::TrialHalfRead)};
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

QDialog* blindDialog(SessionModel& model, QWidget* parent, const std::function<void()>& drawn, QString& problem)
{
    const auto document = model.document();
    problem = QString::fromStdString(analysis::rereadProblem(*document));
    if (!problem.isEmpty())
        return nullptr;
    const int all = static_cast<int>(analysis::rereadable(*document).size());
    auto* dialog = new QDialog(parent);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setWindowTitle(BlindPanel::tr("Read blind"));
    auto* column = new QVBoxLayout(dialog);
    column->setSpacing(12);
    auto* words = new Label(BlindPanel::tr("Some trials are drawn at random and read again, in shuffled order, without "
                                           "their configuration and first marks. "
                                           "Another person or another day tells more."));
    words->setWordWrap(true);
    words->setMinimumWidth(380);
    column->addWidget(words);
    auto* form = new FormGrid(120);
    auto* share = new QSpinBox;
    share->setObjectName(QStringLiteral("blindShare"));
    share->setRange(10, 100);
    share->setSuffix(QStringLiteral(" %"));
    form->addRow(BlindPanel::tr("Share of the trials"), share);
    auto* count = new Label;
    form->addWide(count);
    column->addWidget(form);
    const auto tell = [=](int percent) {
        count->setText(BlindPanel::tr("%1 of %2 that are read; never fewer than %3 where there are as many.")
                           .arg(analysis::rereadCount(percent / 100.0, all))
                           .arg(all)
                           .arg(analysis::fewestReread));
    };
    tell(10);
    QObject::connect(share, &QSpinBox::valueChanged, count, tell);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel);
    buttons->button(QDialogButtonBox::Ok)->setText(BlindPanel::tr("Draw and read"));
    column->addWidget(buttons);
    QObject::connect(buttons, &QDialogButtonBox::rejected, dialog, &QDialog::reject);
    QObject::connect(buttons, &QDialogButtonBox::accepted, dialog, [&model, dialog, share, drawn] {
        const qint64 seed = QRandomGenerator::global()->bounded(1'000'000'000);
        if (model.edit([&](const session::Document& latest) {
                return session::beginReread(latest, analysis::drawReread(latest, share->value() / 100.0, seed));
            })) {
            dialog->accept();
            drawn();
        }
    });
    return dialog;
}

} // namespace ui
