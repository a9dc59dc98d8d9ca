#include "core/session/history.h"
#include "core/error.h"
#include "core/session/session_store.h"
#include <cassert>

namespace session {

const Edit& Step::edit() const
{
    if (m_edit)
        return *m_edit;
    m_edit = std::make_shared<const Edit>(editOf(m_payload));
    return *m_edit;
}

History::Link::~Link()
{
    Chain next = std::move(before);
    while (next && next.use_count() == 1)
        next = Chain(std::move(next->before));
}

void History::push(Chain& chain, std::shared_ptr<const Step> step)
{
    chain = std::make_shared<Link>(std::move(step), std::move(chain));
}

std::shared_ptr<const Step> History::pop(Chain& chain)
{
    assert(chain);
    auto step = chain->step;
    chain = Chain(chain->before);
    return step;
}

void History::did(std::shared_ptr<const Step> step)
{
    push(m_undo, std::move(step));
    m_redo.reset();
}

std::optional<std::string> History::labelIn(const Chain& chain)
{
    try {
        for (const Link* link = chain.get(); link; link = link->before.get())
            if (!goesAlong(link->step->edit().kind))
                return link->step->edit().label;
    } catch (const core::Error&) { // the bytes of a step are read here for the first time
        return std::nullopt;
    }
    return std::nullopt;
}

} // namespace session
