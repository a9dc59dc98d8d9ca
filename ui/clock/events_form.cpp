#include "ui/clock/events_form.h"
#include "ui/clock/take_reference.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/numbers.h"
#include "ui/look/look.h"

#include <QHBoxLayout>
#include <QPushButton>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr int labelWidth = 84;
constexpr double usualTolerance = 100; ///< ppm: a crystal's

QString notFrame(const QString& text)
{
    bool whole = false;
    return text.isEmpty() || (text.toLongLong(&whole) >= 0 && whole)
               ? QString()
               : EventsForm::tr("\u201c%1\u201d isn't the number of a frame.").arg(text);
}

QString notPositive(const QString& text)
{
    return text.isEmpty() || typedRate(text) ? QString()
                                             : EventsForm::tr("\u201c%1\u201d isn't a number above 0.").arg(text);
}

QString notTolerance(const QString& text)
{
    const auto ppm = typedNumber(text);
    return text.isEmpty() || (ppm && *ppm >= 0 && *ppm < 1e6)
               ? QString()
               : EventsForm::tr("\u201c%1\u201d isn't a tolerance: type parts per million from 0, like 100.").arg(text);
}

} // namespace

EventsForm::EventsForm(SessionModel& model, Distance distance, QWidget* parent)
    : QWidget(parent), m_model(model), m_distance(distance), m_captures(new ChoiceBox), m_shared(new ChoiceBox),
      m_apart(new CommitEdit(distance == Distance::Time ? tr("like 2") : tr("like 288"))),
      m_tolerance(new CommitEdit(shortNumber(usualTolerance))),
      m_name(new CommitEdit(distance == Distance::Time ? tr("two flashes of the timer") : tr("which display"))),
      m_use(new QPushButton(tr("Take as reference"))), m_result(new Label({}, Text::Body, Tone::Secondary))
{
    const bool time = distance == Distance::Time;
    const QString prefix = time ? QStringLiteral("event") : QStringLiteral("refresh");
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(6);
    auto* form = new FormGrid(labelWidth);
    m_captures->setObjectName(prefix + QStringLiteral("Capture"));
    m_captures->setPlaceholderText(tr("no capture on this clock yet"));
    form->addRow(tr("Filmed in"), m_captures);
    form->addRow(time ? tr("One event in") : tr("One refresh in"),
                 frameRow(m_first, m_takeFirst, time ? "eventFirst" : "refreshFirst"));
    form->addRow(time ? tr("The other in") : tr("A later one in"),
                 frameRow(m_second, m_takeSecond, time ? "eventSecond" : "refreshSecond"));
    m_first->setAccessibleName(time ? tr("Frame of one event") : tr("Frame of one refresh"));
    m_second->setAccessibleName(time ? tr("Frame of the other event") : tr("Frame of a later refresh"));
    m_apart->setObjectName(prefix + QStringLiteral("Apart"));
    if (time) {
        form->addRow(tr("Apart by"), m_apart, tr("seconds"));
        m_apart->setCheck(notPositive);
    } else {
        m_apart->setToolTip(tr("How many refreshes lie between: the later one's number less the earlier one's"));
        form->addRow(tr("Apart by"), m_apart, tr("refreshes"));
        m_apart->setCheck([](const QString& text) {
            bool whole = false;
            return text.isEmpty() || (text.toLongLong(&whole) > 0 && whole)
                       ? QString()
                       : tr("\u201c%1\u201d isn't a whole number of refreshes.").arg(text);
        });
        m_refresh = new CommitEdit(tr("like 144.02"));
        m_refresh->setObjectName(QStringLiteral("refreshRate"));
        m_refresh->setToolTip(tr("As it was measured, not as the mode is called"));
        m_refresh->setCheck(notPositive);
        form->addRow(tr("Refresh rate"), m_refresh, tr("Hz"));
    }
    m_tolerance->setObjectName(prefix + QStringLiteral("Tolerance"));
    m_tolerance->setCheck(notTolerance);
    form->addRow(tr("Within \u00b1"), m_tolerance, tr("ppm"));
    m_name->setObjectName(prefix + QStringLiteral("Name"));
    form->addRow(time ? tr("What it is") : tr("Display"), m_name);
    m_shared->setObjectName(prefix + QStringLiteral("Shared"));
    m_shared->setToolTip(
        tr("References that rest on one lamp, timer or display share its error, and so do clocks settled with them"));
    form->addRow(tr("Its error is"), m_shared);
    column->addWidget(form);
    m_result->setObjectName(prefix + QStringLiteral("Result"));
    m_result->setWordWrap(true);
    auto* row = new QHBoxLayout;
    row->setSpacing(12);
    row->addWidget(m_result, 1);
    column->addLayout(row);
    m_use->setObjectName(prefix + QStringLiteral("Take"));
    m_use->setToolTip(tr("Adds it to the evidence in place of an earlier reference; settling stays your decision"));
    row->addWidget(m_use, 0, Qt::AlignTop);

    connect(m_captures, &ChoiceBox::chosen, this, [this](qint64 id) {
        m_capture = session::CaptureId{id};
        showWorked();
    });
    connect(m_shared, &ChoiceBox::chosen, this, [this](qint64 choice) {
        m_choice = choice;
        if (const session::ErrorSource* source = chosenSource(*m_model.document(), choice)) {
            m_tolerance->setText({});
            m_tolerance->setValue(QString::number(source->relativeUncertainty * std::sqrt(3.0) * 1e6, 'g', 6));
        }
        showWorked();
    });
    for (CommitEdit* edit : {m_first, m_second, m_apart, m_refresh, m_tolerance, m_name})
        if (edit) {
            connect(edit, &CommitEdit::committed, this, &EventsForm::showWorked);
            connect(edit, &CommitEdit::refused, this, &EventsForm::problem);
        }
    connect(m_use, &QPushButton::clicked, this, &EventsForm::use);
}

