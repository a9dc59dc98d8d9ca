#include "core/media/tags/slow_segments.h"
#include "core/media/tags/tag_bytes.h"

#include <algorithm>

namespace media {
namespace {

constexpr std::size_t mostTracks = 64;
constexpr std::int64_t longestText = 4'096; ///< bytes of a user data text
constexpr std::string_view xmpId("\xbe\x7a\xcf\xcb\x97\xa9\x42\xe8\x9c\x71\x99\x94\x91\xe3\xaf\xac",
                                 16); ///< of a "uuid" box (XMP specification, part 3)

/// "smta" holds "saut": pairs of a key and a value, key 0 the recording mode. Modes 12, 13: 240, 120 a second; mode 21
/// goes with "srfr", the rate in 16.16 fixed point (platform documentation).
void readSlowMotionBox(ByteFile& file, Span smta, Tags& tags)
{
    bool damaged = false;
    const std::vector<Box> boxes = boxesIn(file, {smta.from + 4, smta.to}, damaged);
    const std::string pairs = file.read(boxNamed(boxes, "saut"));
    for (const std::size_t at : {std::size_t{4}, std::size_t{6}}) {
        if (pairs.size() < at + 2 || pairs[at] != 0)
            continue;
        const int mode = static_cast<unsigned char>(pairs[at + 1]);
        if (mode == 12 || mode == 13)
            tags.emplace("smta recording mode", mode == 12 ? "240" : "120");
        if (mode != 21)
            continue;
        const std::string rate = file.read(boxNamed(boxes, "srfr"));
        damaged = damaged || rate.size() < 4;
        if (rate.size() >= 4)
            tags.emplace("smta recording mode", std::to_string(big32(rate, 0)) + "/65536");
    }
    if (damaged)
        noteDamage(tags, "smta");
}

bool isText(std::string_view text)
{
    return !text.empty() && std::ranges::all_of(text, [](char c) {
        return static_cast<unsigned char>(c) >= ' ' || c == '\n' || c == '\r' || c == '\t';
    });
}

/// User data: a box whose type begins with the copyright sign holds texts, each with its length and language before it.
void readUserText(ByteFile& file, const Box& box, Tags& tags)
{
    constexpr std::size_t head = 4;
    if (box.inside.size() > longestText)
        return;
    std::string text = file.read(box.inside);
    std::string type = box.type;
    if (static_cast<unsigned char>(type.front()) == 0xa9) {
        type.erase(0, 1);
        if (text.size() < head)
            return;
        const std::size_t length = big32(text, 0) >> 16;
        if (length > text.size() - head) {
            noteDamage(tags, "udta");
            return;
        }
        text = text.substr(head, length);
    }
    while (!text.empty() && text.back() == '\0')
        text.pop_back();
    if (isText(text))
        tags.emplace("udta " + type, text);
}

void readUserBoxes(ByteFile& file, Span udta, Tags& tags)
{
    bool damaged = false;
    for (const Box& box : boxesIn(file, udta, damaged)) {
        if (box.type == "smta")
            readSlowMotionBox(file, box.inside, tags);
        else if (box.type == "XMP_")
            readXmp(file.read(box.inside), tags);
        else if (box.type != "meta")
            readUserText(file, box, tags);
    }
    if (damaged)
        noteDamage(tags, "udta");
}

/// A full box: version and flags come before what it holds; so they do in "xml ".
void readXmlBox(ByteFile& file, Span meta, Tags& tags)
{
    bool damaged = false;
    const Span xml = boxNamed(boxesIn(file, {meta.from + 4, meta.to}, damaged), "xml ");
    if (xml.size() > 4)
        readRecorderXml(file.read({xml.from + 4, xml.to}), "VideoFrame ", tags);
}

} // namespace

void readMovieBoxes(const std::filesystem::path& path, Tags& tags)
{
    ByteFile file(path);
    bool ignored = false; // a film that was cut off says so elsewhere
    const std::vector<Box> outer = boxesIn(file, file.whole(), ignored);
    const std::vector<Box> movie = boxesIn(file, boxNamed(outer, "moov"), ignored);
    for (const std::vector<Box>* boxes : {&outer, &movie})
        for (const Box& box : *boxes)
            if (box.type == "meta")
                readXmlBox(file, box.inside, tags);
    for (const Box& box : outer)
        if (box.type == "uuid"
            && file.read({box.inside.from, std::min(box.inside.from + std::ssize(xmpId), box.inside.to)}) == xmpId)
            readXmp(file.read({box.inside.from + std::ssize(xmpId), box.inside.to}), tags);
    std::size_t tracks = 0;
    for (const Box& box : movie) {
        if (box.type == "udta")
            readUserBoxes(file, box.inside, tags);
        if (box.type == "trak" && ++tracks <= mostTracks)
            readUserBoxes(file, boxNamed(boxesIn(file, box.inside, ignored), "udta"), tags);
    }
    const SlowSegments slow = slowSegments(path);
    if (slow.damaged)
        noteDamage(tags, "slow-motion segments");
    if (!slow.unread.empty())
        tags.emplace("Super_SlowMotion_Data", slow.unread);
    if (!slow.segments.empty())
        tags.emplace("slow-motion segments", slow.words());
}

} // namespace media
