#include "tests/tag_boxes.h"
#include "tests/footage/edit.h"

#include <fstream>
#include <stdexcept>
#include <string_view>

namespace tag_boxes {
using footage::put32, footage::readBytes, footage::writeBytes;

namespace {

char byteOf(std::uint32_t value, int place) { return static_cast<char>(value >> (8 * place) & 0xffu); }

} // namespace

std::string big16(std::uint32_t value) { return {byteOf(value, 1), byteOf(value, 0)}; }
std::string big32(std::uint32_t value)
{
    return {byteOf(value, 3), byteOf(value, 2), byteOf(value, 1), byteOf(value, 0)};
}
std::string little32(std::uint32_t value)
{
    return {byteOf(value, 0), byteOf(value, 1), byteOf(value, 2), byteOf(value, 3)};
}

std::string box(const std::string& type, const std::string& inside)
{
    return big32(static_cast<std::uint32_t>(inside.size() + 8)) + type + inside;
}

void addToMovie(const std::filesystem::path& film, const std::string& boxes)
{
    std::string bytes = readBytes(film);
    const std::size_t type = bytes.rfind("moov");
    if (type == std::string::npos || type < 4)
        throw std::runtime_error("footage: " + film.string() + " has no moov");
    const std::size_t size = bytes.size() - (type - 4);
    if (bytes.compare(type - 4, 4, big32(static_cast<std::uint32_t>(size))) != 0)
        throw std::runtime_error("footage: moov isn't the last box of " + film.string());
    put32(bytes, type - 4, static_cast<std::uint32_t>(size + boxes.size()));
    writeBytes(film, bytes + boxes);
}

void append(const std::filesystem::path& film, const std::string& bytes)
{
    std::ofstream(film, std::ios::binary | std::ios::app) << bytes;
}

std::string slowMotionBox(int mode, std::uint32_t rate)
{
    const std::string saut = box("saut", std::string(4, '\0') + std::string{'\1', '\0', '\0', static_cast<char>(mode)});
    return box("udta",
               box("smta", std::string(4, '\0') + saut + (rate > 0 ? box("srfr", big32(rate)) : std::string())));
}

std::string slowMotionTail(const std::string& segments, const std::string& name)
{
    const std::string kind("\0\0\x90\x08", 4);
    const std::string block = kind + little32(static_cast<std::uint32_t>(name.size())) + name + segments;
    const auto size = static_cast<std::uint32_t>(block.size());
    const std::string directory = "SEFH" + little32(100) + little32(1) + kind + little32(size) + little32(size);
    return block + directory + little32(static_cast<std::uint32_t>(directory.size())) + "SEFT";
}

std::string userText(const std::string& type, const std::string& text)
{
    const bool international = type.front() == '\xa9';
    return box(type, international ? big16(static_cast<std::uint32_t>(text.size())) + big16(0x15c7) + text : text);
}

std::string cameraSet(const std::vector<std::pair<std::uint32_t, std::string>>& items)
{
    std::string inside;
    for (const auto& [tag, bytes] : items)
        inside += big16(tag) + big16(static_cast<std::uint32_t>(bytes.size())) + bytes;
    return std::string("\x06\x0e\x2b\x34\x02\x53\x01\x01\x0c\x02\x01\x01\x02\x01\x00\x00", 16) + "\x83"
           + big32(static_cast<std::uint32_t>(inside.size())).substr(1) + inside;
}

void putIntoFill(const std::filesystem::path& film, const std::string& set)
{
    constexpr std::string_view fill("\x06\x0e\x2b\x34\x01\x01\x01\x02\x03\x01\x02\x10\x01\x00\x00\x00", 16);
    constexpr std::size_t head = fill.size() + 4; // with a length of 4 bytes
    std::string bytes = readBytes(film);
    for (std::size_t at = bytes.find(fill); at != std::string::npos; at = bytes.find(fill, at + 1)) {
        if (bytes[at + fill.size()] != '\x83')
            continue;
        const auto part = [&](std::size_t i) {
            return std::size_t{static_cast<unsigned char>(bytes[at + fill.size() + i])};
        };
        const std::size_t length = part(1) << 16 | part(2) << 8 | part(3);
        if (length < set.size() + head)
            continue;
        const std::size_t rest = length - set.size(); // what the fill behind the set still holds
        const std::string shorter =
            std::string(fill) + "\x83" + big32(static_cast<std::uint32_t>(rest)).substr(1) + std::string(rest, '\0');
        bytes.replace(at, head + length, set + shorter);
        writeBytes(film, bytes);
        return;
    }
    throw std::runtime_error("footage: no fill item of " + film.string() + " has room for a set");
}

} // namespace tag_boxes
