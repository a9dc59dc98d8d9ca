#include "tests/footage/run_program.h"
#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <fstream>
#include <iterator>
#include <spawn.h>
#include <stdexcept>
#include <sys/wait.h>
#include <unistd.h>

namespace footage {

void runProgram(const std::string& program, const std::string& package, const std::vector<std::string>& arguments,
                const std::filesystem::path& logFile)
{
    std::vector<char*> argv{const_cast<char*>(program.c_str())};
    for (const std::string& argument : arguments)
        argv.push_back(const_cast<char*>(argument.c_str()));
    argv.push_back(nullptr);

    posix_spawn_file_actions_t files;
    posix_spawn_file_actions_init(&files);
    posix_spawn_file_actions_addopen(&files, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_addopen(&files, STDOUT_FILENO, logFile.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0644);
    posix_spawn_file_actions_adddup2(&files, STDOUT_FILENO, STDERR_FILENO);
    pid_t child = 0;
    const int failed = posix_spawnp(&child, program.c_str(), &files, nullptr, argv.data(), environ);
    posix_spawn_file_actions_destroy(&files);
    if (failed == ENOENT)
        throw std::runtime_error("footage: there is no program " + program + "; install " + package);
    if (failed)
        throw std::runtime_error("footage: can't run " + program + ": " + std::strerror(failed));

    int status = 0;
    while (waitpid(child, &status, 0) < 0)
        if (errno != EINTR)
            throw std::runtime_error("footage: can't wait for " + program + ": " + std::strerror(errno));
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) {
        std::ifstream log(logFile);
        std::string words{std::istreambuf_iterator<char>(log), {}};
        constexpr std::size_t enough = 600;
        if (words.size() > enough)
            words.erase(0, words.size() - enough);
        throw std::runtime_error("footage: " + program + " failed: " + words);
    }
    std::filesystem::remove(logFile);
}

} // namespace footage
