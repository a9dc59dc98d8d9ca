#pragma once
#include <QObject>
#include <QStringList>
#include "ui/desk/decoded_frames.h"
#include "ui/footage/footage_pool.h"
#include "ui/model/session_model.h"
#include "ui/model/worker.h"
#include <QSet>
#include <map>

namespace ui {

/// Opens the footage of the session's captures in the background, the one on the desk first, and compares it with what
/// the session remembers. Footage that is gone or another can't be marked; its marks and crops stay visible.
class SessionFootage : public QObject {
    Q_OBJECT
public:
    enum class State { Waiting, Indexing, Ready, Absent, Changed };
    struct Status {
        State state = State::Waiting;
        double progress = 0;             ///< while indexing
        QString sentence;                ///< what is wrong with it; with Ready: what is damaged
        std::optional<int> decoded = {}; ///< percent, while Ready footage is yet decoded to confirm its frames
    };

    SessionFootage(SessionModel& model, FootagePool& pool, QObject* parent = nullptr);

    Status status(const session::Capture& capture) const;
    bool usable(const session::Capture& capture) const { return status(capture).state == State::Ready; }
    void setCurrent(session::CaptureId id);      ///< its footage is opened before that of others
    void retry(const session::Capture& capture); ///< looks again whether the footage is there

signals:
    void changed();
    void progressChanged();
    void decodedChanged();                 ///< Status::decoded of a capture
    void problem(const QString& sentence); ///< what decoding found that the analyst has to know

public slots:
    /// The capture at `path` was added as it was scanned, and decoding has come to its end meanwhile.
    void followDecoded(const QString& path);

private:
    void sessionReplaced();
    void follow();
    void openNext();
    void poolChanged(const QString& path);
    void checkNext();
    void checked(const QString& path, const QString& sha256);
    const session::Capture* captureAt(const QString& path) const;
    FootageSource sourceOf(const session::Capture& capture) const;
    void compareMarked(const session::Capture& capture);
    void markedCompared(const QString& path, const std::shared_ptr<const media::Footage>& footage, std::int64_t frame,
                        bool same);
    void compareFollowed();
    void followAgain();
    void beginFollowing(const QString& path, const media::Confirmation& confirmation);
    void followed(const QString& path, const std::shared_ptr<const session::DecodedFrames>& found,
                  const QString& fault);
    void confirmed(const QString& path, const media::Confirmation& confirmation);

    SessionModel& m_model;
    FootagePool& m_pool;
    session::CaptureId m_current;
    QStringList m_paths;   ///< of the captures, in their order
    QStringList m_toOpen;  ///< not asked for yet
    QStringList m_toCheck; ///< open, bytes not compared yet
    QString m_opening, m_checking;
    std::map<QString, FootageSource> m_sources;
    QSet<QString> m_comparing;                              ///< open, the first marked picture not compared yet
    std::map<QString, QString> m_otherBytes;                ///< path to sentence
    std::map<QString, media::Confirmation> m_confirmations; ///< since it was opened; path to what decoding found
    std::map<QString, int> m_decoded100;                    ///< percent told last; by path
    QSet<QString> m_following;                              ///< confirmed; the session doesn't follow yet
    QStringList m_followed;                                 ///< the session follows; its edit may be on its way yet
    std::map<QString, std::shared_ptr<const session::DecodedFrames>> m_found; ///< where decoding moved frames; by path
    DecodedFrames m_decoded;
    Worker m_worker;
};

} // namespace ui
