#pragma once
#include "core/analysis/results.h"
#include "core/report/published_folder.h"

namespace report {

/// What goes on record in the session once `written` was made of it: session::recordPublication() takes it. Writes the
/// whole session as text for its checksum, so it belongs on a worker.
session::Publication publicationOf(const session::Document& document, const analysis::Results& results,
                                   const std::string& programVersion, const PublishedFolder::Written& written);

} // namespace report
