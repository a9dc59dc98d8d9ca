#include "ui/clock/stamp_panel.h"
#include "core/media/measure/calibration_traces.h"
#include "ui/clock/capture_footage.h"
#include "ui/clock/clock_captures.h"
#include "ui/clock/step_plot.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"

#include <QHBoxLayout>

namespace ui {
namespace {

constexpr int stampPanelLabelWidth = 68, stampPanelBackgroundNiceness = 12;
constexpr qint64 byNumber = 0, byStamp = 1;

QString ms(double seconds, int digits = 5) { return withMinus(QString::number(seconds * 1000, 'g', digits)); }

QString framesOf(const std::vector<timing::FrameNumber>& frames)
{
    return frames.size() == 1 ? StampPanel::tr("1, at frame %1").arg(frames.front().value)
                              : StampPanel::tr("%1, frame %2 first").arg(frames.size()).arg(frames.front().value);
}

QString stepWords(const timing::StampPattern& pattern, const std::vector<timing::StampPiece>& pieces)
{
    if (!pieces.empty())
        return StampPanel::tr("changes along the file, in %1")
            .arg(counted(qint64(pieces.size()), StampPanel::tr("piece")));
    if (pattern.irregular)
        return StampPanel::tr("none that holds");
    if (!pattern.step)
        return StampPanel::tr("too few stamps");
    return StampPanel::tr("%1 ms, %2 a second").arg(ms(*pattern.step, 7), QString::number(*pattern.rate(), 'g', 7));
}

} // namespace

StampPanel::StampPanel(SessionModel& model, QWidget* parent)
    : Panel(tr("What the stamps show"), parent), m_model(model), m_captures(called("stampCapture", new ChoiceBox)),
      m_source(called("timeSource", new ChoiceBox)),
      m_slowDown(called("slowDown", new CommitEdit(QStringLiteral("1")))), m_slowRow(new QWidget),
      m_figures(new QWidget), m_grid(new QGridLayout), m_plot(new StepPlot),
      m_state(called("stampState", wrapping({}, Text::State, Tone::Secondary))),
      m_runs(called("stampRuns", wrapping({}, Text::State, Tone::Secondary))),
      m_sourceNote(wrapping({}, Text::Caption, Tone::Secondary)), m_worker(stampPanelBackgroundNiceness)
{
    auto* form = new FormGrid(stampPanelLabelWidth);
    form->addRow(tr("Capture"), m_captures);
    form->addRow(tr("Time from"), m_source);
    auto* slow = new QHBoxLayout(m_slowRow);
    slow->setContentsMargins(stampPanelLabelWidth + 8, 0, 0, 0);
    m_slowDown->setFixedWidth(96);
    m_slowDown->setToolTip(tr("Capture seconds in a second of stamps: 1 where stamps are the times of the frames, "
                              "0.125 where they were slowed 8 times"));
    m_slowDown->setCheck(
        CommitEdit::rate(tr("\u201c%1\u201d isn't a factor above 0: type 1, or 0.125 for footage slowed 8 times.")));
    slow->addWidget(m_slowDown);
    slow->addWidget(new Label(tr("capture seconds in a second of stamps"), Text::State, Tone::Secondary), 1);
    addWidgets(*body(), {form, m_slowRow, m_sourceNote});
    body()->addSpacing(4);

    auto* figures = rowIn(m_figures, 24);
    m_grid->setHorizontalSpacing(12);
    m_grid->setVerticalSpacing(3);
    m_grid->setColumnStretch(1, 1);
    figures->addLayout(m_grid, 3);
    figures->addWidget(m_plot, 2, Qt::AlignTop);
    addWidgets(*body(), {m_figures, m_runs, m_state});

    connect(m_captures, &ChoiceBox::chosen, this, [this](qint64 id) {
        m_capture = session::CaptureId{id};
        showCapture();
    });
    connect(m_source, &ChoiceBox::chosen, this, [this](qint64 source) { chooseSource(source == byStamp); });
    connect(m_slowDown, &CommitEdit::committed, this, [this] { chooseSource(true); });
    connect(&model, &SessionModel::sessionReplaced, this, [this] {
        m_worker.stop();
        m_shown.clear();
        m_asked.clear();
    });
}

void StampPanel::show(session::ClockId clock)
{
    m_clock = clock;
    const auto document = m_model.document();
    const Captures captures = capturesOn(*document, clock);
    offerCaptures(*m_captures, captures, m_capture);
    setTrailing(counted(std::ssize(captures), tr("capture")));
    if (const session::Clock* shown = session::find(*document, clock))
        showSource(*shown);
    showCapture();
}

void StampPanel::showEvent(QShowEvent* event)
{
    QWidget::showEvent(event);
    showCapture();
}

void StampPanel::showSource(const session::Clock& clock)
{
    m_source->setChoices({{byNumber, tr("its number, at the capture rate")}, {byStamp, tr("its stamp")}},
                         clock.stamped ? byStamp : byNumber);
    m_slowRow->setVisible(clock.stamped);
    m_slowDown->setValue(shortNumber(clock.slowDown));
    m_sourceNote->setText(
        clock.stamped
            ? tr("Each frame's time is its own stamp: right for a phone that stamps in real time, also where its rate "
                 "varies.")
            : tr("Frames are evenly apart, missing ones counted in. Stamps are playback, unless you say otherwise."));
}

void StampPanel::chooseSource(bool stamps)
{
    if (!m_slowDown->commit())
        return;
    const double slowDown = typedRate(m_slowDown->value()).value_or(1);
    m_model.edit([&](const session::Document& d) {
        return stamps ? session::readStamps(d, m_clock, slowDown) : session::readNumbers(d, m_clock);
    });
    if (const session::Clock* clock = session::find(*m_model.document(), m_clock))
        showSource(*clock); // a refused choice goes back
}

void StampPanel::showCapture()
{
    const session::Capture* capture = session::find(*m_model.document(), m_capture);
    m_figures->setVisible(false);
    m_runs->setVisible(false);
    m_state->setVisible(true);
    if (!capture) {
        m_state->setText(tr("No capture uses this clock."));
        return;
    }
    const std::pair key(capture->id, capture->sha256 + capture->path);
    if (const auto known = m_shown.find(key); known != m_shown.end()) {
        showFigures(*capture, known->second);
        return;
    }
    m_state->setText(tr("Reading the stamps of %1 \u2026").arg(QString::fromStdString(capture->name)));
    if (!isVisible() || !m_asked.insert(key).second)
        return;
    const auto arrived = [this, key](const Shown& shown) {
        m_shown[key] = shown;
        showCapture();
    };
    m_worker.run(
        [footage = CaptureFootage(m_model, *capture)](const std::stop_token& stop) {
            const auto opened = footage.open(stop);
            const auto stamps = media::stampsOf(*opened);
            return Shown{timing::stampPattern(stamps, opened->timeBase), timing::stampSteps(stamps, opened->timeBase),
                         timing::stampPieces(stamps, opened->timeBase)};
        },
        arrived,
        [arrived](const QString& fault) {
            arrived({{}, {}, {}, fault});
        });
}

void StampPanel::setLine(int row, const QString& name, const QString& value)
{
    while (static_cast<int>(m_lines.size()) <= row) {
        auto* left = new Label({}, Text::State, Tone::Secondary);
        auto* right = new Label({}, Text::State, Tone::Primary);
        right->setElided(Qt::ElideRight);
        m_grid->addWidget(left, static_cast<int>(m_lines.size()), 0);
        m_grid->addWidget(right, static_cast<int>(m_lines.size()), 1);
        m_lines.emplace_back(left, right);
    }
    m_lines[static_cast<std::size_t>(row)].first->setText(name);
    m_lines[static_cast<std::size_t>(row)].second->setText(value);
}

void StampPanel::showFigures(const session::Capture& capture, const Shown& shown)
{
    QStringList notes;
    if (!shown.fault.isEmpty())
        notes << tr("Its stamps can't be read: %1").arg(shown.fault);
    for (const std::string& note : capture.notes)
        notes << QString::fromStdString(note);
    m_state->setText(notes.join(QLatin1Char('\n')));
    m_state->setVisible(!notes.isEmpty());
    if (!shown.fault.isEmpty())
        return;
    const timing::StampPattern& pattern = shown.pattern;
    const std::int64_t missing = timing::MissingFrames(capture.missing).upTo(lastFrame(capture)).value;
    int row = 0;
    setLine(row++, tr("Nominal step"), stepWords(pattern, shown.pieces));
    setLine(row++, tr("Steps"),
            shown.steps.steps == 0 ? tr("none")
            : shown.steps.longest - shown.steps.shortest < 1e-9
                ? tr("%1, all of %2 ms").arg(shown.steps.steps).arg(ms(shown.steps.mean))
                : tr("%1, from %2 to %3 ms, SD %4 ms")
                      .arg(shown.steps.steps)
                      .arg(ms(shown.steps.shortest), ms(shown.steps.longest), ms(shown.steps.sd, 2)));
    setLine(row++, tr("Taken as"),
            pattern.variesAsRealTimes ? tr("times of the frames: they vary as measured times do")
            : pattern.irregular && timing::varyAsRealTimes(shown.pieces)
                ? tr("times of the frames, at a rate that changes")
                : tr("playback time"));
    setLine(row++, tr("Missing"),
            missing == 0
                ? (pattern.gapsKnown || !shown.pieces.empty() ? tr("none seen") : tr("steps can't show a lost frame"))
                : tr("%1 at %2, counted in").arg(missing).arg(counted(qint64(capture.missing.size()), tr("place"))));
    QStringList odd;
    const auto add = [&](const char* what, const std::vector<timing::FrameNumber>& frames) {
        if (!frames.empty())
            odd << tr("%1 %2").arg(tr(what), framesOf(frames));
    };
    add("equal to the one before:", pattern.repeats);
    add("backward:", pattern.backward);
    add("unclear:", pattern.unclear);
    if (pattern.stamped > 0)
        add("lacking:", pattern.unstamped);
    setLine(row++, tr("Odd stamps"),
            odd.isEmpty() ? tr("none equal, backward, unclear or lacking") : odd.join(QStringLiteral("; ")));
    m_plot->show(shown.steps);
    m_figures->setVisible(true);
    QStringList runs;
    for (const timing::StepRun& run : shown.steps.runs)
        runs << tr("from frame %1: %2 of %3 ms").arg(run.first.value).arg(run.steps).arg(ms(run.seconds));
    if (shown.steps.allRuns > 1) {
        const QString more = shown.steps.allRuns > std::ssize(shown.steps.runs)
                                 ? tr(" (the longest of %1)").arg(shown.steps.allRuns)
                                 : QString();
        m_runs->setText(tr("Runs of equal steps%1: %2").arg(more, runs.join(QStringLiteral("; "))));
        m_runs->setVisible(true);
    }
}

} // namespace ui
