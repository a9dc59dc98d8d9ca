#include "core/media/cache/cached_picture.h"
#include "core/media/libav/av_handles.h"
#include "core/media/libav/frame_store.h"
#include "core/media/picture/scaler.h"
#include <algorithm>
#include <array>
#include <cassert>

namespace media {
namespace {

const std::string reducing = "A picture can't be kept at the screen's scale";

/// Planes of whole samples, which libswscale both reads and writes.
bool canShrink(const AVFrame& frame)
{
    const auto format = static_cast<AVPixelFormat>(frame.format);
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(format);
    constexpr std::uint64_t others =
        AV_PIX_FMT_FLAG_PAL | AV_PIX_FMT_FLAG_BITSTREAM | AV_PIX_FMT_FLAG_HWACCEL | AV_PIX_FMT_FLAG_BAYER;
    return kind && !(kind->flags & others) && sws_isSupportedInput(format) && sws_isSupportedOutput(format);
}

/// Colours that the picture doesn't name are guessed by its height, which a part of it hasn't.
void nameColours(AVFrame& part, const AVFrame& of)
{
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(static_cast<AVPixelFormat>(of.format));
    if (kind && !(kind->flags & AV_PIX_FMT_FLAG_RGB))
        part.colorspace = colourSpaceOf(of);
}

Picture shrunk(const AVFrame& frame, Size to)
{
    struct Kind {
        int format = -1;
        Size from, to;
        bool operator==(const Kind&) const = default;
    };
    thread_local Kind kind;
    thread_local ScalerPtr scaler;
    const auto format = static_cast<AVPixelFormat>(frame.format);
    if (const Kind wanted{frame.format, {frame.width, frame.height}, to}; !scaler || !(wanted == kind)) {
        scaler.reset(sws_getContext(frame.width, frame.height, format, to.width, to.height, format, SWS_AREA, nullptr,
                                    nullptr, nullptr));
        kind = wanted;
        if (!scaler)
            throw core::Error(core::ErrorKind::Unsupported, reducing + ": its pixel format is unknown here.");
    }
    FramePtr small = FrameStore::shared().blank(frame.format, to.width, to.height);
    check(av_frame_copy_props(small.get(), &frame), reducing);
    check(sws_scale(scaler.get(), frame.data, frame.linesize, 0, frame.height, small->data, small->linesize), reducing);
    nameColours(*small, frame);
    return Picture(std::move(small));
}

Picture cutOut(const AVFrame& frame, const Rect& rect)
{
    FramePtr part(av_frame_clone(&frame));
    if (!part)
        throw core::Error(core::ErrorKind::Unreadable, reducing + ": there is not enough memory.");
    part->crop_left = static_cast<std::size_t>(rect.x);
    part->crop_top = static_cast<std::size_t>(rect.y);
    part->crop_right = static_cast<std::size_t>(frame.width - rect.x - rect.width);
    part->crop_bottom = static_cast<std::size_t>(frame.height - rect.y - rect.height);
    check(av_frame_apply_cropping(part.get(), AV_FRAME_CROP_UNALIGNED), reducing);
    FramePtr copy = FrameStore::shared().copyOf(*part);
    nameColours(*copy, frame);
    return Picture(std::move(copy));
}

bool holds(const Rect& outer, const Rect& inner)
{
    return inner.x >= outer.x && inner.y >= outer.y && inner.x + inner.width <= outer.x + outer.width
           && inner.y + inner.height <= outer.y + outer.height;
}

Rect shifted(Rect rect, const Rect& origin)
{
    rect.x -= origin.x;
    rect.y -= origin.y;
    return rect;
}

/// What a view that names no source shows.
Rect sourceOf(const View& view, Size size)
{
    return view.source.width <= 0 || view.source.height <= 0 ? Rect{0, 0, size.width, size.height}
                                                             : clipped(view.source, size);
}

std::vector<Rect> cropsOf(const Reduction& how, Size size)
{
    std::vector<Rect> rects;
    for (const Rect& rect : how.whole)
        if (const Rect kept = clipped(rect, size); kept.width > 0)
            rects.push_back(withSurroundings(kept, size));
    return rects;
}

} // namespace

std::size_t CachedPicture::reducedBytes(const Picture& native, const Reduction& how)
{
    if (!native || how.factor < 2 || !canShrink(native.native()))
        return 0;
    const Size size = native.size();
    const double all = static_cast<double>(size.width) * size.height;
    double share = 1.0 / (static_cast<double>(how.factor) * how.factor);
    for (const Rect& rect : cropsOf(how, size))
        share += static_cast<double>(rect.width) * rect.height / all;
    constexpr double worthwhile = 0.6; // of the native picture
    return share > worthwhile ? 0 : static_cast<std::size_t>(share * static_cast<double>(native.bytes()));
}

CachedPicture CachedPicture::reduced(const Picture& native, const Reduction& how, std::uint64_t hash)
{
    if (reducedBytes(native, how) == 0)
        return {};
    const AVFrame& frame = native.native();
    auto reduced = std::make_shared<Reduced>();
    reduced->size = native.size();
    reduced->factor = how.factor;
    reduced->hash = hash;
    reduced->small = shrunk(frame, {std::max(1, frame.width / how.factor), std::max(1, frame.height / how.factor)});
    for (const Rect& rect : cropsOf(how, reduced->size))
        reduced->crops.push_back({rect, cutOut(frame, rect)});
    CachedPicture kept;
    kept.m_reduced = std::move(reduced);
    return kept;
}

Size CachedPicture::size() const { return m_reduced ? m_reduced->size : m_native.size(); }

std::size_t CachedPicture::bytes() const
{
    if (!m_reduced)
        return m_native.bytes();
    std::size_t sum = m_reduced->small.bytes();
    for (const Crop& crop : m_reduced->crops)
        sum += crop.picture.bytes();
    return sum;
}

std::uint64_t CachedPicture::hash() const { return m_reduced ? m_reduced->hash : m_native.hash(); }

bool CachedPicture::operator==(const CachedPicture& other) const
{
    if (m_reduced || other.m_reduced)
        return m_reduced == other.m_reduced;
    return bool(m_native) == bool(other.m_native) && (!m_native || &m_native.native() == &other.m_native.native());
}

const CachedPicture::Crop* CachedPicture::cropWith(const Rect& rect) const
{
    for (const Crop& crop : m_reduced->crops)
        if (holds(crop.rect, rect))
            return &crop;
    return nullptr;
}

bool CachedPicture::shows(const View& view) const
{
    if (!m_reduced)
        return static_cast<bool>(m_native);
    const Rect source = sourceOf(view, m_reduced->size);
    if (source.width == 0 || cropWith(withSurroundings(source, m_reduced->size)))
        return true;
    const Size target =
        view.target.width <= 0 || view.target.height <= 0 ? Size{source.width, source.height} : view.target;
    const int factor = m_reduced->factor; // what doesn't divide evenly makes up to one kept pixel
    return view.smooth && std::int64_t{target.width} * factor < std::int64_t{source.width} + factor
           && std::int64_t{target.height} * factor < std::int64_t{source.height} + factor;
}

RgbImage CachedPicture::render(const View& view) const
{
    if (!m_reduced)
        return media::render(m_native, view);
    assert(shows(view));
    const Size size = m_reduced->size;
    View inner = view;
    inner.source = sourceOf(view, size);
    if (inner.source.width == 0)
        return {};
    if (view.target.width <= 0 || view.target.height <= 0)
        inner.target = {inner.source.width, inner.source.height};
    if (const Crop* crop = cropWith(withSurroundings(inner.source, size))) {
        inner.source = shifted(inner.source, crop->rect);
        return media::render(crop->picture, inner);
    }
    const Size small = m_reduced->small.size();
    const auto scaled = [](int at, int kept, int native) {
        return static_cast<int>((std::int64_t{at} * kept + native / 2) / native);
    };
    const Rect all = inner.source;
    const int left = scaled(all.x, small.width, size.width), top = scaled(all.y, small.height, size.height);
    inner.source = {left, top, std::max(1, scaled(all.x + all.width, small.width, size.width) - left),
                    std::max(1, scaled(all.y + all.height, small.height, size.height) - top)};
    return media::render(m_reduced->small, inner);
}

std::optional<RegionLevels> CachedPicture::measure(const Rect& region) const
{
    if (!m_reduced)
        return m_native ? std::optional(media::measure(m_native, region)) : std::nullopt;
    const Rect kept = clipped(region, m_reduced->size);
    if (kept.width == 0)
        return RegionLevels{};
    const Crop* crop = cropWith(kept);
    return crop ? std::optional(media::measure(crop->picture, shifted(kept, crop->rect))) : std::nullopt;
}

} // namespace media
