#pragma once
#include "core/analysis/results.h"
#include <filesystem>
#include <string>
#include <vector>

namespace report {

/// Results of another session as one of ours keeps them, worked out anew by this program from its file alone; path,
/// numbers and time are given by who takes it in. Blocks: never on the window's thread. Throws core::Error: as
/// session::readSession() (NotFound, Malformed, Unsupported), Unreadable, Refused where it holds no trial or is `own`,
/// the file of the session that is to show it (may be empty).
session::EarlierSession readEarlierSession(const std::filesystem::path& file, const std::filesystem::path& own);

/// "“Spring bench” of 2026-03-01: 960 camera frames a second, first visible change."
std::string earlierMethod(const session::EarlierSession&);
/// By what way its rows are compared, or that they aren't: "Compared by way of Direct, measured in both (31.3 ms here,
/// 33.0 ms there), each by itself at 95 %."
std::string bridgeSentence(const analysis::Results&, const analysis::EarlierResults&);
/// In sentences: "Wireless bridge (earlier, “Spring bench”)".
std::string earlierName(const analysis::EarlierResults&, const analysis::ConfigurationResult&);

} // namespace report
