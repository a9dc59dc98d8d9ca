#include "ui/window/about.h"
#include "ui/look/label.h"
#include "ui/look/look.h"

#include <QApplication>
#include <QHBoxLayout>
#include <QPushButton>
#include <QVBoxLayout>

namespace ui {

namespace {

constexpr int textWidth = 560;

QVBoxLayout* dialogColumn(QDialog& dialog)
{
    auto* column = new QVBoxLayout(&dialog);
    column->setContentsMargins(24, 20, 24, 20);
    column->setSpacing(4);
    return column;
}

void addParagraph(QVBoxLayout& column, const QString& text, Tone tone = Tone::Secondary)
{
    auto* paragraph = wrapping(text, Text::Body, tone);
    paragraph->setFixedWidth(textWidth);
    column.addWidget(paragraph);
}

QPushButton* closeButton(QDialog& dialog)
{
    auto* close = new QPushButton(AboutDialog::tr("Close"));
    close->setDefault(true);
    QObject::connect(close, &QPushButton::clicked, &dialog, &QDialog::accept);
    return close;
}

} // namespace

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
