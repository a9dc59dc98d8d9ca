#pragma once
#include <QString> // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/media/index/footage.h"
#include "core/session/document.h"
#include "core/session/evidence_store.h"
#include "core/timing/capture_time.h"
#include <filesystem>
#include <set>

namespace ui {

/// Where the pictures of a session's trials come from.
struct PictureSource {
    std::filesystem::path folder;                       ///< that paths of captures are relative to
    std::shared_ptr<session::EvidenceStore> crops = {}; ///< null: only footage has pictures
    std::filesystem::path cacheFolder = {};             ///< of indexes (media::OpenOptions); empty: nowhere
    std::set<session::CaptureId> notToBeRead = {};      ///< whose footage is left alone: nobody has let it be read
};

/// A read trial as viewers are to see it.
struct TrialEvidence {
    session::TrialId trial;
    QString configuration; ///< "no configuration" where it has none
    QString name;          ///< "trial 3 of run01"
    QString delay;         ///< "21.9 ms"; "21 camera frames" where no clock is settled
    session::Region lamp, screen;
    session::Crops pressCrops, responseCrops;
    timing::FrameNumber press, response;           ///< in the footage, where it is there
    std::optional<timing::CaptureTime> time;       ///< empty: no clock is settled
    std::shared_ptr<const media::Footage> footage; ///< null: `noFootage` says why
    std::string noFootage;

    /// Of a frame, seconds after the press's; precondition: `time`.
    double secondsAfterPress(timing::FrameNumber frame) const;
    /// "+20.9 ms", "0 ms"; where no clock is settled "+20": the number of the camera frame stands beside it.
    QString afterPress(timing::FrameNumber frame) const;
};

/// Opens the trial's footage and makes sure that it shows what was marked: footage that isn't there, or another, is
/// left out and `noFootage` says why. Belongs on a worker. Throws core::Error (Refused) where the trial hasn't both
/// marks, core::Cancelled.
TrialEvidence trialEvidence(const session::Document& document, session::TrialId trial, const PictureSource& source,
                            const std::stop_token& stop = {});

} // namespace ui
