#pragma once
#include "core/session/database.h"
#include "core/session/edit_json.h"
#include "core/session/file_format.h"
#include <functional>
#include <span>
#include <vector>

namespace session {

/// One line of a session's log: what was done, in order. PassedOver: an edit that undo passes over (isPassedOver()).
enum class LogKind { Edit, Undo, Redo, PassedOver };
struct LogLine {
    std::int64_t sequence = 0; ///< rises from line to line
    LogKind kind = LogKind::Edit;
    QByteArray body; ///< bodyOf() the edit; empty with undo and redo
};

/// All of a session but its crops.
struct StoredSession {
    Document document;
    std::vector<LogLine> log;
    std::int64_t sequence() const { return log.empty() ? 0 : log.back().sequence; }
};

/// A session file: an SQLite database (application_id "TlyF") with the things of the session as JSON by the tables of
/// fields, its log and its crops. Whatever it throws is core::Error: Malformed with the place as JSON pointer of the
/// session as text, Unsupported for a newer program's, NotFound, else as Database. Of one thread at a time.
class SessionStore {
public:
    static constexpr std::int32_t applicationId = 0x546C7946; // "TlyF"
    static constexpr int version = 2;                         ///< 1 was text

    enum class Check { All, None }; ///< None: a second connection to a file that was checked just now
    /// Opens and checks a file, in whole and against what a session's tables look like; changes nothing.
    explicit SessionStore(const std::filesystem::path& path, Check check = Check::All);

    StoredSession read();
    std::vector<LogLine> readLog();
    /// Empty when it isn't there. Throws AtOdds when the bytes don't match their name.
    std::optional<QByteArray> crop(const std::string& sha256);
    /// visit(sha256, png) for each; those whose bytes don't match their name are passed over.
    void forCrops(const std::function<void(const std::string&, const QByteArray&)>& visit);

    /// One transaction, on the disk when it returns: the line, everything `changes` speaks of as it is in `document`,
    /// and the crops. Throws AtOdds, and writes nothing, when the file isn't as this store left it.
    void commit(const LogLine& line, std::span<const Change> changes, const Document& document, const CropBytes& crops);
    /// Why nothing may be written any more; empty: the file is as this store left it.
    std::string foreignChange();

    const std::filesystem::path& path() const { return m_database->path(); }
    bool isWriteProtected() const { return m_database->isWriteProtected(); }

    /// A new file in place of whatever is at `path`, whole or not at all. `addCrops(add)` calls add(sha256, png).
    using AddCrop = std::function<void(const std::string&, const QByteArray&)>;
    static void write(const std::filesystem::path& path, const StoredSession& session,
                      const std::function<void(const AddCrop&)>& addCrops = {});

    /// Takes away what a crash left of write() to this path, and says so in a sentence; empty: there was nothing. To be
    /// called by whoever has the session's lock, so that nobody is writing it.
    static std::string takeAwayUnfinished(const std::filesystem::path& path);

private:
    struct Identity {
        std::uint64_t device = 0, inode = 0;
        std::int64_t bytes = 0, changed = 0;
        bool operator==(const Identity&) const = default;
    };
    static std::optional<Identity> identityOf(const std::filesystem::path& path);
    void checkWhole();
    void checkTables();
    std::string token();

    std::unique_ptr<Database> m_database;
    Identity m_identity;            ///< as it was left
    std::int64_t m_dataVersion = 0; ///< the same, by SQLite's own count
    std::string m_token;            ///< the same, by what the last transaction wrote
    std::string m_attempted;        ///< by one that failed and may have come to the disk all the same; empty: none did
    std::string m_foreign;          ///< what another program did to the file itself: for good
};

/// Throws as SessionStore. For files that aren't a session's: Unsupported with what to do for a session as text.
[[noreturn]] void refuseText(const std::filesystem::path& path);

} // namespace session
