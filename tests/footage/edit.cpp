#include "tests/footage/edit.h"
#include "tests/footage/av.h"
#include <cstring>
#include <fstream>
#include <iterator>

extern "C" {
#include <libavcodec/bsf.h>
}

namespace footage {
namespace {

namespace fs = std::filesystem;

using FilterPtr = std::unique_ptr<AVBSFContext, AvFree<av_bsf_free>>;

InputPtr openInput(const fs::path& path)
{
    AVFormatContext* opened = nullptr;
    check(avformat_open_input(&opened, path.c_str(), nullptr, nullptr), "open " + path.string());
    InputPtr input(opened);
    check(avformat_find_stream_info(input.get(), nullptr), "read " + path.string());
    return input;
}

int videoStream(AVFormatContext& input)
{
    return check(av_find_best_stream(&input, AVMEDIA_TYPE_VIDEO, -1, -1, nullptr, 0), "find pictures");
}

FilterPtr openFilter(const std::string& name, const AVStream& stream)
{
    AVBSFContext* opened = nullptr;
    check(av_bsf_list_parse_str(name.empty() ? "null" : name.c_str(), &opened), "find filter " + name);
    FilterPtr filter(opened);
    check(avcodec_parameters_copy(filter->par_in, stream.codecpar), "describe the stream");
    filter->time_base_in = stream.time_base;
    check(av_bsf_init(filter.get()), "start filter " + name);
    return filter;
}

PacketPtr packetFrom(const LoosePacket& loose)
{
    PacketPtr packet(av_packet_alloc());
    check(av_new_packet(packet.get(), static_cast<int>(loose.bytes.size())), "get packet memory");
    std::memcpy(packet->data, loose.bytes.data(), loose.bytes.size());
    packet->pts = loose.pts;
    packet->dts = loose.dts;
    packet->duration = loose.duration;
    packet->flags = loose.key ? AV_PKT_FLAG_KEY : 0;
    return packet;
}

} // namespace

std::vector<LoosePacket> takePackets(const fs::path& film)
{
    const InputPtr input = openInput(film);
    const int stream = videoStream(*input);
    std::vector<LoosePacket> packets;
    const PacketPtr packet(av_packet_alloc());
    while (av_read_frame(input.get(), packet.get()) >= 0) {
        if (packet->stream_index == stream)
            packets.push_back(
                {packet->pts, packet->dts, packet->duration, packet->pos, (packet->flags & AV_PKT_FLAG_KEY) != 0,
                 std::string(reinterpret_cast<const char*>(packet->data), static_cast<std::size_t>(packet->size))});
        av_packet_unref(packet.get());
    }
    return packets;
}

void putPackets(const std::vector<LoosePacket>& packets, const fs::path& like, const fs::path& to,
                const std::string& filter)
{
    const InputPtr input = openInput(like);
    const AVStream& source = *input->streams[videoStream(*input)];
    const FilterPtr through = openFilter(filter, source);
    AVFormatContext* opened = nullptr;
    check(avformat_alloc_output_context2(&opened, nullptr, nullptr, to.c_str()), "find a container for " + to.string());
    const OutputPtr output(opened);
    output->flags |= AVFMT_FLAG_BITEXACT;
    AVStream* video = avformat_new_stream(output.get(), nullptr);
    check(avcodec_parameters_copy(video->codecpar, through->par_out), "copy the stream's description");
    video->codecpar->codec_tag = 0;
    video->time_base = source.time_base;
    video->avg_frame_rate = source.avg_frame_rate;
    check(avio_open(&output->pb, to.c_str(), AVIO_FLAG_WRITE), "write " + to.string());
    check(avformat_write_header(output.get(), nullptr), "write the container's header");

    const PacketPtr filtered(av_packet_alloc());
    for (const LoosePacket& loose : packets) {
        const PacketPtr packet = packetFrom(loose);
        check(av_bsf_send_packet(through.get(), packet.get()), "filter a picture");
        while (av_bsf_receive_packet(through.get(), filtered.get()) >= 0) {
            av_packet_rescale_ts(filtered.get(), source.time_base, video->time_base);
            filtered->stream_index = 0;
            check(av_write_frame(output.get(), filtered.get()), "write a picture");
            av_packet_unref(filtered.get());
        }
    }
    check(av_write_trailer(output.get()), "finish the container");
    check(avio_closep(&output->pb), "close the file");
}

std::string readBytes(const fs::path& file)
{
    std::ifstream in(file, std::ios::binary);
    std::string bytes{std::istreambuf_iterator<char>(in), {}};
    if (!in)
        throw std::runtime_error("footage: can't read " + file.string());
    return bytes;
}

void writeBytes(const fs::path& file, const std::string& bytes)
{
    std::ofstream out(file, std::ios::binary);
    out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    if (!out.flush())
        throw std::runtime_error("footage: can't write " + file.string());
}

void renameBoxes(const fs::path& file, const std::string& name, const std::string& to)
{
    std::string bytes = readBytes(file);
    std::size_t found = 0;
    for (std::size_t at = bytes.find(name); at != std::string::npos; at = bytes.find(name, at + 4), ++found)
        bytes.replace(at, 4, to);
    if (found == 0)
        throw std::runtime_error("footage: " + file.string() + " has no " + name);
    writeBytes(file, bytes);
}

void put32(std::string& bytes, std::size_t at, std::uint32_t value)
{
    for (std::size_t i = 0; i < 4; ++i)
        bytes[at + i] = static_cast<char>(value >> (24 - 8 * i));
}

} // namespace footage
