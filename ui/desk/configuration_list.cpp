#include "ui/desk/configuration_list.h"
#include "core/analysis/figures.h"
#include "ui/desk/reading_progress.h"
#include "ui/look/key_cap.h"

#include <QHelpEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QToolTip>

namespace ui {

namespace {

constexpr int left = 12, configurationListNameLeft = 40, nameBaseline = 16, lowerBaseline = 31, strokesTop = 23,
              strokesHeight = 10;
constexpr int capSide = 24;

Stroke strokeOf(TrialState state)
{
    if (state == TrialState::Rejected)
        return Stroke::Rejected;
    if (isRead(state))
        return Stroke::Read;
    return Stroke::HalfRead;
}

} // namespace

ConfigurationList::ConfigurationList(SessionModel& model, SessionResults& results, DeskState& state, QWidget* parent)
    : QWidget(parent), m_model(model), m_results(results), m_state(state)
{
    setMouseTracking(true);
    setAccessibleName(tr("Configurations"));
    connect(&model, &SessionModel::changed, this, &ConfigurationList::refresh);
    connect(&state, &DeskState::trialChanged, this, qOverload<>(&QWidget::update));
    connect(&state, &DeskState::delaysShownChanged, this, &ConfigurationList::refresh);
    connect(&results, &SessionResults::changed, this, [this] {
        if (m_state.delaysShown())
            refresh();
    });
    refresh();
}

void ConfigurationList::refresh()
{
    const session::Document& document = *m_model.document();
    std::map<session::ConfigurationId, QVector<Stroke>> strokes;
    std::map<session::ConfigurationId, int> read;
    for (const auto& [id, trial] : document.trials) {
        const TrialState state = stateOf(*trial);
        strokes[trial->configuration] << strokeOf(state);
        read[trial->configuration] += isRead(state);
    }
    const auto results = m_state.delaysShown() ? m_results.known().results : nullptr;

    m_rows.clear();
    for (const session::Configuration* configuration : session::inOrder(document.configurations)) {
        Row row;
        row.id = configuration->id;
        row.name = QString::fromStdString(configuration->name);
        row.baseline = document.settings.plan.baseline == configuration->id;
        row.read = read[configuration->id];
        row.planned = session::plannedTrials(document.settings.plan, configuration->id).value_or(0);
        row.strokes = strokes[configuration->id];
        while (row.strokes.size() < row.planned)
            row.strokes << Stroke::Open;
        if (const auto* result = results ? analysis::find(*results, configuration->id) : nullptr)
            if (const auto figure = analysis::meanFigure(*result)) {
                row.mean = QString::fromStdString(figure->value);
                row.halfWidth = QString::fromStdString(figure->halfWidth);
            }
        m_rows << row;
    }
    updateGeometry();
    update();
}

QSize ConfigurationList::sizeHint() const { return {240, static_cast<int>(m_rows.size()) * rowHeight()}; }

QSize ConfigurationList::minimumSizeHint() const { return {120, sizeHint().height()}; }

void ConfigurationList::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    for (int i = 0; i < m_rows.size(); ++i)
        paintRow(painter, QRect(0, i * rowHeight(), width(), rowHeight()), i);
}

