#include "core/media/index/index_format.h"
#include "core/media/libav/av_handles.h"
#include "core/media/picture/byte_hash.h"
#include "core/media/index/packet_table.h"

namespace media {
namespace {

constexpr std::string_view magic =
    "frame index 6\n"; // the number rises with any change below, or of what damaged pictures decode to

class Writer {
public:
    void number(std::int64_t value)
    {
        for (int shift = 0; shift < 64; shift += 8)
            m_bytes += static_cast<char>(static_cast<std::uint64_t>(value) >> shift);
    }
    void text(std::string_view value)
    {
        number(static_cast<std::int64_t>(value.size()));
        m_bytes += value;
    }
    void rational(const timing::Rational& value)
    {
        number(value.numerator());
        number(value.denominator());
    }
    void maybe(const std::optional<timing::Rational>& value)
    {
        number(value ? value->numerator() : 0);
        number(value ? value->denominator() : 0); // 0: there is none
    }
    std::string& bytes() { return m_bytes; }

private:
    std::string m_bytes;
};

struct Senseless {};

/// Throws Senseless at the first thing that can't be.
class Reader {
public:
    explicit Reader(std::string_view bytes) : m_bytes(bytes) {}

    std::int64_t number()
    {
        const std::string_view eight = take(8);
        std::uint64_t value = 0;
        for (std::size_t i = 8; i-- > 0;)
            value = value << 8 | static_cast<unsigned char>(eight[i]);
        return static_cast<std::int64_t>(value);
    }
    std::int64_t number(std::int64_t low, std::int64_t high)
    {
        const std::int64_t value = number();
        if (value < low || value > high)
            throw Senseless();
        return value;
    }
    /// A count of things that take at least `bytesEach`, so that a false one asks for no memory.
    std::size_t count(std::size_t bytesEach)
    {
        return static_cast<std::size_t>(number(0, static_cast<std::int64_t>(m_bytes.size() / bytesEach)));
    }
    std::string text() { return std::string(take(count(1))); }
    std::optional<timing::Rational> maybe()
    {
        const std::int64_t numerator = number(-INT64_MAX, INT64_MAX), denominator = number(0, INT64_MAX);
        return denominator == 0 ? std::nullopt : std::optional(timing::Rational(numerator, denominator));
    }
    timing::Rational aboveZero()
    {
        const auto value = maybe();
        if (!value || value->numerator() <= 0)
            throw Senseless();
        return *value;
    }
    bool atEnd() const { return m_bytes.empty(); }

private:
    std::string_view take(std::size_t count)
    {
        if (count > m_bytes.size())
            throw Senseless();
        const std::string_view taken = m_bytes.substr(0, count);
        m_bytes.remove_prefix(count);
        return taken;
    }

