#include "ui/clock/reference_panel.h"
#include "core/media/measure/calibration_traces.h"
#include "ui/clock/capture_footage.h"
#include "ui/clock/clock_captures.h"
#include "ui/clock/fit_plot.h"
#include "ui/clock/take_reference.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/look/own_keys.h"

#include <QPushButton>
#include <algorithm>
#include <cmath>
#include <limits>

namespace ui {
namespace {

constexpr int labelWidth = 68, formWidth = 284, columnGap = 20;
constexpr int backgroundNiceness = 10;

QString sentenceOf(const timing::ReferenceFit& fit)
{
    if (!fit.rate)
        return QString::fromStdString(fit.refused);
    const double u = fit.standardUncertainty();
    const int digits = u > 0 ? std::clamp(1 - static_cast<int>(std::floor(std::log10(u))), 0, 6) : 6;
    const auto number = [&](double value) { return QString::number(value, 'f', digits); };
    QString text = ReferencePanel::tr("%1 camera frames a second; 95 % interval %2 to %3. %4 of %5 edges used.")
                       .arg(number(*fit.rate), number(fit.low95()), number(fit.high95()))
                       .arg(fit.usedEdges())
                       .arg(fit.edges.size());
    if (fit.leastSquares)
        text += ReferencePanel::tr(" Least squares: %1.").arg(number(fit.leastSquares->rate));
    return text;
}

/// Of a capture in pieces only the longest that runs on the clock is looked at: levels elsewhere can't be had.
timing::CalibrationTraces within(timing::CalibrationTraces traces, const session::Capture& capture,
                                 session::ClockId clock)
{
    const session::Piece* longest = nullptr;
    const auto length = [&](const session::Piece& piece) { return lastFrame(capture, piece) - piece.firstFrame; };
    for (const session::Piece& piece : capture.pieces)
        if (piece.clock == clock && (!longest || length(piece) > length(*longest)))
            longest = &piece;
    if (!longest)
        return traces;
    for (std::size_t k = 0; k < traces.lamp.size(); ++k)
        if (session::pieceAt(capture, {static_cast<std::int64_t>(k)}) != longest) {
            traces.lamp[k] = std::numeric_limits<double>::quiet_NaN();
            if (k < traces.changes.size())
                traces.changes[k].known = false;
        }
    return traces;
}

} // namespace

ReferencePanel::ReferencePanel(SessionModel& model, QWidget* parent)
    : Panel(tr("Reference fit"), parent), m_model(model), m_worker(backgroundNiceness)
{
    setTrailing(tr("a lamp that blinks at a known frequency"));
    setHairline(false);
    m_split = new QBoxLayout(QBoxLayout::LeftToRight);
    m_split->setSpacing(columnGap);
    m_form = buildForm();
    m_split->addWidget(m_form);
    auto* outcome = new QVBoxLayout;
    m_outcome = buildOutcome();
    outcome->addWidget(m_outcome, 1);
    m_nothing = emptyNote(
        tr("Where each edge of the lamp was seen, against the line through them, shows here once edges are found."));
    m_nothing->setAlignment(Qt::AlignCenter);
    outcome->addWidget(m_nothing, 1);
    m_split->addLayout(outcome, 1);
    body()->addLayout(m_split, 1);
    setStacked(false);
    connect(&model, &SessionModel::sessionReplaced, this, [this] {
        m_found.clear();
        m_worker.stop();
        m_busy = false;
    });
}

void ReferencePanel::setStacked(bool stacked)
{
    m_split->setDirection(stacked ? QBoxLayout::TopToBottom : QBoxLayout::LeftToRight);
    m_split->setSpacing(stacked ? 8 : columnGap);
    m_form->setMinimumWidth(stacked ? 0 : formWidth);
    m_form->setMaximumWidth(stacked ? QWIDGETSIZE_MAX : formWidth);
}

QWidget* ReferencePanel::buildForm()
{
    auto* whole = new QWidget;
    auto* column = columnIn(whole, 4);
    auto* form = new FormGrid(labelWidth);
    m_captures = form->addRow(tr("Filmed in"), called("referenceCapture", new ChoiceBox));
    m_captures->setPlaceholderText(tr("none with a lamp region yet"));
    connect(m_captures, &ChoiceBox::chosen, this, [this](qint64 id) { m_capture = session::CaptureId{id}; });
    m_frequency = form->addRow(tr("Blinks at"), called("lampFrequency", new CommitEdit(tr("like 9.7"))), tr("Hz"));
    m_frequency->setToolTip(
        tr("No simple fraction of the capture rate: 9.7 rather than 10, so that the edges spread over the frame"));
    m_frequency->setCheck(CommitEdit::rate(tr("\u201c%1\u201d isn't a frequency above 0: type one like 9.7.")));
    m_tolerance = form->addRow(tr("Within \u00b1"), called("lampTolerance", new CommitEdit(tr("like 50"))), tr("ppm"));
    m_tolerance->setToolTip(tr("What its maker states; crystals: 10 to 100. Empty: the frequency is taken as exact"));
    m_tolerance->setCheck(
        CommitEdit::numberFor([](double ppm) { return ppm >= 0 && ppm < 1e6; },
                              tr("\u201c%1\u201d isn't a tolerance: type parts per million from 0, like 50.")));
    m_lamps = form->addRow(tr("Lamp is"), called("whichLamp", new ChoiceBox));
    m_lamps->setToolTip(tr("Clocks that are fitted with one lamp share its error"));
    connect(m_lamps, &ChoiceBox::chosen, this, [this](qint64 choice) {
        m_choice = choice;
        if (const session::ErrorSource* source = chosenSource(*m_model.document(), choice)) {
            m_tolerance->setText({});
            m_tolerance->setValue(QString::number(source->relativeUncertainty * std::sqrt(3.0) * 1e6, 'g', 6));
        }
    });
    column->addWidget(form);
    m_state = wrapping({}, Text::State, Tone::Secondary);
    m_state->setObjectName(QStringLiteral("referenceState"));
    column->addWidget(m_state);
    m_find = called("findEdges", new QPushButton(tr("Find edges")));
    connect(m_find, &QPushButton::clicked, this, &ReferencePanel::find);
    column->addWidget(m_find, 0, Qt::AlignRight);
    m_answer = new QWidget;
    auto* answer = columnIn(m_answer, 4);
    m_result = wrapping({}, Text::Body, Tone::Primary);
    m_result->setObjectName(QStringLiteral("fitResult"));
    answer->addWidget(m_result);
    m_notes = wrapping({}, Text::State, Tone::Attention);
    answer->addWidget(m_notes);
    m_use = called("takeReference", new QPushButton(tr("Take as reference")));
    m_use->setToolTip(tr("Adds the fit to the evidence; settling stays your decision"));
    answer->addWidget(m_use, 0, Qt::AlignRight);
    connect(m_use, &QPushButton::clicked, this, &ReferencePanel::use);
    column->addWidget(m_answer);
    column->addStretch(1);
    for (CommitEdit* edit : {m_frequency, m_tolerance})
        connect(edit, &CommitEdit::entered, this, &ReferencePanel::find);
    return whole;
}

QWidget* ReferencePanel::buildOutcome()
{
    auto* whole = new QWidget;
    auto* outcome = columnIn(whole, 6);
    m_plot = called("fitPlot", new FitPlot);
    outcome->addWidget(m_plot, 1);
    m_edge = wrapping({}, Text::Caption, Tone::Secondary);
    outcome->addWidget(m_edge);
    connect(m_plot, &FitPlot::toggled, this, &ReferencePanel::toggle);
    connect(m_plot, &FitPlot::currentChanged, this, &ReferencePanel::showEdge);
    return whole;
}

ReferencePanel::Found* ReferencePanel::found()
{
    const auto it = m_found.find(m_clock);
    return it == m_found.end() ? nullptr : &it->second;
}

void ReferencePanel::show(session::ClockId clock)
{
    m_clock = clock;
    fillCaptures(*m_model.document());
    showFound();
}

void ReferencePanel::fillCaptures(const session::Document& document)
{
    Captures captures = capturesOn(document, m_clock);
    std::erase_if(captures, [](const session::Capture* capture) {
        return !session::firstRegion(*capture, session::RegionKind::Lamp);
    });
    if (std::ranges::find(captures, m_capture, &session::Capture::id) == captures.end())
        for (const session::Capture* capture : captures) // one without trials is more likely what films the lamp alone
            if (session::trialsOf(document, capture->id).empty())
                m_capture = capture->id;
    offerCaptures(*m_captures, captures, m_capture);
    if (m_choice > 0 && !chosenSource(document, m_choice))
        m_choice = 0;
    m_lamps->setChoices(sharedErrorChoices(document, tr("by frequency and tolerance")), m_choice);
}

std::optional<timing::ReferenceLamp> ReferencePanel::lamp()
{
    if (!m_frequency->commit() || !m_tolerance->commit())
        return std::nullopt;
    const auto frequency = typedRate(m_frequency->value());
    if (!frequency) {
        emit m_model.problem(
            tr("There is no frequency to fit with: type how often a second the lamp lights, like 9.7."));
        m_frequency->setFocus(Qt::OtherFocusReason);
        return std::nullopt;
    }
    return timing::ReferenceLamp{*frequency, typedNumber(m_tolerance->value()).value_or(0) * 1e-6};
}

void ReferencePanel::find()
{
    const auto document = m_model.document();
    const session::Capture* capture = session::find(*document, m_capture);
    const session::Region* region = capture ? session::firstRegion(*capture, session::RegionKind::Lamp) : nullptr;
    const session::Clock* clock = session::find(*document, m_clock);
    if (!region || !clock) {
        emit m_model.problem(
            tr("No capture on this clock has a lamp region: draw one around the blinking lamp at the reading desk."));
        return;
    }
    const auto given = lamp();
    if (!given)
        return;
    Found wanted{capture->id, *given, capture->missing, {}, {}, {}};
    for (const session::ClockEvidence& evidence : clock->evidence)
        if (evidence.rate.origin != timing::Origin::Reference)
            wanted.others.push_back(evidence.rate);
    m_worker.stop();
    m_busy = true;
    m_state->setVisible(true);
    m_state->setText(tr("Reading %1 \u2026").arg(QString::fromStdString(capture->name)));
    m_worker.run(
        [wanted, clock = m_clock, source = CaptureFootage(m_model, *capture), pieces = *capture,
         rect = media::Rect{region->x, region->y, region->width, region->height}](const std::stop_token& stop) {
            Found result = wanted;
            const auto footage = source.open(stop);
            result.calibration =
                timing::calibrate(within(media::calibrationTraces(*footage, rect, stop), pieces, clock), result.lamp,
                                  result.gaps, result.others);
            result.kept.assign(result.calibration.lamp.edges.size(), true);
            return result;
        },
        [this, clock = m_clock](const Found& result) {
            m_busy = false;
            m_found[clock] = result;
            showFound();
        },
        [this](const QString& fault) {
            m_busy = false;
            emit m_model.problem(fault);
            showFound();
        });
}

void ReferencePanel::showFound()
{
    const Found* shown = found();
    m_outcome->setVisible(shown);
    m_answer->setVisible(shown);
    m_nothing->setVisible(!shown);
    if (m_busy)
        return;
    m_state->setVisible(m_captures->count() == 0);
    const bool anyCapture = std::ranges::any_of(
        m_model.document()->captures, [this](const auto& item) { return session::runsOn(*item.second, m_clock); });
    m_state->setText(m_captures->count() > 0 ? QString()
                     : anyCapture
                         ? tr("No capture on this clock has a lamp region: at the reading desk, %1 draws one. Take a "
                              "capture of a lamp of known frequency, filmed in this mode.")
                               .arg(keys::ownCap(QStringLiteral("L")))
                         : tr("Film a lamp of known frequency in this mode, add it to this clock and draw a lamp "
                              "region around it."));
    if (!shown)
        return;
    const timing::Calibration& calibration = shown->calibration;
    // Every edge found has its place in the plot, also those left out of the fit.
    std::vector<timing::FittedEdge> edges;
    std::size_t next = 0;
    for (std::size_t i = 0; i < shown->kept.size(); ++i)
        edges.push_back(shown->kept[i] && next < calibration.fit.edges.size()
                            ? calibration.fit.edges[next++]
                            : timing::FittedEdge{calibration.lamp.edges[i], 0, 0, false});
    m_plot->show(edges, shown->kept);
    m_plot->setVisible(!edges.empty());
    m_edge->setVisible(!edges.empty());
    m_result->setText(sentenceOf(calibration.fit));
    QStringList notes;
    for (const std::string& sentence : calibration.warnings())
        if (sentence != calibration.fit.refused)
            notes << QString::fromStdString(sentence);
    m_notes->setText(notes.join(QLatin1Char('\n')));
    m_notes->setVisible(!notes.isEmpty());
    m_use->setEnabled(calibration.fit.rate.has_value());
    showEdge(m_plot->current());
}

void ReferencePanel::showEdge(int edge)
{
    const Found* shown = found();
    if (!shown || edge < 0 || edge >= static_cast<int>(shown->kept.size()))
        return;
    const auto at = static_cast<std::size_t>(edge);
    const timing::LampEdge& lampEdge = shown->calibration.lamp.edges[at];
    m_edge->setText(tr("Edge %1 of %2: %3 first in camera frame %4%5. Space leaves it out or takes it back. Full "
                       "discs: lit, hollow: dark, crosses: not used; band: \u00b11 camera frame off the line.")
                        .arg(edge + 1)
                        .arg(shown->kept.size())
                        .arg(lampEdge.kind == timing::EdgeKind::On ? tr("lit") : tr("dark"))
                        .arg(lampEdge.frame.value)
                        .arg(lampEdge.confidence < 1 ? tr(", in doubt") : QString()));
}

void ReferencePanel::toggle(int edge)
{
    Found* shown = found();
    if (!shown || edge < 0 || edge >= static_cast<int>(shown->kept.size()))
        return;
    shown->kept[static_cast<std::size_t>(edge)] = !shown->kept[static_cast<std::size_t>(edge)];
    std::vector<timing::LampEdge> kept;
    for (std::size_t i = 0; i < shown->kept.size(); ++i)
        if (shown->kept[i])
            kept.push_back(shown->calibration.lamp.edges[i]);
    shown->calibration =
        timing::calibrate(std::move(shown->calibration), kept, shown->lamp, shown->gaps, shown->others);
    showFound();
}

void ReferencePanel::use()
{
    const Found* shown = found();
    const session::Capture* capture = shown ? session::find(*m_model.document(), shown->capture) : nullptr;
    if (!capture || !shown->calibration.fit.rate)
        return;
    timing::RateEvidence rate = shown->calibration.fit.evidence(shown->lamp);
    rate.note += ", in " + capture->name;
    SharedError lamp{"frequency of the lamp of " + shortNumber(shown->lamp.frequency).toStdString() + " Hz",
                     shown->calibration.fit.lampUncertainty,
                     {},
                     false};
    applyChoice(lamp, m_choice);
    m_model.edit([&](const session::Document& d) {
        return takeReference(d, m_clock, rate, "reference fit in " + capture->name,
                             shown->calibration.fit.fitUncertainty, lamp);
    });
}

} // namespace ui
