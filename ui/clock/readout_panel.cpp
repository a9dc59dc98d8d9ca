#include "ui/clock/readout_panel.h"
#include "core/media/measure/row_profiles.h"
#include "core/report/correction_words.h"
#include "ui/clock/clock_captures.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"

#include <QHBoxLayout>
#include <QPushButton>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr int readoutPanelLabelWidth = 84;
constexpr int twoColumns = 640; ///< px
constexpr double micro = 1e-6;

session::ReadoutDirection directionOf(timing::ReadoutOrder order)
{
    switch (order) {
    case timing::ReadoutOrder::FirstRowFirst: return session::ReadoutDirection::FirstRowFirst;
    case timing::ReadoutOrder::LastRowFirst: return session::ReadoutDirection::LastRowFirst;
    case timing::ReadoutOrder::Unknown: break;
    }
    return session::ReadoutDirection::Unknown;
}

/// The shortest text with which the value reads the same to `digits`.
QString figure(double value, int digits) { return shortNumber(QString::number(value, 'g', digits).toDouble()); }

} // namespace

ReadoutPanel::ReadoutPanel(SessionModel& model, QWidget* parent)
    : Panel(tr("How the sensor is read out"), parent), m_model(model),
      m_columns(new QBoxLayout(QBoxLayout::LeftToRight)), m_kind(called("readoutKind", new ChoiceBox)),
      m_direction(called("readoutDirection", new ChoiceBox)), m_captures(called("bandCapture", new ChoiceBox)),
      m_region(called("bandRegion", new ChoiceBox)), m_lineTime(called("lineTime", new CommitEdit(tr("like 9.4")))),
      m_tolerance(called("lineTimeTolerance", new CommitEdit(tr("like 0.1")))),
      m_note(called("lineTimeNote", new CommitEdit(tr("where you know it from")))),
      m_frequency(called("bandFrequency", new CommitEdit(tr("like 1000")))),
      m_lightTolerance(called("bandTolerance", new CommitEdit(tr("0: exact")))),
      m_frame(called("bandFrame", new CommitEdit(tr("0")))), m_effect(wrapping({}, Text::State, Tone::Secondary)),
      m_result(called("lineTimeMeasured", wrapping({}, Text::State, Tone::Primary))),
      m_measure(compactButton(tr("Measure line time"), "measureLineTime")),
      m_use(compactButton(tr("Use it"), "useLineTime"))
{
    setHairline(false);
    m_columns->setSpacing(24);
    m_columns->addWidget(buildForm(), 1);
    m_columns->addWidget(buildMeasuring(), 1);
    body()->addLayout(m_columns);
}

void ReadoutPanel::resizeEvent(QResizeEvent* event)
{
    m_columns->setDirection(width() >= twoColumns ? QBoxLayout::LeftToRight : QBoxLayout::TopToBottom);
    QWidget::resizeEvent(event);
}

QWidget* ReadoutPanel::buildForm()
{
    auto* part = new QWidget;
    auto* column = columnIn(part, 8);
    auto* form = new FormGrid(readoutPanelLabelWidth);
    form->addRow(tr("Rows"), m_kind);
    m_lineTime->setCheck(CommitEdit::numberFor(
        [](double us) { return us >= 1e-6; },
        tr("\u201c%1\u201d isn't a line time above 0: type the microseconds from one row to the next, like 9.4.")));
    form->addRow(tr("Line time"), m_lineTime, tr("\u00b5s a row"));
    m_tolerance->setToolTip(
        tr("The true line time lies within this, either way; its standard uncertainty is this over the root of 3"));
    m_tolerance->setCheck(
        CommitEdit::numberFor([](double us) { return us >= 0; },
                              tr("\u201c%1\u201d isn't a tolerance: type microseconds from 0, like 0.1.")));
    form->addRow(tr("Within \u00b1"), m_tolerance, tr("\u00b5s a row"));
    m_direction->setToolTip(tr("In the picture as the camera stores it, not as it is turned for display"));
    form->addRow(tr("Direction"), m_direction);
    form->addRow(tr("Note"), m_note);
    column->addWidget(form);
    column->addWidget(m_effect);
    column->addStretch(1);
    for (ChoiceBox* box : {m_kind, m_direction})
        connect(box, &ChoiceBox::chosen, this, [this] {
            enableForm();
            set();
        });
    for (CommitEdit* edit : {m_lineTime, m_tolerance, m_note})
        connect(edit, &CommitEdit::committed, this, &ReadoutPanel::set);
    return part;
}

