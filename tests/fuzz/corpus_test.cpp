// Seeds, what was ever found, and changes of them by seeded chance: a few hundred of each target, or as many as
// TALLYFRAME_FUZZ_RUNS says. Without the guidance and sanitizers of libFuzzer these take a hundredth of its time.
#include "tests/fuzz/target.h"
#include <QtGlobal>
#include <catch2/catch.hpp>

namespace {

std::string changedBytes(std::string input, fuzz::Random& random)
{
    const auto below = [&](std::size_t bound) { return static_cast<std::size_t>(random() % bound); };
    for (std::size_t times = 1 + below(4); times > 0 && !input.empty(); --times) {
        const std::size_t at = below(input.size());
        switch (below(5)) {
        case 0: input[at] = static_cast<char>(random()); break;
        case 1: input[at] = static_cast<char>(input[at] ^ (1 << below(8))); break;
        case 2: input.resize(at); break;
        case 3: input.insert(at, input.substr(below(input.size()), below(40))); break;
        default: input.replace(at, std::min<std::size_t>(4, input.size() - at), 4, below(2) ? '\xff' : '\0');
        }
    }
    return input;
}

} // namespace

TEST_CASE("any bytes are survived where others' bytes are read", "[fuzz]")
{
    const std::filesystem::path found = TALLYFRAME_FINDINGS;
    bool isSet = false;
    const int asked = qEnvironmentVariableIntValue("TALLYFRAME_FUZZ_RUNS", &isSet), runs = isSet ? asked : 300;
    for (const fuzz::Target& target : fuzz::targets()) {
        DYNAMIC_SECTION(target.name)
        {
            std::vector<std::string> inputs = target.seeds();
            REQUIRE_FALSE(inputs.empty());
            if (std::filesystem::exists(found / target.name))
                for (const auto& file : std::filesystem::directory_iterator(found / target.name))
                    inputs.push_back(fuzz::bytesOf(file.path()));
            for (const std::string& input : inputs)
                REQUIRE_NOTHROW(target.run(input));
            fuzz::Random random(20261130);
            for (int i = 0; i < runs; ++i) {
                const std::string& input = inputs[random() % inputs.size()];
                std::string changed = target.change && i % 2 == 0 ? target.change(input, random) : std::string();
                if (changed.empty())
                    changed = changedBytes(input, random);
                REQUIRE_NOTHROW(target.run(changed));
            }
            if (isSet)
                WARN(target.name << ": " << runs << " changed inputs, no finding");
        }
    }
}
