#pragma once
#include <cstdint>
#include <string>

namespace footage {

/// A stream of bits, the highest of each byte first.
class Bits {
public:
    void put(std::uint32_t value, int count)
    {
        for (int i = count - 1; i >= 0; --i)
            bit((value >> i) & 1u);
    }
    /// Exp-Golomb, ue(v) of H.264
    void code(std::uint32_t value)
    {
        int length = 0;
        while ((value + 1) >> (length + 1))
            ++length;
        put(0, length);
        put(value + 1, length + 1);
    }
    void align()
    {
        while (m_used != 0)
            bit(0);
    }
    void byte(char value) { m_bytes += value; } ///< aligned
    /// A 1 and zeros up to the next byte, rbsp_trailing_bits() of H.264.
    std::string finished()
    {
        bit(1);
        align();
        return m_bytes;
    }
    /// Zeros up to the next byte.
    std::string aligned()
    {
        align();
        return m_bytes;
    }

private:
    void bit(std::uint32_t value)
    {
        if (m_used == 0)
            m_bytes += '\0';
        m_bytes.back() = static_cast<char>(m_bytes.back() | (value << (7 - m_used)));
        m_used = (m_used + 1) % 8;
    }

    std::string m_bytes;
    int m_used = 0;
};

} // namespace footage
