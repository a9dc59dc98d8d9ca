#pragma once
#include "core/media/index/footage.h"
#include "core/timing/stamp_pieces.h"
#include <QJsonArray>
#include <QJsonObject>

namespace app {

/// What `inspect` says of a file's stamps: pattern, steps, runs and pieces, as numbers; seconds throughout.
QJsonObject stampsToJson(const media::Footage& footage, const timing::StampPattern& pattern,
                         const std::vector<timing::StampPiece>& pieces);
/// The same in lines, only what isn't as it usually is.
void printStamps(const media::Footage& footage, const timing::StampPattern& pattern,
                 const std::vector<timing::StampPiece>& pieces);

QJsonArray ratio(const timing::Rational& value);
QJsonArray framesToJson(const std::vector<timing::FrameNumber>& frames);
QJsonArray gapsToJson(const std::vector<timing::Gap>& gaps);

} // namespace app
