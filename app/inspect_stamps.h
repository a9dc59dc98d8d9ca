#pragma once
#include "core/media/index/footage.h"
#include <QJsonObject>

namespace app {

/// What `inspect` says of a file's stamps: pattern, steps, runs and pieces, as numbers; seconds throughout.
QJsonObject stampsToJson(const media::Footage& footage);
/// The same in lines, only what isn't as it usually is.
void printStamps(const media::Footage& footage);

} // namespace app