QWidget* ReadoutPanel::buildMeasuring()
{
    auto* part = new QWidget;
    auto* column = columnIn(part, 8);
    auto* words = emptyNote(tr("To measure it, film a plain surface under a light that is pulsed at a known frequency, "
                               "with a short exposure: a rolling shutter "
                               "shows bands, and the rows from band to band give the line time."),
                            Text::Caption);
    column->addWidget(words);
    auto* form = new FormGrid(readoutPanelLabelWidth);
    form->addRow(tr("Capture"), m_captures);
    form->addRow(tr("Part of it"), m_region);
    m_frequency->setCheck(CommitEdit::rate(tr("\u201c%1\u201d isn't a number of pulses a second above 0, like 1000.")));
    form->addRow(tr("Light"), m_frequency, tr("pulses a second"));
    m_lightTolerance->setCheck(
        CommitEdit::numberFor([](double ppm) { return ppm >= 0; },
                              tr("\u201c%1\u201d isn't a tolerance: type parts per million from 0, like 50.")));
    form->addRow(tr("Within \u00b1"), m_lightTolerance, tr("ppm"));
    m_frame->setCheck(CommitEdit::wholeNumber(0, tr("\u201c%1\u201d isn't the number of a frame.")));
    form->addRow(tr("From frame"), m_frame, tr("16 pictures"));
    column->addWidget(form);
    auto* row = new QHBoxLayout;
    row->setSpacing(8);
    addWidgets(*row, {m_measure, m_use});
    row->addStretch(1);
    column->addLayout(row);
    column->addWidget(m_result);
    column->addStretch(1);
    connect(m_captures, &ChoiceBox::chosen, this, [this](qint64 id) {
        m_capture = session::CaptureId{id};
        fillCaptures(*m_model.document());
    });
    connect(m_measure, &QPushButton::clicked, this, &ReadoutPanel::measure);
    connect(m_use, &QPushButton::clicked, this, &ReadoutPanel::use);
    for (CommitEdit* edit : {m_frequency, m_lightTolerance, m_frame}) {
        connect(edit, &CommitEdit::committed, edit, &CommitEdit::setValue); // not of the session
        connect(edit, &CommitEdit::entered, this, &ReadoutPanel::measure);
    }
    return part;
}

void ReadoutPanel::show(session::ClockId id)
{
    const auto document = m_model.document();
    const session::Clock* clock = session::find(*document, id);
    if (!clock)
        return;
    m_clock = id;
    fillForm(*clock);
    m_effect->setText(effect(*document, *clock));
    fillCaptures(*document);
    showMeasured();
}

void ReadoutPanel::fillForm(const session::Clock& clock)
{
    const std::pair now(clock.id, clock.readout);
    if (m_filled == now)
        return; // what is being typed stays
    m_filled = now;
    using session::ReadoutDirection, session::ReadoutKind;
    m_kind->setChoices({{int(ReadoutKind::Unknown), tr("not known")},
                        {int(ReadoutKind::AllAtOnce), tr("all at once (global)")},
                        {int(ReadoutKind::LineTime), tr("one after the other, line time known")}},
                       int(clock.readout.kind));
    m_direction->setChoices({{int(ReadoutDirection::Unknown), tr("not known")},
                             {int(ReadoutDirection::FirstRowFirst), tr("from the first row down")},
                             {int(ReadoutDirection::LastRowFirst), tr("from the last row up")}},
                            int(clock.readout.direction));
    const session::Readout& readout = clock.readout;
    m_lineTime->setValue(readout.lineTimeSeconds > 0 ? figure(readout.lineTimeSeconds / micro, 8) : QString());
    m_tolerance->setValue(
        readout.uncertaintySeconds > 0 ? figure(readout.uncertaintySeconds * std::sqrt(3.0) / micro, 4) : QString());
    m_note->setValue(QString::fromStdString(readout.note));
    enableForm();
}

