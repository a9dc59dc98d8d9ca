#include "ui/desk/desk_dialogs.h"
#include "ui/desk/desk_page.h"
#include "core/analysis/blind_reading.h"
#include "core/reading/footage_lookup.h"
#include "ui/controls/form_grid.h"
#include "ui/look/label.h"
#include "ui/model/window_memory.h"

#include <QDialogButtonBox>
#include <QInputDialog>
#include <QMessageBox>
#include <QPushButton>
#include <QSpinBox>
#include <QVBoxLayout>

namespace ui {

namespace {

/// Where footage was chosen last, also before the program was started.
void beginInFootageFolder(QFileDialog& dialog)
{
    if (const QString last = memory::lastFootageFolder(); !last.isEmpty())
        dialog.setDirectory(last);
    QObject::connect(&dialog, &QFileDialog::filesSelected,
                     [&dialog] { memory::setLastFootageFolder(dialog.directory().absolutePath()); });
}

} // namespace

QFileDialog* fileDialog(QWidget& over, const SessionModel& model, const QString& title, QFileDialog::FileMode mode,
                        const QStringList& filters)
{
    auto* dialog = new QFileDialog(&over, title);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setFileMode(mode);
    if (!filters.isEmpty())
        dialog->setNameFilters(filters);
    if (!model.isDraft())
        dialog->setDirectory(model.folder());
    return dialog;
}

void askForFootage(QWidget& over, const SessionModel& model, bool folder,
                   const std::function<void(const QStringList&)>& take)
{
    QStringList patterns;
    for (const std::string& ending : reading::filmEndings())
        for (const QString& one : {QString::fromStdString(ending), QString::fromStdString(ending).toUpper()})
            patterns << QStringLiteral("*.") + one;
    QFileDialog* dialog = folder ? fileDialog(over, model, DeskPage::tr("Add a folder"), QFileDialog::Directory)
                                 : fileDialog(over, model, DeskPage::tr("Add footage"), QFileDialog::ExistingFiles,
                                              {DeskPage::tr("Footage (%1)").arg(patterns.join(QLatin1Char(' '))),
                                               DeskPage::tr("All files (*)")});
    beginInFootageFolder(*dialog);
    QObject::connect(dialog, &QFileDialog::filesSelected, &over, take);
    dialog->open();
}

void askWhereFootageIs(QWidget& over, const SessionModel& model, const session::Capture& capture,
                       const std::function<void(const QString&)>& take)
{
    QFileDialog* dialog = fileDialog(
        over, model, DeskPage::tr("Where is the footage of %1 now?").arg(QString::fromStdString(capture.name)),
        capture.pictureFolder ? QFileDialog::Directory : QFileDialog::ExistingFile);
    beginInFootageFolder(*dialog);
    QObject::connect(dialog, &QFileDialog::fileSelected, &over, take);
    dialog->open();
}

void askWhetherToLink(QWidget& over, const SessionModel& model, const QString& sentence,
                      const std::function<void()>& link)
{
    auto* question = new QMessageBox(QMessageBox::Question, DeskPage::tr("Link the footage?"), sentence,
                                     QMessageBox::NoButton, &over);
    question->setObjectName(QStringLiteral("linkQuestion"));
    question->setAttribute(Qt::WA_DeleteOnClose);
    question->setTextFormat(Qt::PlainText); // names of files may be anything
    const auto* yes = question->addButton(DeskPage::tr("Link it"), QMessageBox::AcceptRole);
    question->addButton(DeskPage::tr("Leave it absent"), QMessageBox::RejectRole);
    QObject::connect(&model, &SessionModel::sessionReplaced, question, &QDialog::reject);
    QObject::connect(question, &QDialog::finished, &over, [question, yes, link] {
        if (question->clickedButton() == yes)
            link();
    });
    question->open();
}

void askForName(QWidget& over, const QString& title, const QString& name,
                const std::function<void(const QString&)>& take)
{
    auto* dialog = new QInputDialog(&over);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setWindowTitle(title);
    dialog->setLabelText(DeskPage::tr("Name"));
    dialog->setTextValue(name);
    QObject::connect(dialog, &QInputDialog::textValueSelected, &over,
                     [take](const QString& typed) { take(typed.trimmed()); });
    dialog->open();
}

ShareDialog shareDialog(QWidget& over, const session::Document& document, const QString& title, const QString& text,
                        const QString& go, const std::function<QString(int, int)>& counted,
                        const std::function<void(QDialog&, double)>& taken)
{
    const int all = static_cast<int>(analysis::rereadable(document).size());
    auto* dialog = new QDialog(&over);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setWindowTitle(title);
    auto* column = new QVBoxLayout(dialog);
    column->setSpacing(12);
    Label* what = wrapping(text);
    what->setMinimumWidth(420);
    column->addWidget(what);
    auto* form = new FormGrid(120);
    auto* share = new QSpinBox;
    share->setRange(10, 100);
    share->setSuffix(QStringLiteral(" %"));
    form->addRow(DeskPage::tr("Share of the trials"), share);
    auto* count = new Label;
    form->addWide(count);
    column->addWidget(form);
    const auto tell = [=](int percent) { count->setText(counted(analysis::rereadCount(percent / 100.0, all), all)); };
    tell(share->value());
    QObject::connect(share, &QSpinBox::valueChanged, count, tell);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel);
    buttons->button(QDialogButtonBox::Ok)->setText(go);
    column->addWidget(buttons);
    QObject::connect(buttons, &QDialogButtonBox::rejected, dialog, &QDialog::reject);
    QObject::connect(buttons, &QDialogButtonBox::accepted, dialog, [=] { taken(*dialog, share->value() / 100.0); });
    return {dialog, form, share};
}

} // namespace ui
