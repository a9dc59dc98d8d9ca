#include "ui/footage/known_footage.h"

#include <algorithm>
#include <cassert>

namespace ui {

bool KnownFootage::mayBecome(FootageState from, FootageState to)
{
    using enum FootageState;
    switch (from) {
    case Found: return to == Scanned || to == Absent || to == Failed;
    case Scanned: return to == Viewable || to == Confirmed || to == Changed || to == Found;
    case Viewable: return to == Confirmed || to == Scanned || to == Changed || to == Found;
    case Confirmed: return to == Scanned || to == Changed || to == Found;
    case Changed: return to == Scanned || to == Found;
    case Absent:
    case Failed: return to == Found;
    }
    return false;
}

void KnownFootage::become(FootageState next, const QString& why)
{
    assert(mayBecome(m_state, next));
    m_state = next;
    sentence = why;
}

void KnownFootage::openAnew(FootageSource from, quint64 number)
{
    assert(m_state == FootageState::Found || mayBecome(m_state, FootageState::Found));
    *this = KnownFootage(path, std::move(from), number);
}

bool KnownFootage::Passes::waits() const
{
    return confirming == Step::Waiting
           || std::ranges::any_of(regions, [](const auto& entry) { return entry.second.step == Step::Waiting; });
}

bool KnownFootage::Passes::goesBefore(const Passes& other) const
{
    return isLast == other.isLast ? asked > other.asked : other.isLast;
}

} // namespace ui
