#pragma once
extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/display.h>
#include <libavutil/opt.h>
#include <libavutil/pixdesc.h>
}
#include <memory>
#include <stdexcept>
#include <string>

namespace footage {

template <auto Free> struct AvFree {
    template <class T> void operator()(T* p) const noexcept { Free(&p); }
};
struct FreeOutput {
    void operator()(AVFormatContext* context) const noexcept
    {
        if (context->pb && !(context->oformat->flags & AVFMT_NOFILE))
            avio_closep(&context->pb);
        avformat_free_context(context);
    }
};
using CodecPtr = std::unique_ptr<AVCodecContext, AvFree<avcodec_free_context>>;
using InputPtr = std::unique_ptr<AVFormatContext, AvFree<avformat_close_input>>;
using OutputPtr = std::unique_ptr<AVFormatContext, FreeOutput>;
using FramePtr = std::unique_ptr<AVFrame, AvFree<av_frame_free>>;
using PacketPtr = std::unique_ptr<AVPacket, AvFree<av_packet_free>>;

/// Options handed to libav; whatever is left after opening was not understood.
class Options {
public:
    ~Options() { av_dict_free(&m_dictionary); }
    void set(const std::string& key, const std::string& value)
    {
        av_dict_set(&m_dictionary, key.c_str(), value.c_str(), 0);
    }
    AVDictionary** get() { return &m_dictionary; }
    void allUsed(const std::string& by) const
    {
        if (const auto* left = av_dict_get(m_dictionary, "", nullptr, AV_DICT_IGNORE_SUFFIX))
            throw std::runtime_error("footage: " + by + " knows no option " + left->key);
    }

private:
    AVDictionary* m_dictionary = nullptr;
};

inline int check(int code, const std::string& doing)
{
    if (code < 0) {
        char text[AV_ERROR_MAX_STRING_SIZE] = {};
        av_strerror(code, text, sizeof text);
        throw std::runtime_error("footage: " + doing + ": " + text);
    }
    return code;
}

} // namespace footage
