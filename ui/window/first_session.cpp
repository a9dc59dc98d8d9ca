#include "ui/window/first_session.h"
#include "ui/controls/layouts.h"
#include "ui/look/key_cap.h"
#include "ui/look/label.h"
#include "ui/model/session_model.h"

#include <QHBoxLayout>
#include <QPainter>
#include <QVBoxLayout>
#include <algorithm>

namespace ui {

namespace {

constexpr qint64 trialsToRead = 5;

QStringList caps(std::initializer_list<const char*> keys)
{
    QStringList all;
    for (const char* key : keys)
        all << QLatin1String(key);
    return all;
}

template <class Is> qint64 captures(const session::Document& document, Is is)
{
    return std::ranges::count_if(document.captures, [&](const auto& entry) { return is(*entry.second); });
}

template <class Is> qint64 trials(const session::Document& document, Is is)
{
    return std::ranges::count_if(document.trials, [&](const auto& entry) {
        const session::Reading* reading = session::countingReading(*entry.second);
        return reading && is(*entry.second, *reading);
    });
}

} // namespace

struct FirstSession::Step {
    QString title, words;
    QVector<KeyHint> keys;
    bool done;
};

QVector<FirstSession::Step> FirstSession::steps() const
{
    using session::Capture, session::Reading, session::RegionKind, session::Trial;
    const auto held = m_model.document();
    const session::Document& document = *held;
    const auto drawn = [&](RegionKind kind) {
        return captures(document, [&](const Capture& capture) { return session::firstRegion(capture, kind); }) > 0;
    };
    const qint64 read = trials(
        document, [](const Trial& trial, const Reading& reading) { return reading.accepted && trial.configuration; });
    const auto unsettled = [&](const Capture& capture) {
        const session::Clock* clock = session::find(document, capture.clock);
        return !session::trialsOf(document, capture.id).empty() && !(clock && session::settledEvidence(*clock));
    };
    return {
        {tr("Take in footage"),
         tr("A film that shows both the lamp on the button and the screen. It stays where it is and is never changed."),
         {{caps({"Ctrl", "O"}), tr("a film of your own")}},
         !document.captures.empty()},
        {tr("Name a set-up"),
         tr("On the plan page, add a configuration: one set-up under test, such as \"cable\"."),
         {{caps({"Ctrl", "1"}), tr("plan")}},
         !document.configurations.empty()},
        {tr("Draw the lamp's region"),
         tr("On the reading desk, press the key, then drag a box around the lamp; or have it found."),
         {{caps({"Ctrl", "3"}), tr("read")}, {caps({"L"}), tr("lamp region")}, {caps({"M"}), tr("find it")}},
         drawn(RegionKind::Lamp)},
        {tr("Draw the screen's region"),
         tr("A box around the part of the screen that reacts: in the sample, the panel at the left of the road."),
         {{caps({"S"}), tr("screen region")}},
         drawn(RegionKind::Screen)},
        {tr("Say which set-up was filmed"),
         tr("The digit of the configuration, before the first mark: every trial of this capture gets it."),
         {{caps({"1"}), tr("configuration 1")}},
         captures(document, [](const Capture& capture) { return bool(capture.configuration); }) > 0},
        {tr("Mark a press"),
         tr("Go to a hint, step to the first frame in which the lamp is lit, and mark it."),
         {{caps({"Down"}), tr("next hint")}, {caps({"Left", "Right"}), tr("1 frame")}, {caps({"F"}), tr("press")}},
         trials(document, [](const Trial&, const Reading& reading) { return reading.press.has_value(); }) > 0},
        {tr("Mark its response"),
         tr("The first frame in which the screen visibly reacts. A hint only brings you near: you decide."),
         {{caps({"Down"}), tr("next hint")}, {caps({"R"}), tr("response")}},
         trials(document, [](const Trial&, const Reading& reading) { return session::isComplete(reading); }) > 0},
        {tr("Accept, and read on"),
         read ? tr("%1 of %2 trials are read. A press that is proposed is taken over by Enter; the next capture wants "
                   "its digit.")
                    .arg(read)
                    .arg(trialsToRead)
              : tr("Accepting goes on to the next press. Read %1 trials: fewer give no interval.").arg(trialsToRead),
         {{caps({"Enter"}), tr("accept")}, {caps({"1"}), tr("configuration 1")}, {caps({"Ctrl", "Z"}), tr("undo")}},
         read >= trialsToRead},
        {tr("Settle the clock"),
         tr("No milliseconds before the true capture rate is known: look at what the file tells and settle it, then "
            "tick the other film, which the same camera made."),
         {{caps({"Ctrl", "2"}), tr("clock")}, {caps({"Enter"}), tr("settle")}},
         read > 0 && captures(document, unsettled) == 0},
        {tr("See your mean"),
         tr("The results page has the mean of your trials and how sure it is."),
         {{caps({"Ctrl", "4"}), tr("results")}},
         m_front == QLatin1String("Results")},
    };
}

FirstSession::FirstSession(const SessionModel& model, QStringList films, QWidget* parent)
    : QWidget(parent), m_model(model), m_films(std::move(films))
{
    setObjectName(QStringLiteral("firstSession"));
    setAccessibleName(tr("First session"));
    auto* row = new QHBoxLayout(this);
    row->setContentsMargins(grid::padding, 6, grid::padding, 6);
    row->setSpacing(16);
    m_count = new Label({}, Text::State, Tone::Secondary);
    row->addWidget(m_count);
    auto* column = new QVBoxLayout;
    column->setSpacing(2);
    m_title = new Label({}, Text::Body, Tone::Primary, QFont::DemiBold);
    m_words = wrapping({}, Text::State, Tone::Secondary);
    addWidgets(*column, {m_title, m_words});
    row->addLayout(column, 1);
    m_take = compactButton(tr("Take in two films of the sample"));
    connect(m_take, &QPushButton::clicked, this, [this] { emit footageAsked(m_films); });
    row->addWidget(m_take);
    m_keys = new QHBoxLayout;
    m_keys->setSpacing(12);
    row->addLayout(m_keys);
    m_leave = compactButton(tr("Leave"));
    connect(m_leave, &QPushButton::clicked, this, &FirstSession::left);
    row->addWidget(m_leave);
    for (QPushButton* button : {m_take, m_leave})
        button->setFocusPolicy(Qt::TabFocus);
    connect(&m_model, &SessionModel::changed, this, &FirstSession::refresh);
    refresh();
}

void FirstSession::setPageInFront(const QString& name)
{
    m_front = name;
    refresh();
}

void FirstSession::refresh()
{
    const QVector<Step> all = steps();
    const auto next = std::ranges::find(all, false, &Step::done);
    const bool over = next == all.end();
    const int number = static_cast<int>(next - all.begin()) + 1;
    m_count->setText(over ? tr("%1 of %1").arg(all.size()) : tr("%1 of %2").arg(number).arg(all.size()));
    m_title->setText(over ? tr("That was the whole job") : next->title);
    m_words->setText(over ? tr("Publish writes the chart, tables and sentences. A second set-up to compare with, or "
                               "your own footage, comes in the same way.")
                          : next->words);
    m_take->setVisible(number == 1 && !m_films.isEmpty());
    m_leave->setText(over ? tr("Close") : tr("Leave"));
    if (std::exchange(m_shown, number) == number)
        return;
    emptyOut(*m_keys);
    const QVector<KeyHint> keys = over ? QVector<KeyHint>{{caps({"Ctrl", "5"}), tr("publish")}} : next->keys;
    for (const KeyHint& key : keys)
        m_keys->addWidget(new KeyCaps(key.caps, key.meaning));
}

void FirstSession::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    painter.fillRect(rect(), tokens().raised);
    painter.fillRect(QRect(0, 0, grid::selectionBar, height()), tokens().text1);
    painter.fillRect(QRect(0, 0, width(), 1), tokens().gutter);
}

} // namespace ui
