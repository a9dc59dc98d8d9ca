#pragma once
#include <QString>
#include <algorithm>

namespace ui {

/// `pattern` with the first number for its %1, counted from behind all of `things`, that none of them is called by yet.
template <class Things> std::string freeName(const Things& things, const QString& pattern)
{
    for (std::size_t number = things.size() + 1;; ++number) {
        const std::string name = pattern.arg(number).toStdString();
        if (std::ranges::none_of(things, [&](const auto& item) { return item.second->name == name; }))
            return name;
    }
}

} // namespace ui
