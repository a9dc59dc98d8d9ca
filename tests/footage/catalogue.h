#pragma once
// One small film for every kind of file that has ever made frame access go wrong, each with the truth about it. The
// truth comes from how the film is put together: every picture shows its number.
#include "tests/footage/spec.h"
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace footage {

struct CatalogueFile {
    std::filesystem::path path; ///< a file, or a folder of pictures
    std::vector<int> barcodes;  ///< number shown by each presented frame, in order
    /// More pictures that may come after `barcodes`, damaged: the film breaks off within them.
    int damagedTail = 0;
    std::vector<double>
        stamps;       ///< seconds, one a frame, before the container rounds them to its time base; empty: unknown
    int stream = -1;  ///< the container's number of the stream to choose; -1: the one that opens by itself
    int rotation = 0; ///< clockwise degrees to turn for display
    Ratio pixelAspect{1, 1};
};

struct CatalogueEntry {
    std::string name; ///< fit for a file name, unique
    std::string trap; ///< what goes wrong with it, one line
    /// Makes the film in a folder of its own within `cache`, or finds it there from last time.
    /// Throws std::runtime_error, naming the program to install where the film needs one that isn't there.
    std::function<CatalogueFile(const std::filesystem::path& cache)> make;
};

std::vector<CatalogueEntry> catalogue();

} // namespace footage
