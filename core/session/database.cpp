#include "core/session/database.h"
#include "core/error.h"
#include <sqlite3.h>

namespace session {

namespace {

constexpr int mostBytes = 256 << 20; ///< of one value: an edit of a capture with five million stamps

core::ErrorKind errorKindOf(int code)
{
    switch (code & 0xFF) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED: return core::ErrorKind::Locked;
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
    case SQLITE_TOOBIG:
    case SQLITE_SCHEMA:
    case SQLITE_ERROR: return core::ErrorKind::Malformed;
    case SQLITE_CANTOPEN: return core::ErrorKind::Unreadable;
    default: return core::ErrorKind::WriteFailed;
    }
}

} // namespace

Database::Database(const std::filesystem::path& path, Access access) : m_path(path)
{
    const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_PRIVATECACHE
                      | (access == Access::Create ? SQLITE_OPEN_CREATE : 0);
    const int code = sqlite3_open_v2(path.c_str(), &m_handle, flags, nullptr);
    try {
        if (code != SQLITE_OK)
            fail(code, "Opening");
        setUp();
    } catch (...) {
        sqlite3_close(m_handle);
        throw;
    }
}

Database::~Database() { sqlite3_close(m_handle); }

/// https://sqlite.org/security.html, "Untrusted SQLite database files".
void Database::setUp()
{
    sqlite3_extended_result_codes(m_handle, 1);
    sqlite3_busy_timeout(m_handle, 5'000);
    const auto set = [&](int option, int value) { sqlite3_db_config(m_handle, option, value, nullptr); };
    set(SQLITE_DBCONFIG_DEFENSIVE, 1);
    set(SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0);
    set(SQLITE_DBCONFIG_ENABLE_TRIGGER, 0);
    set(SQLITE_DBCONFIG_ENABLE_VIEW, 0);
    set(SQLITE_DBCONFIG_DQS_DML, 0);
    set(SQLITE_DBCONFIG_DQS_DDL, 0);
    sqlite3_limit(m_handle, SQLITE_LIMIT_LENGTH, mostBytes);
    sqlite3_limit(m_handle, SQLITE_LIMIT_SQL_LENGTH, 10'000);
    sqlite3_limit(m_handle, SQLITE_LIMIT_VDBE_OP, 25'000);
    sqlite3_limit(m_handle, SQLITE_LIMIT_EXPR_DEPTH, 20);
    sqlite3_limit(m_handle, SQLITE_LIMIT_COLUMN, 20);
    sqlite3_limit(m_handle, SQLITE_LIMIT_ATTACHED, 0);
    sqlite3_limit(m_handle, SQLITE_LIMIT_TRIGGER_DEPTH, 1);
    sqlite3_limit(m_handle, SQLITE_LIMIT_WORKER_THREADS, 0);
    run("PRAGMA cell_size_check = ON; PRAGMA mmap_size = 0");
    // Deleting the journal commits, and the folder is synced then: with FULL a power cut right after could bring the
    // journal back and take the edit away.
    run("PRAGMA synchronous = EXTRA; PRAGMA temp_store = MEMORY");
}

void Database::fail(int code, const std::string& doing) const
{
    const std::string file = m_path.string();
    const int system = m_handle ? sqlite3_system_errno(m_handle) : 0;
    std::string why = m_handle ? sqlite3_errmsg(m_handle) : sqlite3_errstr(code);
    if ((code & 0xFF) == SQLITE_IOERR || (code & 0xFF) == SQLITE_CANTOPEN)
        why = system != 0 ? std::generic_category().message(system) : sqlite3_errstr(code);
    const bool isRead = code == SQLITE_IOERR_READ || code == SQLITE_IOERR_SHORT_READ;
    const bool isWrite = (code & 0xFF) == SQLITE_FULL || ((code & 0xFF) == SQLITE_IOERR && !isRead);
    if ((code & 0xFF) == SQLITE_FULL)
        why = "there is no room left on its disk";
    if ((code & 0xFF) == SQLITE_BUSY)
        why = "another program is writing to it";
    throw core::Error(errorKindOf(code), (isWrite ? "Writing" : doing) + " " + file + " failed: " + why + ".");
}

bool Database::isWriteProtected() const { return sqlite3_db_readonly(m_handle, "main") == 1; }

void Database::run(const char* sql)
{
    if (const int code = sqlite3_exec(m_handle, sql, nullptr, nullptr, nullptr); code != SQLITE_OK)
        fail(code, sqlite3_txn_state(m_handle, nullptr) == SQLITE_TXN_WRITE ? "Writing" : "Using");
}

std::int64_t Database::number(const char* sql)
{
    Statement statement(*this, sql);
    return statement.next() ? statement.number(0) : 0;
}

Statement::Statement(Database& database, const char* sql) : m_database(database)
{
    if (const int code = sqlite3_prepare_v2(database.get(), sql, -1, &m_handle, nullptr); code != SQLITE_OK)
        database.fail(code, "Reading");
}

Statement::~Statement() { sqlite3_finalize(m_handle); }

Statement& Statement::with(std::int64_t number)
{
    sqlite3_bind_int64(m_handle, ++m_bound, number);
    return *this;
}

Statement& Statement::bound(int code)
{
    if (code != SQLITE_OK)
        m_database.fail(code, "Writing");
    return *this;
}

Statement& Statement::withText(const QByteArray& utf8)
{
    return bound(sqlite3_bind_text64(m_handle, ++m_bound, utf8.constData(), static_cast<sqlite3_uint64>(utf8.size()),
                                     SQLITE_TRANSIENT, SQLITE_UTF8));
}

Statement& Statement::withBlob(const QByteArray& bytes)
{
    return bound(sqlite3_bind_blob64(m_handle, ++m_bound, bytes.constData(), static_cast<sqlite3_uint64>(bytes.size()),
                                     SQLITE_TRANSIENT));
}

bool Statement::next()
{
    const int code = sqlite3_step(m_handle);
    if (code != SQLITE_ROW && code != SQLITE_DONE)
        m_database.fail(code, sqlite3_stmt_readonly(m_handle) ? "Reading" : "Writing");
    return code == SQLITE_ROW;
}

void Statement::run()
{
    while (next()) {
    }
    sqlite3_reset(m_handle);
    m_bound = 0;
}

void Statement::require(int column, int type) const
{
    if (sqlite3_column_type(m_handle, column) != type)
        throw core::Error(core::ErrorKind::Malformed, "The table behind " + std::string(sqlite3_sql(m_handle))
                                                          + " holds a value of another type than it should.");
}

std::int64_t Statement::number(int column) const
{
    require(column, SQLITE_INTEGER);
    return sqlite3_column_int64(m_handle, column);
}

QByteArray Statement::text(int column) const
{
    require(column, SQLITE_TEXT);
    const auto* bytes = reinterpret_cast<const char*>(sqlite3_column_text(m_handle, column));
    return {bytes, sqlite3_column_bytes(m_handle, column)};
}

QByteArray Statement::blob(int column) const
{
    require(column, SQLITE_BLOB);
    const auto* bytes = static_cast<const char*>(sqlite3_column_blob(m_handle, column));
    return {bytes, sqlite3_column_bytes(m_handle, column)};
}

Transaction::Transaction(Database& database, const char* begin) : m_database(database) { database.run(begin); }

Transaction::~Transaction()
{
    if (m_open && !sqlite3_get_autocommit(m_database.get()))
        sqlite3_exec(m_database.get(), "ROLLBACK", nullptr, nullptr, nullptr);
}

void Transaction::commit()
{
    m_database.run("COMMIT");
    m_open = false;
}

} // namespace session
