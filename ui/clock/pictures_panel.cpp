#include "ui/clock/pictures_panel.h"
#include "core/error.h"
#include "core/media/measure/calibration_traces.h"
#include "core/reading/make_mark.h"
#include "core/reading/picture_finding.h"
#include "core/report/picture_words.h"
#include "ui/clock/capture_footage.h"
#include "ui/clock/clock_captures.h"
#include "ui/clock/picture_findings.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"

#include <QHBoxLayout>
#include <QPushButton>
#include <algorithm>

namespace ui {
namespace {

constexpr int picturesPanelLabelWidth = 68, backgroundNiceness = 12, listed = 12;
constexpr double slowestBlink = 0.4, fastestBlink = 0.5; ///< of the claimed rate (timing::findRepeatsByBlinking)

} // namespace

PicturesPanel::PicturesPanel(SessionModel& model, QWidget* parent)
    : Panel(tr("Pictures"), parent), m_model(model),
      m_words(called("pictureWords", wrapping({}, Text::State, Tone::Secondary))),
      m_state(wrapping({}, Text::State, Tone::Secondary)), m_captures(called("blinkCapture", new ChoiceBox)),
      m_frequency(called("blinkFrequency", new CommitEdit(tr("like 117.3")))),
      m_look(compactButton(tr("Look for repeats"), "lookForRepeats",
                           tr("Decodes every capture of this clock once and tells whether each picture adds something "
                              "where something moves"))),
      m_blink(compactButton(tr("Blinking test"), "blinkTest")), m_worker(backgroundNiceness)
{
    body()->addWidget(m_words);
    auto* row = new QHBoxLayout;
    row->addWidget(m_state, 1);
    row->addWidget(m_look, 0, Qt::AlignTop);
    body()->addLayout(row);
    auto* form = new FormGrid(picturesPanelLabelWidth);
    form->addRow(tr("Or test in"), m_captures);
    m_frequency->setToolTip(
        tr("Film a lamp that blinks just below half the claimed rate: a camera that makes frames up can't follow it"));
    m_frequency->setCheck(CommitEdit::rate(tr("\u201c%1\u201d isn't a frequency above 0: type one like 117.3.")));
    form->addRow(tr("Blinks at"), m_frequency, tr("Hz"));
    body()->addWidget(form);
    body()->addWidget(m_blink, 0, Qt::AlignRight);
    connect(m_captures, &ChoiceBox::chosen, this, [this](qint64 id) { m_capture = session::CaptureId{id}; });
    connect(m_frequency, &CommitEdit::entered, this, &PicturesPanel::blink);
    connect(m_look, &QPushButton::clicked, this, &PicturesPanel::look);
    connect(m_blink, &QPushButton::clicked, this, &PicturesPanel::blink);
    connect(&model, &SessionModel::sessionReplaced, this, [this] {
        m_worker.stop();
        m_busy = false;
    });
}

void PicturesPanel::setFindings(const PictureFindings& findings)
{
    m_findings = &findings;
    connect(&findings, &PictureFindings::changed, this, &PicturesPanel::showFindings);
    showFindings();
}

/// What the session says, else what was seen and isn't noted.
std::optional<session::PictureFinding> PicturesPanel::findingOn(const session::Capture& capture) const
{
    return capture.pictures || !m_findings ? capture.pictures : m_findings->known(capture);
}

void PicturesPanel::show(session::ClockId clock)
{
    m_clock = clock;
    const auto document = m_model.document();
    Captures captures = capturesOn(*document, clock);
    std::erase_if(captures, [](const session::Capture* capture) {
        return !session::firstRegion(*capture, session::RegionKind::Lamp);
    });
    offerCaptures(*m_captures, captures, m_capture);
    showFindings();
}

/// Captures that show repeats first; those in which all is well are counted.
void PicturesPanel::showFindings()
{
    QStringList lines;
    int fine = 0, cantTell = 0, more = 0;
    const auto document = m_model.document();
    const Captures captures = capturesOn(*document, m_clock);
    for (const session::Capture* capture : captures) {
        const auto finding = findingOn(*capture);
        if (!finding)
            continue;
        using Verdict = timing::PictureRepeats::Verdict;
        fine += finding->verdict == Verdict::AllAdd;
        cantTell += finding->verdict == Verdict::CantTell;
        if (!reading::isAlarming(*finding))
            continue;
        if (lines.size() < listed)
            lines << tr("%1: %2").arg(
                QString::fromStdString(capture->name),
                QString::fromStdString(report::pictureWords(*finding, reading::claimedRate(*document, m_clock))));
        else
            ++more;
    }
    if (more > 0)
        lines << tr("and %1 more that show repeats").arg(more);
    const int looked = fine + cantTell + static_cast<int>(lines.size()) + more;
    if (fine > 0)
        lines << tr("In %1 every camera frame shows something new where something moves.")
                     .arg(counted(fine, tr("capture")));
    if (cantTell > 0)
        lines << tr("In %1 it can\u2019t be told: too little moves, or compression took the noise.")
                     .arg(counted(cantTell, tr("capture")));
    if (lines.isEmpty())
        lines << tr("Nobody has looked yet whether cameras repeated pictures or made some up between real ones.");
    m_words->setText(lines.join(QLatin1Char('\n')));
    setTrailing(tr("%1 of %2 looked at").arg(looked).arg(captures.size()));
    m_look->setEnabled(!captures.empty() && !m_busy);
    m_blink->setEnabled(m_capture && !m_busy);
    if (!m_busy)
        m_state->setText({});
}

void PicturesPanel::look()
{
    std::vector<std::pair<session::CaptureId, CaptureFootage>> captures;
    Findings seen;
    const auto document = m_model.document();
    for (const bool unknown : {true, false}) { // all again once all have been looked at
        for (const session::Capture* capture : capturesOn(*document, m_clock)) {
            if (capture->pictures.has_value() == unknown)
                continue;
            if (const auto known = unknown ? findingOn(*capture) : std::nullopt)
                seen.emplace_back(capture->id, *known);
            else
                captures.emplace_back(capture->id, CaptureFootage(m_model, *capture));
        }
        if (!captures.empty() || !seen.empty())
            break;
    }
    if (captures.empty())
        return arrived(seen, {});
    begin(tr("Looking at the pictures of %1 \u2026").arg(counted(qint64(captures.size()), tr("capture"))));
    m_worker.run(
        [captures, seen](const std::stop_token& stop) {
            Findings findings = seen;
            QString fault;
            for (const auto& [id, source] : captures)
                try {
                    const auto footage = source.open(stop);
                    const media::Rect whole{0, 0, footage->size.width, footage->size.height};
                    findings.emplace_back(
                        id, reading::findingOf(
                                timing::findRepeats(media::calibrationTraces(*footage, whole, stop).changes), false));
                } catch (const core::Error& error) {
                    fault = QString::fromUtf8(error.what()); // the others are looked at all the same
                }
            return std::pair(findings, fault);
        },
        [this](const std::pair<Findings, QString>& looked) { arrived(looked.first, looked.second); },
        [this](const QString& fault) { arrived({}, fault); });
}

/// What was asked for before is dropped.
void PicturesPanel::begin(const QString& state)
{
    m_worker.stop();
    m_busy = true;
    m_state->setText(state);
    m_look->setEnabled(false);
    m_blink->setEnabled(false);
}

void PicturesPanel::blink()
{
    const auto document = m_model.document();
    const session::Capture* capture = session::find(*document, m_capture);
    const session::Region* region = capture ? session::firstRegion(*capture, session::RegionKind::Lamp) : nullptr;
    const auto rate = reading::claimedRate(*document, m_clock);
    if (!m_frequency->commit())
        return;
    const auto frequency = typedRate(m_frequency->value());
    if (!region || !rate) {
        emit m_model.problem(
            !region ? tr(
                "No capture on this clock has a lamp region: draw one around the blinking lamp at the reading desk.")
                    : tr("Nothing claims a rate for this clock yet: declare the one that the camera was set to."));
        return;
    }
    if (!frequency || *frequency < slowestBlink * *rate || *frequency >= fastestBlink * *rate) {
        emit m_model.problem(
            tr("The lamp has to blink at just below half the claimed rate: from %1 to below %2 Hz.")
                .arg(QString::number(slowestBlink * *rate, 'g', 4), QString::number(fastestBlink * *rate, 'g', 4)));
        m_frequency->setFocus(Qt::OtherFocusReason);
        return;
    }
    begin(tr("Reading %1 \u2026").arg(QString::fromStdString(capture->name)));
    m_worker.run(
        [id = capture->id, source = CaptureFootage(m_model, *capture), flashesAFrame = *frequency / *rate,
         rect = reading::rectOf(*region)](const std::stop_token& stop) {
            const auto footage = source.open(stop);
            return Findings{
                {id, reading::findingOf(timing::findRepeatsByBlinking(
                                            media::calibrationTraces(*footage, rect, stop).lamp, flashesAFrame),
                                        true)}};
        },
        [this](const Findings& findings) { arrived(findings, {}); },
        [this](const QString& fault) { arrived({}, fault); });
}

void PicturesPanel::arrived(const Findings& findings, const QString& fault)
{
    m_busy = false;
    if (!fault.isEmpty())
        emit m_model.problem(fault);
    Findings there = findings;
    std::erase_if(there, [&](const auto& finding) {
        return !session::find(*m_model.document(), finding.first);
    }); // gone meanwhile
    if (!there.empty())
        m_model.edit([&](const session::Document& d) { return session::setPictureFindings(d, there); });
    showFindings();
}

} // namespace ui
