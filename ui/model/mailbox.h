#pragma once
#include <QMetaObject>
#include <QObject>
#include <functional>
#include <memory>
#include <mutex>

namespace ui {

/// Calls from any thread to the thread that made it, until it is closed. Copies are the same mailbox, so whoever holds
/// one may outlive its maker: what it posts then is dropped, on its own thread.
class Mailbox {
public:
    Mailbox() : m_shared(std::make_shared<Shared>()) {}

    void post(std::function<void()> call) const
    {
        const std::lock_guard lock(m_shared->mutex);
        if (m_shared->context)
            QMetaObject::invokeMethod(m_shared->context.get(), std::move(call), Qt::QueuedConnection);
    }

    /// Nothing arrives any more, what is on its way included. On the thread that made it.
    void close() const
    {
        std::unique_ptr<QObject> context; // what is on its way may own threads that post: it goes outside the lock
        const std::lock_guard lock(m_shared->mutex);
        context.swap(m_shared->context);
    }

private:
    struct Shared {
        std::mutex mutex;
        std::unique_ptr<QObject> context = std::make_unique<QObject>();
    };
    std::shared_ptr<Shared> m_shared;
};

} // namespace ui
