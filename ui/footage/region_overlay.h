#pragma once
#include "core/session/capture.h"
#include "ui/footage/picture_geometry.h"
#include <QString>
#include <QVector>
#include <vector>

class QPainter;

namespace ui {

/// A region as it is drawn over footage.
struct ShownRegion {
    session::RegionKind kind = session::RegionKind::Lamp;
    media::Rect rect;  ///< native
    QString name;      ///< on its label
    bool inUse = true; ///< of the trial at hand; others are drawn thinner
};

/// Lamp solid, screen dashed, cased 1 px black, labels beside them. Always in the dark pair of colours.
void paintRegions(QPainter&, const ViewMapping&, const QVector<ShownRegion>&);
/// The region being drawn, with its handles.
void paintDraft(QPainter&, const ViewMapping&, session::RegionKind, const media::Rect&);
/// One line around blocks that lie side by side, native.
void paintBlocks(QPainter&, const ViewMapping&, const std::vector<media::Rect>& blocks);

} // namespace ui
