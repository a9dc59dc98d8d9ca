#pragma once
#include <QDialog>
#include <functional>

namespace ui {

/// Name, version, what the program is made with, and the way to the cautions.
QDialog* aboutDialog(QWidget* parent, std::function<void()> seeCautions);

} // namespace ui
