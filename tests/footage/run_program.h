#pragma once
#include <filesystem>
#include <string>
#include <vector>

namespace footage {

/// Runs an installed program without a shell and waits for it. Throws std::runtime_error with its last words when it
/// fails, or with `package` when it isn't there.
void runProgram(const std::string& program, const std::string& package, const std::vector<std::string>& arguments,
                const std::filesystem::path& logFile);

} // namespace footage