void ReadoutPanel::enableForm()
{
    const bool known = m_kind->currentData().toLongLong() == int(session::ReadoutKind::LineTime);
    for (QWidget* widget : std::initializer_list<QWidget*>{m_lineTime, m_tolerance, m_direction, m_note})
        widget->setEnabled(known && !m_model.readOnly());
    m_kind->setEnabled(!m_model.readOnly());
}

void ReadoutPanel::set()
{
    const auto document = m_model.document();
    const session::Clock* clock = session::find(*document, m_clock);
    if (!clock)
        return;
    session::Readout wanted = clock->readout;
    wanted.kind = static_cast<session::ReadoutKind>(m_kind->currentData().toInt());
    wanted.direction = static_cast<session::ReadoutDirection>(m_direction->currentData().toInt());
    // Fields keep what they were filled with to more digits than they show.
    if (m_lineTime->text() != figure(clock->readout.lineTimeSeconds / micro, 8))
        wanted.lineTimeSeconds = typedNumber(m_lineTime->text()).value_or(0) * micro;
    if (m_tolerance->text() != figure(clock->readout.uncertaintySeconds * std::sqrt(3.0) / micro, 4))
        wanted.uncertaintySeconds = typedNumber(m_tolerance->text()).value_or(0) * micro / std::sqrt(3.0);
    wanted.note = m_note->text().toStdString();
    if (wanted.kind == session::ReadoutKind::LineTime && !(wanted.lineTimeSeconds > 0)) {
        m_lineTime->setFocus(Qt::OtherFocusReason); // nothing to set before it is typed
        return;
    }
    if (wanted != clock->readout)
        m_model.edit([id = m_clock, wanted](const session::Document& d) { return session::setReadout(d, id, wanted); });
}

void ReadoutPanel::fillCaptures(const session::Document& document)
{
    offerCaptures(*m_captures, capturesOn(document, m_clock), m_capture);
    const qint64 before = m_region->currentData().toLongLong();
    QVector<std::pair<qint64, QString>> regions{{0, tr("the whole picture")}};
    if (const session::Capture* capture = session::find(document, m_capture))
        for (const session::Region& region : capture->regions)
            regions.append({region.id.value, QString::fromStdString(region.name)});
    const bool kept = std::ranges::any_of(regions, [&](const auto& each) { return each.first == before; });
    m_region->setChoices(regions, kept ? before : 0);
    m_measure->setEnabled(m_capture && !m_busy);
}

/// "Lamp and screen rows: delays move by −0.11 ± 0.02 ms."
QString ReadoutPanel::effect(const session::Document& document, const session::Clock& clock) const
{
    if (clock.readout.kind == session::ReadoutKind::AllAtOnce)
        return tr("Rows don't matter: nothing is added to a delay.");
    if (!session::settledEvidence(clock))
        return tr("What rows add to a delay shows once the clock is settled.");
    QStringList words;
    for (const session::Capture* capture : capturesOn(document, clock.id)) {
        const auto trials = session::trialsOf(document, capture->id);
        if (trials.empty())
            continue;
        analysis::Corrections rows;
        rows.rows = analysis::trialOutcome(document, *trials.front()).corrections.rows;
        const QString said = QString::fromStdString(report::correctionWords(rows));
        if (!said.isEmpty() && !words.contains(said))
            words << said;
    }
    if (words.isEmpty())
        return tr("No trial on this clock has rows that differ between lamp and screen.");
    return (clock.readout.kind == session::ReadoutKind::LineTime
                ? tr("By the rows of lamp and screen region delays get: %1.")
                : tr("Not known, so nothing is added and all of it is uncertain: %1."))
        .arg(words.join(QStringLiteral("; ")));
}

