#pragma once
#include "core/analysis/results.h"
#include <string>
#include <vector>

namespace report {

/// "Longer by 7.2 ms", "Longer by 1.2 ms, less than the margin", "Same within the margin", "Not resolved", "Too few
/// trials", "Baseline has no mean"; "Not
/// compared" of an earlier session without a bridge; "Baseline" for the baseline itself, "No baseline chosen" without
/// one; what noMeanWords() says for n = 0. Interim stands apart.
std::string verdictWords(const analysis::Results&, const analysis::ConfigurationResult&);

/// Whether a verdict, or without one a mean, says nothing of set-ups that weren't tried: fewer than 4 runs on either
/// side.
bool ofTheseRunsOnly(const analysis::Results&, const analysis::ConfigurationResult&);

/// What the verdict rests on, a sentence each: interval and its level, what these trials could have resolved, trials
/// and runs that the margin needs, interim, these runs only. Empty for the baseline and without one.
std::vector<std::string> verdictExplanation(const analysis::Results&, const analysis::ConfigurationResult&);

/// What the interval of a difference holds: "95 % interval"; of several comparisons "all 5 comparisons hold together at
/// 95 %". Precondition: there is an interval.
std::string levelWords(const analysis::Results&, const stats::Comparison&);

/// Of all comparisons: "hold together at 95 %", and what that leaves out where some stand on these runs only.
std::string togetherWords(const analysis::Results&);

/// What has to be said of two compared by themselves (analysis::pairOf()). Precondition: there is an interval.
std::string pairWords(const stats::Comparison&);

/// Why a configuration has no mean: "no trials yet", "all rejected", "clock not settled", "not read yet", "no
/// reaction", "no delay". Precondition: n = 0.
std::string noMeanWords(const analysis::ConfigurationResult&);
/// "24 trials, 1 rejected, 2 no reaction, baseline".
std::string countsLine(const analysis::ConfigurationResult&);
/// The same without "baseline".
std::string countsOf(const analysis::ConfigurationResult&);
/// "23 of 24 planned trials count.", "1 rejected: 1 hitch.", the mean with rejected trials and so on.
std::vector<std::string> countsExplanation(const analysis::ConfigurationResult&);
/// What else the trials show, a sentence each: the mean in refresh intervals and game frames, median, trials that stand
/// apart, trends, groups, ranks, blocks. Empty for n = 0. Nothing in it decides.
std::vector<std::string> checkSentences(const session::Document&, const analysis::Results&,
                                        const analysis::ConfigurationResult&);

/// A sentence for the script, and beside it the figures it rests on.
struct ScriptSentence {
    session::ConfigurationId configuration;
    bool comparison = false; ///< else of the configuration by itself
    std::string sentence;    ///< "Wireless bridge takes 7.2 milliseconds longer than Direct, give or take 1.5."
    std::string figures;     ///< "+7.2 ms, +5.7 to +8.7 ms, 95 % interval"
};
/// One for each configuration, then one for each comparison; then the same of each earlier session, which
/// `configuration` is of then (analysis::findAnywhere()). Without a settled clock they count camera frames.
std::vector<ScriptSentence> scriptSentences(const analysis::Results&);
/// The same and the analyst's own as far as they can be filled in, as a text file: UTF-8, one sentence a line, figures
/// in brackets, ends with a line feed.
std::string scriptText(const session::Document&, const analysis::Results&);

} // namespace report
