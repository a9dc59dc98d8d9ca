#pragma once
#include <QImage>
#include <QObject>
#include "core/media/cache/cached_picture.h"
#include "ui/model/worker.h"
#include <functional>
#include <map>
#include <optional>

namespace ui {

struct RenderRequest {
    media::CachedPicture picture; ///< one that shows the view
    media::View view;
    std::optional<media::Rect> measured; ///< its brightness comes with the image, where it can be told
    qint64 frame = 0;                    ///< the caller's own, handed back
    quint64 tag = 0;                     ///< as `frame`
};

struct RenderResult {
    QImage image; ///< turned upright, device pixels; null when `fault` says why
    QString fault;
    media::View view;
    std::optional<media::RegionLevels> levels;
    qint64 frame = 0;
    quint64 tag = 0;
};

/// Renders pictures for one widget off the window's thread. Each of the widget's pictures has a slot; of a slot's
/// requests only the latest counts. Results come on the window's thread, in the order of the requests.
class PictureRenderer : public QObject {
public:
    using Done = std::function<void(int slot, const RenderResult&)>;
    explicit PictureRenderer(Done done) : m_done(std::move(done)) {}

    void request(int slot, RenderRequest request);
    void drop(int slot); ///< what hasn't begun yet

private:
    void renderNext();

    Done m_done;
    std::mutex m_mutex;
    std::map<int, RenderRequest> m_pending;
    Worker m_worker{0}; ///< last: its thread ends before the rest goes
};

} // namespace ui
