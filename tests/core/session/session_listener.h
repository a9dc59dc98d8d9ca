#pragma once
#include "core/session/edits.h"
#include "core/session/open_session.h"
#include <QFile>
#include <QTemporaryDir>
#include <catch2/catch.hpp>
#include <chrono>
#include <condition_variable>
#include <filesystem>
#include <mutex>

/// A folder of a test's own, gone with it.
class Folder {
public:
    std::filesystem::path path() const { return m_folder.path().toStdString(); }
    std::filesystem::path operator/(const char* name) const { return path() / name; }

private:
    QTemporaryDir m_folder;
};

inline std::size_t fileCount(const std::filesystem::path& folder)
{
    return static_cast<std::size_t>(
        std::distance(std::filesystem::directory_iterator(folder), std::filesystem::directory_iterator()));
}

inline void write(const std::filesystem::path& path, const QByteArray& bytes)
{
    QFile file(QString::fromStdString(path.string()));
    REQUIRE(file.open(QIODevice::WriteOnly | QIODevice::Truncate));
    REQUIRE(file.write(bytes) == bytes.size());
}

/// Another title for it.
inline session::Edit rename(const session::OpenSession& open, const std::string& title)
{
    session::Settings settings = open.latest().settings;
    settings.title = title;
    return setSettings(open.latest(), settings, "title " + title);
}

/// Takes down what the writing thread reports.
class Listener {
public:
    session::OpenSession::Notices notices()
    {
        return {
            [this](std::int64_t sequence, std::shared_ptr<const session::Document> document) {
                note([&] { m_accepted.emplace_back(sequence, std::move(document)); });
            },
            [this](std::string sentence, std::shared_ptr<const session::Document> document) {
                note([&] { m_failed.emplace_back(std::move(sentence), std::move(document)); });
            },
            [this](std::string sentence) { note([&] { m_saved.push_back(std::move(sentence)); }); },
            [this](std::string sentence) { note([&] { m_savedAs.push_back(std::move(sentence)); }); },
            [this] { note([&] { ++m_recoveries; }); },
            [this](std::string sentence) { note([&] { m_reported.push_back(std::move(sentence)); }); },
        };
    }

    using Accepted = std::vector<std::pair<std::int64_t, std::shared_ptr<const session::Document>>>;
    using Failed = std::vector<std::pair<std::string, std::shared_ptr<const session::Document>>>;

    Accepted accepted() const { return copy(m_accepted); }
    Failed failed() const { return copy(m_failed); }
    std::vector<std::string> saved() const { return copy(m_saved); }
    std::vector<std::string> savedAs() const { return copy(m_savedAs); }
    std::vector<std::string> reported() const { return copy(m_reported); }

    /// False when it takes longer than any disk should.
    bool waitForAccepted(std::int64_t sequence)
    {
        return wait([&] { return !m_accepted.empty() && m_accepted.back().first >= sequence; });
    }
    bool waitForFailures(std::size_t count)
    {
        return wait([&] { return m_failed.size() >= count; });
    }
    bool waitForRecoveries(std::size_t count)
    {
        return wait([&] { return m_recoveries >= count; });
    }
    bool waitForSaves(std::size_t count)
    {
        return wait([&] { return m_saved.size() >= count; });
    }
    bool waitForSavesAs(std::size_t count)
    {
        return wait([&] { return m_savedAs.size() >= count; });
    }

private:
    template <class Do> void note(Do action)
    {
        {
            const std::lock_guard lock(m_mutex);
            action();
        }
        m_changed.notify_all();
    }
    template <class T> T copy(const T& values) const
    {
        const std::lock_guard lock(m_mutex);
        return values;
    }
    template <class Holds> bool wait(Holds holds)
    {
        std::unique_lock lock(m_mutex);
        return m_changed.wait_for(lock, std::chrono::seconds(120), holds);
    }

    mutable std::mutex m_mutex;
    std::condition_variable m_changed;
    Accepted m_accepted;
    Failed m_failed;
    std::vector<std::string> m_saved, m_savedAs, m_reported;
    std::size_t m_recoveries = 0;
};
