#pragma once
#include "core/session/document.h"
#include <QByteArray>
#include <map>
#include <string>

namespace session {

inline constexpr const char* formatName = "tallyframe session";
inline constexpr int formatVersion = 1;

/// PNG crops by the SHA-256 of their bytes in hex.
using CropBytes = std::map<std::string, QByteArray>;

/// A session as text: UTF-8 JSON, stable order and layout: equal documents give equal bytes.
/// resources/tallyframe-session.schema.json describes it.
QByteArray toJson(const Document&, const CropBytes& crops = {});
/// Throws core::Error: Malformed with one sentence and the place as JSON pointer (or line and column where it isn't
/// JSON at all), Unsupported for a newer version. Bounded sizes and counts; unknown fields are refused by name.
/// `crops` gets those that are in it.
Document fromJson(const QByteArray&, CropBytes* crops = nullptr);

} // namespace session
