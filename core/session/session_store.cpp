#include "core/session/session_store.h"
#include "core/error.h"
#include "core/session/durable_file.h"
#include "core/session/entity_kinds.h"
#include "core/session/field_tables.h"
#include <QJsonDocument>
#include <QRandomGenerator>
#include <sys/stat.h>
#include <unistd.h>

namespace session {

namespace {

namespace fs = std::filesystem;

struct TableText {
    const char* name;
    const char* sql;
};
/// Compared with what a file holds before it is read: no triggers, views or indexes of others run in our name.
constexpr TableText tables[] = {
    {"crop", "CREATE TABLE crop(sha256 TEXT PRIMARY KEY NOT NULL, png BLOB NOT NULL)"},
    {"edit", "CREATE TABLE edit(sequence INTEGER PRIMARY KEY NOT NULL, kind TEXT NOT NULL, body TEXT NOT NULL)"},
    {"entity", "CREATE TABLE entity(id INTEGER PRIMARY KEY NOT NULL, kind TEXT NOT NULL, body TEXT NOT NULL)"},
    {"session", "CREATE TABLE session(nextId INTEGER NOT NULL, token TEXT NOT NULL)"},
};

constexpr const char* logKinds[] = {"edit", "undo", "redo", "look"};
constexpr std::int64_t settingsId = 0; ///< of the settings among the entities, which count from 1
constexpr std::int64_t longestLog = std::int64_t{800} << 20;

QByteArray newToken() { return QByteArray::number(QRandomGenerator::system()->generate64(), 16); }

[[noreturn]] void refuseFile(const std::string& sentence) { throw core::Error(core::ErrorKind::Malformed, sentence); }

/// Statements that put a session's things into its tables.
class Pen {
public:
    explicit Pen(Database& database)
        : m_entity(database, "INSERT OR REPLACE INTO entity(id, kind, body) VALUES (?, ?, ?)"),
          m_gone(database, "DELETE FROM entity WHERE id = ?"),
          m_line(database, "INSERT OR REPLACE INTO edit(sequence, kind, body) VALUES (?, ?, ?)"),
          m_crop(database, "INSERT OR IGNORE INTO crop(sha256, png) VALUES (?, ?)")
    {}

