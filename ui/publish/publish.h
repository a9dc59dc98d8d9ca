#pragma once
#include "core/session/document.h"
#include <filesystem>
#include <string>
#include <vector>

namespace ui {

/// Writes every product of a session into `folder`, which is made when it isn't there: comparison-chart.png,
/// comparison-chart.svg, results.csv, uncertainty.csv, trials.csv, agreement.csv, sentences.txt, method-note.txt. All
/// of them are written beside their names first and take these together at the end; a failure leaves the earlier ones
/// as they were. Equal sessions give equal bytes. Needs a QGuiApplication, no screen. `programVersion` goes into the
/// method note. Returns the files in that order. Throws core::Error (WriteFailed).
std::vector<std::filesystem::path> publish(const session::Document& document, const std::filesystem::path& folder,
                                           const std::string& programVersion);

} // namespace ui
