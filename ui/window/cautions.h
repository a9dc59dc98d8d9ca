#pragma once
#include <QDialog>

namespace ui {

/// What can hurt when a lamp is wired to a button, a device is opened, or footage flashes.
class CautionsDialog : public QDialog {
    Q_OBJECT
public:
    explicit CautionsDialog(QWidget* parent);
};

/// Name, version, what the program is made with, and the way to the cautions.
class AboutDialog : public QDialog {
    Q_OBJECT
public:
    explicit AboutDialog(QWidget* parent);

signals:
    void cautionsAsked();
};

} // namespace ui
