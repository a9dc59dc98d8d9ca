#include "ui/clock/events_form.h"
#include "ui/clock/clock_captures.h"
#include "ui/clock/take_reference.h"
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

constexpr int labelWidth = 84;
constexpr double usualTolerance = 100; ///< ppm: a crystal's

} // namespace

EventsForm::EventsForm(SessionModel& model, Distance distance, QWidget* parent)
    : QWidget(parent), m_model(model), m_distance(distance), m_captures(new ChoiceBox), m_shared(new ChoiceBox),
      m_first(new FrameField(model, distance == Distance::Time ? "eventFirst" : "refreshFirst")),
      m_second(new FrameField(model, distance == Distance::Time ? "eventSecond" : "refreshSecond")),
      m_apart(new CommitEdit(distance == Distance::Time ? tr("like 2") : tr("like 288"))),
      m_tolerance(new CommitEdit(shortNumber(usualTolerance))),
      m_name(new CommitEdit(distance == Distance::Time ? tr("two flashes of the timer") : tr("which display"))),
      m_use(new QPushButton(tr("Take as reference"))), m_result(wrapping({}, Text::Body, Tone::Secondary))
{
    const bool time = distance == Distance::Time;
    const QString prefix = time ? QStringLiteral("event") : QStringLiteral("refresh");
    auto* column = columnIn(this, 6);
    auto* form = new FormGrid(labelWidth);
    m_captures->setObjectName(prefix + QStringLiteral("Capture"));
    m_captures->setPlaceholderText(tr("no capture on this clock yet"));
    form->addRow(tr("Filmed in"), m_captures);
    form->addRow(time ? tr("One event in") : tr("One refresh in"), m_first);
    form->addRow(time ? tr("The other in") : tr("A later one in"), m_second);
    m_first->edit().setAccessibleName(time ? tr("Frame of one event") : tr("Frame of one refresh"));
    m_second->edit().setAccessibleName(time ? tr("Frame of the other event") : tr("Frame of a later refresh"));
    for (FrameField* field : {m_first, m_second}) {
        field->edit().setToolTip(time ? tr("The first frame that shows the event")
                                      : tr("The first frame that shows the refresh"));
        connect(field, &FrameField::changed, this, &EventsForm::showWorked);
    }
    const auto aboveZero = CommitEdit::rate(tr("\u201c%1\u201d isn't a number above 0."));
    m_apart->setObjectName(prefix + QStringLiteral("Apart"));
    if (time) {
        form->addRow(tr("Apart by"), m_apart, tr("seconds"));
        m_apart->setCheck(aboveZero);
    } else {
        m_apart->setToolTip(tr("How many refreshes lie between: the later one's number less the earlier one's"));
        form->addRow(tr("Apart by"), m_apart, tr("refreshes"));
        m_apart->setCheck(CommitEdit::wholeNumber(1, tr("\u201c%1\u201d isn't a whole number of refreshes.")));
        m_refresh = called("refreshRate", new CommitEdit(tr("like 144.02")));
        m_refresh->setToolTip(tr("As it was measured, not as the mode is called"));
        m_refresh->setCheck(aboveZero);
        form->addRow(tr("Refresh rate"), m_refresh, tr("Hz"));
    }
    m_tolerance->setObjectName(prefix + QStringLiteral("Tolerance"));
    m_tolerance->setCheck(
        CommitEdit::numberFor([](double ppm) { return ppm >= 0 && ppm < 1e6; },
                              tr("\u201c%1\u201d isn't a tolerance: type parts per million from 0, like 100.")));
    form->addRow(tr("Within \u00b1"), m_tolerance, tr("ppm"));
    m_name->setObjectName(prefix + QStringLiteral("Name"));
    form->addRow(time ? tr("What it is") : tr("Display"), m_name);
    m_shared->setObjectName(prefix + QStringLiteral("Shared"));
    m_shared->setToolTip(
        tr("References that rest on one lamp, timer or display share its error, and so do clocks settled with them"));
    form->addRow(tr("Its error is"), m_shared);
    column->addWidget(form);
    m_result->setObjectName(prefix + QStringLiteral("Result"));
    auto* row = new QHBoxLayout;
    row->setSpacing(12);
    row->addWidget(m_result, 1);
    column->addLayout(row);
    m_use->setObjectName(prefix + QStringLiteral("Take"));
    m_use->setToolTip(tr("Adds it to the evidence in place of an earlier reference; settling stays your decision"));
    row->addWidget(m_use, 0, Qt::AlignTop);

    connect(m_captures, &ChoiceBox::chosen, this, [this](qint64 id) {
        m_capture = session::CaptureId{id};
        show(m_clock);
    });
    connect(m_shared, &ChoiceBox::chosen, this, [this](qint64 choice) {
        m_choice = choice;
        if (const session::ErrorSource* source = chosenSource(*m_model.document(), choice)) {
            m_tolerance->setText({});
            m_tolerance->setValue(QString::number(source->relativeUncertainty * std::sqrt(3.0) * 1e6, 'g', 6));
        }
        showWorked();
    });
    for (CommitEdit* edit : {m_apart, m_refresh, m_tolerance, m_name})
        if (edit)
            connect(edit, &CommitEdit::committed, this, &EventsForm::showWorked);
    connect(m_use, &QPushButton::clicked, this, &EventsForm::use);
}

