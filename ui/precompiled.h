// Compiled once for all of ui: what nearly every file includes. Every file still includes what it uses.
#include "core/precompiled.h"
#include <QAction>
#include <QApplication>
#include <QBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPainter>
#include <QPushButton>
#include <QString>
#include <QWidget>
