#include "ui/desk/take_in.h"
#include "core/reading/footage_lookup.h"
#include "core/reading/new_capture.h"
#include "ui/model/file_paths.h"

#include <QFileInfo>
#include <algorithm>
#include <utility>

namespace ui {

namespace {

QString fileName(const QString& path) { return QFileInfo(path).fileName(); }

} // namespace

TakeIn::TakeIn(SessionModel& model, FootagePool& pool, QObject* parent) : QObject(parent), m_model(model), m_pool(pool)
{
    connect(&pool, &FootagePool::stateChanged, this, &TakeIn::stateChanged);
    connect(&pool, &FootagePool::checksumReady, this, &TakeIn::checksumReady);
    connect(&pool, &FootagePool::checksumFailed, this, [this](const QString& path, const QString& sentence) {
        if (!find(path))
            return;
        emit problem(tr("%1 wasn't added. %2").arg(fileName(path), sentence));
        drop(path, true);
        emit changed();
        commit();
    });
    connect(&pool, &FootagePool::progressChanged, this, [this](const QString& path) {
        if (Item* item = find(path)) {
            item->progress = m_pool.progress(path);
            emit changed();
        }
    });
    connect(&model, &SessionModel::sessionReplaced, this, &TakeIn::cancelAll);
    connect(&model, &SessionModel::changed, this, &TakeIn::accepted);
}

void TakeIn::add(const QStringList& filesAndFolders)
{
    if (filesAndFolders.isEmpty())
        return;
    if (m_model.readOnly()) {
        emit problem(tr("No footage was added: the session is open read-only."));
        return;
    }
    std::vector<std::filesystem::path> given;
    for (const QString& path : filesAndFolders)
        given.push_back(toPath(path));
    m_worker.run([given](std::stop_token) { return reading::findFootage(given); },
                 [this](const reading::FoundFootage& found) {
                     for (const std::string& sentence : found.problems)
                         emit problem(QString::fromStdString(sentence));
                     QStringList paths;
                     for (const std::filesystem::path& path : found.paths)
                         paths << fromPath(path);
                     begin(paths);
                 },
                 [this](const QString& sentence) { emit problem(sentence); });
}

void TakeIn::begin(const QStringList& paths)
{
    for (const QString& path : paths) {
        if (find(path))
            continue;
        const QString same = nameOfSame(path, {});
        if (!same.isEmpty()) {
            emit problem(
                tr("%1 is in this session already, as capture %2; it wasn't added again.").arg(fileName(path), same));
            continue;
        }
        m_items.push_back({path, Step::Waiting, 0, {}});
        m_pool.open(path);
        stateChanged(path); // it may be open already: undone and added again
    }
    emit changed();
}

TakeIn::Item* TakeIn::find(const QString& path)
{
    const auto found = std::ranges::find(m_items, path, &Item::path);
    return found == m_items.end() ? nullptr : &*found;
}

/// Name of the capture that is the same file, or the same bytes under another name.
QString TakeIn::nameOfSame(const QString& path, const QString& sha256) const
{
    for (const auto& [id, capture] : m_model.document()->captures)
        if (m_model.footagePath(*capture) == path || (!sha256.isEmpty() && capture->sha256 == sha256.toStdString()))
            return QString::fromStdString(capture->name);
    return {};
}

void TakeIn::stateChanged(const QString& path)
{
    Item* item = find(path);
    if (!item || item->step == Step::Done)
        return;
    switch (m_pool.state(path)) {
    case FootagePool::State::Unknown: // stopped from elsewhere
        drop(path, false);
        break;
    case FootagePool::State::Waiting: item->step = Step::Waiting; break;
    case FootagePool::State::Indexing: item->step = Step::Indexing; break;
    case FootagePool::State::Ready:
        if (item->step != Step::Checking) {
            item->step = Step::Checking;
            item->progress = 1;
            m_pool.checksum(path);
        }
        break;
    case FootagePool::State::Failed:
        emit problem(tr("%1 wasn't added. %2").arg(fileName(path), m_pool.fault(path)));
        drop(path, true);
        break;
    }
    emit changed();
}

void TakeIn::checksumReady(const QString& path, const QString& sha256)
{
    Item* item = find(path);
    if (!item || item->step != Step::Checking)
        return;
    QString same = nameOfSame(path, sha256);
    for (const Item& other : std::as_const(m_items))
        if (same.isEmpty() && other.path != path && other.sha256 == sha256)
            same = fileName(other.path);
    if (!same.isEmpty()) {
        emit problem(tr("%1 holds the same bytes as %2; it wasn't added again.").arg(fileName(path), same));
        drop(path, true);
    } else {
        item->step = Step::Done;
        item->sha256 = sha256;
    }
    emit changed();
    commit();
}

/// Everything that is done at the head of the line goes in by one edit, so that captures stand in the order given.
void TakeIn::commit()
{
    if (m_committing)
        return;
    struct Finished {
        QString path, sha256, pathInSession;
        std::shared_ptr<const media::Footage> footage;
    };
    std::vector<Finished> finished;
    for (const Item& item : std::as_const(m_items)) {
        if (item.step != Step::Done)
            break;
        finished.push_back({item.path, item.sha256, m_model.pathInSession(item.path), m_pool.footage(item.path)});
    }
    if (finished.empty())
        return;
    m_committing = true;
    const auto describe = [finished](std::stop_token) {
        std::vector<session::NewCapture> captures;
        for (const Finished& one : finished)
            captures.push_back(
                reading::describeCapture(*one.footage, one.pathInSession.toStdString(), one.sha256.toStdString()));
        return captures;
    };
    const auto end = [this, finished](bool went, qint64 first) {
        m_committing = false;
        for (const Finished& one : finished)
            drop(one.path, !went);
        emit changed();
        if (went)
            emit added(first);
        for (const Finished& one : finished)
            if (went && !one.footage->confirmed && m_pool.proof(one.path) == FootagePool::Proof::Done)
                emit decodedMeanwhile(one.path);
        commit();
    };
    // Until the session holds them they stay in line, so that the same bytes under another name are noticed.
    const auto endOnceAccepted = [this, end](qint64 first) {
        m_onceAccepted = [end, first] { end(true, first); };
        accepted();
    };
    m_worker.run(
        describe,
        [this, end, endOnceAccepted](const std::vector<session::NewCapture>& captures) {
            qint64 first = 0;
            const bool went = m_model.edit([&](const session::Document& document) {
                session::Edit edit = session::addCaptures(document, captures);
                for (const session::Change& change : edit.changes)
                    if (change.after && !change.before && first == 0)
                        if (const auto* capture = std::get_if<session::Capture>(&*change.after))
                            first = capture->id.value;
                return edit;
            });
            if (went)
                endOnceAccepted(first);
            else
                end(false, 0);
        },
        [this, end](const QString& sentence) {
            emit problem(sentence);
            end(false, 0);
        });
}

void TakeIn::accepted()
{
    if (m_onceAccepted && !m_model.pending())
        std::exchange(m_onceAccepted, nullptr)();
}

void TakeIn::drop(const QString& path, bool forget)
{
    const auto gone = std::ranges::remove(m_items, path, &Item::path);
    m_items.erase(gone.begin(), gone.end());
    if (forget)
        m_pool.close(path);
}

void TakeIn::cancel(const QString& path)
{
    const Item* item = find(path);
    if (!item || item->step == Step::Done) // the edit that adds it is already being made; undo takes it back
        return;
    m_pool.cancel(path);
    drop(path, true);
    emit changed();
    commit(); // what waited behind it may go in now
}

void TakeIn::cancelAll()
{
    m_worker.stop();
    m_committing = false;
    m_onceAccepted = nullptr;
    const QVector<Item> items = std::exchange(m_items, {});
    for (const Item& item : items) {
        m_pool.cancel(item.path);
        m_pool.close(item.path);
    }
    if (!items.isEmpty())
        emit changed();
}

} // namespace ui
