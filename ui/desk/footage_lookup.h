#pragma once
#include <QStringList>

namespace ui {

/// What a drop or a file dialog gave, as pieces of footage.
struct FoundFootage {
    QStringList paths;    ///< absolute, in name order: files, and folders that hold numbered pictures
    QStringList problems; ///< one sentence for each that holds no footage
};

/// Files are taken as they are; a folder of pictures is one piece of footage, any other folder stands for the
/// footage in it, sub-folders included. Reads folders, so it belongs on a worker.
FoundFootage findFootage(const QStringList& filesAndFolders);

/// For file dialogs: "*.mp4 *.mov ...". Anything else can be added as well, by "All files" or by dropping it.
QString footagePatterns();

} // namespace ui
