#pragma once
#include <filesystem>
#include <stop_token>
#include <string>
#include <vector>

namespace reading {

/// What was given to be taken in, as pieces of footage.
struct FoundFootage {
    std::vector<std::filesystem::path>
        paths;                         ///< absolute, in name order, each once: files, folders of numbered pictures
    std::vector<std::string> problems; ///< one sentence for each given that holds no footage
};

/// Files are taken as they are; a folder of pictures is one piece of footage, any other folder stands for the
/// footage in it, sub-folders included. Reads folders, so it belongs on a worker.
FoundFootage findFootage(const std::vector<std::filesystem::path>& filesAndFolders);

/// What is called `name` in `folder` or below, nearest first; hidden folders and links to folders are passed over, and
/// so is what lies deeper than a few folders or after many thousand files. Blocks. Throws core::Cancelled.
std::vector<std::filesystem::path> namedBelow(const std::filesystem::path& folder, const std::filesystem::path& name,
                                              const std::stop_token& stop = {});

/// Endings that films usually have, in lower case, without the dot. Others can be footage as well.
const std::vector<std::string>& filmEndings();

} // namespace reading