void ReadoutPanel::measure()
{
    const auto document = m_model.document();
    const session::Capture* capture = session::find(*document, m_capture);
    const session::Clock* clock = session::find(*document, m_clock);
    if (!capture || !clock || m_busy)
        return;
    if (!m_frequency->commit() || !m_lightTolerance->commit() || !m_frame->commit())
        return;
    const auto frequency = typedRate(m_frequency->text());
    if (!frequency) {
        emit m_model.problem(
            tr("There is no frequency to measure with: type how often a second the light is pulsed, like 1000."));
        m_frequency->setFocus(Qt::OtherFocusReason);
        return;
    }
    const timing::FrameNumber frame{m_frame->text().toLongLong()};
    if (frame > lastFrame(*capture)) {
        emit m_model.problem(tr("%1 has frames 0 to %2; there is no frame %3 to begin with.")
                                 .arg(QString::fromStdString(capture->name))
                                 .arg(lastFrame(*capture).value)
                                 .arg(frame.value));
        m_frame->setFocus(Qt::OtherFocusReason);
        return;
    }
    const timing::ReferenceLamp light{*frequency, typedNumber(m_lightTolerance->text()).value_or(0) * 1e-6};
    timing::BandContext context{capture->height, {}, 0};
    const session::ClockEvidence* evidence =
        clock->settled ? session::settledEvidence(*clock) : session::proposedEvidence(*clock);
    if (evidence)
        context = {capture->height, evidence->rate.rate, evidence->rate.relativeUncertainty};
    media::Rect rect{0, 0, capture->width, capture->height};
    if (const session::Region* region =
            session::findRegion(*capture, session::RegionId{m_region->currentData().toLongLong()}))
        rect = {region->x, region->y, region->width, region->height};
    m_busy = true;
    m_measure->setEnabled(false);
    m_measured.reset();
    m_result->setText(tr("Reading %1 \u2026").arg(QString::fromStdString(capture->name)));
    const auto ended = [this] {
        m_busy = false;
        m_measure->setEnabled(true);
        showMeasured();
    };
    m_worker.run(
        [light, context, rect, frame, source = CaptureFootage(m_model, *capture)](const std::stop_token& stop) {
            return timing::fitLineTime(media::rowProfiles(source.open(stop), rect, frame, media::usualProfiles, stop),
                                       light, context);
        },
        [=, this, clock = m_clock, name = QString::fromStdString(capture->name)](const timing::LineTimeFit& fit) {
            m_measured = Measured{clock, name, light, fit};
            ended();
        },
        [=, this](const QString& fault) {
            emit m_model.problem(fault);
            ended();
        });
}

void ReadoutPanel::showMeasured()
{
    if (m_busy)
        return;
    const bool shown = m_measured && m_measured->clock == m_clock;
    const bool usable = shown && m_measured->fit.lineTime && !m_model.readOnly();
    m_use->setVisible(usable);
    m_result->setVisible(shown);
    if (!shown)
        return;
    const timing::LineTimeFit& fit = m_measured->fit;
    if (!fit.lineTime) {
        m_result->setText(tr("%1: %2").arg(m_measured->capture, QString::fromStdString(fit.refused)));
        return;
    }
    const char* const orders[] = {QT_TR_NOOP("direction not told"), QT_TR_NOOP("from the first row down"),
                                  QT_TR_NOOP("from the last row up")};
    QStringList lines{
        tr("%1: bands %2 rows apart, so %3 \u00b5s a row with a standard uncertainty of %4 \u00b5s, %5.")
            .arg(m_measured->capture, figure(fit.rowsPerBand, 5), figure(fit.lineTime->count() / micro, 5),
                 figure(fit.standardUncertainty.count() / micro, 2), tr(orders[static_cast<std::size_t>(fit.order)]))};
    for (const std::string& remark : fit.remarks)
        lines << QString::fromStdString(remark);
    m_result->setText(lines.join(QLatin1Char('\n')));
}

void ReadoutPanel::use()
{
    if (!m_measured || !m_measured->fit.lineTime)
        return;
    const timing::LineTimeFit& fit = m_measured->fit;
    const session::Readout readout{session::ReadoutKind::LineTime, fit.lineTime->count(),
                                   fit.standardUncertainty.count(), directionOf(fit.order),
                                   tr("bands of a light pulsed at %1 a second in %2")
                                       .arg(shortNumber(m_measured->light.frequency), m_measured->capture)
                                       .toStdString()};
    m_model.edit(
        [id = m_measured->clock, readout](const session::Document& d) { return session::setReadout(d, id, readout); });
}

} // namespace ui
