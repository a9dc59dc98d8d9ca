#pragma once // not public: SQLite as session_store.cpp uses it
#include <QByteArray>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>

struct sqlite3;
struct sqlite3_stmt;

namespace session {

/// A connection to a session file, set up as SQLite advises for files that can't be trusted. Of one thread at a time.
/// All members throw core::Error: Locked where another holds the file, WriteFailed (disk full, I/O, write-protected),
/// Malformed (damaged, or no database at all), Unreadable.
class Database {
public:
    enum class Access { Read, Write, Create }; ///< Read can write, too, to finish what a crash left half done
    Database(const std::filesystem::path& path, Access access);
    ~Database();
    Database(const Database&) = delete;
    Database& operator=(const Database&) = delete;

    void run(const char* sql);
    std::int64_t number(const char* sql); ///< of the first column of the first row
    [[noreturn]] void fail(int code, const std::string& doing) const;
    bool isWriteProtected() const;
    const std::filesystem::path& path() const { return m_path; }
    sqlite3* get() const { return m_handle; }

private:
    void setUp();
    std::filesystem::path m_path;
    sqlite3* m_handle = nullptr;
};

class Statement {
public:
    Statement(Database& database, const char* sql);
    ~Statement();
    Statement(const Statement&) = delete;
    Statement& operator=(const Statement&) = delete;

    Statement& with(std::int64_t number); ///< the next parameter
    Statement& withText(const QByteArray& utf8);
    Statement& withBlob(const QByteArray& bytes);
    bool next(); ///< true while there is a row
    void run();  ///< to its end, ready for other parameters

    std::int64_t number(int column) const; ///< these throw Malformed where something else stands there
    QByteArray text(int column) const;
    QByteArray blob(int column) const;

private:
    Statement& bound(int code);
    void require(int column, int type) const;
    Database& m_database;
    sqlite3_stmt* m_handle = nullptr;
    int m_bound = 0;
};

/// Undone unless committed.
class Transaction {
public:
    explicit Transaction(Database& database, const char* begin = "BEGIN IMMEDIATE");
    ~Transaction();
    Transaction(const Transaction&) = delete;
    Transaction& operator=(const Transaction&) = delete;
    void commit();

private:
    Database& m_database;
    bool m_open = true;
};

} // namespace session
