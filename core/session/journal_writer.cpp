#include "core/session/journal_writer.h"
#include "core/error.h"
#include "core/session/entity_json.h"
#include "core/session/file_format.h"
#include "core/session/limits.h"
#include "core/session/replay.h"
#include <QCryptographicHash>
#include <QJsonDocument>

namespace session {

namespace {

/// A power cut takes at most the last second; half of it leaves time for a slow disk.
constexpr auto syncAfter = std::chrono::milliseconds(500);

QByteArray payloadOf(const JournalWriter::Entry& entry)
{
    const QJsonObject object = entry.edit ? toObject(*entry.edit) : QJsonObject();
    return QJsonDocument(object).toJson(QJsonDocument::Compact);
}

} // namespace

JournalWriter::JournalWriter(Start start, OpenSession::Notices notices)
    : m_notices(std::move(notices)), m_sessionPath(std::move(start.sessionPath)),
      m_journal(journalPath(m_sessionPath), start.goodBytes), m_fileHash(std::move(start.fileHash)),
      m_safe(std::move(start.document)), m_accepted(start.sequence), m_savedSequence(start.savedSequence),
      m_journalBytes(start.goodBytes), m_thread([this] { run(); })
{}

JournalWriter::~JournalWriter()
{
    {
        const std::lock_guard lock(m_mutex);
        m_stopping = true;
    }
    m_wake.notify_one();
    m_thread.join();
}

bool JournalWriter::push(Task task)
{
    {
        const std::lock_guard lock(m_mutex);
        if (m_failed)
            return false;
        m_tasks.push_back(std::move(task));
    }
    m_wake.notify_one();
    return true;
}

bool JournalWriter::write(Entry entry) { return push({std::move(entry), 0, {}, {}, {}}); }

bool JournalWriter::save(std::int64_t sequence, std::shared_ptr<const Document> document, Done done)
{
    return push({std::nullopt, sequence, std::move(document), std::move(done), {}});
}

bool JournalWriter::saveAs(std::filesystem::path wanted, std::int64_t sequence,
                           std::shared_ptr<const Document> document, Done done)
{
    return push({std::nullopt, sequence, std::move(document), std::move(done), std::move(wanted)});
}

std::optional<JournalWriter::Moved> JournalWriter::takeMoved()
{
    const std::lock_guard lock(m_mutex);
    return std::exchange(m_moved, std::nullopt);
}

bool JournalWriter::takeFailure()
{
    const std::lock_guard lock(m_mutex);
    return std::exchange(m_failed, false);
}

void JournalWriter::run()
{
    std::unique_lock lock(m_mutex);
    for (;;) {
        const auto wanted = [&] { return !m_tasks.empty() || m_stopping; };
        if (m_syncBy)
            m_wake.wait_until(lock, *m_syncBy, wanted);
        else
            m_wake.wait(lock, wanted);
        const bool idle = m_tasks.empty();
        if (m_syncBy && (idle || std::chrono::steady_clock::now() >= *m_syncBy)) {
            lock.unlock();
            syncNow();
            lock.lock();
            continue;
        }
        if (idle) {
            if (m_stopping)
                return;
            continue;
        }
        Task task = std::move(m_tasks.front());
        m_tasks.pop_front();
        lock.unlock();
        perform(std::move(task));
        lock.lock();
    }
}

void JournalWriter::perform(Task task)
{
    if (!task.entry) {
        try {
            if (task.elsewhere)
                saveNowAs(*task.elsewhere, task.sequence, *task.document);
            else
                saveNow(task.sequence, *task.document);
        } catch (const core::Error& error) {
            task.saved(core::Error(error.kind(), std::string("The session wasn't saved. ") + error.what()));
            return;
        } catch (const std::exception& error) { // a folder that can't be listed, no memory
            task.saved(core::Error(core::ErrorKind::WriteFailed,
                                   std::string("The session wasn't saved: ") + error.what() + "."));
            return;
        }
        task.saved(std::nullopt);
        return;
    }
    try {
        append(*task.entry);
    } catch (const core::Error& error) {
        fail(error.what());
        return;
    }
    m_safe = task.entry->document;
    m_accepted = task.entry->sequence;
    if (m_notices.accepted)
        m_notices.accepted(task.entry->sequence, m_safe);
}

void JournalWriter::append(const Entry& entry)
{
    m_journal.append({entry.kind, entry.sequence, m_fileHash, payloadOf(entry), 0});
    m_journalBytes = m_journal.end();
    if (!m_syncBy)
        m_syncBy = std::chrono::steady_clock::now() + syncAfter;
}

/// What was asked for after the failed entry builds on it, so it is off as well.
void JournalWriter::fail(const std::string& sentence)
{
    std::deque<Task> off;
    {
        const std::lock_guard lock(m_mutex);
        m_failed = true;
        off.swap(m_tasks);
    }
    if (m_notices.failed)
        m_notices.failed("The last change wasn't made. " + sentence, m_safe);
    for (const Task& task : off)
        if (!task.entry)
            task.saved(core::Error(core::ErrorKind::WriteFailed,
                                   "The session wasn't saved, as a change before couldn't be written. " + sentence));
}

namespace {

QByteArray jsonThatFits(const Document& document)
{
    QByteArray json = toJson(document);
    if (json.size() > limits::fileBytes)
        throw core::Error(core::ErrorKind::WriteFailed,
                          "The session is larger than a session file may be; remove captures or their stamps.");
    return json;
}

} // namespace

void JournalWriter::saveNow(std::int64_t sequence, const Document& document)
{
    const QByteArray json = jsonThatFits(document);
    const QByteArray hash = QCryptographicHash::hash(json, QCryptographicHash::Sha256);
    Replacement file(m_sessionPath, json);
    // First the record, then the file: whichever of the two is there after a crash, the other explains it.
    m_journal.append({RecordKind::Saved, sequence, m_fileHash, savedPayload(hash), 0});
    m_journal.sync();
    m_syncBy.reset();
    m_journalBytes = m_journal.end();
    file.commit();
    m_fileHash = hash;
    m_savedSequence = sequence;
}

void JournalWriter::saveNowAs(const std::filesystem::path& wanted, std::int64_t sequence, const Document& document)
{
    const std::filesystem::path target = resolved(wanted);
    if (target == m_sessionPath)
        throw core::Error(core::ErrorKind::Refused,
                          "It is the file " + target.string() + " already; choose another name.");
    Lock lock = lockSession(target);
    if (!lock.file)
        throw core::Error(core::ErrorKind::Locked, lock.reason);
    m_journal.sync(); // the old session keeps what was done in it
    m_syncBy.reset();
    const QByteArray json = jsonThatFits(document);
    const std::int64_t journalBytes = copySession(m_sessionPath, m_journal.end(), sequence, json, target);
    m_sessionPath = target;
    m_journal = JournalFile(journalPath(target), journalBytes);
    m_journalBytes = journalBytes;
    m_fileHash = QCryptographicHash::hash(json, QCryptographicHash::Sha256);
    m_savedSequence = sequence;
    const std::lock_guard guard(m_mutex);
    m_moved = Moved{target, std::move(lock)};
}

void JournalWriter::syncNow()
{
    m_syncBy.reset();
    try {
        m_journal.sync();
        if (m_journal.isDeleted())
            throw core::Error(core::ErrorKind::WriteFailed,
                              "The journal " + m_journal.path().string()
                                  + " was deleted; save the session, close it and open it again.");
    } catch (const core::Error& error) {
        // Nothing is taken back: the changes stand, but nothing outlives the program or a power cut.
        if (m_notices.failed)
            m_notices.failed(std::string("The last changes aren't safe yet. ") + error.what(), m_safe);
    }
}

} // namespace session