void EventsForm::setFrameInView(const AskFrameInView& ask)
{
    m_first->setFrameInView(ask);
    m_second->setFrameInView(ask);
}

void EventsForm::show(session::ClockId clock)
{
    m_clock = clock;
    const auto document = m_model.document();
    offerCaptures(*m_captures, capturesOn(*document, clock), m_capture);
    for (FrameField* field : {m_first, m_second})
        field->setCapture(m_capture);
    if (m_choice > 0 && !chosenSource(*document, m_choice))
        m_choice = 0;
    m_shared->setChoices(sharedErrorChoices(*document, tr("told by its name and tolerance")), m_choice);
    showWorked();
}

std::string EventsForm::distanceName() const
{
    const QString what = m_name->value().trimmed();
    if (m_distance == Distance::Time)
        return tr("distance of the events%1").arg(what.isEmpty() ? QString() : tr(" of %1").arg(what)).toStdString();
    return tr("refresh rate of %1").arg(what.isEmpty() ? tr("the display") : what).toStdString();
}

EventsForm::Worked EventsForm::work() const
{
    Worked worked;
    const auto document = m_model.document();
    const session::Capture* capture = session::find(*document, m_capture);
    const auto apart = typedRate(m_apart->value());
    const auto refresh = m_refresh ? typedRate(m_refresh->value()) : std::optional(1.0);
    const auto one = m_first->frame(), other = m_second->frame();
    const timing::FrameNumber first = one.value_or(timing::FrameNumber{}), second = other.value_or(first);
    if (!capture)
        worked.fault = tr("No capture uses this clock.");
    else if (!one || !other || !apart || !refresh)
        worked.fault = m_distance == Distance::Time
                           ? tr("Give the first frame that shows each event and how far apart in time they are.")
                           : tr("Give two frames in which a refresh first shows, how many refreshes lie between, and "
                                "the measured refresh rate.");
    else if (second <= first || second > lastFrame(*capture))
        worked.fault =
            tr("The later frame has to come after the earlier one and lie in the capture, whose last frame is %1.")
                .arg(lastFrame(*capture).value);
    else if (const auto boundary = session::boundaryBetween(*capture, first - timing::FrameCount{1}, second))
        worked.fault =
            tr("Another speed begins at frame %1, between the two; take both from one piece.").arg(boundary->value);
    else if (session::clockAt(*capture, first) != m_clock)
        worked.fault = tr("Frame %1 is in a piece on another clock.").arg(first.value);
    if (!worked.fault.isEmpty())
        return worked;
    const timing::MissingFrames missing(capture->missing);
    const timing::FrameCount frames = second + missing.upTo(second) - (first + missing.upTo(first));
    worked.seconds = *apart / *refresh;
    worked.fit = timing::fitTwoEvents(frames, timing::Seconds{worked.seconds},
                                      typedNumber(m_tolerance->value()).value_or(usualTolerance) * 1e-6);
    return worked;
}

void EventsForm::showWorked()
{
    const Worked worked = work();
    m_use->setEnabled(worked.fault.isEmpty());
    if (!worked.fault.isEmpty()) {
        m_result->setText(worked.fault);
        return;
    }
    const double u = worked.fit.standardUncertainty();
    const int digits = u > 0 ? std::clamp(1 - static_cast<int>(std::floor(std::log10(u))), 0, 6) : 6;
    const auto number = [&](double value) { return QString::number(value, 'f', digits); };
    m_result->setText(tr("%1 camera frames a second; 95 % interval %2 to %3. Two events can't show a lost frame or a "
                         "wrong frame between them.")
                          .arg(number(*worked.fit.rate), number(worked.fit.low95()), number(worked.fit.high95())));
}

void EventsForm::use()
{
    const Worked worked = work();
    const session::Capture* capture = session::find(*m_model.document(), m_capture);
    if (!worked.fault.isEmpty() || !capture)
        return;
    timing::RateEvidence rate;
    rate.origin = timing::Origin::Reference;
    rate.rate = *worked.fit.rate;
    const QString frames =
        tr("frames %1 and %2 of %3")
            .arg(m_first->edit().value(), m_second->edit().value(), QString::fromStdString(capture->name));
    rate.note = (m_distance == Distance::Time
                     ? tr("two events %1 s apart, %2").arg(shortNumber(worked.seconds), frames)
                     : tr("%1 refreshes at %2 Hz, %3").arg(m_apart->value(), m_refresh->value(), frames))
                    .toStdString();
    SharedError shared{distanceName(), worked.fit.lampUncertainty, {}, false};
    applyChoice(shared, m_choice);
    const std::string own = "counting camera frames between two events in " + capture->name;
    m_model.edit([&](const session::Document& d) {
        return takeReference(d, m_clock, rate, own, worked.fit.fitUncertainty, shared);
    });
}

} // namespace ui
