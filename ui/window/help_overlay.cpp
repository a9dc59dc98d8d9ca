#include "ui/window/help_overlay.h"
#include "ui/look/key_cap.h"
#include "ui/look/label.h"

#include <QApplication>
#include <QGridLayout>
#include <QKeyEvent>
#include <QPainter>
#include <QScrollArea>
#include <QVBoxLayout>
#include <algorithm>

namespace ui {

namespace {

constexpr int margin = 28, columnGap = 40, sectionGap = 16, around = 24;

QWidget* sectionWidget(const KeySection& section)
{
    auto* widget = new QWidget;
    auto* grid = new QGridLayout(widget);
    grid->setContentsMargins(0, 0, 0, 0);
    grid->setHorizontalSpacing(12);
    grid->setVerticalSpacing(3);
    grid->addWidget(new Label(section.title, Text::Emphasis, Tone::Primary, QFont::DemiBold), 0, 0, 1, 2);
    int row = 1;
    for (const KeyHint& hint : section.keys) {
        grid->addWidget(new KeyCaps(hint.caps), row, 0, Qt::AlignLeft | Qt::AlignVCenter);
        grid->addWidget(new Label(hint.meaning), row, 1, Qt::AlignLeft | Qt::AlignVCenter);
        ++row;
    }
    grid->setColumnStretch(1, 1);
    return widget;
}

} // namespace

HelpOverlay::HelpOverlay(QWidget* window) : QWidget(window), m_scroll(new QScrollArea(this))
{
    setFocusPolicy(Qt::StrongFocus);
    setAccessibleName(tr("All keys"));
    m_scroll->setFrameShape(QFrame::NoFrame);
    m_scroll->setWidgetResizable(true);
    m_scroll->setFocusPolicy(Qt::NoFocus);
    window->installEventFilter(this);
    hide();
}

void HelpOverlay::open(const QVector<KeySection>& sections)
{
    auto* content = new QWidget;
    auto* all = new QVBoxLayout(content);
    all->setContentsMargins(margin, margin, margin, margin);
    all->setSpacing(sectionGap);
    auto* heading = new QHBoxLayout;
    heading->addWidget(new Label(tr("All keys"), Text::Heading, Tone::Primary, QFont::DemiBold));
    heading->addStretch(1);
    heading->addWidget(new KeyCaps({QStringLiteral("Esc")}, tr("close")));
    all->addLayout(heading);

    // Sections go to the shortest of three columns, in order.
    auto* columns = new QHBoxLayout;
    columns->setSpacing(columnGap);
    struct Column {
        QVBoxLayout* layout;
        qsizetype rows = 0;
    };
    QVector<Column> filled;
    for (int i = 0; i < 3; ++i) {
        filled << Column{new QVBoxLayout};
        filled.last().layout->setSpacing(sectionGap);
        columns->addLayout(filled.last().layout, 1);
    }
    for (const KeySection& section : sections) {
        if (section.keys.isEmpty())
            continue;
        Column& shortest = *std::ranges::min_element(filled, {}, &Column::rows);
        shortest.layout->addWidget(sectionWidget(section));
        shortest.rows += section.keys.size() + 2;
    }
    for (const Column& column : std::as_const(filled))
        column.layout->addStretch(1);
    all->addLayout(columns);
    all->addStretch(1);
    m_scroll->setWidget(content);

    m_focusBefore = QApplication::focusWidget();
    place();
    show();
    raise();
    setFocus();
}

void HelpOverlay::place() { setGeometry(parentWidget()->rect()); }

void HelpOverlay::resizeEvent(QResizeEvent*)
{
    m_scroll->setGeometry(rect().adjusted(width() / 16, around, -width() / 16, -around));
}

void HelpOverlay::close()
{
    hide();
    if (m_focusBefore)
        m_focusBefore->setFocus();
}

bool HelpOverlay::event(QEvent* event)
{
    // Keys of the pages below rest while the overlay is open.
    if (event->type() == QEvent::ShortcutOverride) {
        event->accept();
        return true;
    }
    return QWidget::event(event);
}

bool HelpOverlay::eventFilter(QObject* watched, QEvent* event)
{
    if (watched == parentWidget() && event->type() == QEvent::Resize && isVisible())
        place();
    return QWidget::eventFilter(watched, event);
}

void HelpOverlay::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    QColor veil = tokens().gutter;
    veil.setAlpha(210);
    painter.fillRect(rect(), veil);
    painter.fillRect(m_scroll->geometry(), tokens().panel);
}

void HelpOverlay::keyPressEvent(QKeyEvent* event)
{
    if (event->key() == Qt::Key_Escape || event->key() == Qt::Key_F1)
        close();
}

void HelpOverlay::mousePressEvent(QMouseEvent* event)
{
    if (!m_scroll->geometry().contains(event->position().toPoint()))
        close();
}

} // namespace ui