void ConfigurationList::paintRow(QPainter& painter, const QRect& rect, int index) const
{
    const Row& row = m_rows[index];
    const Tokens& t = tokens();
    const bool selected = row.id == m_state.configuration();
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing);
    paintRowState(painter, rect, selected, m_hovered == index);

    // Only nine digits: the others are tagged by the trial's list of configurations.
    if (index < 9)
        paintKeyCaps(painter, QRectF(left, rect.top() + 1, capSide, 20), {QString::number(index + 1)});

    int right = rect.right() - 11;
    painter.setFont(ui::font(Text::Body));
    painter.setPen(t.text1);
    if (!row.mean.isEmpty()) {
        const QString pm = row.halfWidth.isEmpty() ? QString() : QStringLiteral(" ± ") + row.halfWidth;
        const int pmWidth = painter.fontMetrics().horizontalAdvance(pm);
        painter.setPen(t.text2);
        painter.drawText(right - pmWidth, rect.top() + nameBaseline, pm);
        painter.setFont(ui::font(Text::Body, QFont::DemiBold));
        painter.setPen(t.text1);
        const int meanWidth = painter.fontMetrics().horizontalAdvance(row.mean);
        painter.drawText(right - pmWidth - meanWidth, rect.top() + nameBaseline, row.mean);
        right -= pmWidth + meanWidth + 8;
    }
    int badge = 0;
    const QString baseline = tr("baseline");
    const QFontMetrics small(ui::font(Text::Caption));
    if (row.baseline)
        badge = small.horizontalAdvance(baseline) + 10;
    painter.setFont(ui::font(Text::Body, selected ? QFont::DemiBold : QFont::Normal));
    const QString name = painter.fontMetrics().elidedText(row.name, Qt::ElideRight,
                                                          right - configurationListNameLeft - (badge ? badge + 8 : 0));
    painter.drawText(configurationListNameLeft, rect.top() + nameBaseline, name);
    if (row.baseline) {
        const QRectF box(configurationListNameLeft + painter.fontMetrics().horizontalAdvance(name) + 8.5,
                         rect.top() + 3.5, badge, 16);
        painter.setPen(QPen(selected ? t.text2 : t.fieldEdge, 1));
        painter.drawRoundedRect(box, 2, 2);
        painter.setFont(ui::font(Text::Caption));
        painter.setPen(t.text2);
        painter.drawText(box, Qt::AlignCenter, baseline);
    }

    painter.setFont(ui::font(Text::Caption));
    painter.setPen(t.text2);
    const QString count = row.planned > 0 ? tr("%1 of %2").arg(row.read).arg(row.planned) : tr("%1 read").arg(row.read);
    const int countWidth = painter.fontMetrics().horizontalAdvance(count);
    painter.drawText(rect.right() - 11 - countWidth, rect.top() + lowerBaseline, count);
    paintProgress(painter,
                  QRectF(configurationListNameLeft, rect.top() + strokesTop,
                         rect.right() - 11 - countWidth - 10 - configurationListNameLeft, strokesHeight),
                  row.strokes);
    painter.restore();
}

int ConfigurationList::capAt(const QPoint& place) const
{
    const int row = place.y() / rowHeight();
    return place.x() < configurationListNameLeft && row >= 0 && row < std::min<qsizetype>(9, m_rows.size()) ? row : -1;
}

void ConfigurationList::mouseMoveEvent(QMouseEvent* event)
{
    const int cap = capAt(event->position().toPoint());
    setCursor(cap < 0 ? Qt::ArrowCursor : Qt::PointingHandCursor);
    if (cap != std::exchange(m_hovered, cap))
        update();
}

void ConfigurationList::leaveEvent(QEvent*)
{
    m_hovered = -1;
    update();
}

void ConfigurationList::mouseReleaseEvent(QMouseEvent* event)
{
    if (const int cap = capAt(event->position().toPoint()); cap >= 0 && event->button() == Qt::LeftButton)
        emit tagAsked(cap);
}

bool ConfigurationList::event(QEvent* event)
{
    if (event->type() == QEvent::ToolTip) {
        const auto* help = static_cast<QHelpEvent*>(event);
        const int row = help->pos().y() / rowHeight();
        if (row < 0 || row >= m_rows.size())
            return QWidget::event(event);
        const QString& name = m_rows[row].name;
        QToolTip::showText(help->globalPos(),
                           capAt(help->pos()) < 0 ? name
                           : m_state.trial()
                               ? tr("The trial belongs to %1").arg(name)
                               : tr("The capture belongs to %1, with the trials in it that aren't read yet").arg(name),
                           this);
        return true;
    }
    return QWidget::event(event);
}

} // namespace ui