QWidget* EventsForm::frameRow(CommitEdit*& edit, QPushButton*& take, const char* name)
{
    auto* row = new QWidget;
    auto* fields = new QHBoxLayout(row);
    fields->setContentsMargins(0, 0, 0, 0);
    fields->setSpacing(8);
    edit = new CommitEdit(tr("frame"));
    edit->setObjectName(QString::fromLatin1(name));
    edit->setToolTip(m_distance == Distance::Time ? tr("The first frame that shows the event")
                                                  : tr("The first frame that shows the refresh"));
    edit->setCheck(notFrame);
    fields->addWidget(edit, 1);
    take = new QPushButton(tr("Frame in view"));
    take->setObjectName(QString::fromLatin1(name) + QStringLiteral("InView"));
    take->setToolTip(tr("Of the reading desk"));
    makeCompact(*take);
    take->setVisible(false);
    connect(take, &QPushButton::clicked, this, [this, edit] { takeFrameInView(*edit); });
    fields->addWidget(take);
    return row;
}

void EventsForm::setFrameInView(std::function<std::optional<FrameInView>()> ask)
{
    m_inView = std::move(ask);
    for (QPushButton* take : {m_takeFirst, m_takeSecond})
        take->setVisible(static_cast<bool>(m_inView));
}

void EventsForm::takeFrameInView(CommitEdit& edit)
{
    const std::optional<FrameInView> place = m_inView ? m_inView() : std::nullopt;
    if (!place || place->capture != m_capture) {
        emit problem(tr("The reading desk shows another capture: go to the frame in this one first."));
        return;
    }
    edit.setText({});
    edit.setValue(QString::number(place->frame.value));
    showWorked();
}

void EventsForm::show(session::ClockId clock)
{
    m_clock = clock;
    const auto document = m_model.document();
    QVector<std::pair<qint64, QString>> choices;
    for (const session::Capture* capture : session::inOrder(document->captures))
        if (session::runsOn(*capture, clock))
            choices << std::pair(qint64(capture->id.value), QString::fromStdString(capture->name));
    if (std::ranges::none_of(choices, [&](const auto& choice) { return choice.first == m_capture.value; }))
        m_capture = choices.isEmpty() ? session::CaptureId{} : session::CaptureId{choices.front().first};
    m_captures->setChoices(choices, m_capture.value);
    m_captures->setEnabled(!choices.isEmpty());
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
    bool one = false, other = false;
    const timing::FrameNumber first{m_first->value().toLongLong(&one)}, second{m_second->value().toLongLong(&other)};
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
        tr("frames %1 and %2 of %3").arg(m_first->value(), m_second->value(), QString::fromStdString(capture->name));
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
