#pragma once
#include "core/session/edit.h"

/// Everything the analyst can do to a session. Each makes one edit against the document given and throws
/// core::Error (Refused) with one sentence when it can't be done. Nothing changes until the edit goes through the door.
namespace session {

Edit setSettings(const Document&, const Settings&, std::string label);
Edit addConfiguration(const Document&, Configuration); ///< id and position are given here
Edit setConfiguration(const Document&, const Configuration&);
Edit removeConfiguration(const Document&, ConfigurationId); ///< refused while trials or captures use it
Edit moveConfiguration(const Document&, ConfigurationId, int newPosition);
Edit setBaseline(const Document&, ConfigurationId);
Edit setMargin(const Document&, std::optional<double> ms);

/// A capture with the clock evidence found in it. Captures whose camera mode is named the same share a clock;
/// an empty mode makes a new clock named after the capture. Regions are carried from the capture before it
/// in order when they fit the picture. Several captures make one edit.
struct NewCapture {
    Capture capture; ///< id, position and regions are given here
    std::string cameraMode;
    std::vector<timing::RateEvidence> evidence;
};
Edit addCaptures(const Document&, const std::vector<NewCapture>&);
Edit removeCapture(const Document&, CaptureId); ///< its trials go with it
Edit setCapture(const Document&, const Capture&, std::string label);
Edit relinkCapture(const Document&, CaptureId, std::string path);
Edit tagCapture(const Document&, CaptureId, ConfigurationId, RunId); ///< and its trials that aren't accepted yet
Edit addRun(const Document&, std::string name, std::optional<CaptureId> tagged);
Edit assignClock(const Document&, CaptureId, ClockId);

/// The region of that kind and name is replaced, else added. Trials keep theirs.
Edit setRegion(const Document&, CaptureId, Region);
Edit removeRegion(const Document&, CaptureId, RegionId); ///< refused while trials use it

Edit setClock(const Document&, const Clock&, std::string label);
/// Adds the analyst's declared rate as evidence with an error source of its own, replacing an earlier declaration.
Edit declareRate(const Document&, ClockId, double captureRate, double toleranceRelative, std::string note);
Edit settleClock(const Document&, ClockId, EvidenceId, std::string reason);
Edit unsettleClock(const Document&, ClockId);
/// Puts captures of one camera mode on one clock; a clock left without captures goes.
Edit shareClock(const Document&, ClockId, const std::vector<CaptureId>&);

/// A new trial with its first mark, in the capture's first lamp and screen region unless said otherwise,
/// tagged as the capture proposes.
Edit addTrial(const Document&, CaptureId, RegionId lamp, RegionId screen, const Mark& press);
Edit removeTrial(const Document&, TrialId);
enum class MarkKind { Press, Response };
/// Into the given reading; ReadingId 0 means the counting one, begun if there is none.
Edit setMark(const Document&, TrialId, ReadingId, MarkKind, const Mark&, std::string view);
Edit clearMark(const Document&, TrialId, ReadingId, MarkKind);
Edit setNoReaction(const Document&, TrialId, ReadingId, bool);
Edit acceptReading(const Document&, TrialId, ReadingId); ///< refused unless complete and press is not after response
Edit setDoubtful(const Document&, TrialId, ReadingId, bool);
Edit beginReading(const Document&, TrialId, bool blind); ///< a further reading by the session's reader
Edit settleReading(const Document&, TrialId, ReadingId);
Edit tagTrial(const Document&, TrialId, ConfigurationId, RunId);
Edit rejectTrial(const Document&, TrialId, RejectReason, std::string note);
Edit unrejectTrial(const Document&, TrialId);
Edit setTrialNote(const Document&, TrialId, std::string note);
Edit recordLook(const Document&, std::string what);

} // namespace session
