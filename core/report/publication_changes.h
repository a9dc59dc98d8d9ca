#pragma once
#include "core/analysis/results.h"
#include <QByteArray>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace report {

/// Something that was published, or that published figures rest on, in words.
struct PublishedValue {
    std::string key;   ///< the same thing from one publication to the next: "trial 12"
    std::string what;  ///< "Trial 4 of run03"
    std::string words; ///< "press at camera frame 4610, response at camera frame 4655, counts"
    std::string exact; ///< in full precision: decides, where both sides have it, whether it moved; may be empty
    std::vector<std::int64_t> configurations; ///< whose figures it is in; empty: in all
    bool look = false;                        ///< of how it looks: moves no figure
    bool operator==(const PublishedValue&) const = default;
};

/// What one publication moved, for changes.txt.
struct PublishedChange {
    std::string time; ///< ISO 8601
    std::string programVersion;
    std::vector<std::string> lines;
};

/// What is kept of a publication in its folder, so that the next one can say what moved.
struct PublishedState {
    std::string session; ///< name of its file
    std::string programVersion;
    std::vector<PublishedValue> figures;  ///< means, then differences to the baseline
    std::vector<PublishedValue> inputs;   ///< trials, clocks, configurations, event, plan, look
    std::vector<PublishedChange> changes; ///< oldest first, at most mostChanges
};
inline constexpr const char* publishedStateName = "publication.json";
inline constexpr const char* publishedChangesName = "changes.txt";
inline constexpr std::size_t mostChanges = 200; ///< earlier ones are dropped

/// Without `changes`. `session` is the name of the session's file.
PublishedState publishedState(const session::Document&, const analysis::Results&, const std::string& session,
                              const std::string& programVersion);

/// UTF-8 JSON; equal states give equal bytes.
QByteArray toJson(const PublishedState&);
/// Empty where the bytes aren't such a state.
std::optional<PublishedState> publishedStateFrom(const QByteArray&);

/// One thing with what it was and is; empty where it wasn't, or isn't any more.
struct Moved {
    std::string what, was, is;
    bool barely = false; ///< by less than its words show
    bool operator==(const Moved&) const = default;
};
/// A figure that moved, and why: the inputs that did.
struct MovedFigure : Moved {
    std::vector<Moved> because;
};
struct Changes {
    std::vector<MovedFigure> figures;
    std::vector<Moved> further; ///< inputs and looks that moved no figure
    bool empty() const { return figures.empty() && further.empty(); }
};
/// What `is` has otherwise than `was`. A figure's causes are the inputs that moved and are in it, the program's version
/// among them; where none of these did, all that moved (one comparison's level rests on the trials of all).
Changes changesBetween(const PublishedState& was, const PublishedState& is);

/// "was 32.6 ± 1.1 ms, is 32.5 ± 1.1 ms", "is new: …", "is gone, was …".
std::string wasAndIs(const Moved&);
/// A line for each figure, after those that rest on the same indented ones for their causes, one for all that moved by
/// less than is shown, then what moved no figure.
std::vector<std::string> changeLines(const Changes&);
/// changes.txt: what each publication moved, newest first. UTF-8, ends with a line feed.
std::string changesText(const PublishedState&);

} // namespace report
