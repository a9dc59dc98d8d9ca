#include "ui/window/about.h"
#include "ui/look/label.h"
#include "ui/look/look.h"

#include <QApplication>
#include <QHBoxLayout>
#include <QPushButton>
#include <QVBoxLayout>

namespace ui {

QDialog* aboutDialog(QWidget* parent, std::function<void()> seeCautions)
{
    const auto tr = [](const char* words) { return QCoreApplication::translate("ui", words); };
    auto* dialog = new QDialog(parent);
    dialog->setWindowTitle(tr("About Tallyframe"));
    auto* column = new QVBoxLayout(dialog);
    column->setContentsMargins(24, 20, 24, 20);
    column->setSpacing(4);
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
    const auto addParagraph = [&](const QString& text, Tone tone) {
        auto* paragraph = wrapping(text, Text::Body, tone);
        paragraph->setFixedWidth(560);
        column->addWidget(paragraph);
    };
    addParagraph(tr("From pressing a button to seeing the screen react: read from footage, frame by frame, and "
                    "published with its uncertainty."),
                 Tone::Primary);
    column->addSpacing(8);
    addParagraph(tr("Made with Qt %1, FFmpeg's libraries, Eigen and Boost.Math. Text is set in Open Sans.")
                     .arg(QLatin1String(qVersion())),
                 Tone::Secondary);
    column->addSpacing(12);
    auto* buttons = new QHBoxLayout;
    auto* cautions = new QPushButton(tr("Read cautions"));
    cautions->setAutoDefault(false);
    QObject::connect(cautions, &QPushButton::clicked, dialog, [dialog, seeCautions = std::move(seeCautions)] {
        dialog->accept();
        seeCautions();
    });
    buttons->addWidget(cautions);
    buttons->addStretch(1);
    auto* close = new QPushButton(tr("Close"));
    close->setDefault(true);
    QObject::connect(close, &QPushButton::clicked, dialog, &QDialog::accept);
    buttons->addWidget(close);
    column->addLayout(buttons);
    return dialog;
}

} // namespace ui
