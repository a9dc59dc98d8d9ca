#pragma once
#include "core/analysis/results.h"
#include "core/stats/agreement.h"
#include <string>
#include <vector>

namespace analysis {

/// Readings of the same trials by one reader, or by two, second less first, in camera frames.
struct ReaderPair {
    std::string first, second; ///< on one line, "unnamed" where empty; ascending; alike where one reader read again
    int blind = 0;             ///< pairs of which a reading was blind
    stats::Agreement count;    ///< from press to response; n >= 1
    stats::Agreement press, response;
};

/// A trial to be looked at again, and why: "counts 12 and 14", "not sure of a mark".
struct ToSettle {
    session::TrialId trial;
    std::string why;
};

/// Of accepted readings with both marks; rejected trials are left out. Where several by one reader stand in a trial his
/// first two are compared, and his first with the first of another.
struct ReadingAgreement {
    int readAgain = 0, readAgainBlind = 0; ///< trials with a second reading; those where it was blind
    stats::Agreement first;         ///< of the first two readings of a trial, whoever read: counts of camera frames
    int reactionDiffers = 0;        ///< trials that one reading gives "no reaction" and another a response
    std::vector<ReaderPair> pairs;  ///< by name
    std::vector<ToSettle> toSettle; ///< in the order of `Results::trials`

    int inMs = 0;                    ///< of `first`, those that have two delays in ms
    double readingSdMs = 0;          ///< of one reading, from them
    std::optional<double> trialSdMs; ///< of the trials that count, pooled over configurations; it holds the reading's
};

ReadingAgreement readingAgreement(const session::Document&, const Results&);

} // namespace analysis
