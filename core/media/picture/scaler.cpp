#include "core/media/picture/scaler.h"
#include <algorithm>
#include <array>
#include <cstdlib>
#include <cstring>
#include <list>

namespace media {
namespace {

const std::string doing = "The picture can't be converted for display";

struct Conversion {
    Size from;
    AVPixelFormat format = AV_PIX_FMT_NONE;
    Size to;
    int flags = 0;
    int matrix = SWS_CS_ITU601;
    bool fullRange = false;
    bool operator==(const Conversion&) const = default;
};

ScalerPtr makeScaler(const Conversion& c)
{
    auto scaler = ScalerPtr(sws_getContext(c.from.width, c.from.height, c.format, c.to.width, c.to.height,
                                           AV_PIX_FMT_RGB24, c.flags, nullptr, nullptr, nullptr));
    if (!scaler)
        throw core::Error(core::ErrorKind::Unsupported, doing + ": its pixel format is unknown here.");
    constexpr int one = 1 << 16;
    // Fails only where there is nothing to set, as from RGB.
    sws_setColorspaceDetails(scaler.get(), sws_getCoefficients(c.matrix), c.fullRange, sws_getCoefficients(c.matrix), 1,
                             0, one, one);
    return scaler;
}

/// Setting one up takes longer than converting a small region, so each thread keeps the latest few.
SwsContext& scalerFor(const Conversion& conversion)
{
    constexpr std::size_t kept = 8;
    thread_local std::list<std::pair<Conversion, ScalerPtr>> scalers;
    auto it =
        std::find_if(scalers.begin(), scalers.end(), [&](const auto& entry) { return entry.first == conversion; });
    if (it == scalers.end()) {
        scalers.emplace_front(conversion, makeScaler(conversion));
        if (scalers.size() > kept)
            scalers.pop_back();
    } else {
        scalers.splice(scalers.begin(), scalers, it);
    }
    return *scalers.front().second;
}

int matrixOf(const AVFrame& frame)
{
    switch (colourSpaceOf(frame)) {
    case AVCOL_SPC_FCC: return SWS_CS_FCC;
    case AVCOL_SPC_BT470BG:
    case AVCOL_SPC_SMPTE170M: return SWS_CS_ITU601;
    case AVCOL_SPC_SMPTE240M: return SWS_CS_SMPTE240M;
    case AVCOL_SPC_BT2020_NCL:
    case AVCOL_SPC_BT2020_CL: return SWS_CS_BT2020;
    default: return SWS_CS_ITU709;
    }
}

/// The old names for full range, which libswscale accepts only grudgingly.
AVPixelFormat withoutRange(AVPixelFormat format, bool& fullRange)
{
    static constexpr std::array<std::pair<AVPixelFormat, AVPixelFormat>, 5> names{{
        {AV_PIX_FMT_YUVJ420P, AV_PIX_FMT_YUV420P},
        {AV_PIX_FMT_YUVJ422P, AV_PIX_FMT_YUV422P},
        {AV_PIX_FMT_YUVJ444P, AV_PIX_FMT_YUV444P},
        {AV_PIX_FMT_YUVJ440P, AV_PIX_FMT_YUV440P},
        {AV_PIX_FMT_YUVJ411P, AV_PIX_FMT_YUV411P},
    }};
    for (const auto& [old, current] : names) {
        if (format == old) {
            fullRange = true;
            return current;
        }
    }
    return format;
}

int flagsFor(Size from, Size to, Quality quality)
{
    // Averaging where the picture shrinks, no overshoot where it grows: what lights up must not ring.
    const bool shrinks = to.width < from.width || to.height < from.height;
    if (quality == Quality::Fast)
        return SWS_BILINEAR;
    return (shrinks ? SWS_AREA : SWS_BILINEAR) | SWS_ACCURATE_RND | SWS_FULL_CHR_H_INT | SWS_FULL_CHR_H_INP;
}

RgbImage run(const Conversion& conversion, const std::array<const std::uint8_t*, 4>& planes,
             const std::array<int, 4>& strides)
{
    // libswscale writes whole vectors, past the end of a row that isn't a multiple of them.
    constexpr std::size_t slack = 64;
    const Size size = conversion.to;
    const std::size_t rowBytes = std::size_t{3} * static_cast<std::size_t>(size.width);
    const std::size_t paddedRow = (rowBytes + slack - 1) / slack * slack;
    RgbImage image{size.width, size.height, {}};
    const bool direct = paddedRow == rowBytes;
    std::vector<std::uint8_t> padded;
    if (direct)
        image.pixels.resize(rowBytes * static_cast<std::size_t>(size.height));
    else
        padded.resize(paddedRow * static_cast<std::size_t>(size.height) + slack);
    const std::array<std::uint8_t*, 4> target{direct ? image.pixels.data() : padded.data(), nullptr, nullptr, nullptr};
    const std::array<int, 4> targetStrides{static_cast<int>(paddedRow), 0, 0, 0};
    check(sws_scale(&scalerFor(conversion), planes.data(), strides.data(), 0, conversion.from.height, target.data(),
                    targetStrides.data()),
          doing);
    if (!direct) {
        image.pixels.reserve(rowBytes * static_cast<std::size_t>(size.height));
        for (std::size_t y = 0; y < static_cast<std::size_t>(size.height); ++y) {
            const std::uint8_t* row = padded.data() + y * paddedRow;
            image.pixels.insert(image.pixels.end(), row, row + rowBytes);
        }
    }
    return image;
}

/// Grey is full range to libswscale whatever the frame says.
void expandGrey(RgbImage& image)
{
    for (std::uint8_t& sample : image.pixels)
        sample = static_cast<std::uint8_t>(std::clamp((sample - 16) * 255 / 219.0 + 0.5, 0.0, 255.0));
}

bool hasWholeChroma(const AVFrame& frame, Size size)
{
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(static_cast<AVPixelFormat>(frame.format));
    return !kind || (size.width % (1 << kind->log2_chroma_w) == 0 && size.height % (1 << kind->log2_chroma_h) == 0);
}

/// Where `source` begins in a plane.
const std::uint8_t* planeAt(const AVFrame& frame, const AVPixFmtDescriptor& kind, const Rect& source, int plane)
{
    const int y = plane == 1 || plane == 2 ? source.y >> kind.log2_chroma_h : source.y;
    return frame.data[plane] + std::ptrdiff_t{frame.linesize[plane]} * y
           + (source.x > 0 ? av_image_get_linesize(static_cast<AVPixelFormat>(frame.format), source.x, plane) : 0);
}

/// `source` with its last column and row doubled until its chroma samples are whole: libswscale would stretch them over
/// an odd width.
FramePtr withWholeChroma(const AVFrame& frame, const Rect& source)
{
    const auto format = static_cast<AVPixelFormat>(frame.format);
    const AVPixFmtDescriptor& kind = *av_pix_fmt_desc_get(format);
    FramePtr copy = newFrame();
    copy->format = frame.format;
    copy->width = AV_CEIL_RSHIFT(source.width, kind.log2_chroma_w) << kind.log2_chroma_w;
    copy->height = AV_CEIL_RSHIFT(source.height, kind.log2_chroma_h) << kind.log2_chroma_h;
    check(av_frame_get_buffer(copy.get(), 0), doing);
    check(av_frame_copy_props(copy.get(), &frame), doing);
    const int planes = av_pix_fmt_count_planes(format);
    for (int plane = 0; plane < planes; ++plane) {
        const bool chroma = plane == 1 || plane == 2;
        const int rows = chroma ? AV_CEIL_RSHIFT(source.height, kind.log2_chroma_h) : source.height;
        const int pixel = kind.comp[plane].step;
        // One plane: pixels come in pairs that share their chroma, the last pair is whole in memory.
        const int bytes = planes == 1
                              ? std::min(std::abs(frame.linesize[0]), av_image_get_linesize(format, copy->width, 0))
                              : av_image_get_linesize(format, source.width, plane);
        const std::uint8_t* from = planeAt(frame, kind, source, plane);
        for (int y = 0; y < (chroma ? rows : copy->height); ++y) {
            std::uint8_t* to = copy->data[plane] + std::ptrdiff_t{copy->linesize[plane]} * y;
            std::memcpy(to, from + std::ptrdiff_t{frame.linesize[plane]} * std::min(y, rows - 1),
                        static_cast<std::size_t>(bytes));
            if (!chroma && planes > 1)
                for (int x = source.width; x < copy->width; ++x)
                    std::memcpy(to + std::ptrdiff_t{pixel} * x, to + std::ptrdiff_t{pixel} * (x - 1),
                                static_cast<std::size_t>(pixel));
        }
    }
    return copy;
}

/// Converts `source`, which begins and ends at whole chroma samples.
RgbImage convert(const AVFrame& frame, const Rect& source, Size target, Quality quality)
{
    const auto format = static_cast<AVPixelFormat>(frame.format);
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(format);
    if (!kind || (kind->flags & AV_PIX_FMT_FLAG_HWACCEL))
        throw core::Error(core::ErrorKind::Unsupported, doing + ": its pixel format is unknown here.");
    Conversion conversion;
    conversion.from = {source.width, source.height};
    conversion.to = target;
    conversion.fullRange = frame.color_range == AVCOL_RANGE_JPEG;
    conversion.format = withoutRange(format, conversion.fullRange);
    conversion.flags = flagsFor(conversion.from, target, quality);
    conversion.matrix = matrixOf(frame);

    std::array<const std::uint8_t*, 4> planes{};
    std::array<int, 4> strides{};
    const int count = av_pix_fmt_count_planes(format);
    for (int plane = 0; plane < count; ++plane) {
        planes[plane] = planeAt(frame, *kind, source, plane);
        strides[plane] = frame.linesize[plane];
    }
    if (kind->flags & AV_PIX_FMT_FLAG_PAL)
        planes[1] = frame.data[1];
    RgbImage image = run(conversion, planes, strides);
    const bool grey = kind->nb_components <= 2 && !(kind->flags & (AV_PIX_FMT_FLAG_RGB | AV_PIX_FMT_FLAG_PAL));
    if (grey && frame.color_range == AVCOL_RANGE_MPEG)
        expandGrey(image);
    return image;
}

RgbImage cut(const RgbImage& image, const Rect& part)
{
    if (part == Rect{0, 0, image.width, image.height})
        return image;
    RgbImage result{part.width, part.height, {}};
    const std::size_t rowBytes = std::size_t{3} * static_cast<std::size_t>(part.width);
    result.pixels.reserve(rowBytes * static_cast<std::size_t>(part.height));
    for (int y = part.y; y < part.y + part.height; ++y) {
        const std::uint8_t* row =
            image.pixels.data() + std::size_t{3} * (std::size_t(y) * std::size_t(image.width) + std::size_t(part.x));
        result.pixels.insert(result.pixels.end(), row, row + rowBytes);
    }
    return result;
}

} // namespace

AVColorSpace colourSpaceOf(const AVFrame& frame)
{
    switch (frame.colorspace) {
    case AVCOL_SPC_BT709:
    case AVCOL_SPC_FCC:
    case AVCOL_SPC_BT470BG:
    case AVCOL_SPC_SMPTE170M:
    case AVCOL_SPC_SMPTE240M:
    case AVCOL_SPC_BT2020_NCL:
    case AVCOL_SPC_BT2020_CL: return frame.colorspace;
    default: return frame.height < 720 ? AVCOL_SPC_SMPTE170M : AVCOL_SPC_BT709;
    }
}

Rect withSurroundings(const Rect& source, Size picture)
{
    constexpr int margin = 8, alignX = 8, alignY = 4; // the chroma filters' reach
    const int left = std::max(0, source.x - margin) / alignX * alignX;
    const int top = std::max(0, source.y - margin) / alignY * alignY;
    const int right = std::min(picture.width, (source.x + source.width + margin + alignX - 1) / alignX * alignX);
    const int bottom = std::min(picture.height, (source.y + source.height + margin + alignY - 1) / alignY * alignY);
    return {left, top, right - left, bottom - top};
}

RgbImage toRgb(const AVFrame& frame, const Rect& source, Size target, Quality quality)
{
    const Size size{source.width, source.height};
    if (source == Rect{0, 0, frame.width, frame.height} && hasWholeChroma(frame, size))
        return convert(frame, source, target, quality);
    // A region is the same pixels as in the whole picture: converted with its surroundings, then cut, then scaled.
    const Rect outer = withSurroundings(source, {frame.width, frame.height});
    RgbImage around;
    if (hasWholeChroma(frame, {outer.width, outer.height})) {
        around = convert(frame, outer, {outer.width, outer.height}, quality);
    } else {
        const FramePtr whole = withWholeChroma(frame, outer);
        const Size even{whole->width, whole->height};
        around = convert(*whole, {0, 0, even.width, even.height}, even, quality);
    }
    RgbImage region = cut(around, {source.x - outer.x, source.y - outer.y, source.width, source.height});
    return target == size ? region : scaleSmoothly(region, target, quality);
}

RgbImage scaleSmoothly(const RgbImage& image, Size target, Quality quality)
{
    Conversion conversion;
    conversion.from = {image.width, image.height};
    conversion.format = AV_PIX_FMT_RGB24;
    conversion.to = target;
    conversion.flags = flagsFor(conversion.from, target, quality);
    conversion.fullRange = true;
    return run(conversion, {image.pixels.data(), nullptr, nullptr, nullptr}, {3 * image.width, 0, 0, 0});
}

} // namespace media
