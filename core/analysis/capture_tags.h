#pragma once
#include "core/session/edits.h"
#include <map>
#include <optional>
#include <string>
#include <vector>

/// What a table of captures proposes for each: configuration, run, and which were filmed by one camera in one mode.
/// Nothing here changes the session; session::tagCaptures() does, once the analyst has said so.
namespace analysis {

/// What two captures show of having been filmed by one camera in one mode.
struct Likeness {
    std::string alike;   ///< "1920 x 1080, h264, stored at 30 a second, no tags on the rate"
    std::string differs; ///< what speaks against it, as "its stamps ..., those of run01 ..."; empty: nothing does
};
/// Picture size, codec, camera and tags as the file has them, stored rate, and what the clocks of both say of the rate.
Likeness likeness(const session::Document&, session::CaptureId, const session::Capture& other);

/// A capture that shows nothing by which it could have been filmed otherwise than another, on whose clock it isn't.
struct SameCamera {
    session::CaptureId capture;
    session::CaptureId like;
    session::ClockId clock; ///< of `like`: settled if any of those alike is, else of the first
    std::string alike;
};
/// In the captures' order. A capture on a settled clock of its own stays there, and so does one that changes its speed.
std::vector<SameCamera> sameCameras(const session::Document&);

/// What a capture's name says by a pattern: in it %c stands for a configuration: its name, as many words of its
/// beginning as no other begins with, or its number (upper and lower case alike, and whatever stands between words); %r
/// for a run, * for anything.
struct NameParts {
    session::ConfigurationId configuration; ///< 0: the pattern has none
    std::string run;                        ///< empty: the pattern has none
};
/// Empty where the name doesn't fit.
std::optional<NameParts> partsOfName(const session::Document&, const std::string& pattern, const std::string& name);
/// One sentence; empty when the pattern can be used, an empty one too.
std::string patternProblem(const std::string& pattern);

/// What the analyst said of a capture; what he left open is proposed.
struct TagChoice {
    enum class Run { Proposed, Own, Named };
    std::optional<session::ConfigurationId> configuration; ///< 0: none
    Run run = Run::Proposed;
    std::string runName; ///< with Named; empty: none
    bool sameCamera = false;
    std::optional<bool> lampReference;
};

/// One capture as it will be tagged.
struct TagRow {
    session::CaptureTags tags;
    std::string run; ///< its name; "run 4" of line 4 of the sheet; empty: none
    bool fitsPattern = false;
    bool isNewConfiguration = false, isNewRun = false, isNewKind = false; ///< other than in the session
    std::optional<SameCamera> camera; ///< may share that clock; it will where tags.clock is set
    bool isChanged() const { return isNewConfiguration || isNewRun || isNewKind || tags.clock; }
};
/// Every capture in order. The analyst's word goes first, then the pattern, then what the session says, then the run
/// sheet's order; a capture that none of them gives a run is a run of its own.
std::vector<TagRow> tagRows(const session::Document&, const std::map<session::CaptureId, TagChoice>&,
                            const std::string& pattern = {});

} // namespace analysis
