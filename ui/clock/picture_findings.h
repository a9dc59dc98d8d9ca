#pragma once
#include <QObject> // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/footage/footage_pool.h"
#include "ui/model/session_model.h"
#include <map>
#include <set>

namespace ui {

/// What was seen of repeated pictures while footage was decoded for another purpose. Where they repeat or are made up
/// the session takes it up at once and the analyst is told; once undone it isn't taken up again. That nothing is wrong,
/// or can't be told, is kept here until somebody asks: it changes nothing, and an edit of the program's own would come
/// between the analyst and what undo takes back.
class PictureFindings : public QObject {
    Q_OBJECT
public:
    PictureFindings(SessionModel& model, FootagePool& pool, QObject* parent = nullptr);

    /// What is known of a capture that the session says nothing of.
    std::optional<session::PictureFinding> known(const session::Capture& capture) const;

signals:
    void changed();                      ///< known() has more to say
    void found(const QString& sentence); ///< what the analyst has to know

private:
    struct Seen {
        session::PictureFinding finding;
        timing::FrameCount frames;
    };
    void takeUp();

    SessionModel& m_model;
    std::map<QString, Seen> m_seen; ///< by absolute path
    std::set<session::CaptureId> m_takenUp;
};

} // namespace ui
