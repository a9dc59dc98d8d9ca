#include "ui/window/cautions.h"
#include "ui/look/label.h"
#include "ui/look/look.h"

#include <QApplication>
#include <QHBoxLayout>
#include <QPushButton>
#include <QVBoxLayout>

namespace ui {

namespace {

constexpr int textWidth = 560;

struct Caution {
    const char* title;
    const char* text;
};

constexpr Caution cautions[] = {
    {QT_TRANSLATE_NOOP("Cautions", "Wiring"),
     QT_TRANSLATE_NOOP(
         "Cautions",
         "Only devices of low voltage. Unplug the device and take its battery out before you open it. Choose the "
         "lamp's resistor by R = (V − Vf) / I: for 3.3 V, a red lamp of 1.9 V and about 5 mA take 330 Ω. Never feed "
         "a supply from outside into the device; a transistor or an optocoupler keeps the two apart. Afterwards "
         "compare its delay with that of a unit you left alone. Discharge yourself, air the room while you "
         "solder, protect your eyes.")},
    {QT_TRANSLATE_NOOP("Cautions", "Batteries"),
     QT_TRANSLATE_NOOP(
         "Cautions",
         "Never solder on, pierce, bend, short or heat a lithium cell. If one swells, gets hot or smells: stop, "
         "move away, get help.")},
    {QT_TRANSLATE_NOOP("Cautions", "Law"),
     QT_TRANSLATE_NOOP(
         "Cautions",
         "Opening a device may end its warranty. A changed radio device may lose its approval. The terms of a "
         "platform or a game may bar changed controllers.")},
    {QT_TRANSLATE_NOOP("Cautions", "Light"),
     QT_TRANSLATE_NOOP(
         "Cautions",
         "High-speed cameras want strong light: use closed, approved mains fittings and mind their heat. Don't "
         "stare into lamps; dim them and rest.")},
    {QT_TRANSLATE_NOOP("Cautions", "Flashing footage"),
     QT_TRANSLATE_NOOP(
         "Cautions",
         "Flashes can cause seizures, and slowed footage turns harmless ripple into flashes: 100 ripples a second "
         "filmed at 240 and played at 30 flash 12.5 times a second. Keep what you publish at three flashes in "
         "any second or fewer, small or dimmed; a warning in front of it isn't enough. Playing it here, or "
         "holding an arrow key, flashes just the same: step through such footage, or play it at no more "
         "than 5 frames a second, where a flash, lit and dark, comes 2.5 times a second at most.")},
    {QT_TRANSLATE_NOOP("Cautions", "Who decides"),
     QT_TRANSLATE_NOOP(
         "Cautions",
         "These lines are no instruction and no advice. Local rules decide, and people qualified for the work.")},
};

QVBoxLayout* dialogColumn(QDialog& dialog)
{
    auto* column = new QVBoxLayout(&dialog);
    column->setContentsMargins(24, 20, 24, 20);
    column->setSpacing(4);
    return column;
}

void addParagraph(QVBoxLayout& column, const QString& text, Tone tone = Tone::Secondary)
{
    auto* paragraph = new Label(text, Text::Body, tone);
    paragraph->setWordWrap(true);
    paragraph->setFixedWidth(textWidth);
    column.addWidget(paragraph);
}

QPushButton* closeButton(QDialog& dialog)
{
    auto* close = new QPushButton(CautionsDialog::tr("Close"));
    close->setDefault(true);
    QObject::connect(close, &QPushButton::clicked, &dialog, &QDialog::accept);
    return close;
}

} // namespace

CautionsDialog::CautionsDialog(QWidget* parent) : QDialog(parent)
{
    setWindowTitle(tr("Cautions"));
    auto* column = dialogColumn(*this);
    for (const Caution& caution : cautions) {
        column->addWidget(new Label(QCoreApplication::translate("Cautions", caution.title), Text::Body, Tone::Primary,
                                    QFont::DemiBold));
        addParagraph(*column, QCoreApplication::translate("Cautions", caution.text));
        column->addSpacing(8);
    }
    column->addWidget(closeButton(*this), 0, Qt::AlignRight);
}

AboutDialog::AboutDialog(QWidget* parent) : QDialog(parent)
{
    setWindowTitle(tr("About Tallyframe"));
    auto* column = dialogColumn(*this);
    auto* head = new QHBoxLayout;
    head->setSpacing(16);
    auto* picture = new QLabel;
    picture->setPixmap(programIcon().pixmap(64, 64));
    head->addWidget(picture);
    auto* name = new QVBoxLayout;
    name->addStretch(1);
    name->addWidget(new Label(QStringLiteral("Tallyframe"), Text::Heading, Tone::Primary, QFont::DemiBold));
    name->addWidget(new Label(tr("version %1").arg(QApplication::applicationVersion()), Text::Body, Tone::Secondary));
    name->addStretch(1);
    head->addLayout(name);
    head->addStretch(1);
    column->addLayout(head);
    column->addSpacing(8);
    addParagraph(
        *column,
        tr("From pressing a button to seeing the screen react: read from footage, frame by frame, and published with "
           "its uncertainty."),
        Tone::Primary);
    column->addSpacing(8);
    addParagraph(*column, tr("Made with Qt %1, FFmpeg's libraries, Eigen and Boost.Math. Text is set in Open Sans.")
                              .arg(QLatin1String(qVersion())));
    column->addSpacing(12);
    auto* buttons = new QHBoxLayout;
    auto* seeCautions = new QPushButton(tr("Read cautions"));
    seeCautions->setAutoDefault(false);
    connect(seeCautions, &QPushButton::clicked, this, &AboutDialog::cautionsAsked);
    buttons->addWidget(seeCautions);
    buttons->addStretch(1);
    buttons->addWidget(closeButton(*this));
    column->addLayout(buttons);
}

} // namespace ui
