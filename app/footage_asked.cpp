#include "app/footage_asked.h"
#include "app/commands.h"
#include "core/reading/same_footage.h"
#include "core/session/session_lock.h"
#include "ui/model/file_paths.h"
#include "ui/model/footage_folders.h"
#include "ui/model/window_memory.h"

#include <QFileInfo>

namespace app {

std::set<session::CaptureId> notToBeRead(const session::Document& document, const std::filesystem::path& sessionFile,
                                         const Arguments& given)
{
    if (given.has(readOutside))
        return {};
    const QString session = ui::fromPath(session::resolved(sessionFile)), folder = QFileInfo(session).absolutePath();
    ui::FootageFolders folders;
    folders.setMemory({ui::memory::footageFolders, {}, ui::memory::refusedFolders, {}});
    folders.begin(session, document, folder);
    const std::set<session::CaptureId> left = folders.notToBeRead(document, folder);
    if (!left.empty())
        printProblem(
            reading::notAskedSentence(session::find(document, *left.begin())->name)
            + (left.size() == 1 ? std::string() : " So does that of " + std::to_string(left.size() - 1) + " more.")
            + " --read-outside reads it.");
    return left;
}

} // namespace app
