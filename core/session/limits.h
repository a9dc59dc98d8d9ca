#pragma once
#include <cstddef>
#include <cstdint>

/// Bounds of a session: far above an analyst's work, low enough that a hostile file can't exhaust the machine.
/// Lengths are in characters (code points), counts in things. Ranges of single fields stand in field_tables.h.
namespace session::limits {

inline constexpr std::int64_t number = 9'007'199'254'740'991; ///< 2^53 - 1: exact in every JSON reader
inline constexpr std::size_t name = 500;
inline constexpr std::size_t text = 20'000;
inline constexpr std::size_t path = 4'096;

inline constexpr std::size_t configurations = 1'000;
inline constexpr std::size_t runs = 10'000;
inline constexpr std::size_t errorSources = 10'000;
inline constexpr std::size_t clocks = 1'000;
inline constexpr std::size_t captures = 5'000;
inline constexpr std::size_t trials = 100'000;
inline constexpr std::size_t crops = 800'000;
inline constexpr std::size_t regions = 200;  ///< of a capture
inline constexpr std::size_t readings = 50;  ///< of a trial
inline constexpr std::size_t evidence = 500; ///< of a clock
inline constexpr std::size_t evidenceSources = 20;
inline constexpr std::size_t earlyLooks = 100'000;
inline constexpr std::size_t notes = 1'000;  ///< of a capture
inline constexpr std::size_t rateTags = 200; ///< of a capture
inline constexpr int slowedBy = 1'000;       ///< times that a piece is played slower
inline constexpr std::int64_t frames = 100'000'000;
inline constexpr std::size_t stamps = 5'000'000;  ///< of a capture
inline constexpr std::size_t missing = 1'000'000; ///< of a capture
inline constexpr std::size_t presses = 1'000'000; ///< that a capture proposes
inline constexpr std::size_t unknown = 100'000;   ///< stretches of a capture
inline constexpr std::size_t pieces = 10'000;     ///< of a capture
inline constexpr std::size_t parts = 1'000;       ///< of a capture, the first not counted
inline constexpr int stream = 10'000;             ///< number of a stream in its container
inline constexpr int side = 100'000;              ///< of a picture, in pixels
inline constexpr double offsetMs = 10'000;        ///< shifts and widths that all delays share
inline constexpr std::size_t sheetLines = 10'000; ///< of a run sheet
inline constexpr std::size_t packets = 1'000;
inline constexpr std::size_t publications = 1'000;
inline constexpr std::size_t publishedFiles = 20'000; ///< of a publication
inline constexpr std::size_t earlierSessions = 20;
inline constexpr std::size_t earlierLines = 1'000; ///< of an earlier mean
inline constexpr int planned = 1'000'000;          ///< runs or trials of a configuration
inline constexpr int position = 1'000'000;         ///< of a configuration or capture
inline constexpr double stampSeconds = 1e9;        ///< either way from 0

inline constexpr std::size_t changes = 500'000; ///< of an edit

inline constexpr std::int64_t fileBytes = std::int64_t{256} << 20;
inline constexpr int fileDepth = 32; ///< of lists and objects within each other

} // namespace session::limits
