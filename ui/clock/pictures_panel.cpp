#include "ui/clock/pictures_panel.h"
#include "core/error.h"
#include "core/media/measure/calibration_traces.h"
#include "core/reading/make_mark.h"
#include "core/reading/picture_finding.h"
#include "core/report/picture_words.h"
#include "ui/clock/capture_footage.h"
#include "ui/clock/picture_findings.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/numbers.h"
#include "ui/look/look.h"

#include <QHBoxLayout>
#include <QPushButton>
#include <algorithm>

namespace ui {
namespace {

constexpr int picturesPanelLabelWidth = 68, backgroundNiceness = 12, listed = 12;
constexpr double slowestBlink = 0.4, fastestBlink = 0.5; ///< of the claimed rate (timing::findRepeatsByBlinking)

} // namespace

PicturesPanel::PicturesPanel(SessionModel& model, QWidget* parent)
    : QWidget(parent), m_model(model), m_panel(new Panel(tr("Pictures"))),
      m_words(new Label({}, Text::State, Tone::Secondary)), m_state(new Label({}, Text::State, Tone::Secondary)),
      m_captures(new ChoiceBox), m_frequency(new CommitEdit(tr("like 117.3"))),
      m_look(new QPushButton(tr("Look for repeats"))), m_blink(new QPushButton(tr("Blinking test"))),
      m_worker(backgroundNiceness)
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->addWidget(m_panel);
    m_words->setObjectName(QStringLiteral("pictureWords"));
    m_words->setWordWrap(true);
    m_panel->body()->addWidget(m_words);
    auto* row = new QHBoxLayout;
    m_state->setWordWrap(true);
    row->addWidget(m_state, 1);
    m_look->setObjectName(QStringLiteral("lookForRepeats"));
    m_look->setToolTip(tr("Decodes every capture of this clock once and tells whether each picture adds something "
                          "where something moves"));
    makeCompact(*m_look);
    row->addWidget(m_look, 0, Qt::AlignTop);
    m_panel->body()->addLayout(row);
    auto* form = new FormGrid(picturesPanelLabelWidth);
    m_captures->setObjectName(QStringLiteral("blinkCapture"));
    form->addRow(tr("Or test in"), m_captures);
    m_frequency->setObjectName(QStringLiteral("blinkFrequency"));
    m_frequency->setToolTip(
        tr("Film a lamp that blinks just below half the claimed rate: a camera that makes frames up can't follow it"));
    m_frequency->setCheck([](const QString& text) {
        return text.isEmpty() || typedRate(text)
                   ? QString()
                   : tr("\u201c%1\u201d isn't a frequency above 0: type one like 117.3.").arg(text);
    });
    form->addRow(tr("Blinks at"), m_frequency, tr("Hz"));
    m_panel->body()->addWidget(form);
    m_blink->setObjectName(QStringLiteral("blinkTest"));
    makeCompact(*m_blink);
    m_panel->body()->addWidget(m_blink, 0, Qt::AlignRight);
    connect(m_captures, &ChoiceBox::chosen, this, [this](qint64 id) { m_capture = session::CaptureId{id}; });
    connect(m_frequency, &CommitEdit::refused, this, &PicturesPanel::problem);
    connect(m_frequency, &CommitEdit::entered, this, &PicturesPanel::blink);
    connect(m_look, &QPushButton::clicked, this, &PicturesPanel::look);
    connect(m_blink, &QPushButton::clicked, this, &PicturesPanel::blink);
    connect(&model, &SessionModel::sessionReplaced, this, [this] {
        ++m_request;
        m_busy = false;
    });
}

PicturesPanel::~PicturesPanel() = default;

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
    QVector<std::pair<qint64, QString>> choices;
    const auto document = m_model.document();
    for (const session::Capture* capture : session::inOrder(document->captures))
        if (session::runsOn(*capture, clock) && session::firstRegion(*capture, session::RegionKind::Lamp))
            choices << std::pair(qint64(capture->id.value), QString::fromStdString(capture->name));
    if (std::ranges::none_of(choices, [&](const auto& choice) { return choice.first == m_capture.value; }))
        m_capture = choices.isEmpty() ? session::CaptureId{} : session::CaptureId{choices.front().first};
    m_captures->setChoices(choices, m_capture.value);
    m_captures->setEnabled(!choices.isEmpty());
    showFindings();
}

