#pragma once // part of SessionModel; nobody else needs it
#include "ui/model/disk_jobs.h"
#include "ui/model/session_model.h"

#include <QElapsedTimer>
#include <QTimer>
#include <optional>

namespace ui {

inline QString sentenceOf(const std::exception& error) { return QString::fromUtf8(error.what()); }

class SessionModel::Impl {
public:
    Impl(SessionModel& model, SessionFiles files);

    bool pending() const { return m_accepted < m_submitted || saving(); }
    bool saving() const { return !m_saveAs.isEmpty(); }
    bool emptyDraft() const { return m_session && isEmptyDraft(*m_session); }
    void tell(const QStringList& problems);
    /// Whatever goes wrong becomes one sentence in the window.
    bool guarded(const std::function<void()>& action);
    void submitted(std::int64_t sequence);
    /// Saving under another name has come to its end: goes on there, if it went well.
    void finishSaveAs(const QString& sentence);

    // Opening and letting go: session_opening.cpp

    static bool isEmptyDraft(const session::OpenSession& open);
    /// What came of asking for a session.
    struct Made {
        std::unique_ptr<session::OpenSession> session; ///< null when there is none to be had
        QStringList problems{};
        bool resumed = false;
    };
    using Gather = std::function<Made(const SessionFiles&, const session::OpenSession::Notices&)>;

    void beginOpening(const QString& name);
    void endOpening();
    /// Has the session that beginOpening() announced made or opened, and takes it. `discard`: draft that goes then.
    void gather(Gather how, const QString& discard = {});
    void notOpened(const QStringList& problems);
    /// Once no closing of that file is under way: it would be found locked by ourselves.
    void whenFree(const QString& path, std::function<void()> go);

    enum class After {
        Nothing, ///< nothing was changed
        Save,
        Discard, ///< the draft goes, whatever it holds
    };
    After afterClosing() const;
    /// Saved and closed beside the window. Whoever wants to open the same file again waits for it.
    void letGo(std::unique_ptr<session::OpenSession> open, After after);
    void removeDraft(const QString& path);
    void close();

    bool slow() const { return m_since.isValid() && m_since.elapsed() >= longAfter; }
    bool waitShows() const { return m_since.isValid() && (m_since.elapsed() >= noticeable || !m_session); }
    void beginWaiting();
    void endWaiting();

    // Footage

    void guardFootage();

    struct Folder {
        QString now;  ///< paths in the document are relative to it
        QString next; ///< from that change on
        std::optional<std::int64_t> from;
    };
    static constexpr int noticeable = 400, longAfter = 3000; ///< ms
    SessionModel& m_model;
    SessionFiles m_files;
    std::unique_ptr<session::OpenSession> m_session;
    int m_number = 0;  ///< of the session that is open
    int m_numbers = 0; ///< of all that were asked for
    std::int64_t m_submitted = 0, m_accepted = 0;
    QString m_failure;
    QTimer m_slow;
    Folder m_folder;
    FootageFolders m_footage;
    QString m_saveAs; ///< under way to this file; empty: not

    int m_request = 0; ///< the latest; what comes of earlier ones is let go of
    QString m_opening; ///< name of what is on its way
    QString m_closing; ///< name of what close() was asked for
    QElapsedTimer m_since;
    QTimer m_patience;
    QStringList m_goingFrom; ///< files that are being closed
    QString m_awaited;
    std::function<void()> m_afterLettingGo;
    std::vector<std::function<void()>> m_afterSaveAs;
    bool m_left = false;

    // Last: what they deliver uses all of the above.
    Mailbox m_mailbox;
    DiskJobs m_openings, m_lettingGo, m_lookUps;

private:
    session::OpenSession::Notices notices(int number);
    void accepted(std::int64_t sequence, const std::shared_ptr<const session::Document>& document);
    void arrived(int request, int number, const QString& discard, Made made);
    void take(std::unique_ptr<session::OpenSession> opened);
    void reportLater(const QString& sentence);
    struct Gone;
    static Gone gone(std::unique_ptr<session::OpenSession> open, After after, const SessionFiles& files);
    static void keepAsDraft(Gone& result);
    void isClosed(Gone result);
    /// Does something with a file that is let go of. `job` gives a sentence when it went wrong.
    template <class Job> void workOn(const QString& path, Job job);
    void rebase(const QString& folder);
};

} // namespace ui
