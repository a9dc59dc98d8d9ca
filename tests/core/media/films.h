#pragma once
#include <filesystem>

/// Where films that tests share are kept between runs: making them takes longer than checking them.
std::filesystem::path filmCache();
