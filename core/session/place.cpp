#include "core/session/place.h"

namespace session {

std::string pointerPart(std::string_view key)
{
    std::string part;
    for (const char c : shortened(key)) {
        if (c == '~')
            part += "~0";
        else if (c == '/')
            part += "~1";
        else
            part += static_cast<unsigned char>(c) < 0x20 ? '?' : c;
    }
    return part;
}

std::string Place::pointer() const
{
    if (!m_in)
        return {};
    return m_in->pointer() + '/' + (m_key ? pointerPart(m_key) : std::to_string(m_index));
}

} // namespace session
