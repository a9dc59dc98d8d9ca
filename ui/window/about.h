#pragma once
#include <QDialog>

namespace ui {

/// Name, version, what the program is made with, and the way to the cautions.
class AboutDialog : public QDialog {
    Q_OBJECT
public:
    explicit AboutDialog(QWidget* parent);

signals:
    void cautionsAsked();
};

} // namespace ui
