#include "tests/footage/remux.h"
#include "tests/footage/av.h"

namespace footage {
namespace {

namespace fs = std::filesystem;

InputPtr openInput(const fs::path& path)
{
    AVFormatContext* opened = nullptr;
    check(avformat_open_input(&opened, path.c_str(), nullptr, nullptr), "open " + path.string());
    InputPtr input(opened);
    check(avformat_find_stream_info(input.get(), nullptr), "read " + path.string());
    return input;
}

} // namespace

std::vector<StoredPacket> listPackets(const fs::path& path)
{
    const InputPtr input = openInput(path);
    const int stream = check(av_find_best_stream(input.get(), AVMEDIA_TYPE_VIDEO, -1, -1, nullptr, 0), "find pictures");
    std::vector<StoredPacket> packets;
    const PacketPtr packet(av_packet_alloc());
    while (av_read_frame(input.get(), packet.get()) >= 0) {
        if (packet->stream_index == stream)
            packets.push_back({packet->pts, packet->pos, packet->size, (packet->flags & AV_PKT_FLAG_KEY) != 0});
        av_packet_unref(packet.get());
    }
    return packets;
}

void remux(const fs::path& from, const fs::path& to, const std::function<bool(std::size_t)>& keep,
           const std::vector<std::pair<std::string, std::string>>& muxerOptions)
{
    const InputPtr input = openInput(from);
    const int stream = check(av_find_best_stream(input.get(), AVMEDIA_TYPE_VIDEO, -1, -1, nullptr, 0), "find pictures");
    AVFormatContext* opened = nullptr;
    check(avformat_alloc_output_context2(&opened, nullptr, nullptr, to.c_str()), "find a container for " + to.string());
    const OutputPtr output(opened);
    output->flags |= AVFMT_FLAG_BITEXACT;
    AVStream* video = avformat_new_stream(output.get(), nullptr);
    check(avcodec_parameters_copy(video->codecpar, input->streams[stream]->codecpar), "copy the stream's description");
    video->codecpar->codec_tag = 0;
    video->time_base = input->streams[stream]->time_base;
    video->avg_frame_rate = input->streams[stream]->avg_frame_rate;
    check(avio_open(&output->pb, to.c_str(), AVIO_FLAG_WRITE), "write " + to.string());
    Options options;
    for (const auto& [key, value] : muxerOptions)
        options.set(key, value);
    check(avformat_write_header(output.get(), options.get()), "write the container's header");
    options.allUsed(output->oformat->name);

    const PacketPtr packet(av_packet_alloc());
    std::size_t place = 0;
    while (av_read_frame(input.get(), packet.get()) >= 0) {
        if (packet->stream_index == stream && keep(place++)) {
            av_packet_rescale_ts(packet.get(), input->streams[stream]->time_base, video->time_base);
            packet->stream_index = 0;
            packet->pos = -1;
            check(av_write_frame(output.get(), packet.get()), "write a picture");
        }
        av_packet_unref(packet.get());
    }
    check(av_write_trailer(output.get()), "finish the container");
    check(avio_closep(&output->pb), "close the file");
}

void cutOff(const fs::path& path, std::int64_t bytes) { fs::resize_file(path, static_cast<std::uintmax_t>(bytes)); }

} // namespace footage
