#pragma once
#include <QObject> // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include <QStringList>
#include <QTimer>
#include <QVector>
#include "ui/footage/footage_pool.h"
#include "ui/model/session_model.h"
#include "ui/model/worker.h"
#include <functional>

namespace ui {

/// The footage of the session's captures. Takes footage into the session: found, its packets read, then added as it is;
/// its checksum comes later by an edit that undo passes over. Opens what the session holds, the capture on the desk
/// first, and takes each through the states of KnownFootage: footage that is gone or another can't be marked, its marks
/// and crops stay visible.
///
/// Captures go in in the order they were given where that costs no waiting: one that is ready goes in before another
/// whose packets take long to be read.
class Captures : public QObject {
    Q_OBJECT
public:
    struct Status {
        FootageState state = FootageState::Found;
        bool isUnderWay = false;         ///< Found: its packets are being read; Scanned: the session is to agree
        double progress = 0;             ///< of that
        QString sentence;                ///< what is wrong with it, or damaged
        std::optional<int> checked = {}; ///< percent, while Viewable footage is decoded to confirm its frames
    };
    /// One piece of footage on its way into the session.
    struct Incoming {
        QString path; ///< absolute
        enum class Step { Waiting, Scanning, Adding } step = Step::Waiting;
        double progress = 0; ///< 0..1 of Scanning
    };

    Captures(SessionModel& model, FootagePool& pool, QObject* parent = nullptr);

    /// Files, folders of numbered pictures, folders with footage in them.
    void add(const QStringList& filesAndFolders);
    QVector<Incoming> incoming() const; ///< in the order they were given
    void cancel(const QString& path);   ///< one of them
    void cancelIncoming();

    Status status(const session::Capture& capture) const;
    bool usable(const session::Capture& capture) const; ///< Viewable or Confirmed
    void setCurrent(session::CaptureId id);             ///< its footage is opened before that of others
    void retry(const session::Capture& capture);        ///< looks again whether the footage is there

signals:
    void changed();                        ///< the state of some
    void progressChanged();                ///< of opening
    void checkedChanged();                 ///< Status::checked of some
    void incomingChanged();                ///< incoming()
    void added(qint64 firstCapture);       ///< number of the first capture that went in
    void problem(const QString& sentence); ///< what the analyst has to know

private:
    /// In line for the session.
    struct Item {
        QString path;
        std::optional<session::NewCapture> described; ///< ready to go in
        std::shared_ptr<const media::Footage> as;     ///< what is being, or was, described
        std::chrono::steady_clock::time_point since;  ///< being described
        bool isBeingDescribed = false, isGoingIn = false;
    };

    // captures.cpp: opening what the session holds, and its states
    void sessionReplaced();
    void sessionChanged();
    void poolChanged(const QString& path);
    void poolProgress(const QString& path);
    void settle(KnownFootage& known);
    void settleAll();
    static QString otherSentence(const KnownFootage& known, const QString& how);
    std::pair<FootageState, QString> stateOf(const KnownFootage& known, const session::Capture& capture) const;
    const session::Capture* captureAt(const QString& path) const;
    FootageSource sourceOf(const session::Capture& capture) const;

    // captures_incoming.cpp: taking footage in
    void take(const QStringList& paths);
    Item* itemAt(const QString& path);
    void incomingOpened(Item& item);
    void describe(Item& item);
    void commit();
    void wentIn(qint64 first);
    void drop(const QString& path, bool close);

    // captures_follow.cpp: what decoding and the checksum tell of a capture in the session
    void compareMarked(KnownFootage& known, const session::Capture& capture);
    void markedCompared(KnownFootage& known, const std::shared_ptr<const media::Footage>& footage,
                        timing::FrameNumber frame, bool same);
    void confirmed(const QString& path, const media::Confirmation& confirmation);
    void beginFollowing(KnownFootage& known, const media::Confirmation& confirmation);
    void follow(KnownFootage& known, const std::shared_ptr<const session::DecodedFrames>& found);
    void goOnFollowing(KnownFootage& known);
    void learnChecksum(KnownFootage& known);
    void followed(KnownFootage& known, const std::shared_ptr<const session::DecodedFrames>& found,
                  const QString& fault);
    void followingAccepted();
    void followAgain();
    void takeChecksums();
    void checksumReady(const QString& path, const QString& sha256);
    bool isOf(const KnownFootage& known, const session::Document& document, session::CaptureId id) const;
    /// As Worker::run(), and not when it was closed or opened anew meanwhile: `done` and `failed` take the
    /// KnownFootage& first.
    template <class Work, class Done, class Failed>
    void runFor(const KnownFootage& known, Work work, Done done, Failed failed)
    {
        const auto still = [this, path = known.path, serial = known.serial]() -> KnownFootage* {
            KnownFootage* found = m_pool.find(path);
            return found && found->serial == serial ? found : nullptr;
        };
        m_worker.run(
            std::move(work),
            [still, done](const auto& result) {
                if (KnownFootage* found = still())
                    done(*found, result);
            },
            [still, failed](const QString& sentence) {
                if (KnownFootage* found = still())
                    failed(*found, sentence);
            });
    }

    SessionModel& m_model;
    FootagePool& m_pool;
    QStringList m_paths; ///< of the captures, in their order
    std::vector<Item> m_incoming;
    std::function<void()> m_onceAccepted;     ///< what is left to do when the edit that adds captures is in the session
    QTimer m_impatience;                      ///< until captures go in out of order
    Worker m_describer{0, 8}, m_worker{0, 8}; ///< several at a time: one on a slow disk holds up no other
};

} // namespace ui
