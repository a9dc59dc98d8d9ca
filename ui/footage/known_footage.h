#pragma once
#include <QString>
#include <QStringList>
#include "core/media/cache/frame_service.h"
#include "core/media/measure/movement_meter.h"
#include "core/media/measure/trace.h"
#include "core/session/edits.h"
#include <chrono>
#include <map>
#include <memory>
#include <tuple>

namespace ui {

/// What belongs to a piece of footage beside its path.
struct FootageSource {
    QStringList furtherParts;  ///< absolute paths of the files that go on the recording, in order
    std::optional<int> stream; ///< which of its moving pictures; empty: the one it opens with
    bool operator==(const FootageSource&) const = default;
};

enum class FootageState {
    Found,     ///< there is a path; its packets are being read, or it waits for that
    Scanned,   ///< its packets tell which frames it has; the session doesn't hold it, or not yet with these frames
    Viewable,  ///< the session holds it with these frames: it is shown and marked, while all of it is decoded
    Confirmed, ///< the same, and all of it has been decoded
    Absent,    ///< there is no such file or folder
    Changed,   ///< it isn't what the session remembers; its marks stay
    Failed,    ///< it can't be opened
};

/// One capture's footage, and all that the window knows of it: one of these for each path, in FootagePool, from the
/// moment it is dropped or its session is opened until it is closed. For the window's thread.
///
///     from       to         when
///     Found      Scanned    its packets have been read
///     Found      Absent     it isn't there
///     Found      Failed     it can't be read, or isn't footage
///     Scanned    Viewable   the session holds it as it is, and the picture that was marked first is in it
///     Scanned    Confirmed  the same, and it is decoded already: its index was kept, or decoding went on meanwhile
///     Scanned    Changed    the session remembers other frames, another size, another picture, another checksum
///     Viewable   Confirmed  decoding has come to its end, with the frames that were scanned
///     Viewable   Scanned    decoding found other frames, or undo brought other ones back: the session has to follow
///     Viewable   Changed    its checksum is another, or the session can't follow
///     Confirmed  Scanned    undo or redo brought back frames as they were numbered before; or an earlier capture
///     Confirmed  Changed    its checksum is another
///     Changed    Scanned    the session remembers something else by now: undone, redone
///     any but Found  Found  it is opened anew: looked for again, relinked, joined, another stream
///
/// A checksum or decoding that can't be had to its end leaves the state as it is and is told in `sentence`.
class KnownFootage {
public:
    KnownFootage(QString at, FootageSource from, quint64 number)
        : path(std::move(at)), source(std::move(from)), serial(number)
    {}

    static bool mayBecome(FootageState from, FootageState to);
    FootageState state() const { return m_state; }
    /// Precondition: mayBecome(state(), next). `why`: one sentence where something is wrong.
    void become(FootageState next, const QString& why = {});

    bool isOpen() const { return footage != nullptr; }
    bool isConfirmed() const { return footage && footage->confirmed; }

    /// It is Found again, and nothing is known of it.
    void openAnew(FootageSource from, quint64 number);

    QString path; ///< absolute; of the first part
    FootageSource source;
    quint64 serial;   ///< tells what comes late from one that was closed from what belongs to this one
    QString sentence; ///< what is wrong with it; of open footage what is damaged; else empty

    // While it is opened.
    bool isOpening = false; ///< its packets are being read; else it waits
    std::chrono::steady_clock::time_point openingSince;
    double progress = 0; ///< 0..1 of that
    std::stop_source opening{std::nostopstate};
    bool passesOverIndex = false; ///< one that was kept is left alone: what its packets tell is asked for

    // Once it is open.
    std::shared_ptr<const media::Footage> footage;
    media::FrameService::Handle handle = 0;
    media::Reduction reduction;
    struct {
        std::vector<timing::FrameNumber> frames; ///< to be asked for anew when frames change their numbers
        int direction = 0;
        media::FrameService::Detail detail = media::FrameService::Detail::Native;
    } wanted;
    bool isDecoding = false;   ///< all of it, to confirm its frames; also while that waits for its turn
    double confirmedShare = 0; ///< 0..1 of that
    QString decodingFault;     ///< why that can't come to its end

    // Passes over all of it.
    enum class Step { Waiting, Running, Done, Failed };
    struct RegionTrace {
        media::Rect region;
        media::Trace known;
        std::shared_ptr<const media::Trace> snapshot; ///< copy of `known` that was handed out last
        Step step = Step::Waiting;
        QString fault;
    };
    using RegionKey = std::tuple<int, int, int, int>;
    struct Passes {
        std::optional<Step> confirming;                  ///< empty: nothing to confirm
        std::shared_ptr<media::ConfirmationDraft> draft; ///< of a confirming pass; its own while it runs
        std::shared_ptr<media::MovementMeter> movement;  ///< of the confirming pass: in all of the picture; likewise
        bool picturesSeen = false;                       ///< and told of
        std::map<RegionKey, RegionTrace> regions;
        quint64 asked = 0;                ///< when a region was asked for last
        bool isLast = false;              ///< one came to no frame any more: others go first
        std::chrono::seconds patience{4}; ///< until one without a frame counts as stuck
        bool waits() const;
        bool goesBefore(const Passes& other) const;
    } passes;

    // Its checksum.
    bool isHashing = false;
    std::stop_source hashing{std::nostopstate};

    // Against the session.
    struct {
        std::optional<media::Confirmation> confirmation; ///< what decoding found since it was opened
        bool isComparing = false; ///< a picture that was marked is yet to be compared: nothing is marked meanwhile
        bool isFollowing = false; ///< the session's numbers are being brought to those decoding found
        bool hasFollowed = false; ///< they are; the edit may be on its way yet
        std::shared_ptr<const session::DecodedFrames> decoded; ///< for following again, where frames moved
        std::shared_ptr<const session::DecodedFrames> waiting; ///< for the checksum: followed if it is the session's
        bool isChecked = false;                                ///< its checksum was asked for
        std::string sha256;                                    ///< once it is there
        bool isToBeLearned = false;                            ///< and the session doesn't have it yet
        QString checksumFault;                                 ///< why it can't be had
        int percentTold = -1;                                  ///< of confirmedShare
        QString whyChanged;                                    ///< a sentence: it isn't what the session remembers
    } inSession;

private:
    FootageState m_state = FootageState::Found;
};

} // namespace ui
