#include "core/media/index/index_format.h"
#include "core/media/libav/av_handles.h"
#include "core/media/picture/byte_hash.h"
#include "core/media/index/packet_table.h"

namespace media {
namespace {

// The number rises with any change below, or of what damaged pictures decode to.
constexpr std::string_view magic = "frame index 7\n";

/// Takes what a Reader takes back, in the same order; bounds are for that.
class Writer {
public:
    template <class Number> void number(const Number& value, std::int64_t = INT64_MIN, std::int64_t = INT64_MAX)
    {
        for (int shift = 0; shift < 64; shift += 8)
            m_bytes += static_cast<char>(static_cast<std::uint64_t>(value) >> shift);
    }
    void text(std::string_view value)
    {
        number(value.size());
        m_bytes += value;
    }
    void maybe(const std::optional<std::string>& value)
    {
        number(value.has_value());
        text(value.value_or(""));
    }
    void maybe(const std::optional<timing::Rational>& value)
    {
        number(value ? value->numerator() : 0);
        number(value ? value->denominator() : 0); // 0: there is none
    }
    void aboveZero(const timing::Rational& value) { maybe(value); }
    template <class List, class Each> void list(const List& list, std::size_t, const Each& each)
    {
        number(list.size());
        for (const auto& item : list)
            each(item);
    }
    void tags(const std::map<std::string, std::string>& tags)
    {
        number(tags.size());
        for (const auto& [key, value] : tags) {
            text(key);
            text(value);
        }
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

    template <class Number> void number(Number& value, std::int64_t low = INT64_MIN, std::int64_t high = INT64_MAX)
    {
        const std::string_view eight = take(8);
        std::uint64_t bits = 0;
        for (std::size_t i = 8; i-- > 0;)
            bits = bits << 8 | static_cast<unsigned char>(eight[i]);
        const auto read = static_cast<std::int64_t>(bits);
        if (read < low || read > high)
            throw Senseless();
        value = static_cast<Number>(read);
    }
    void text(std::string& value) { value = take(count(1)); }
    void maybe(std::optional<std::string>& value)
    {
        bool there = false;
        number(there, 0, 1);
        text(value.emplace());
        if (!there)
            value.reset();
    }
    void maybe(std::optional<timing::Rational>& value)
    {
        std::int64_t numerator = 0, denominator = 0;
        number(numerator, -INT64_MAX, INT64_MAX);
        number(denominator, 0, INT64_MAX);
        value = denominator == 0 ? std::nullopt : std::optional(timing::Rational(numerator, denominator));
    }
    void aboveZero(timing::Rational& value)
    {
        std::optional<timing::Rational> read;
        maybe(read);
        if (!read || read->numerator() <= 0)
            throw Senseless();
        value = *read;
    }
    /// Each item takes at least `bytesEach`, so that a false count asks for no memory.
    template <class List, class Each> void list(List& list, std::size_t bytesEach, const Each& each)
    {
        list.resize(count(bytesEach));
        for (auto& item : list)
            each(item);
    }
    void tags(std::map<std::string, std::string>& tags)
    {
        for (std::size_t left = count(16); left > 0; --left) {
            std::string key;
            text(key);
            text(tags[key]);
        }
    }
    bool atEnd() const { return m_bytes.empty(); }

private:
    std::size_t count(std::size_t bytesEach)
    {
        std::size_t count = 0;
        number(count, 0, static_cast<std::int64_t>(m_bytes.size() / bytesEach));
        return count;
    }
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

template <class Archive, class Packets, class Of> void frames(Archive& archive, Packets& packets, Of& footage)
{
    archive.list(packets.marks, 5 * 8, [&](auto& mark) {
        archive.number(mark.position);
        archive.number(mark.pts);
        archive.number(mark.dts);
        archive.number(mark.size, INT32_MIN, INT32_MAX);
        archive.number(mark.flags, INT32_MIN, INT32_MAX);
    });
    archive.number(packets.file.size, 0);
    archive.number(packets.file.time);
    archive.number(packets.oneThread, 0, 1);
    archive.list(footage.frames, 5 * 8, [&](auto& frame) {
        archive.number(frame.ordinal, 0, std::ssize(packets.marks) - 1);
        archive.number(frame.cleanEntry, 0, 1);
        archive.maybe(frame.stamp);
        archive.number(frame.hash);
    });
}

template <class Archive, class Of> void findings(Archive& archive, Of& footage)
{
    const std::int64_t last = footage.frameCount().value - 1;
    archive.list(footage.numberingHoles, 2 * 8, [&](auto& hole) {
        archive.number(hole.before.value, 0, last);
        archive.number(hole.count.value, 1);
    });
    archive.list(footage.doubts, 3 * 8, [&](auto& doubt) {
        archive.number(doubt.first.value, 0, last);
        archive.number(doubt.last.value, doubt.first.value, last);
        archive.text(doubt.why);
    });
    archive.list(footage.formatChanges, 4 * 8, [&](auto& change) {
        archive.number(change.first.value, 1, last);
        archive.number(change.size.width, 1, INT32_MAX);
        archive.number(change.size.height, 1, INT32_MAX);
        archive.text(change.pixelFormat);
    });
    archive.maybe(footage.fault);
    archive.tags(footage.tags);
}

/// All of an index, once for both ways.
template <class Archive, class Packets, class Of> void index(Archive& archive, Packets& packets, Of& footage)
{
    archive.text(footage.container);
    archive.text(footage.codec);
    archive.text(footage.pixelFormat);
    archive.number(footage.pictureFolder, 0, 1);
    archive.number(footage.size.width, 1, INT32_MAX);
    archive.number(footage.size.height, 1, INT32_MAX);
    archive.number(footage.rotation, 0, 3 * 90);
    archive.aboveZero(footage.pixelAspect);
    archive.aboveZero(footage.timeBase);
    archive.maybe(footage.averageRate);
    archive.number(footage.streamIndex, 0, INT32_MAX);
    archive.list(footage.streams, 8 * 8, [&](auto& stream) {
        archive.number(stream.index, 0, INT32_MAX);
        archive.text(stream.codec);
        archive.number(stream.size.width, 0, INT32_MAX);
        archive.number(stream.size.height, 0, INT32_MAX);
        archive.maybe(stream.seconds);
        archive.number(stream.isDefault, 0, 1);
        archive.number(stream.decodable, 0, 1);
    });
    archive.number(footage.interlaced, 0, 1);
    frames(archive, packets, footage);
    findings(archive, footage);
}

} // namespace

std::string writeIndex(const Footage& footage, std::uint64_t fingerprint)
{
    Writer out;
    out.bytes() += magic;
    out.number(libraries());
    out.number(fingerprint);
    index(out, *footage.packets, footage);
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
    std::int64_t checksum = 0, versions = 0;
    std::uint64_t print = 0;
    try {
        Reader(all.substr(checked.size())).number(checksum);
        if (checksum != checksumOf(checked))
            return nullptr;
        Reader in(checked.substr(magic.size()));
        in.number(versions);
        in.number(print);
        if (versions != libraries() || print != fingerprint)
            return nullptr;
        auto footage = std::make_shared<Footage>();
        auto packets = std::make_shared<PacketTable>();
        footage->confirmed = true;
        index(in, *packets, *footage);
        footage->packets = std::move(packets);
        const bool sensible = in.atEnd() && footage->rotation % 90 == 0 && !footage->frames.empty();
        return sensible ? footage : nullptr;
    } catch (const Senseless&) {
        return nullptr;
    }
}

} // namespace media
