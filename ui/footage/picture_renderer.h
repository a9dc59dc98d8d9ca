#pragma once
#include <QImage>
#include <QObject>
#include "core/media/cache/cached_picture.h"
#include "core/media/measure/picture_change.h"
#include "ui/model/worker.h"
#include <functional>
#include <map>
#include <memory>
#include <optional>

namespace ui {

/// A region shown as what differs in it from another picture.
struct ChangeRequest {
    media::Picture before;
    media::Rect region; ///< native
    double gain = 4;    ///< of 255 for a change of one level
};

struct RenderRequest {
    media::CachedPicture picture; ///< one that shows the view; native where `change` is asked for
    media::View view;
    std::optional<media::Rect> measured; ///< its brightness comes with the image, where it can be told
    std::optional<ChangeRequest> change; ///< stands in the image in the region's place
    qint64 frame = 0;                    ///< the caller's own, handed back
    quint64 tag = 0;                     ///< as `frame`
    std::shared_ptr<const void> own;     ///< as `frame`
};

struct RenderResult {
    QImage image; ///< turned upright, device pixels; null when `fault` says why
    QString fault;
    media::View view;
    std::optional<media::RegionLevels> levels;
    std::optional<media::PictureChange> change; ///< without its image; empty where the pictures can't be compared
    qint64 frame = 0;
    quint64 tag = 0;
    std::shared_ptr<const void> own;
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
    RenderResult render(const RenderRequest& request);
    void drawChange(const RenderRequest& request, RenderResult& result);

    Done m_done;
    std::mutex m_mutex;
    std::map<int, RenderRequest> m_pending;
    media::ChangeMeter m_changes; ///< for the worker's one thread
    Worker m_worker{0};           ///< last: its thread ends before the rest goes
};

} // namespace ui
