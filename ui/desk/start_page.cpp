#include "ui/desk/start_page.h"
#include "ui/look/key_cap.h"
#include "ui/look/label.h"
#include "ui/look/shapes.h"

#include <QHBoxLayout>
#include <QPainter>
#include <QPainterPath>
#include <QVBoxLayout>

namespace ui {

namespace {

/// The scene as it is filmed: lamp wired to a button, and the screen, in one picture.
class ScenePicture : public QWidget {
public:
    ScenePicture()
    {
        setMinimumSize(220, 124);
        setMaximumSize(392, 221);
        QSizePolicy policy(QSizePolicy::Preferred, QSizePolicy::Preferred);
        policy.setHeightForWidth(true);
        setSizePolicy(policy);
    }
    bool hasHeightForWidth() const override { return true; }
    int heightForWidth(int width) const override { return width * 9 / 16; }
    QSize sizeHint() const override { return {392, 221}; }

protected:
    void paintEvent(QPaintEvent*) override
    {
        const Tokens& t = footageTokens();
        QPainter painter(this);
        painter.setRenderHint(QPainter::Antialiasing);
        const double side = std::min(width() / 392.0, height() / 221.0);
        painter.translate((width() - 392 * side) / 2, 0);
        painter.scale(side, side);
        painter.setPen(QPen(t.viewRing, 1.5));
        painter.setBrush(t.field);
        painter.drawRect(QRectF(0.75, 0.75, 390.5, 219.5));
        painter.setBrush(Qt::NoBrush);

        // screen on its stand, the reaction bright
        painter.drawRect(QRectF(150, 30, 222, 130));
        painter.drawLine(QPointF(245, 160), QPointF(239, 184));
        painter.drawLine(QPointF(277, 160), QPointF(283, 184));
        painter.drawLine(QPointF(216, 185), QPointF(306, 185));
        painter.fillRect(QRectF(163, 56, 60, 58), t.text1);
        painter.setPen(QPen(t.response, 2, Qt::DashLine));
        painter.drawRect(QRectF(156, 49, 74, 72));

        // lamp, wire, button
        painter.setPen(QPen(t.press, 2));
        painter.drawRect(QRectF(64, 48, 70, 70));
        painter.setPen(QPen(t.text1, 1.5));
        painter.setBrush(t.text1);
        const QPointF lamp(99, 83);
        painter.drawEllipse(lamp, 10, 10);
        for (int ray = 0; ray < 8; ++ray) {
            painter.save();
            painter.translate(lamp);
            painter.rotate(45 * ray);
            painter.drawLine(QPointF(0, -18), QPointF(0, -26));
            painter.restore();
        }
        painter.setPen(QPen(t.viewRing, 1.5));
        painter.setBrush(Qt::NoBrush);
        QPainterPath wire(QPointF(99, 118));
        wire.cubicTo(99, 150, 70, 148, 62, 178);
        painter.drawPath(wire);
        painter.drawRect(QRectF(36, 184, 52, 18));
        painter.fillRect(QRectF(50, 178, 24, 6), t.viewRing);

        painter.setFont(ui::font(Text::State));
        painter.setPen(t.text1);
        paintShape(painter, Shape::Press, QRectF(64, 30, 12, 12), t);
        painter.drawText(QPointF(80, 41), StartPage::tr("lamp"));
        paintShape(painter, Shape::Response, QRectF(158, 33, 12, 12), t);
        painter.drawText(QPointF(174, 44), StartPage::tr("screen"));
        painter.setPen(t.text2);
        painter.drawText(QPointF(98, 199), StartPage::tr("button"));
    }
};

/// `strokes` of a tally, the fifth across the four.
class TallySign : public QWidget {
public:
    explicit TallySign(int strokes) : m_strokes(strokes) { setFixedSize(32, 22); }

protected:
    void paintEvent(QPaintEvent*) override
    {
        QPainter painter(this);
        painter.setRenderHint(QPainter::Antialiasing);
        painter.setPen(QPen(tokens().text1, 2.5));
        for (int i = 0; i < std::min(m_strokes, 4); ++i)
            painter.drawLine(QPointF(3 + 6 * i, 2), QPointF(3 + 6 * i, 20));
        if (m_strokes == 5)
            painter.drawLine(QPointF(0, 18), QPointF(26, 4));
    }

private:
    int m_strokes;
};

/// One of the five steps; the first is the next one.
class Step : public QWidget {
public:
    Step(int number, const QString& title, const QString& text) : m_next(number == 1)
    {
        auto* column = new QVBoxLayout(this);
        column->setContentsMargins(0, 14, 0, 0);
        column->setSpacing(8);
        column->addWidget(new TallySign(number));
        column->addWidget(wrapping(title, Text::Body, Tone::Primary, QFont::DemiBold));
        column->addWidget(wrapping(text, Text::State, Tone::Secondary));
        if (m_next)
            column->addWidget(new Label(StartPage::tr("next step"), Text::Caption, Tone::Primary, QFont::Bold));
        column->addStretch(1);
    }

protected:
    void paintEvent(QPaintEvent*) override
    {
        QPainter painter(this);
        painter.fillRect(QRect(0, 0, width(), m_next ? 3 : 1), m_next ? tokens().text1 : tokens().fieldEdge);
    }

private:
    bool m_next;
};

} // namespace

StartPage::StartPage(QWidget* parent) : QWidget(parent), m_drop(new QWidget)
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(32, 24, 32, 24);
    column->setSpacing(24);
    column->addStretch(1);

