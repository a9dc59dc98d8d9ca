#pragma once
#include <filesystem>
#include <functional>
#include <random>
#include <string>
#include <vector>

/// What reads bytes that others wrote, each as a function of these bytes: run by libFuzzer, and over seeds and findings
/// by the ordinary tests.
namespace fuzz {

using Random = std::mt19937_64;

struct Target {
    const char* name;
    /// Core errors are what bad input is to give and end here; anything else that is thrown is a finding.
    void (*run)(const std::string& input);
    std::vector<std::string> (*seeds)(); ///< input that is right, or nearly so
    /// Changes what the input means rather than its bytes; empty where there is no such change. May be null.
    std::string (*change)(const std::string& input, Random& random);
};

const std::vector<Target>& targets();

std::vector<Target> sessionTargets();
std::vector<Target> mediaTargets();
std::vector<Target> argumentTargets();

/// Ends the program, which is a finding.
void require(bool holds, const char* what);

/// A folder of this process alone, in memory where the system has such a place; gone with the process.
const std::filesystem::path& scratch();
/// The file of that name there with these bytes.
std::filesystem::path scratchFile(const char* name, const std::string& bytes);
std::string bytesOf(const std::filesystem::path& file);

} // namespace fuzz
