#include "ui/desk/view_header.h"
#include "core/stats/rounding.h"
#include "ui/controls/choice_box.h"
#include "ui/footage/frame_view.h"
#include "ui/look/label.h"
#include "ui/look/look.h"

#include <QHBoxLayout>
#include <QMenu>
#include <QPushButton>
#include <algorithm>

namespace ui {

namespace {

constexpr int barHeight = 50, wideFrom = 900, figureGap = 6;
constexpr qint64 fit = -1, asIs = -2; ///< entries of the zoom list that are no step

/// `width` px hold its words in English; those of another language may take a third more where there is room.
ChoiceBox* compactChoice(const QString& name, int width)
{
    auto* box = new ChoiceBox;
    box->setAccessibleName(name);
    box->setToolTip(name);
    box->setFocusPolicy(Qt::TabFocus);
    box->setSizeAdjustPolicy(QComboBox::AdjustToContents);
    box->setMinimumWidth(width);
    box->setMaximumWidth(width * 4 / 3);
    makeCompact(*box);
    return box;
}

/// The place `steps` further on in `all` than `now`, within its ends.
qsizetype stepFrom(const QVector<double>& all, double now, int steps)
{
    const qsizetype place = std::ranges::lower_bound(all, now - 1e-6) - all.begin();
    return std::clamp<qsizetype>(place + steps, 0, all.size() - 1);
}

} // namespace

QVector<double> ViewHeader::gainSteps() { return {0.5, 1, 1.5, 2, 3, 4, 6, 8}; }

QVector<double> ViewHeader::gammaSteps() { return {1, 1.4, 1.8, 2.2, 3}; }

QVector<double> ViewHeader::changeGainSteps() { return {1, 2, 4, 8, 16, 32}; }

ViewHeader::ViewHeader(DeskState& state, FrameView& view, QWidget* parent)
    : QWidget(parent), m_state(state), m_view(view)
{
    setFixedHeight(barHeight);
    auto* row = new QHBoxLayout(this);
    row->setContentsMargins(grid::padding, 4, grid::padding, 4);
    row->setSpacing(8);

    const auto captioned = [](Label* caption, std::initializer_list<Label*> figures) {
        auto* block = new QWidget;
        auto* column = new QVBoxLayout(block);
        column->setContentsMargins(0, 0, 0, 0);
        column->setSpacing(0);
        column->addWidget(caption);
        auto* line = new QHBoxLayout;
        line->setSpacing(figureGap);
        for (Label* figure : figures)
            line->addWidget(figure, 0, Qt::AlignBottom);
        line->addStretch(1);
        column->addLayout(line);
        return block;
    };
    m_number = new Label({}, Text::Figure, Tone::Primary, QFont::DemiBold);
    m_of = new Label({}, Text::Emphasis, Tone::Secondary);
    m_caption = new Label({}, Text::Caption, Tone::Secondary);
    m_inView = captioned(m_caption, {m_number, m_of});
    row->addWidget(m_inView);
    m_distance = new Label({}, Text::Emphasis, Tone::Primary);
    m_fromPress = captioned(new Label(tr("from the press mark"), Text::Caption, Tone::Secondary), {m_distance});
    row->addSpacing(16);
    row->addWidget(m_fromPress);
    row->addStretch(1);

    m_gain = compactChoice(tr("Gain of what is shown"), 84);
    m_gamma = compactChoice(tr("Gamma of what is shown: more than 1 lifts dark parts"), 102);
    m_zoom = compactChoice(tr("Zoom"), 104);
    m_show = new QPushButton(tr("Show"));
    m_show->setMenu(new QMenu(m_show));
    m_lamp = new QPushButton(tr("Lamp region"));
    m_screen = new QPushButton(tr("Screen region"));
    m_regions = new QPushButton(tr("Regions"));
    auto* menu = new QMenu(m_regions);
    menu->addAction(tr("Draw the lamp region"), this, [this] { emit regionAsked(session::RegionKind::Lamp); });
    menu->addAction(tr("Draw the screen region"), this, [this] { emit regionAsked(session::RegionKind::Screen); });
    m_regions->setMenu(menu);
    row->addWidget(m_show);
    row->addWidget(m_gain);
    row->addWidget(m_gamma);
    row->addWidget(m_zoom);
    for (QPushButton* button : {m_show, m_lamp, m_screen, m_regions}) {
        makeCompact(*button);
        button->setFocusPolicy(Qt::TabFocus);
    }
    for (QPushButton* button : {m_lamp, m_screen, m_regions})
        row->addWidget(button);
    connect(m_lamp, &QPushButton::clicked, this, [this] { emit regionAsked(session::RegionKind::Lamp); });
    connect(m_screen, &QPushButton::clicked, this, [this] { emit regionAsked(session::RegionKind::Screen); });
    connect(m_gain, &ChoiceBox::chosen, this, &ViewHeader::setGainStep);
    connect(m_gamma, &ChoiceBox::chosen, this, &ViewHeader::setGammaStep);
    connect(m_zoom, &ChoiceBox::chosen, this, [this](qint64 step) {
        if (step == fit)
            m_view.zoomFit();
        else if (step >= 0)
            m_view.setZoom(FrameView::zoomSteps()[step]);
    });
    connect(&m_view, &FrameView::zoomChanged, this, &ViewHeader::refreshZoom);
    connect(&m_view, &FrameView::comparingChanged, this, &ViewHeader::refreshBrightness);
    connect(&state, &DeskState::frameChanged, this, &ViewHeader::refresh);
    connect(&state, &DeskState::trialChanged, this, &ViewHeader::refresh);
    connect(&state, &DeskState::delaysShownChanged, this, &ViewHeader::refresh);
    refresh();
    refreshBrightness();
    refreshZoom();
}

void ViewHeader::refresh()
{
    const session::Capture* capture = m_state.capture();
    const session::RereadPlace* place = m_state.place();
    const std::int64_t frames = place ? (place->last - place->first).value + 1 : capture ? capture->frames.value : 0;
    m_number->setText(capture ? QString::number((m_state.frame() - m_state.firstFrame()).value) : QStringLiteral("–"));
    m_of->setText(capture ? tr("of %1").arg(frames) : QString());
    m_caption->setText(place ? tr("frame of this excerpt") : tr("frame in view"));
    // Room for the last frame's number, so that nothing beside it moves while it counts.
    m_inView->setMinimumWidth(capture ? m_number->fontMetrics().horizontalAdvance(QString::number(frames)) + figureGap
                                            + m_of->sizeHint().width()
                                      : 0);
    const session::Reading* reading = m_state.reading();
    const bool pressed = reading && reading->press && m_state.delaysShown(); // the count is the delay
    m_fromPress->setVisible(pressed);
    if (pressed) {
        const timing::FrameCount distance = m_state.frame() - reading->press->frame;
        const int apart = int(std::abs(distance.value));
        m_distance->setText(
            (width() >= wideFrom ? tr("%1 camera frame(s)", nullptr, apart) : tr("%1 frame(s)", nullptr, apart))
                .arg(QString::fromStdString(stats::formatSigned(static_cast<double>(distance.value), 0))));
    }
}

void ViewHeader::refreshZoom()
{
    QVector<std::pair<qint64, QString>> choices{{fit, m_view.isFitted() ? m_view.zoomText() : tr("fit")}};
    qint64 current = m_view.isFitted() ? fit : asIs;
    const QVector<double> steps = FrameView::zoomSteps();
    for (int i = 0; i < steps.size(); ++i) {
        choices << std::pair<qint64, QString>(i, tr("%1 %").arg(qRound(steps[i] * 100)));
        if (!m_view.isFitted() && qFuzzyCompare(steps[i], m_view.zoom()))
            current = i;
    }
    if (current == asIs)
        choices << std::pair<qint64, QString>(asIs, m_view.zoomText());
    m_zoom->setChoices(choices, current);
}

void ViewHeader::setShowActions(const QList<QAction*>& actions) { m_show->menu()->addActions(actions); }

/// One control for both: what is compared has a gain of its own.
QVector<double> ViewHeader::gains() const { return m_view.isComparing() ? changeGainSteps() : gainSteps(); }

double ViewHeader::gain() const { return m_view.isComparing() ? m_view.changeGain() : m_view.gain(); }

void ViewHeader::stepGain(int steps) { setGainStep(stepFrom(gains(), gain(), steps)); }

void ViewHeader::stepGamma(int steps) { setGammaStep(stepFrom(gammaSteps(), m_view.gamma(), steps)); }

void ViewHeader::setGainStep(qsizetype step)
{
    if (m_view.isComparing())
        m_view.setChangeGain(gains()[step]);
    else
        m_view.setGain(gains()[step]);
    refreshBrightness();
    emit brightnessChanged();
}

void ViewHeader::setGammaStep(qsizetype step)
{
    m_view.setGamma(gammaSteps()[step]);
    refreshBrightness();
    emit brightnessChanged();
}

void ViewHeader::refreshBrightness()
{
    const auto fill = [](ChoiceBox& box, const QVector<double>& steps, double current, const QString& text) {
        QVector<std::pair<qint64, QString>> choices;
        qint64 chosen = -1;
        for (int i = 0; i < steps.size(); ++i) {
            choices << std::pair<qint64, QString>(i, text.arg(steps[i], 0, 'f', 1));
            if (qFuzzyCompare(steps[i], current))
                chosen = i;
        }
        box.setChoices(choices, chosen);
    };
    fill(*m_gain, gains(), gain(), tr("gain %1"));
    fill(*m_gamma, gammaSteps(), m_view.gamma(), tr("gamma %1"));
}

void ViewHeader::resizeEvent(QResizeEvent*)
{
    const bool wide = width() >= wideFrom;
    m_lamp->setVisible(wide);
    m_screen->setVisible(wide);
    m_regions->setVisible(!wide);
    refresh();
}

} // namespace ui
