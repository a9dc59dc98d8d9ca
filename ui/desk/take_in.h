#pragma once
#include <QObject>
#include <QStringList>
#include <QVector>
#include "ui/footage/footage_pool.h"
#include "ui/model/session_model.h"
#include "ui/model/worker.h"
#include <functional>
#include <vector>

namespace ui {

/// Takes footage into the session in the background: found, indexed, checksummed, then added by one edit. A capture
/// goes in with its checksum, so that no edit of the program's own ever stands between the analyst and undo.
class TakeIn : public QObject {
    Q_OBJECT
public:
    enum class Step { Waiting, Indexing, Checking, Done };
    struct Item {
        QString path; ///< absolute
        Step step = Step::Waiting;
        double progress = 0; ///< 0..1 of indexing
        QString sha256;
    };

    TakeIn(SessionModel& model, FootagePool& pool, QObject* parent = nullptr);

    /// Files, folders of numbered pictures, folders with footage in them.
    void add(const QStringList& filesAndFolders);
    void cancel(const QString& path);
    void cancelAll();
    const QVector<Item>& items() const { return m_items; } ///< on their way, in the order they were given

signals:
    void changed();
    void decodedMeanwhile(const QString& path); ///< added as it was scanned; all of it has been decoded since
    void added(qint64 firstCapture);            ///< number of the first capture that went in
    void problem(const QString& sentence);

private:
    void begin(const QStringList& paths);
    void stateChanged(const QString& path);
    void checksumReady(const QString& path, const QString& sha256);
    void commit();
    void accepted();
    void drop(const QString& path, bool forget);
    Item* find(const QString& path);
    QString nameOfSame(const QString& path, const QString& sha256) const;

    SessionModel& m_model;
    FootagePool& m_pool;
    QVector<Item> m_items;
    bool m_committing = false;
    std::function<void()> m_onceAccepted; ///< what is left to do when the edit that adds captures is in the session
    Worker m_worker;
};

} // namespace ui
