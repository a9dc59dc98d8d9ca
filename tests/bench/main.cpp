// Measures what is felt at the desk next to bare libav programs on the same films in the same run. Asserts nothing.
#include "tests/bench/drop_bench.h"
#include "tests/bench/footage_bench.h"
#include "tests/bench/publish_bench.h"
#include "tests/bench/session_bench.h"
#include "tests/bench/start_bench.h"

#include <cstdlib>
#include <fstream>
#include <iostream>
#include <iterator>
#include <stdexcept>

namespace {

constexpr const char* usage =
    "usage: tallyframe_bench --folder DIR [--json FILE] [--results PAGE] [--film WORD] [--only WORD] [--program FILE] "
    "[--pace N] "
    "[--small]\n"
    "--film: only films whose file name holds the word. --program: the workstation, for its start.\n"
    "--only: of the films only one kind of row: drop, opening, steps, jumps, traces, change or memory; "
    "publishing, inspecting: none of them.\n"
    "--pace: steps a second of the steady walk, 10 if not given.\n"
    "--results: a page to which the table is added, in place of an earlier one with the same options.\n"
    "Films are made in DIR once. --small: tiny films and few rounds, to see that it works.\n";

int measure(const std::vector<std::string>& arguments, const std::filesystem::path& program)
{
    std::filesystem::path folder, jsonFile, workstation, resultsPage;
    std::string word, choices; // the options that choose what is measured

    bench::Effort effort;
    for (std::size_t i = 0; i < arguments.size(); ++i)
        if (arguments[i] == "--small")
            effort.small = true;
        else if (arguments[i] == "--folder" && i + 1 < arguments.size())
            folder = arguments[++i];
        else if (arguments[i] == "--json" && i + 1 < arguments.size())
            jsonFile = arguments[++i];
        else if (arguments[i] == "--results" && i + 1 < arguments.size())
            resultsPage = arguments[++i];
        else if (arguments[i] == "--film" && i + 1 < arguments.size())
            word = arguments[++i];
        else if (arguments[i] == "--only" && i + 1 < arguments.size())
            effort.only = arguments[++i];
        else if (arguments[i] == "--program" && i + 1 < arguments.size())
            workstation = arguments[++i];
        else if (arguments[i] == "--pace" && i + 1 < arguments.size())
            effort.pace = std::stod(arguments[++i]);
        else
            throw std::runtime_error("can't use the argument " + arguments[i]);
    for (std::size_t i = 0; i + 1 < arguments.size(); ++i)
        if (arguments[i] == "--film" || arguments[i] == "--only" || arguments[i] == "--pace")
            choices += (choices.empty() ? "" : " ") + arguments[i] + " " + arguments[i + 1];
    if (!(effort.pace > 0))
        throw std::runtime_error("the pace is a number above 0");
    if (folder.empty())
        throw std::runtime_error("name the folder for the films");
    std::filesystem::create_directories(folder);
    folder = std::filesystem::canonical(folder); // as the desk knows footage

    bench::Rows rows;
    const auto add = [&](const bench::Rows& measured) {
        std::cout << bench::tableLines(measured) << std::flush;
        rows.insert(rows.end(), measured.begin(), measured.end());
    };
    const auto films = effort.only == "inspecting" ? std::vector<bench::Film>() : bench::films(folder, word, effort);
    std::cout << bench::tableHead();
    if (effort.only.empty())
        add(bench::measureSession(folder, effort));
    if (effort.only.empty() || effort.only == "publishing")
        add(bench::measurePublishing(folder, effort, films));
    if (!workstation.empty() && effort.wants("start"))
        add(bench::measureStart(workstation, folder, effort));
    if (!workstation.empty() && effort.wants("inspecting"))
        add(bench::measureInspecting(workstation, bench::longFilm(folder, effort), effort));
    for (const bench::Film& film : films) {
        if (effort.wants("drop"))
            add(bench::measureDrops(film, effort));
        if (effort.only != "drop")
            add(bench::measureFootage(film, effort, program));
    }
    if (!jsonFile.empty()) {
        std::ofstream file(jsonFile);
        file << bench::json(rows);
        if (!file.flush())
            throw std::runtime_error("can't write " + jsonFile.string());
    }
    if (!resultsPage.empty()) {
        std::ifstream before(resultsPage);
        const std::string page{std::istreambuf_iterator<char>(before), {}};
        std::ofstream file(resultsPage);
        file << bench::withRun(page, choices, rows);
        if (!file.flush())
            throw std::runtime_error("can't write " + resultsPage.string());
    }
    return EXIT_SUCCESS;
}

} // namespace

int main(int argc, char** argv)
{
    try {
        const std::vector<std::string> arguments(argv + 1, argv + argc);
        if (arguments.size() == 3 && arguments[0] == "--memory") {
            std::cout << bench::memoryPeak(arguments[1], std::stoull(arguments[2])) << '\n';
            return EXIT_SUCCESS;
        }
        return measure(arguments, std::filesystem::canonical("/proc/self/exe"));
    } catch (const std::exception& error) {
        std::cerr << "tallyframe_bench: " << error.what() << '\n' << usage;
        return EXIT_FAILURE;
    }
}
