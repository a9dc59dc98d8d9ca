#include "ui/desk/frame_message.h"
#include "ui/look/tokens.h"

#include <QEvent>
#include <QPainter>

namespace ui {

namespace {

constexpr int side = 12, above = 8, widest = 640;

} // namespace

FrameMessage::FrameMessage(QWidget* over, Qt::Edge edge) : QWidget(over), m_edge(edge)
{
    setAttribute(Qt::WA_TransparentForMouseEvents);
    over->installEventFilter(this);
    m_passes.setSingleShot(true);
    m_passes.setInterval(7000);
    connect(&m_passes, &QTimer::timeout, this, [this] { show({}); });
    hide();
}

void FrameMessage::show(const QString& sentence)
{
    keep(sentence);
    if (!sentence.isEmpty())
        m_passes.start();
}

void FrameMessage::keep(const QString& sentence)
{
    m_passes.stop();
    m_sentence = sentence;
    setAccessibleName(sentence);
    setVisible(!sentence.isEmpty());
    if (sentence.isEmpty())
        return;
    place();
    raise();
    update();
}

void FrameMessage::place()
{
    const int room = std::min(widest, parentWidget()->width() - 4 * side);
    const QRect text =
        QFontMetrics(ui::font(Text::Body)).boundingRect(QRect(0, 0, room, 1000), Qt::TextWordWrap, m_sentence);
    const QSize size(text.width() + 2 * side + 1, text.height() + 2 * above);
    const int y = m_edge == Qt::BottomEdge ? parentWidget()->height() - side - size.height() : side;
    setGeometry(QRect(QPoint((parentWidget()->width() - size.width()) / 2, y), size));
}

bool FrameMessage::eventFilter(QObject* watched, QEvent* event)
{
    if (event->type() == QEvent::Resize && isVisible())
        place();
    return QWidget::eventFilter(watched, event);
}

void FrameMessage::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    painter.fillRect(rect(), onFootageLabel);
    painter.setPen(footageTokens().text1);
    painter.setFont(ui::font(Text::Body));
    painter.drawText(rect().adjusted(side, above, -side, -above), Qt::TextWordWrap, m_sentence);
}

} // namespace ui