/// Captures that show repeats first; those in which all is well are counted.
void PicturesPanel::showFindings()
{
    QStringList lines;
    int captures = 0, fine = 0, cantTell = 0, more = 0;
    const auto document = m_model.document();
    for (const session::Capture* capture : session::inOrder(document->captures)) {
        if (!session::runsOn(*capture, m_clock))
            continue;
        ++captures;
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
        lines << tr("and %n more that (shows|show) repeats", nullptr, more);
    const int looked = fine + cantTell + static_cast<int>(lines.size()) + more;
    if (fine > 0)
        lines << tr("In %1 every camera frame shows something new where something moves.")
                     .arg(tr("%n capture(s)", nullptr, fine));
    if (cantTell > 0)
        lines << tr("In %1 it can\u2019t be told: too little moves, or compression took the noise.")
                     .arg(tr("%n capture(s)", nullptr, cantTell));
    if (lines.isEmpty())
        lines << tr("Nobody has looked yet whether cameras repeated pictures or made some up between real ones.");
    m_words->setText(lines.join(QLatin1Char('\n')));
    m_panel->setTrailing(tr("%1 of %2 looked at").arg(looked).arg(captures));
    m_look->setEnabled(captures > 0 && !m_busy);
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
        for (const session::Capture* capture : session::inOrder(document->captures)) {
            if (!session::runsOn(*capture, m_clock) || capture->pictures.has_value() == unknown)
                continue;
            if (const auto known = unknown ? findingOn(*capture) : std::nullopt)
                seen.emplace_back(capture->id, *known);
            else
                captures.emplace_back(capture->id, CaptureFootage(m_model, *capture));
        }
        if (!captures.empty() || !seen.empty())
            break;
    }
    if (captures.empty()) {
        arrived(++m_request, seen, {});
        return;
    }
    m_busy = true;
    m_state->setText(
        tr("Looking at the pictures of %1 \u2026").arg(tr("%n capture(s)", nullptr, int(captures.size()))));
    m_look->setEnabled(false);
    m_blink->setEnabled(false);
    m_worker.add([this, request = ++m_request, captures, seen](std::stop_token stop) {
        Findings findings = seen;
        QString fault;
        for (const auto& [id, source] : captures)
            try {
                const auto footage = source.open(stop);
                const media::Rect whole{0, 0, footage->size.width, footage->size.height};
                findings.emplace_back(
                    id, reading::findingOf(timing::findRepeats(media::calibrationTraces(*footage, whole, stop).changes),
                                           false));
            } catch (const core::Cancelled&) {
                return;
            } catch (const std::exception& error) {
                fault = QString::fromUtf8(error.what()); // the others are looked at all the same
            }
        QMetaObject::invokeMethod(
            this, [this, request, findings, fault] { arrived(request, findings, fault); }, Qt::QueuedConnection);
    });
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
        emit problem(
            !region ? tr(
                "No capture on this clock has a lamp region: draw one around the blinking lamp at the reading desk.")
                    : tr("Nothing claims a rate for this clock yet: declare the one that the camera was set to."));
        return;
    }
    if (!frequency || *frequency < slowestBlink * *rate || *frequency >= fastestBlink * *rate) {
        emit problem(
            tr("The lamp has to blink at just below half the claimed rate: from %1 to below %2 Hz.")
                .arg(QString::number(slowestBlink * *rate, 'g', 4), QString::number(fastestBlink * *rate, 'g', 4)));
        m_frequency->setFocus(Qt::OtherFocusReason);
        return;
    }
    m_busy = true;
    m_state->setText(tr("Reading %1 \u2026").arg(QString::fromStdString(capture->name)));
    m_look->setEnabled(false);
    m_blink->setEnabled(false);
    m_worker.add([this, request = ++m_request, id = capture->id, source = CaptureFootage(m_model, *capture),
                  flashesAFrame = *frequency / *rate, rect = reading::rectOf(*region)](std::stop_token stop) {
        Findings findings;
        QString fault;
        try {
            const auto footage = source.open(stop);
            findings.emplace_back(
                id, reading::findingOf(timing::findRepeatsByBlinking(
                                           media::calibrationTraces(*footage, rect, stop).lamp, flashesAFrame),
                                       true));
        } catch (const core::Cancelled&) {
            return;
        } catch (const std::exception& error) {
            fault = QString::fromUtf8(error.what());
        }
        QMetaObject::invokeMethod(
            this, [this, request, findings, fault] { arrived(request, findings, fault); }, Qt::QueuedConnection);
    });
}

void PicturesPanel::arrived(quint64 request, const Findings& findings, const QString& fault)
{
    if (request != m_request)
        return;
    m_busy = false;
    if (!fault.isEmpty())
        emit problem(fault);
    Findings there = findings;
    std::erase_if(there, [&](const auto& finding) {
        return !session::find(*m_model.document(), finding.first);
    }); // gone meanwhile
    if (!there.empty())
        m_model.edit([&](const session::Document& d) { return session::setPictureFindings(d, there); });
    showFindings();
}

} // namespace ui
