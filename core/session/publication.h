#pragma once
#include "core/session/ids.h"
#include <optional>
#include <string>
#include <vector>

namespace session {

struct PublishedFile {
    std::string name;   ///< without folder
    std::string sha256; ///< as it was written
    bool operator==(const PublishedFile&) const = default;
};

/// What was said of a configuration, which may have gone since.
struct PublishedFigure {
    ConfigurationId configuration;
    std::string name;
    std::int64_t trials = 0; ///< that counted
    std::optional<double> meanMs{}, lowMs{}, highMs{};
    bool operator==(const PublishedFigure&) const = default;
};

/// On record of what was published, whatever is undone later.
struct Publication {
    PublicationId id;
    std::string time;
    std::string version; ///< of the program
    std::string inputs;  ///< SHA-256 of the session as text, without its publications
    std::vector<PublishedFigure> figures;
    std::vector<PublishedFile> files;
    bool operator==(const Publication&) const = default;
};

} // namespace session
