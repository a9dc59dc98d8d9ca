#include "core/media/index/checksum.h"
#include "core/reading/footage_lookup.h"
#include "core/reading/new_capture.h"
#include "ui/desk/captures.h"
#include "ui/model/file_paths.h"

#include <QFileInfo>
#include <algorithm>

namespace ui {

namespace {

using Clock = std::chrono::steady_clock;
constexpr auto incomingPatience = std::chrono::milliseconds(400); // that one which is ready waits for those before it

QString fileName(const QString& path) { return QFileInfo(path).fileName(); }

/// What else is here that may be the same footage.
struct Other {
    std::filesystem::path path;
    QString sentence; ///< if it is
};

} // namespace

void Captures::add(const QStringList& filesAndFolders)
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
    m_describer.run([given](std::stop_token) { return reading::findFootage(given); },
                    [this](const reading::FoundFootage& found) {
                        for (const std::string& sentence : found.problems)
                            emit problem(QString::fromStdString(sentence));
                        QStringList paths;
                        for (const std::filesystem::path& path : found.paths)
                            paths << fromPath(path);
                        take(paths);
                    },
                    [this](const QString& sentence) { emit problem(sentence); });
}

void Captures::take(const QStringList& paths)
{
    QStringList taken;
    for (const QString& path : paths) {
        if (itemAt(path))
            continue;
        if (const session::Capture* same = captureAt(path)) {
            emit problem(tr("%1 is in this session already, as capture %2; it wasn't added again.")
                             .arg(fileName(path), QString::fromStdString(same->name)));
            continue;
        }
        m_incoming.push_back({path, {}, {}, {}});
        taken << path;
    }
    for (const QString& path : taken) {
        m_pool.open(path);
        if (Item* item = itemAt(path))
            incomingOpened(*item); // it may be open already: undone and added again
    }
    emit incomingChanged();
}

Captures::Item* Captures::itemAt(const QString& path)
{
    const auto found = std::ranges::find(m_incoming, path, &Item::path);
    return found == m_incoming.end() ? nullptr : &*found;
}

QVector<Captures::Incoming> Captures::incoming() const
{
    QVector<Incoming> all;
    for (const Item& item : m_incoming) {
        const KnownFootage* known = m_pool.find(item.path);
        using Step = Incoming::Step;
        const Step step = known && known->isOpen()    ? Step::Adding
                          : known && known->isOpening ? Step::Scanning
                                                      : Step::Waiting;
        all << Incoming{item.path, step, known ? known->progress : 0};
    }
    return all;
}

/// What became of opening it.
void Captures::incomingOpened(Item& item)
{
    const KnownFootage& known = *m_pool.find(item.path);
    switch (known.state()) {
    case FootageState::Absent:
    case FootageState::Failed:
        emit problem(tr("%1 wasn't added. %2").arg(fileName(item.path), known.sentence));
        drop(QString(item.path), true);
        commit(); // what waited for it
        break;
    case FootageState::Scanned:
        if (!item.isBeingDescribed && !item.described)
            describe(item);
        break;
    default: break;
    }
}

void Captures::describe(Item& item)
{
    item.isBeingDescribed = true;
    item.since = Clock::now();
    item.as = m_pool.footage(item.path);
    const QString path = item.path;
    const auto same = [&](const QString& name) {
        return tr("%1 holds the same bytes as %2; it wasn't added again.").arg(fileName(path), name);
    };
    std::vector<Other> others; // without those that are on a disk that may not answer
    for (const auto& [id, capture] : m_model.document()->captures)
        if (capture->furtherParts.empty() && m_pool.isOpen(m_model.footagePath(*capture)))
            others.push_back({toPath(m_model.footagePath(*capture)), same(QString::fromStdString(capture->name))});
    for (const Item& other : m_incoming)
        if (other.as && other.path != path)
            others.push_back({toPath(other.path), same(fileName(other.path))});
    struct Description {
        session::NewCapture capture;
        QString same;
    };
    m_describer.run(
        [footage = item.as, at = toPath(path), inSession = m_model.pathInSession(path).toStdString(),
         others](std::stop_token stop) {
            for (const Other& other : others)
                if (media::holdSameBytes(at, other.path, stop))
                    return Description{{}, other.sentence};
            return Description{reading::describeCapture(*footage, inSession), {}};
        },
        [this, path](const Description& description) {
            Item* described = itemAt(path);
            if (!described)
                return; // cancelled meanwhile
            described->isBeingDescribed = false;
            if (description.same.isEmpty()) {
                described->described = description.capture;
            } else {
                emit problem(description.same);
                drop(path, true);
            }
            emit incomingChanged();
            commit();
        },
        [this, path](const QString& sentence) {
            emit problem(tr("%1 wasn't added. %2").arg(fileName(path), sentence));
            drop(path, true);
            emit incomingChanged();
            commit();
        });
}

/// All that are ready go in by one edit.
void Captures::commit()
{
    if (m_onceAccepted)
        return; // one edit at a time
    std::vector<session::NewCapture> captures;
    std::vector<Item*> going;
    for (Item& item : m_incoming) {
        if (item.described) {
            going.push_back(&item);
            captures.push_back(*item.described);
            continue;
        }
        // Those after it wait for one that is about to be ready, not for a slow one.
        const auto waited = Clock::now() - item.since;
        if (item.isBeingDescribed && waited < incomingPatience) {
            m_impatience.start(std::chrono::ceil<std::chrono::milliseconds>(incomingPatience - waited));
            break;
        }
    }
    if (captures.empty())
        return;
    for (Item* item : going)
        item->isGoingIn = true;
    qint64 first = 0;
    const bool went = m_model.edit([&](const session::Document& document) {
        session::Edit edit = session::addCaptures(document, captures);
        for (const session::Change& change : edit.changes)
            if (change.after && !change.before && first == 0)
                if (const auto* capture = std::get_if<session::Capture>(&*change.after))
                    first = capture->id.value;
        return edit;
    });
    if (!went) {
        QStringList refused;
        for (const Item* item : going)
            refused << item->path;
        for (const QString& path : std::as_const(refused))
            drop(path, true);
        emit incomingChanged();
        return;
    }
    // Until the session holds them they stay in line.
    m_onceAccepted = [this, first] { wentIn(first); };
    if (!m_model.pending())
        sessionChanged();
}

void Captures::wentIn(qint64 first)
{
    std::vector<Item> in;
    for (const Item& item : m_incoming)
        if (item.isGoingIn)
            in.push_back(item);
    for (const Item& item : in)
        drop(item.path, false);
    emit incomingChanged();
    emit added(first);
    // Added as they were scanned; decoding has come to its end meanwhile.
    for (const Item& item : in)
        if (KnownFootage* known = m_pool.find(item.path); known && !item.as->confirmed && known->inSession.confirmation)
            beginFollowing(*known, *known->inSession.confirmation);
    commit();
}

void Captures::drop(const QString& path, bool close)
{
    std::erase_if(m_incoming, [&](const Item& item) { return item.path == path; });
    if (close)
        m_pool.close(path);
}

void Captures::cancel(const QString& path)
{
    const Item* item = itemAt(path);
    if (!item || item->isGoingIn) // undo takes it back
        return;
    drop(QString(path), true);
    emit incomingChanged();
    commit(); // what waited for it may go in now
}

void Captures::cancelIncoming()
{
    m_describer.stop();
    m_onceAccepted = nullptr;
    const std::vector<Item> items = std::exchange(m_incoming, {});
    for (const Item& item : items)
        if (!item.isGoingIn)
            m_pool.close(item.path);
    if (!items.empty())
        emit incomingChanged();
}

} // namespace ui