    auto* inside = new QHBoxLayout(m_drop);
    inside->setContentsMargins(32, 20, 24, 20);
    inside->setSpacing(32);
    auto* picture = new QVBoxLayout;
    picture->setSpacing(6);
    picture->addStretch(1);
    picture->addWidget(new ScenePicture);
    picture->addWidget(
        wrapping(tr("One picture holds the lamp wired to the button, and the screen."), Text::State, Tone::Secondary));
    picture->addStretch(1);
    inside->addLayout(picture, 1);

    auto* words = new QVBoxLayout;
    words->setSpacing(10);
    words->addStretch(1);
    words->addWidget(new Label(tr("Start with footage"), Text::Figure, Tone::Primary, QFont::DemiBold));
    words->addWidget(
        wrapping(tr("Drop files here: any camera, any number, several trials in each. They stay where they "
                    "are and are never changed."),
                 Text::Body, Tone::Secondary));
    auto* add =
        new KeyButton(tr("Add footage"), {QStringLiteral("Ctrl"), QStringLiteral("O")}, KeyButton::Kind::Primary);
    add->setObjectName(QStringLiteral("addFootage"));
    auto* first = new QPushButton(tr("Show me, step by step"));
    first->setObjectName(QStringLiteral("firstSessionAsked"));
    words->addSpacing(6);
    auto* beginnings = new QHBoxLayout;
    beginnings->setSpacing(8);
    beginnings->addWidget(add);
    beginnings->addWidget(first);
    beginnings->addStretch(1);
    words->addLayout(beginnings);
    m_underWay = wrapping({}, Text::State, Tone::Secondary);
    m_underWay->hide();
    words->addWidget(m_underWay);
    words->addSpacing(6);
    auto* others = new QHBoxLayout;
    others->setSpacing(8);
    auto* open = new QPushButton(tr("Open a session"));
    m_sample = new QPushButton(tr("Open the sample session"));
    others->addWidget(open);
    others->addWidget(m_sample);
    others->addStretch(1);
    words->addLayout(others);
    m_sample->setToolTip(tr("A pedal on three links, fully marked"));
    words->addStretch(1);
    inside->addLayout(words, 1);
    column->addWidget(m_drop, 4);

    auto* steps = new QHBoxLayout;
    steps->setSpacing(20);
    int number = 0;
    for (const auto& [title, text] :
         {std::pair(tr("Add footage"), tr("Files become captures. Tag each to a configuration.")),
          std::pair(tr("Draw two regions"), tr("Lamp and screen, once; carried to the next capture.")),
          std::pair(tr("Settle the clock"), tr("No ms before the true capture rate is known.")),
          std::pair(tr("Read"), tr("Mark press and response frame by key, trial after trial.")),
          std::pair(tr("Compare, publish"), tr("Differences with their uncertainty; chart and sentences."))})
        steps->addWidget(new Step(++number, title, text), 1);
    column->addLayout(steps);
    column->addStretch(1);

    connect(add, &QPushButton::clicked, this, &StartPage::addFootageAsked);
    connect(open, &QPushButton::clicked, this, &StartPage::openSessionAsked);
    connect(m_sample, &QPushButton::clicked, this, &StartPage::openSampleAsked);
    connect(first, &QPushButton::clicked, this, &StartPage::firstSessionAsked);
    setFocusProxy(add);
    setSampleOffered(false);
}

void StartPage::setSampleOffered(bool offered) { m_sample->setVisible(offered); }

void StartPage::setUnderWay(const QString& line)
{
    m_underWay->setText(line);
    m_underWay->setVisible(!line.isEmpty());
}

void StartPage::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    painter.setPen(QPen(tokens().fieldEdge, 2, Qt::DashLine));
    painter.drawRoundedRect(QRectF(m_drop->geometry()).adjusted(1, 1, -1, -1), grid::radius, grid::radius);
}

} // namespace ui
