#include "tests/footage/truth.h"
#include <cstdio>
#include <type_traits>

namespace footage {
namespace {

std::string number(double value)
{
    char text[32];
    std::snprintf(text, sizeof text, "%.9g", value);
    return text;
}

std::string quoted(const std::string& text)
{
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\')
            out += '\\';
        out += c;
    }
    return out + '"';
}

std::string box(const Rect& r)
{
    return "{\"x\": " + std::to_string(r.x) + ", \"y\": " + std::to_string(r.y)
           + ", \"width\": " + std::to_string(r.width) + ", \"height\": " + std::to_string(r.height) + "}";
}

template <class T> std::string orNull(const std::optional<T>& value)
{
    if (!value)
        return "null";
    if constexpr (std::is_same_v<T, int>)
        return std::to_string(*value);
    else
        return number(*value);
}

std::string oddity(const std::optional<OddityKind>& kind)
{
    if (!kind)
        return "null";
    switch (*kind) {
    case OddityKind::NoReaction: return "\"no reaction\"";
    case OddityKind::DoublePress: return "\"double press\"";
    case OddityKind::EarlyChange: return "\"early change\"";
    }
    return "null";
}

template <class List, class Each> std::string list(const List& items, Each each)
{
    std::string out = "[";
    for (const auto& item : items)
        out += (out.size() > 1 ? ",\n    " : "\n    ") + each(item);
    return out + (items.empty() ? "]" : "\n  ]");
}

} // namespace

std::string toJson(const Truth& truth, bool withFrames)
{
    std::string out =
        "{\n  \"path\": " + quoted(truth.path) + ",\n  \"width\": " + std::to_string(truth.width)
        + ",\n  \"height\": " + std::to_string(truth.height) + ",\n  \"captureRate\": " + number(truth.captureRate)
        + ",\n  \"lineTime\": " + number(truth.lineTime)
        + ",\n  \"presentedFrames\": " + std::to_string(truth.frames.size()) + ",\n  \"lamp\": " + box(truth.lamp)
        + ",\n  \"screen\": " + box(truth.screen) + ",\n  \"mirror\": " + box(truth.mirror);
    out += ",\n  \"presses\": " + list(truth.presses, [](const TruePress& p) {
               return "{\"press\": " + number(p.press) + ", \"reaction\": " + orNull(p.reaction)
                      + ", \"delay\": " + orNull(p.delay) + ", \"visibleDelay\": " + orNull(p.visibleDelay)
                      + ", \"lampFrame\": " + orNull(p.lampFrame) + ", \"reactionFrame\": " + orNull(p.reactionFrame)
                      + ", \"mirrorFrame\": " + orNull(p.mirrorFrame) + ", \"secondLampFrame\": "
                      + orNull(p.secondLampFrame) + ", \"oddity\": " + oddity(p.oddity) + "}";
           });
    out += ",\n  \"missing\": " + list(truth.missing, [](const TrueGap& g) {
               return "{\"before\": " + std::to_string(g.before) + ", \"count\": " + std::to_string(g.count) + "}";
           });
    out += ",\n  \"repeats\": " + list(truth.repeats, [](int n) { return std::to_string(n); });
    if (withFrames)
        out += ",\n  \"frames\": " + list(truth.frames, [](const TrueFrame& f) {
                   return "[" + std::to_string(f.captureIndex) + ", " + std::to_string(f.pictureIndex) + ", "
                          + number(f.time) + ", " + number(f.stamp) + "]";
               });
    return out + "\n}\n";
}

} // namespace footage
