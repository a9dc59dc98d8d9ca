#include "ui/window/help_overlay.h"
#include "ui/controls/layouts.h"
#include "ui/controls/section_bar.h"
#include "ui/look/key_cap.h"
#include "ui/look/label.h"

#include <QApplication>
#include <QGridLayout>
#include <QKeyEvent>
#include <QPainter>
#include <QScrollArea>
#include <QScrollBar>
#include <QTextBlock>
#include <QTextCursor>
#include <QTextDocument>
#include <QVBoxLayout>
#include <algorithm>

namespace ui {

namespace {

constexpr int margin = 28, columnGap = 40, sectionGap = 16, around = 24, readingWidth = 680;

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

/// Room between paragraphs, and keys in the text's own font, neither of which Markdown has.
QString richText(const QString& markdown)
{
    QTextDocument document;
    document.setMarkdown(markdown);
    for (QTextBlock block = document.begin(); block.isValid(); block = block.next()) {
        QTextCursor cursor(block);
        QTextBlockFormat format = block.blockFormat();
        const bool goesOn = block.textList() != nullptr && block.previous().textList() == block.textList();
        format.setTopMargin(goesOn || block == document.begin() ? 2 : 10);
        cursor.setBlockFormat(format);
        for (auto it = block.begin(); !it.atEnd(); ++it) {
            if (!it.fragment().charFormat().fontFixedPitch())
                continue;
            cursor.setPosition(it.fragment().position());
            cursor.setPosition(it.fragment().position() + it.fragment().length(), QTextCursor::KeepAnchor);
            QTextCharFormat key;
            key.setFontWeight(QFont::DemiBold);
            cursor.setCharFormat(key);
        }
    }
    return document.toHtml();
}

/// Sections go to the shortest of `count` columns, in order.
QHBoxLayout* keyColumns(const QVector<KeySection>& sections, int count)
{
    auto* columns = new QHBoxLayout;
    columns->setSpacing(columnGap);
    struct Column {
        QVBoxLayout* layout;
        qsizetype rows = 0;
    };
    QVector<Column> filled;
    for (int i = 0; i < count; ++i) {
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
    return columns;
}

} // namespace

HelpOverlay::HelpOverlay(QWidget* window)
    : QWidget(window), m_panel(new QWidget(this)), m_bar(new SectionBar), m_scroll(new QScrollArea)
{
    setFocusPolicy(Qt::StrongFocus);
    setAccessibleName(tr("Help and keys"));
    m_bar->setFocusPolicy(Qt::NoFocus);
    m_scroll->setFrameShape(QFrame::NoFrame);
    m_scroll->setWidgetResizable(true);
    m_scroll->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    m_scroll->setFocusPolicy(Qt::NoFocus);
    auto* column = new QVBoxLayout(m_panel);
    column->setContentsMargins(0, grid::unit, 0, 0);
    column->setSpacing(0);
    auto* heading = new QHBoxLayout;
    heading->setContentsMargins(margin - grid::padding, 0, margin, 0);
    heading->addWidget(m_bar, 1);
    heading->addWidget(new KeyCaps({QStringLiteral("Left"), QStringLiteral("Right")}, tr("page")));
    heading->addSpacing(sectionGap);
    heading->addWidget(new KeyCaps({QStringLiteral("Esc")}, tr("close")));
    column->addLayout(heading);
    column->addWidget(m_scroll, 1);
    connect(m_bar, &SectionBar::chosen, this, &HelpOverlay::showPage);
    window->installEventFilter(this);
    hide();
}

void HelpOverlay::open(const QVector<HelpPage>& pages, const QString& name)
{
    m_pages = pages;
    QVector<SectionBar::Section> sections;
    for (const HelpPage& page : pages)
        sections << SectionBar::Section{page.name, page.name};
    m_bar->setSections(sections);
    m_bar->choose(pages.front().name);
    m_bar->choose(name);
    showPage();

    if (!isVisible())
        m_focusBefore = QApplication::focusWidget();
    place();
    show();
    raise();
    setFocus();
}

QString HelpOverlay::current() const { return m_bar->current(); }

void HelpOverlay::showPage()
{
    const auto page = std::ranges::find(m_pages, m_bar->current(), &HelpPage::name);
    auto* content = new QWidget;
    auto* row = new QHBoxLayout(content);
    row->setContentsMargins(margin, sectionGap, margin, margin);
    row->setSpacing(columnGap);
    const bool hasKeys = !page->keys.isEmpty();
    if (!page->text.isEmpty()) {
        auto* text = called("helpText", new Label);
        text->setTextFormat(Qt::RichText);
        text->setText(richText(page->text));
        text->setWordWrap(true);
        text->setAlignment(Qt::AlignTop | Qt::AlignLeft);
        text->setMaximumWidth(readingWidth);
        row->addWidget(text, 3);
    }
    if (hasKeys)
        row->addLayout(keyColumns(page->keys, page->text.isEmpty() ? 3 : 1), 2);
    else
        row->addStretch(1);
    m_scroll->setWidget(content);
    m_scroll->verticalScrollBar()->setValue(0);
    setAccessibleDescription(page->name);
}

void HelpOverlay::place() { setGeometry(parentWidget()->rect()); }

void HelpOverlay::resizeEvent(QResizeEvent*)
{
    m_panel->setGeometry(rect().adjusted(width() / 16, around, -width() / 16, -around));
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
    painter.fillRect(m_panel->geometry(), tokens().panel);
}

void HelpOverlay::keyPressEvent(QKeyEvent* event)
{
    QScrollBar& bar = *m_scroll->verticalScrollBar();
    switch (event->key()) {
    case Qt::Key_Escape:
    case Qt::Key_F1: close(); break;
    case Qt::Key_Left: m_bar->step(-1); break;
    case Qt::Key_Right: m_bar->step(1); break;
    case Qt::Key_Up: bar.triggerAction(QAbstractSlider::SliderSingleStepSub); break;
    case Qt::Key_Down: bar.triggerAction(QAbstractSlider::SliderSingleStepAdd); break;
    case Qt::Key_PageUp: bar.triggerAction(QAbstractSlider::SliderPageStepSub); break;
    case Qt::Key_PageDown:
    case Qt::Key_Space: bar.triggerAction(QAbstractSlider::SliderPageStepAdd); break;
    case Qt::Key_Home: bar.triggerAction(QAbstractSlider::SliderToMinimum); break;
    case Qt::Key_End: bar.triggerAction(QAbstractSlider::SliderToMaximum); break;
    default: break;
    }
}

void HelpOverlay::mousePressEvent(QMouseEvent* event)
{
    if (!m_panel->geometry().contains(event->position().toPoint()))
        close();
}

} // namespace ui
