#pragma once
#include "core/session/document.h"
#include <QStringList>

/// Sessions without a name yet. Each lies in a folder of its own below the application's data folder, so that it can
/// be found again after a crash and goes as one. What touches the disk waits for it: off the window's thread only.
namespace ui::drafts {

QString folder();                   ///< where they lie; may not exist
QStringList paths();                ///< session files, newest first
QString newPath();                  ///< its folder is made; throws core::Error (WriteFailed)
bool contains(const QString& path); ///< the path is a draft's
void remove(const QString& path);   ///< with its folder; throws core::Error (WriteFailed)
bool holdsAnything(const session::Document&);

} // namespace ui::drafts
