#pragma once
#include "core/error.h"
#include <catch2/catch.hpp>
#include <optional>
#include <string>

/// What action() throws; empty where it throws nothing.
template <class Do> std::optional<core::Error> errorOf(Do action)
{
    try {
        action();
        return std::nullopt;
    } catch (const core::Error& error) {
        return error;
    }
}

/// The sentence that action() is refused with; empty where it isn't.
template <class Do> std::string refusal(Do action)
{
    const auto error = errorOf(action);
    if (!error)
        return {};
    CHECK(error->kind() == core::ErrorKind::Refused);
    CHECK(std::string(error->what()).ends_with('.'));
    return error->what();
}
