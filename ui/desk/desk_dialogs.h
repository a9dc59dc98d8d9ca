#pragma once
#include <QFileDialog>
#include "ui/model/session_model.h"
#include <functional>

class QSpinBox;

/// What the desk asks for. Each dialog is over `over`, goes by itself, and hands on what was chosen.
namespace ui {

class FormGrid;

/// Files of footage, or a folder of them.
void askForFootage(QWidget& over, const SessionModel& model, bool folder,
                   const std::function<void(const QStringList& paths)>& take);
/// Where the footage of a capture is now.
void askWhereFootageIs(QWidget& over, const SessionModel& model, const session::Capture& capture,
                       const std::function<void(const QString& path)>& take);
/// Whether a capture is to be linked to footage that `sentence` tells of.
void askWhetherToLink(QWidget& over, const SessionModel& model, const QString& sentence,
                      const std::function<void()>& link);
void askForName(QWidget& over, const QString& title, const QString& name,
                const std::function<void(const QString& name)>& take);

/// To be filled in and opened by the caller: begins beside the session.
QFileDialog* fileDialog(QWidget& over, const SessionModel& model, const QString& title, QFileDialog::FileMode mode,
                        const QStringList& filters = {});

/// Which share of the trials that are read: `counted` words how many that is of all.
struct ShareDialog {
    QDialog* dialog;
    FormGrid* form;  ///< further questions go in here
    QSpinBox* share; ///< percent
};
ShareDialog shareDialog(QWidget& over, const session::Document& document, const QString& title, const QString& words,
                        const QString& go, const std::function<QString(int drawn, int all)>& counted,
                        const std::function<void(QDialog& dialog, double share)>& taken);

} // namespace ui
