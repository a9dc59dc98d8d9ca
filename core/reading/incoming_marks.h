#pragma once
#include "core/media/index/footage.h"
#include "core/reading/csv_rows.h"
#include "core/session/edits.h"
#include "core/session/evidence_store.h"
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <stop_token>

/// Marks that were taken elsewhere, as a table: a head with the columns file, press, response and configuration, in
/// any order and beside others, then a row a trial.
namespace reading {

enum class FirstFrame { Zero, One }; ///< what the table calls the first frame of a film; only the analyst knows

/// What one row would become.
struct IncomingTrial {
    std::size_t line = 0;                                         ///< of the table
    std::string file, press, response, configuration;             ///< as they are written
    session::CaptureId capture;                                   ///< 0: none that is meant for sure
    std::optional<timing::FrameNumber> pressFrame, responseFrame; ///< from 0
    bool noReaction = false;                                      ///< the response says "none" or "no reaction"
    session::ConfigurationId tag;                                 ///< the capture's own where the row names none
    std::string fault;                                            ///< one sentence: why it can't come in; empty: it can
    bool isBeside = false; ///< its press is but a few frames from another one: the same press, as far as can be told
    bool isComplete() const { return responseFrame || noReaction; }
};

/// Open footage with confirmed frames, of captures that have it. Others can't take in marks: a mark is a picture.
using ConfirmedFootage = std::map<session::CaptureId, std::shared_ptr<const media::Footage>>;

enum class Beside { StaysOut, ComesIn }; ///< what becomes of rows whose press lies beside another

/// One a row. A press lies beside that of a trial, or of an earlier row, where a hint of the one would be taken for a
/// hint of the other (belongsTo()): one who marked by hand may be some frames off, and nobody presses twice within so
/// few frames at the rates of this trade. A file is known by the capture's name, or by the name of its file with or
/// without folder and ending, upper and lower case alike. Throws core::Error (Malformed) where a column is missing.
std::vector<IncomingTrial> incomingTrials(const session::Document&, const std::vector<CsvRow>&, FirstFrame,
                                          const ConfirmedFootage&, Beside beside = Beside::StaysOut);

/// A trial with its marks made, in the capture's first regions.
struct MadeTrial {
    IncomingTrial row;
    session::RegionId lamp, screen;
    session::Mark press;
    std::optional<session::Mark> response;
};
/// Decodes the pictures of rows without a fault and keeps their evidence. A picture that can't be had becomes the
/// row's fault. Blocks; belongs on a worker. Throws core::Cancelled.
std::vector<MadeTrial> makeTrials(const session::Document&, std::vector<IncomingTrial>& rows, const ConfirmedFootage&,
                                  session::EvidenceStore&, std::stop_token stop = {},
                                  const std::function<void(std::size_t done, std::size_t total)>& progress = {});

/// One edit: each becomes a trial with a reading of the session's reader, accepted where it is complete. Those whose
/// capture, regions or place have gone or been taken meanwhile are left out.
session::Edit bringInTrials(const session::Document&, const std::vector<MadeTrial>&, const std::string& table);

} // namespace reading
