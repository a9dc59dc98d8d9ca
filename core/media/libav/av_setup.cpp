#include "core/media/libav/av_setup.h"
#include "core/media/libav/av_handles.h"
#include <array>
#include <cstdarg>
#include <string_view>

extern "C" {
#include <libavutil/avstring.h>
#include <libavutil/log.h>
#include <libavutil/mem.h>
}

namespace media {

const char* const allowedContainers =
    "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,avi,mpegts,mpeg,mpegvideo,flv,asf,mxf,nut,ogg,ivf,obu,av1,h264,hevc,m4v,"
    "mjpeg,vc1,dv,yuv4mpegpipe,dirac";

const char* const allowedDecoders =
    "h264,hevc,vp8,vp9,libdav1d,av1,mpeg1video,mpeg2video,mpegvideo,mpeg4,msmpeg4v1,msmpeg4v2,msmpeg4,h263,h263p,flv,"
    "wmv1,wmv2,wmv3,vc1,mjpeg,mjpegb,ljpeg,jpegls,jpeg2000,libopenjpeg,prores,dnxhd,cfhd,ffv1,huffyuv,ffvhuff,hymt,"
    "utvideo,magicyuv,rawvideo,v210,v210x,v308,v408,v410,r210,r10k,yuv4,ayuv,y41p,dvvideo,dirac,theora,qtrle,"
    "png,tiff,bmp,lagarith";

namespace {

std::string lineOf(void* context, int level, const char* format, std::va_list arguments)
{
    std::array<char, 512> line{};
    int printPrefix = 0;
    av_log_format_line2(context, level, format, arguments, line.data(), static_cast<int>(line.size()), &printPrefix);
    std::string text = line.data();
    while (!text.empty() && (text.back() == '\n' || text.back() == ' '))
        text.pop_back();
    return text;
}

/// Bookkeeping about pictures before the file's beginning that were to be forgotten. Where one of them is really
/// needed, the decoder says so in other words.
bool isHarmless(const char* format) { return std::string_view(format).starts_with("mmco:"); }

/// Said in a low voice, but pictures are wrong after it.
bool isGrave(const char* format)
{
    const std::string_view text(format);
    return text.starts_with("concealing ") || text.starts_with("Frame num gap");
}

void listen(void* context, int level, const char* format, std::va_list arguments)
{
    if (!context || (level > AV_LOG_ERROR && !isGrave(format)))
        return;
    const AVClass* type = *static_cast<const AVClass**>(context);
    if (type == avcodec_get_class()) {
        const auto* decoder = static_cast<AVCodecContext*>(context); // `opaque` is copied into libav's frame threads
        if (decoder->opaque && !isHarmless(format))
            static_cast<Complaints*>(decoder->opaque)->add(lineOf(context, level, format, arguments), -1);
    } else if (type == avformat_get_class()) {
        const auto* container = static_cast<AVFormatContext*>(context);
        if (container->opaque)
            static_cast<Complaints*>(container->opaque)
                ->add(lineOf(context, level, format, arguments), container->pb ? avio_tell(container->pb) : -1);
    }
}

} // namespace

void Complaints::add(const std::string& text, std::int64_t position)
{
    constexpr std::size_t mostPositions = 10000;
    const std::lock_guard lock(m_mutex);
    m_latest = text;
    if (m_positions.size() < mostPositions)
        m_positions.push_back(position);
    ++m_count;
}

std::vector<std::int64_t> Complaints::positions() const
{
    const std::lock_guard lock(m_mutex);
    return m_positions;
}

void Complaints::clear()
{
    const std::lock_guard lock(m_mutex);
    m_latest.clear();
    m_positions.clear();
    m_count = 0;
}

std::string Complaints::latest() const
{
    const std::lock_guard lock(m_mutex);
    return m_latest;
}

void setUpLibav()
{
    static std::once_flag once;
    std::call_once(once, [] {
        av_log_set_callback(listen);
        av_max_alloc(largestAllocation);
    });
}

bool isAmong(const char* names, const char* list) { return av_match_list(names, list, ',') > 0; }

std::string reasonOf(int rc)
{
    std::array<char, AV_ERROR_MAX_STRING_SIZE> text{};
    av_strerror(rc, text.data(), text.size());
    return text.data();
}

int check(int rc, const std::string& doing)
{
    if (rc < 0)
        throw core::Error(core::ErrorKind::Unreadable, doing + ": " + reasonOf(rc) + ".");
    return rc;
}

} // namespace media
