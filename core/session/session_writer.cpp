#include "core/session/session_writer.h"
#include "core/session/text.h"
#include <chrono>
#include <unordered_set>

namespace session {

namespace {

/// A disk that comes back is noticed within this.
constexpr auto tryAgainAfter = std::chrono::seconds(1);

} // namespace

SessionWriter::SessionWriter(Start start, OpenSession::Notices notices)
    : m_notices(std::move(notices)), m_lock(std::move(start.lock)), m_store(std::move(start.store)),
      m_evidence(std::move(start.evidence)),
      m_document(std::make_shared<const Document>(std::move(start.session.document))),
      m_log(std::move(start.session.log)), m_thread([this] { run(); })
{}

SessionWriter::~SessionWriter()
{
    {
        const std::lock_guard lock(m_mutex);
        m_stopping = true;
    }
    m_wake.notify_one();
    m_thread.join();
}

void SessionWriter::push(Task task)
{
    {
        const std::lock_guard lock(m_mutex);
        m_tasks.push_back(std::move(task));
    }
    m_wake.notify_one();
}

void SessionWriter::write(Entry entry) { push({std::move(entry), {}, {}}); }
void SessionWriter::save(Done done) { push({std::nullopt, std::move(done), {}}); }
void SessionWriter::saveAs(std::filesystem::path wanted, Done done)
{
    push({std::nullopt, std::move(done), std::move(wanted)});
}

std::optional<std::filesystem::path> SessionWriter::takeMoved()
{
    const std::lock_guard lock(m_mutex);
    return std::exchange(m_moved, std::nullopt);
}

bool SessionWriter::allWritten() const
{
    const std::lock_guard lock(m_mutex);
    return m_tasks.empty() && !m_busy;
}

void SessionWriter::run()
{
    std::unique_lock lock(m_mutex);
    for (;;) {
        const auto wanted = [&] { return !m_tasks.empty() || m_stopping; };
        if (m_uncommitted.empty())
            m_wake.wait(lock, wanted);
        else if (!m_wake.wait_for(lock, tryAgainAfter, wanted)) {
            lock.unlock();
            tryWriting();
            lock.lock();
            m_busy = !m_uncommitted.empty();
            continue;
        }
        if (m_tasks.empty())
            return;
        Task task = std::move(m_tasks.front());
        m_tasks.pop_front();
        m_busy = true;
        lock.unlock();
        perform(std::move(task));
        lock.lock();
        m_busy = !m_uncommitted.empty();
    }
}

void SessionWriter::perform(Task task)
{
    if (task.entry) {
        m_document = task.entry->document;
        m_log.push_back(task.entry->line);
        const std::int64_t sequence = task.entry->line.sequence;
        m_uncommitted.push_back(std::move(*task.entry));
        tryWriting();
        if (m_notices.accepted)
            m_notices.accepted(sequence, m_document);
        return;
    }
    std::optional<core::Error> error;
    try {
        if (task.elsewhere)
            saveNowAs(*task.elsewhere);
        else
            tryWriting();
        if (!m_trouble.empty())
            error.emplace(core::ErrorKind::WriteFailed, "The session wasn't saved. " + m_trouble);
    } catch (const core::Error& wrong) {
        error.emplace(wrong.kind(), std::string("The session wasn't saved. ") + wrong.what());
    } catch (const std::exception& wrong) { // no memory
        error.emplace(core::ErrorKind::WriteFailed, std::string("The session wasn't saved: ") + wrong.what() + ".");
    }
    seeWhatIsLeft();
    task.saved(error);
}

void SessionWriter::tryWriting()
{
    try {
        while (!m_uncommitted.empty()) {
            const Entry& entry = m_uncommitted.front();
            const CropBytes crops = m_evidence->uncommitted();
            m_store->commit(entry.line, entry.changes, *entry.document, crops);
            if (const std::string foreign = m_store->foreignChange(); !foreign.empty())
                throw core::Error(core::ErrorKind::AtOdds, foreign); // it went into a file that was moved meanwhile
            m_evidence->wrote(crops);
            m_uncommitted.pop_front();
        }
        recover();
    } catch (const core::Error& error) {
        trouble(asSentence(error.what()));
    } catch (const std::exception& error) {
        trouble(asSentence(error.what()));
    }
}

/// For whoever asks allWritten() from a notice on.
void SessionWriter::seeWhatIsLeft()
{
    const std::lock_guard lock(m_mutex);
    m_busy = !m_uncommitted.empty();
}

void SessionWriter::recover()
{
    if (m_trouble.empty())
        return;
    m_trouble.clear();
    seeWhatIsLeft();
    if (m_notices.recovered)
        m_notices.recovered();
}

void SessionWriter::trouble(const std::string& why)
{
    const std::string sentence = "The latest changes are in memory only. " + why
                                 + " They are tried again; save the session under another name to have them on a disk.";
    if (sentence == m_trouble)
        return;
    m_trouble = sentence;
    if (m_notices.failed)
        m_notices.failed(sentence, m_document);
}

void SessionWriter::saveNowAs(const std::filesystem::path& wanted)
{
    const std::filesystem::path target = resolved(wanted);
    const bool isOurs = target == m_store->path();
    if (isOurs && m_trouble.empty())
        throw core::Error(core::ErrorKind::Refused,
                          "It is the file " + target.string() + " already; choose another name.");
    if (isOurs && std::filesystem::exists(target)) // what another program put there is kept
        throw core::Error(core::ErrorKind::Refused, "There is a file of that name that isn't this session any more; "
                                                    "choose another name.");
    std::optional<Lock> lock;
    if (!isOurs) {
        lock = lockSession(target);
        if (!lock->file)
            throw core::Error(core::ErrorKind::Locked, lock->reason);
    }
    if (const std::string left = SessionStore::takeAwayUnfinished(target); !left.empty() && m_notices.reported)
        m_notices.reported(left);
    const CropBytes crops = m_evidence->uncommitted(); // others may be kept meanwhile, for edits yet to come
    const std::string lost = copyTo(target, crops);
    auto store = std::make_unique<SessionStore>(target);
    m_evidence->moveTo(target); // both are open before either is let go of
    m_store = std::move(store);
    if (lock)
        m_lock = std::move(*lock);
    m_evidence->wrote(crops);
    m_uncommitted.clear();
    recover();
    if (!lost.empty() && m_notices.reported)
        m_notices.reported(lost);
    const std::lock_guard guard(m_mutex);
    m_moved = target;
}

/// Everything is in memory but the crops, so that a file that is gone takes nothing else along. Says what it took.
std::string SessionWriter::copyTo(const std::filesystem::path& target, const CropBytes& uncommitted)
{
    std::unordered_set<std::string> copied;
    std::string why;
    SessionStore::write(target, {*m_document, m_log}, [&](const SessionStore::AddCrop& add) {
        bool isWriting = false;
        const auto copy = [&](const std::string& sha256, const QByteArray& png) {
            isWriting = true;
            add(sha256, png);
            isWriting = false;
            copied.insert(sha256);
        };
        for (const auto& [sha256, png] : uncommitted)
            copy(sha256, png);
        for (int attempt = 0; attempt < 2; ++attempt) { // a disk that stumbles once costs no crop
            why.clear();
            try {
                m_store->forCrops(copy);
                break;
            } catch (const core::Error& error) {
                if (isWriting)
                    throw;
                why = " " + asSentence(error.what());
            }
        }
    });
    std::size_t lost = 0;
    for (const auto& [id, trial] : m_document->trials)
        for (const Reading& reading : trial->readings)
            for (const std::optional<Mark>& mark : {reading.press, reading.response})
                if (mark)
                    for (const std::string& crop :
                         {mark->crops.lampBefore, mark->crops.lampAt, mark->crops.screenBefore, mark->crops.screenAt})
                        lost += !crop.empty() && !copied.contains(crop);
    if (lost == 0)
        return {};
    return std::to_string(lost) + (lost == 1 ? " crop" : " crops") + " of marks couldn't be read from "
           + m_store->path().string() + " and aren't in " + target.string() + "; the marks are." + why;
}

} // namespace session
