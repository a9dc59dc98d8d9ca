#pragma once
#include "core/session/text.h"
#include <cstddef>
#include <string>
#include <string_view>

namespace session {

/// Where something stands in the file format. Points to the place it lies in, which must outlive it, and is spelled
/// out only when something is wrong there: thousands are made while a session is checked.
class Place {
public:
    Place() = default; ///< the whole file
    Place(const Place& in, const char* key) : m_in(&in), m_key(key) {}
    Place(const Place& in, std::size_t index) : m_in(&in), m_index(index) {}
    Place(const Place&) = delete;
    Place& operator=(const Place&) = delete;

    std::string pointer() const; ///< JSON pointer (RFC 6901); empty for the whole file

private:
    const Place* m_in = nullptr;
    const char* m_key = nullptr;
    std::size_t m_index = 0;
};

/// A key as it stands in a JSON pointer, cut where it is overlong.
std::string pointerPart(std::string_view key);

} // namespace session
