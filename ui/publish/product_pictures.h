#pragma once
#include "ui/publish/products.h"
#include <QImage>

namespace ui {

inline constexpr int productPictureSide = 960; ///< px, of the longer side

/// What a product of productKinds() looks like, made as it is published but smaller: the first of several pictures, a
/// moment halfway through what moves, the beginning of a text. Null where there is nothing to show. Reads footage:
/// belongs on a worker. Throws core::Error where it can't be made, core::Cancelled.
QImage productPicture(const std::string& key, const session::Document& document, const analysis::Results& results,
                      const PublishChoice& choice, const PictureSource& pictures, const std::stop_token& stop);

} // namespace ui
