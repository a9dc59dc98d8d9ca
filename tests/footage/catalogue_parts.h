#pragma once
#include "tests/footage/catalogue.h"
#include "tests/footage/footage.h"

namespace footage {

/// Entry before caching: makes the film in `folder`, which is new and empty.
struct Recipe {
    std::string name, trap;
    std::function<CatalogueFile(const std::filesystem::path& folder)> make;
};

// catalogue_codecs.cpp, catalogue_containers.cpp, catalogue_edited.cpp, catalogue_foreign.cpp
void addCodecRecipes(std::vector<Recipe>& recipes);
void addContainerRecipes(std::vector<Recipe>& recipes);
void addEditedRecipes(std::vector<Recipe>& recipes);
void addForeignRecipes(std::vector<Recipe>& recipes);

/// Small pattern film of `frames` frames, always three B-frames in a row.
Spec patternSpec(int frames = 60);

/// `text` at its spaces.
std::vector<std::string> words(const std::string& text);

/// `from` in Matroska at `to`, by mkvmerge: `options` come before the last of its arguments, `from`.
void mkvmerge(const std::vector<std::string>& options, const std::filesystem::path& from,
              const std::filesystem::path& to);
/// `from` through a pipeline of GStreamer's elements ("h264parse ! mpegtsmux") to `to`.
void gstreamer(const std::filesystem::path& from, const std::string& elements, const std::filesystem::path& to);
void ffmpeg(const std::vector<std::string>& arguments, const std::filesystem::path& to);

/// Films `spec` into folder/file and says what is to be seen.
CatalogueFile film(const Spec& spec, const std::filesystem::path& folder, const std::string& file);

} // namespace footage
