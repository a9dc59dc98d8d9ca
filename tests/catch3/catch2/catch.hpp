#pragma once // the one header of Catch2 2, where Catch2 3 is installed: tests are written for both
#include <catch2/catch_all.hpp>
#include <string>

namespace Catch {

using Matchers::EndsWith;
using Matchers::Predicate;
using Matchers::StartsWith;
using Matchers::WithinAbs;
using Matchers::WithinRel;
using TestEventListenerBase = EventListenerBase;

inline auto Contains(const std::string& part, CaseSensitive sensitive = CaseSensitive::Yes)
{
    return Matchers::ContainsSubstring(part, sensitive);
}

} // namespace Catch

using Catch::Approx; // has no namespace in Catch2 2