    template <class T> void put(std::int64_t id, std::size_t kind, const T& entity)
    {
        m_entity.with(id)
            .withText(entityKinds[kind])
            .withText(QJsonDocument(writtenFields(entity)).toJson(QJsonDocument::Compact))
            .run();
    }
    void remove(std::int64_t id) { m_gone.with(id).run(); }
    void line(const LogLine& line)
    {
        m_line.with(line.sequence).withText(logKinds[static_cast<std::size_t>(line.kind)]).withText(line.body).run();
    }
    void crop(const std::string& sha256, const QByteArray& png)
    {
        m_crop.withText(QByteArray::fromStdString(sha256)).withBlob(png).run();
    }

private:
    Statement m_entity, m_gone, m_line, m_crop;
};

/// What `change` speaks of, as it is in `document` now.
void putChanged(Pen& pen, const Change& change, const Document& document)
{
    const Entity& entity = change.after ? *change.after : *change.before;
    std::visit(
        [&](const auto& value) {
            if (const auto* now = thingIn(document, value))
                pen.put(numberOf(value), entity.index(), *now);
            else
                pen.remove(numberOf(value));
        },
        entity);
}

/// "NAME.writing-12-a0b1", with or without "-journal": what write() calls a file until it is whole.
bool isHalfWritten(std::string name, const std::string& session)
{
    const std::string mark = session + ".writing-", journal = "-journal";
    if (name.ends_with(journal))
        name.resize(name.size() - journal.size());
    const std::size_t dash = name.find('-', mark.size());
    return name.starts_with(mark) && dash != std::string::npos && dash > mark.size() && dash + 1 < name.size()
           && name.find_first_not_of("0123456789", mark.size()) == dash
           && name.find_first_not_of("0123456789abcdef", dash + 1) == std::string::npos;
}

/// Where a new file is written until it is whole.
struct HalfWritten {
    fs::path path;
    ~HalfWritten()
    {
        std::error_code ignored;
        fs::remove(path, ignored);
        fs::remove(journalOf(path), ignored);
    }
    static fs::path journalOf(fs::path file) { return file += "-journal"; }
};

} // namespace

void refuseText(const fs::path& path)
{
    QByteArray head;
    try {
        head = readFile(path, limits::fileBytes).left(4'096).trimmed();
    } catch (const core::Error& error) {
        if (error.kind() != core::ErrorKind::Malformed)
            throw;
    }
    if (head.startsWith('{'))
        throw core::Error(core::ErrorKind::Unsupported,
                          path.string() + " is a session as text, such as version 1 wrote; “tallyframe import "
                              + path.filename().string() + " --out NEW.tallyframe” makes a session of it.");
    refuseFile(path.string() + " isn't a session.");
}

SessionStore::SessionStore(const fs::path& path, Check check)
{
    std::error_code error;
    const fs::file_status status = fs::status(path, error);
    if (status.type() == fs::file_type::not_found)
        throw core::Error(core::ErrorKind::NotFound, "There is no session " + path.string() + ".");
    if (!fs::is_regular_file(status))
        throw core::Error(core::ErrorKind::Unreadable, path.string() + " isn't a file.");
    if (fs::file_size(path, error) == 0)
        refuseFile(path.string() + " is empty; it isn't a session.");
    try {
        m_database = std::make_unique<Database>(path, Database::Access::Read);
        if (check == Check::All)
            checkWhole();
    } catch (const core::Error& wrong) {
        if (wrong.kind() == core::ErrorKind::Malformed
            && std::string(wrong.what()).find("not a database") != std::string::npos) {
            m_database.reset();
            refuseText(path);
        }
        throw core::Error(wrong.kind(), "The session " + path.string() + " can't be read. " + wrong.what());
    }
    m_identity = identityOf(path).value_or(Identity{});
    m_dataVersion = m_database->number("PRAGMA data_version");
    m_token = token();
}

void SessionStore::checkWhole()
{
    const Transaction snapshot(*m_database, "BEGIN");
    const std::int64_t found = m_database->number("PRAGMA application_id");
    if (m_database->number("PRAGMA user_version") > version && found == applicationId)
        throw core::Error(core::ErrorKind::Unsupported,
                          "A newer program wrote it; this one reads up to version " + std::to_string(version) + ".");
    if (found != applicationId || m_database->number("PRAGMA user_version") != version)
        refuseFile("It is a database of another program.");
    checkTables();
    Statement whole(*m_database, "PRAGMA quick_check(1)");
    if (!whole.next() || whole.text(0) != "ok")
        refuseFile("It is damaged (" + whole.text(0).toStdString() + "); restore it from a copy.");
}

void SessionStore::checkTables()
{
    std::map<std::string, std::string> wanted;
    for (const TableText& table : tables)
        wanted.emplace(table.name, table.sql);
    wanted.emplace("sqlite_autoindex_crop_1", "");
    Statement made(*m_database, "SELECT name, ifnull(sql, ''), type FROM sqlite_master");
    while (made.next()) {
        const auto found = wanted.find(made.text(0).toStdString());
        if (found == wanted.end() || found->second != made.text(1).toStdString())
            refuseFile("It holds " + made.text(2).toStdString() + " " + inQuotes(made.text(0).toStdString())
                       + ", which no session has.");
        wanted.erase(found);
    }
    if (!wanted.empty())
        refuseFile("It lacks the table " + wanted.begin()->first + ".");
}

std::string SessionStore::token()
{
    Statement statement(*m_database, "SELECT token FROM session");
    return statement.next() ? statement.text(0).toStdString() : std::string();
}

StoredSession SessionStore::read()
{
    const std::string unreadable = "The session " + path().string() + " can't be read. ";
    try {
        const Transaction snapshot(*m_database, "BEGIN");
        StoredSession stored;
        Document& document = stored.document;
        const Place file;
        document.nextId = m_database->number("SELECT nextId FROM session");
        std::map<std::string, std::size_t> counts;
        std::int64_t bytes = 0;
        Statement entities(*m_database, "SELECT id, kind, body FROM entity ORDER BY id");
        while (entities.next()) {
            const std::int64_t id = entities.number(0);
            const std::string kind = entities.text(1).toStdString();
            const QByteArray body = entities.text(2);
            bytes += body.size();
            if (bytes > limits::fileBytes)
                throw Problem{"", "there is more in it than any session needs"};
            if (kind == entityKinds[0]) {
                const Place place(file, entityKinds[0]);
                readFields(parseObject(body), place, document.settings);
                require(id == settingsId, place, [] { return std::string("there are two of them"); });
                continue;
            }
            bool known = false;
            std::size_t index = 0;
            forKinds([&]<class T>(const EntityKind<T>& each) {
                if (entityKinds[++index] != kind)
                    return;
                known = true;
                const Place list(file, each.list);
                const Place place(list, counts[kind]++);
                checkCount(counts[kind], 0, each.most, each.many, list);
                auto entity = std::make_shared<T>();
                readFields(parseObject(body), place, *entity);
                require(entity->id.value == id, Place(place, "id"), [&] {
                    return "it says number " + std::to_string(entity->id.value) + " and stands under "
                           + std::to_string(id);
                });
                (document.*each.table).emplace_hint((document.*each.table).end(), entity->id, entity);
            });
            if (!known)
                throw Problem{"/" + pointerPart(kind), "no session has things of this kind"};
        }
        requireConsistent(document);
        stored.log = readLog();
        return stored;
    } catch (const Problem& problem) {
        throw core::Error(core::ErrorKind::Malformed, unreadable + problem.text());
    } catch (const core::Error& wrong) {
        throw core::Error(wrong.kind(), unreadable + wrong.what());
    }
}

std::vector<LogLine> SessionStore::readLog()
{
    std::vector<LogLine> log;
    std::int64_t bytes = 0;
    Statement lines(*m_database, "SELECT sequence, kind, body FROM edit ORDER BY sequence");
    while (lines.next()) {
        const QByteArray kind = lines.text(1);
        const auto* found = std::ranges::find(logKinds, kind.toStdString());
        if (found == std::end(logKinds) || lines.number(0) < 1 || lines.number(0) > limits::number)
            refuseFile("Line " + std::to_string(lines.number(0)) + " of its log is of no known kind.");
        log.push_back({lines.number(0), static_cast<LogKind>(found - logKinds), lines.text(2)});
        bytes += log.back().body.size();
        if (bytes > longestLog)
            refuseFile("Its log is longer than " + std::to_string(longestLog >> 20) + " MiB.");
    }
    return log;
}

std::optional<QByteArray> SessionStore::crop(const std::string& sha256)
{
    Statement statement(*m_database, "SELECT png FROM crop WHERE sha256 = ?");
    if (!statement.withText(QByteArray::fromStdString(sha256)).next())
        return std::nullopt;
    const QByteArray png = statement.blob(0);
    if (sha256Of(png) != sha256)
        throw core::Error(core::ErrorKind::AtOdds, "The crop " + sha256 + " in " + path().string()
                                                       + " isn't what was kept; restore the session from a copy.");
    return png;
}

void SessionStore::forCrops(const std::function<void(const std::string&, const QByteArray&)>& visit)
{
    Statement crops(*m_database, "SELECT sha256, png FROM crop");
    while (crops.next())
        if (const QByteArray png = crops.blob(1); sha256Of(png) == crops.text(0).toStdString())
            visit(sha256Of(png), png);
}

std::optional<SessionStore::Identity> SessionStore::identityOf(const fs::path& path)
{
    struct stat status {};
    if (::stat(path.c_str(), &status) != 0)
        return std::nullopt;
    return Identity{status.st_dev, status.st_ino, status.st_size,
                    status.st_mtim.tv_sec * std::int64_t{1'000'000'000} + status.st_mtim.tv_nsec};
}

std::string SessionStore::foreignChange()
{
    if (!m_foreign.empty())
        return m_foreign;
    const std::string name = path().string();
    const auto now = identityOf(path());
    if (!now)
        return name + " isn't there any more (deleted, moved, or its disk is gone)";
    if (now->inode != m_identity.inode || now->device != m_identity.device)
        return "another program put a different file in place of " + name;
    if (*now == m_identity)
        return {};
    // Somebody touched it, or wrote into it without SQLite, which would go unnoticed where its own count is the same.
    try {
        SessionStore fresh(path());
        if (fresh.m_token == m_token || (!m_attempted.empty() && fresh.m_token == m_attempted)) {
            m_identity = *now;
            m_token = fresh.m_token;
            return {};
        }
    } catch (const core::Error& error) {
        if (error.kind() == core::ErrorKind::Locked)
            return error.what();
    }
    m_foreign = "another program has written to " + name;
    return m_foreign;
}

void SessionStore::commit(const LogLine& line, std::span<const Change> changes, const Document& document,
                          const CropBytes& crops)
{
    const auto requireOurs = [&](const std::string& foreign) {
        if (!foreign.empty())
            throw core::Error(core::ErrorKind::AtOdds, foreign);
    };
    requireOurs(foreignChange());
    const QByteArray next = newToken();
    try {
        Transaction transaction(*m_database);
        if (const std::string there = token(); !m_attempted.empty() && (there == m_token || there == m_attempted)) {
            m_token = there;
            m_dataVersion = m_database->number("PRAGMA data_version"); // taking a failure back counts as a change
        }
        if (m_database->number("PRAGMA data_version") != m_dataVersion)
            m_foreign = "another program has written to " + path().string();
        requireOurs(m_foreign);
        m_attempted = next.toStdString();
        {
            Pen pen(*m_database);
            for (const auto& [sha256, png] : crops)
                pen.crop(sha256, png);
            for (const Change& change : changes)
                putChanged(pen, change, document);
            pen.line(line);
            Statement(*m_database, "UPDATE session SET nextId = ?, token = ?")
                .with(document.nextId)
                .withText(next)
                .run();
        }
        transaction.commit();
    } catch (...) {
        if (m_attempted.empty())
            m_attempted = m_token;
        throw;
    }
    m_attempted.clear();
    m_token = next.toStdString();
    const auto now = identityOf(path());
    if (now && now->inode == m_identity.inode && now->device == m_identity.device)
        m_identity = *now;
}

std::string SessionStore::takeAwayUnfinished(const fs::path& path)
{
    std::vector<fs::path> found;
    std::error_code error;
    for (fs::directory_iterator at(path.parent_path(), error), end; !error && at != end; at.increment(error))
        if (isHalfWritten(at->path().filename().string(), path.filename().string())
            && at->symlink_status(error).type() == fs::file_type::regular)
            found.push_back(at->path());
    std::ranges::sort(found);
    std::string names;
    for (const fs::path& each : found)
        if (fs::remove(each, error))
            names += (names.empty() ? "" : ", ") + each.filename().string();
    return names.empty() ? names
                         : "Writing " + path.filename().string()
                               + " was interrupted earlier; what it had left was taken away: " + names + ".";
}

void SessionStore::write(const fs::path& path, const StoredSession& session,
                         const std::function<void(const AddCrop&)>& addCrops)
{
    HalfWritten half{path};
    half.path += ".writing-" + std::to_string(::getpid()) + "-" + newToken().toStdString();
    {
        Database database(half.path, Database::Access::Create);
        Transaction transaction(database);
        database.run(("PRAGMA application_id = " + std::to_string(applicationId)).c_str());
        database.run(("PRAGMA user_version = " + std::to_string(version)).c_str());
        for (const TableText& table : tables)
            database.run(table.sql);
        {
            Statement(database, "INSERT INTO session(nextId, token) VALUES (?, ?)")
                .with(session.document.nextId)
                .withText(newToken())
                .run();
            Pen pen(database);
            pen.put(settingsId, 0, session.document.settings);
            std::size_t kind = 0;
            forKinds([&](const auto& each) {
                ++kind;
                for (const auto& [id, entity] : session.document.*each.table)
                    pen.put(id.value, kind, *entity);
            });
            for (const LogLine& line : session.log)
                pen.line(line);
            if (addCrops)
                addCrops([&](const std::string& sha256, const QByteArray& png) { pen.crop(sha256, png); });
        }
        transaction.commit();
    }
    struct stat replaced {};
    if (::stat(path.c_str(), &replaced) == 0 && ::chmod(half.path.c_str(), replaced.st_mode & 07777) != 0)
        throw core::Error(core::ErrorKind::WriteFailed, "Setting permissions of " + path.string() + " failed: "
                                                            + std::generic_category().message(errno) + ".");
    // What a crash left half done to the file that goes must not be undone to the one that comes.
    if (const fs::path stale = HalfWritten::journalOf(path); fs::exists(fs::symlink_status(stale)))
        setAside(stale);
    std::error_code error;
    fs::rename(half.path, path, error);
    if (error)
        throw core::Error(core::ErrorKind::WriteFailed,
                          "Putting " + path.string() + " in place failed: " + error.message() + ".");
    syncFolder(path.parent_path());
}

} // namespace session
