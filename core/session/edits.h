#pragma once
#include "core/session/edit.h"
#include <set>
#include <string>
#include <utility>

/// Everything the analyst can do to a session. Each makes one edit against the document given and throws
/// core::Error (Refused) with one sentence when it can't be done. Nothing changes until the edit goes through the door.
/// Checklist fields without text are left out.
namespace session {

/// Margin and planned numbers get the time of the decision when they differ from those before.
Edit setSettings(const Document&, const Settings&, std::string label);
Edit addConfiguration(const Document&, Configuration); ///< id and position are given here
Edit setConfiguration(const Document&, const Configuration&);
/// Refused while trials or captures use it; a baseline stops being one.
Edit removeConfiguration(const Document&, ConfigurationId);
Edit moveConfiguration(const Document&, ConfigurationId, int newPosition); ///< from 0; beyond the last is the last
Edit setBaseline(const Document&, ConfigurationId);                        ///< 0 clears it
Edit setMargin(const Document&, std::optional<double> ms);

/// A capture with the clock evidence found in it. Captures whose camera mode is named the same share a clock;
/// an empty mode makes a new clock named after the capture. Regions are carried from the capture before it
/// in order when they all fit the picture. Several captures make one edit.
struct NewCapture {
    Capture capture; ///< id, position and regions are given here
    std::string cameraMode;
    std::vector<timing::RateEvidence> evidence;
    /// Of capture.pieces, which come without clocks: what the stamps of each say of its rate; as many, or none.
    /// Pieces that step alike share a clock; the slowest get the capture's own, those without a step get none.
    std::vector<std::vector<timing::RateEvidence>> pieceEvidence = {};
};
Edit addCaptures(const Document&, const std::vector<NewCapture>&);
/// Its trials go with it, and so does its clock when nothing else runs on it and it was neither settled, declared nor
/// calibrated.
Edit removeCapture(const Document&, CaptureId);
Edit setCapture(const Document&, const Capture&, std::string label);
/// The checksum of a capture that was added without; undo passes over it. Without changes where the capture has one.
Edit learnChecksum(const Document&, CaptureId, std::string sha256);
/// What the trace of the first lamp region proposes; undo passes over it. Without changes where the capture has the
/// same already.
Edit learnPresses(const Document&, CaptureId, PressFinding);
/// The proposed press is none. Refused where none is proposed at that frame.
Edit dropPress(const Document&, CaptureId, timing::FrameNumber frame);
using MarkedPicture = std::pair<timing::FrameNumber, std::string>; ///< with its MD5
/// Every mark in the capture.
std::set<MarkedPicture> markedPictures(const Document&, CaptureId);
using PacketPlaces = std::map<MarkedPicture, std::optional<timing::PacketPlace>>; ///< empty: from nowhere

/// What decoding found of a capture's frames.
struct DecodedFrames {
    Capture capture;                ///< frames, missing, unknown, notes and stamps as decoding has them
    timing::FramesByPacket numbers; ///< every frame's
    /// Where each frame of the scan is now, empty where decoding doesn't give it; no elements where all stay where they
    /// were. For pieces: a boundary is known by its number alone.
    std::vector<std::optional<timing::FrameNumber>> moved;
    PacketPlaces places; ///< of marks that came without, from sessions of earlier times
};
/// Takes the frames as decoded and gives each mark the number that its packet has there. Pieces move along where the
/// capture had as many frames as were scanned and decoding found another number. A mark whose picture decoding doesn't
/// give stays as near as can be, and its reading is doubtful and no longer accepted. Without changes where the session
/// says the same already.
Edit followFrames(const Document&, CaptureId, const DecodedFrames&);
/// What a look at the pictures found, of several captures in one edit. What was found before goes with exchanged or
/// joined footage.
Edit setPictureFindings(const Document&, const std::vector<std::pair<CaptureId, PictureFinding>>&,
                        EditKind kind = EditKind::Analysts);
/// The capture is other footage from here on: its files, stream, frames and picture are those of `found`; tags, clock
/// and name stay, regions that don't fit the picture go. Refused while trials are read in it.
Edit exchangeFootage(const Document&, CaptureId, const Capture& found, std::string label);
/// The second capture's files go on the first one's recording; `joined` describes both together. The second one goes;
/// refused while trials are read in it.
Edit joinCaptures(const Document&, CaptureId first, CaptureId second, const Capture& joined);
/// The footage is elsewhere, files that go on its recording beside it. Where its bytes are others, `places` are the
/// packets that its marks' pictures have there.
Edit relinkCapture(const Document&, CaptureId, std::string path, std::string sha256, const PacketPlaces& places = {});
/// And its trials of which no reading is accepted yet. 0 is none.
Edit tagCapture(const Document&, CaptureId, ConfigurationId, RunId);
/// What the table of captures says of one.
struct CaptureTags {
    CaptureId capture;
    ConfigurationId configuration = {}; ///< 0 is none
    RunId run = {};                     ///< 0 is none
    std::string newRun = {};            ///< instead of `run`: one of that name is added, shared by all that say so
    std::optional<std::size_t> sheetLine = {}; ///< instead of both, and of `configuration`: as takeSheetLines()
    ClockId clock = {};                        ///< it shares this one, as by shareClock(); 0: it stays on its own
    bool lampReference = false;                ///< then it is tagged with nothing; refused while trials are read in it
};
/// Several captures at once, each with its trials of which no reading is accepted yet; others take a tag that they
/// lack.
Edit tagCaptures(const Document&, const std::vector<CaptureTags>&);
Edit addRun(const Document&, std::string name, std::optional<CaptureId> tagged);

/// A piece of a capture begins at `frame` and gets a clock of its own of which nothing is known yet. Refused where one
/// begins already.
Edit addPiece(const Document&, CaptureId, timing::FrameNumber frame);
/// The piece that begins at `frame` goes on the clock of the one before it (where that has none: the other way round).
Edit removePiece(const Document&, CaptureId, timing::FrameNumber frame);
/// The camera ran evenly: the capture's clock holds throughout.
Edit removePieces(const Document&, CaptureId);
/// The piece that begins at `frame` is read with this clock; 0 is none. Clocks that nothing runs on any more go unless
/// work went into them.
Edit setPieceClock(const Document&, CaptureId, timing::FrameNumber frame, ClockId);
/// The same with a new clock of which nothing is known yet.
Edit givePieceClock(const Document&, CaptureId, timing::FrameNumber frame);

/// With a number: that region is moved, resized or renamed. With number 0: the one of that kind and name, else a
/// new one. Trials keep theirs.
Edit setRegion(const Document&, CaptureId, Region);
Edit removeRegion(const Document&, CaptureId, RegionId); ///< refused while trials use it

/// Error sources that no clock refers to any more go with this and the following edits of clocks.
Edit setClock(const Document&, const Clock&, std::string label);
/// Adds the analyst's declared rate as evidence with an error source of its own, replacing an earlier declaration.
/// A clock settled on the evidence replaced is no longer settled: a decision stands for the value it was made for.
Edit declareRate(const Document&, ClockId, double captureRate, double toleranceRelative, std::string note);
/// Adds a reference fit as evidence, replacing an earlier one as above. Sources without number are new; those with one
/// are in the session already (the same lamp's frequency, say). Origin and uncertainty of `rate` follow from them.
Edit addReference(const Document&, ClockId, timing::RateEvidence rate, std::vector<ErrorSource> sources);
Edit settleClock(const Document&, ClockId, EvidenceId, std::string reason);
/// Time of a frame is its stamp times `slowDown`; their mean rate becomes evidence, as good as a device's clock, in
/// place of what stamps said before. Refused where the session holds no stamps of a capture on this clock.
Edit readStamps(const Document&, ClockId, double slowDown);
/// Time of a frame is its number by the capture rate.
Edit readNumbers(const Document&, ClockId);
/// How the sensor of this camera mode exposes its rows.
Edit setReadout(const Document&, ClockId, const Readout&);
Edit unsettleClock(const Document&, ClockId);
/// Puts captures of one camera mode on one clock. Of a capture in pieces each one goes on the clock that a piece of its
/// kind (sameKind) has in a capture on this clock; where there is none such, those of its own clock go on this one. A
/// clock left without captures goes, its evidence moves over.
Edit shareClock(const Document&, ClockId, const std::vector<CaptureId>&);
/// What of a capture runs on the clock goes onto a clock of its own with the same evidence, which then shares its error
/// sources but not its decision. Other pieces of the capture stay where they are.
Edit splitClock(const Document&, CaptureId, ClockId);

/// A new trial with its first mark, in the capture's first lamp and screen region unless said otherwise,
/// tagged as the capture proposes.
Edit addTrial(const Document&, CaptureId, RegionId lamp, RegionId screen, const Mark& press, std::string view = {});
Edit removeTrial(const Document&, TrialId);
enum class MarkKind { Press, Response };
/// Into the given reading; ReadingId 0 means the counting one, begun if there is none. An accepted reading stays
/// accepted as long as it is complete and its press isn't after its response; so with the next two.
Edit setMark(const Document&, TrialId, ReadingId, MarkKind, const Mark&, std::string view);
Edit clearMark(const Document&, TrialId, ReadingId, MarkKind);
Edit setNoReaction(const Document&, TrialId, ReadingId, bool);
Edit acceptReading(const Document&, TrialId, ReadingId); ///< refused unless complete and press is not after response
Edit setDoubtful(const Document&, TrialId, ReadingId, bool);
/// A further reading by the session's reader; refused while one isn't accepted.
Edit beginReading(const Document&, TrialId, bool blind);
Edit dropReading(const Document&, TrialId, ReadingId);   ///< refused when it is accepted or chosen
Edit settleReading(const Document&, TrialId, ReadingId); ///< 0 takes the choice back; refused unless complete
Edit tagTrial(const Document&, TrialId, ConfigurationId, RunId);
Edit rejectTrial(const Document&, TrialId, RejectReason, std::string note);
Edit unrejectTrial(const Document&, TrialId);
Edit setTrialNote(const Document&, TrialId, std::string note);
Edit recordEarlyLook(const Document&, std::string what); ///< undo passes over it
/// The same; its number and time are given here. The oldest goes where there are too many.
Edit recordPublication(const Document&, Publication);

/// Results of another session shown beside this one's; numbers and time are given here. Refused where they are shown
/// already.
Edit addEarlierSession(const Document&, EarlierSession);
/// In place of what was read before; what is there by its name keeps its number and bridge. Without changes if alike.
Edit readEarlierAgain(const Document&, EarlierSessionId, EarlierSession);
Edit removeEarlierSession(const Document&, EarlierSessionId);
/// The set-up that was measured in both, as it is called here and there; either 0 takes it back.
Edit setBridge(const Document&, EarlierSessionId, ConfigurationId here, ConfigurationId there);

/// Stored with the time and the session's next number. Refused while a line of the sheet that is there has something
/// filmed for it; empty: the sheet goes, runs and tags stay.
Edit setRunSheet(const Document&, std::optional<RunSheet>);
Edit tickSheetLine(const Document&, std::size_t line, bool ticked);
/// Captures filmed for lines of the sheet: each is tagged with its line's configuration and with its line's run, which
/// is added where there is none yet. Refused where a line isn't there.
struct FilmedFor {
    CaptureId capture;
    std::size_t line = 0;
};
Edit takeSheetLines(const Document&, const std::vector<FilmedFor>&);

/// Trials to be read blind from here on, in place of those drawn before; time and next number are stored with them.
Edit beginReread(const Document&, Reread);
/// Mark in the blind reading at hand of a trial, begun with it where there is none. Refused while an earlier one isn't
/// accepted.
Edit markBlind(const Document&, TrialId, MarkKind, const Mark&, std::string view);
/// The blind reading of this trial that belongs to `reread`; null while it isn't begun.
const Reading* blindReading(const Reread&, const Trial&);

Edit handOutPacket(const Document&, const Packet&);
/// Readings by someone else, each complete and accepted; they get numbers here. Trials they belong to stay as they are.
struct BroughtIn {
    TrialId trial;
    Reading reading;
};
Edit bringInReadings(const Document&, const std::vector<BroughtIn>&, const std::string& from);
/// Rejects by someone else, which the analyst takes over; the note says whose they are. Trials rejected already stay as
/// they are.
struct BroughtReject {
    TrialId trial;
    Reject reject;
};
Edit takeRejects(const Document&, const std::vector<BroughtReject>&, const std::string& from);

} // namespace session
