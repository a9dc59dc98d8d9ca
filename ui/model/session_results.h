#pragma once
#include <QObject> // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/analysis/results.h"
#include "ui/model/session_model.h"
#include "ui/model/worker.h"

namespace ui {

/// Results with the session they are of. A snapshot, shared by every page and list that shows any.
struct KnownResults {
    std::shared_ptr<const session::Document> document; ///< never null
    std::shared_ptr<const analysis::Results> results;  ///< never null
    session::ConfigurationId first, second;            ///< of `pair`
    std::shared_ptr<const analysis::Results> pair;     ///< of these two by themselves; null where none was asked for
};

/// Works the results out on a worker, once for everybody, whenever the session changes. Of changes that come while it
/// works only the latest is taken up. Until the first results of a session are there, they are those of an empty one.
class SessionResults : public QObject {
    Q_OBJECT
public:
    explicit SessionResults(SessionModel& model, QObject* parent = nullptr);
    ~SessionResults() override;

    const KnownResults& known() const { return m_known; }
    bool upToDate() const;             ///< known() is of the model's document and holds the pair that was asked for
    bool any() const { return m_any; } ///< some results of the session that is open are there, if not its latest
    /// Compares these two by themselves from now on, as analysis::pairOf(); while one of them isn't in the session
    /// there is no pair. 0 for both: none.
    void askPair(session::ConfigurationId first, session::ConfigurationId second);
    /// To be called where known() is shown: comparisons seen before the planned number of trials is reached are early
    /// looks, which the method note counts. Recorded once a reader and day, for going back and forth between pages is
    /// the same look; not where nothing can be seen yet.
    void recordEarlyLook();

signals:
    void changed(); ///< known() is another, or its pair is
    void problem(const QString& sentence);

private:
    void begin();
    void restart();

    SessionModel& m_model;
    KnownResults m_known;
    session::ConfigurationId m_first, m_second;
    std::shared_ptr<const session::Document> m_failed; ///< couldn't be worked out; not tried again
    bool m_any = false, m_working = false;
    std::uint64_t m_session = 0; ///< sessions opened so far; results of an earlier one are dropped
    Worker m_worker;             ///< last: its callbacks use all of the above
};

} // namespace ui