    std::string_view m_bytes;
};

std::int64_t checksumOf(std::string_view bytes)
{
    ByteHash hash;
    hash.add(bytes.data(), bytes.size());
    return static_cast<std::int64_t>(hash.result());
}

/// Other libraries may decode damaged stretches differently.
std::int64_t libraries() { return std::int64_t{avformat_version()} << 32 | avcodec_version(); }

void writeFrames(Writer& out, const Footage& footage)
{
    out.number(static_cast<std::int64_t>(footage.packets->marks.size()));
    for (const PacketMark& mark : footage.packets->marks) {
        out.number(mark.position);
        out.number(mark.pts);
        out.number(mark.dts);
        out.number(std::int64_t{mark.size} << 32 | static_cast<std::uint32_t>(mark.flags));
    }
    out.number(footage.packets->fileSize);
    out.number(footage.packets->fileTime);
    out.number(footage.packets->oneThread);
    out.number(static_cast<std::int64_t>(footage.frames.size()));
    for (const FrameEntry& frame : footage.frames) {
        out.number(frame.ordinal * 2 + (frame.cleanEntry ? 1 : 0));
        out.maybe(frame.stamp);
        out.number(static_cast<std::int64_t>(frame.hash));
    }
}

void readFrames(Reader& in, Footage& footage)
{
    auto packets = std::make_shared<PacketTable>();
    packets->marks.resize(in.count(32));
    for (PacketMark& mark : packets->marks) {
        mark.position = in.number();
        mark.pts = in.number();
        mark.dts = in.number();
        const std::int64_t both = in.number();
        mark.size = static_cast<std::int32_t>(both >> 32);
        mark.flags = static_cast<std::int32_t>(both & 0xffffffff);
    }
    packets->fileSize = in.number(0, INT64_MAX);
    packets->fileTime = in.number(INT64_MIN, INT64_MAX);
    packets->oneThread = in.number(0, 1) != 0;
    footage.frames.resize(in.count(32));
    if (footage.frames.empty() || packets->marks.empty())
        throw Senseless();
    for (FrameEntry& frame : footage.frames) {
        const std::int64_t both = in.number(0, 2 * static_cast<std::int64_t>(packets->marks.size()) - 1);
        frame.ordinal = both / 2;
        frame.cleanEntry = both % 2 != 0;
        frame.stamp = in.maybe();
        frame.hash = static_cast<std::uint64_t>(in.number());
    }
    footage.packets = std::move(packets);
}

void writeStreams(Writer& out, const Footage& footage)
{
    out.number(footage.streamIndex);
    out.number(static_cast<std::int64_t>(footage.streams.size()));
    for (const VideoStream& stream : footage.streams) {
        out.number(stream.index);
        out.text(stream.codec);
        out.number(stream.size.width);
        out.number(stream.size.height);
        out.maybe(stream.seconds);
        out.number(stream.isDefault);
        out.number(stream.decodable);
    }
}

void readStreams(Reader& in, Footage& footage)
{
    footage.streamIndex = static_cast<int>(in.number(0, INT32_MAX));
    footage.streams.resize(in.count(8 * 8));
    for (VideoStream& stream : footage.streams) {
        stream.index = static_cast<int>(in.number(0, INT32_MAX));
        stream.codec = in.text();
        stream.size.width = static_cast<int>(in.number(0, INT32_MAX));
        stream.size.height = static_cast<int>(in.number(0, INT32_MAX));
        stream.seconds = in.maybe();
        stream.isDefault = in.number(0, 1) != 0;
        stream.decodable = in.number(0, 1) != 0;
    }
}

void writeFindings(Writer& out, const Footage& footage)
{
    out.number(static_cast<std::int64_t>(footage.numberingHoles.size()));
    for (const timing::Gap& hole : footage.numberingHoles) {
        out.number(hole.before.value);
        out.number(hole.count.value);
    }
    out.number(static_cast<std::int64_t>(footage.doubts.size()));
    for (const Doubt& doubt : footage.doubts) {
        out.number(doubt.first.value);
        out.number(doubt.last.value);
        out.text(doubt.why);
    }
    out.number(static_cast<std::int64_t>(footage.formatChanges.size()));
    for (const FormatChange& change : footage.formatChanges) {
        out.number(change.first.value);
        out.number(change.size.width);
        out.number(change.size.height);
        out.text(change.pixelFormat);
    }
    out.number(footage.fault.has_value());
    out.text(footage.fault.value_or(""));
    out.number(static_cast<std::int64_t>(footage.tags.size()));
    for (const auto& [key, value] : footage.tags) {
        out.text(key);
        out.text(value);
    }
}

void readFindings(Reader& in, Footage& footage)
{
    const std::int64_t last = footage.frameCount().value - 1;
    footage.numberingHoles.resize(in.count(16));
    for (timing::Gap& hole : footage.numberingHoles) {
        hole.before = {in.number(0, last)};
        hole.count = {in.number(1, INT64_MAX)};
    }
    footage.doubts.resize(in.count(24));
    for (Doubt& doubt : footage.doubts) {
        doubt.first = {in.number(0, last)};
        doubt.last = {in.number(doubt.first.value, last)};
        doubt.why = in.text();
    }
    footage.formatChanges.resize(in.count(32));
    for (FormatChange& change : footage.formatChanges) {
        change.first = {in.number(1, last)};
        change.size.width = static_cast<int>(in.number(1, INT32_MAX));
        change.size.height = static_cast<int>(in.number(1, INT32_MAX));
        change.pixelFormat = in.text();
    }
    const bool faulty = in.number(0, 1) != 0;
    std::string fault = in.text();
    if (faulty)
        footage.fault = std::move(fault);
    for (std::size_t left = in.count(16); left > 0; --left) {
        std::string key = in.text();
        footage.tags[std::move(key)] = in.text();
    }
}

} // namespace

std::string writeIndex(const Footage& footage, std::uint64_t fingerprint)
{
    Writer out;
    out.bytes() += magic;
    out.number(libraries());
    out.number(static_cast<std::int64_t>(fingerprint));
    out.text(footage.container);
    out.text(footage.codec);
    out.text(footage.pixelFormat);
    out.number(footage.pictureFolder);
    out.number(footage.size.width);
    out.number(footage.size.height);
    out.number(footage.rotation);
    out.rational(footage.pixelAspect);
    out.rational(footage.timeBase);
    out.maybe(footage.averageRate);
    writeStreams(out, footage);
    out.number(footage.interlaced);
    writeFrames(out, footage);
    writeFindings(out, footage);
    out.number(checksumOf(out.bytes()));
    return std::move(out.bytes());
}

std::shared_ptr<Footage> readIndex(const std::string& bytes, std::uint64_t fingerprint)
{
    constexpr std::size_t checksumBytes = 8;
    if (bytes.size() < magic.size() + checksumBytes || !bytes.starts_with(magic))
        return nullptr;
    const std::string_view all = bytes;
    const std::string_view checked = all.substr(0, all.size() - checksumBytes);
    try {
        if (Reader(all.substr(checked.size())).number() != checksumOf(checked))
            return nullptr;
        Reader in(checked.substr(magic.size()));
        if (in.number() != libraries() || in.number() != static_cast<std::int64_t>(fingerprint))
            return nullptr;
        auto footage = std::make_shared<Footage>();
        footage->confirmed = true;
        footage->container = in.text();
        footage->codec = in.text();
        footage->pixelFormat = in.text();
        footage->pictureFolder = in.number(0, 1) != 0;
        footage->size.width = static_cast<int>(in.number(1, INT32_MAX));
        footage->size.height = static_cast<int>(in.number(1, INT32_MAX));
        footage->rotation = static_cast<int>(in.number(0, 3 * 90));
        footage->pixelAspect = in.aboveZero();
        footage->timeBase = in.aboveZero();
        footage->averageRate = in.maybe();
        readStreams(in, *footage);
        footage->interlaced = in.number(0, 1) != 0;
        readFrames(in, *footage);
        readFindings(in, *footage);
        const bool sensible = in.atEnd() && footage->rotation % 90 == 0;
        return sensible ? footage : nullptr;
    } catch (const Senseless&) {
        return nullptr;
    }
}

} // namespace media
