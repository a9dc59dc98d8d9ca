#include "ui/desk/action_queue.h"

namespace ui {

ActionQueue::ActionQueue(SessionModel& model, QObject* parent) : QObject(parent), m_model(model)
{
    connect(&model, &SessionModel::changed, this, &ActionQueue::next);
    connect(&model, &SessionModel::sessionReplaced, this, &ActionQueue::clear);
}

void ActionQueue::add(Step step)
{
    m_steps.push_back(std::move(step));
    next();
}

namespace {

ActionQueue::Step atOnce(std::function<void()> step)
{
    return [step = std::move(step)](const ActionQueue::Done& done) {
        step();
        done();
    };
}

} // namespace

void ActionQueue::add(std::function<void()> step) { add(atOnce(std::move(step))); }

void ActionQueue::then(std::function<void()> step)
{
    m_steps.push_front(atOnce(std::move(step)));
    next();
}

void ActionQueue::clear()
{
    m_steps.clear();
    m_running = false;
    ++m_generation;
}

void ActionQueue::next()
{
    while (!m_running && !m_steps.empty() && !m_model.pending()) {
        const Step step = std::move(m_steps.front());
        m_steps.pop_front();
        m_running = true;
        step([this, generation = m_generation] {
            if (generation != m_generation)
                return;
            m_running = false;
            next();
        });
    }
}

} // namespace ui
