#include "tests/core/media/films.h"

std::filesystem::path filmCache()
{
    return std::filesystem::temp_directory_path() / "tallyframe_films";
}
