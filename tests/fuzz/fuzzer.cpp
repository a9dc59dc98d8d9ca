// What libFuzzer calls.
//     fuzzer --target=NAME [--seeds=FOLDER] [libFuzzer's own options] CORPUS
// writes the target's seeds into FOLDER before it begins.
#include "tests/fuzz/target.h"
#include <algorithm>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string_view>

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* bytes, std::size_t size, std::size_t most);

namespace {

const fuzz::Target* target = nullptr;

void write(const std::filesystem::path& folder)
{
    std::filesystem::create_directories(folder);
    const std::vector<std::string> seeds = target->seeds();
    for (std::size_t i = 0; i < seeds.size(); ++i)
        std::ofstream(folder / ("seed-" + std::to_string(i)), std::ios::binary) << seeds[i];
}

} // namespace

extern "C" int LLVMFuzzerInitialize(int* count, char*** arguments)
{
    std::string_view name, seeds;
    for (int i = 1; i < *count; ++i) {
        const std::string_view argument = (*arguments)[i];
        if (argument.starts_with("--target="))
            name = argument.substr(argument.find('=') + 1);
        if (argument.starts_with("--seeds="))
            seeds = argument.substr(argument.find('=') + 1);
    }
    const auto found = std::ranges::find(fuzz::targets(), name, &fuzz::Target::name);
    if (found == fuzz::targets().end()) {
        std::fprintf(stderr, "--target= takes one of:\n");
        for (const fuzz::Target& each : fuzz::targets())
            std::fprintf(stderr, "%s\n", each.name);
        std::exit(2);
    }
    target = &*found;
    if (!seeds.empty())
        write(seeds);
    return 0;
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size)
{
    target->run(std::string(reinterpret_cast<const char*>(bytes), size));
    return 0;
}

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* bytes, std::size_t size, std::size_t most, unsigned seed)
{
    fuzz::Random random(seed);
    if (target->change && random() % 2 == 0) {
        const std::string changed = target->change(std::string(reinterpret_cast<const char*>(bytes), size), random);
        if (!changed.empty() && changed.size() <= most) {
            std::copy(changed.begin(), changed.end(), bytes);
            return changed.size();
        }
    }
    return LLVMFuzzerMutate(bytes, size, most);
}
