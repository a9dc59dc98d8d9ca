#pragma once
#include "core/timing/lamp_edges.h"
#include "core/timing/rate_evidence.h"
#include "core/timing/stamp_pattern.h"
#include <optional>
#include <string>
#include <vector>

namespace timing {

/// A light that blinks evenly. `frequency` in Hz, > 0; its true value lies within `frequency` * (1 +- `tolerance`).
struct ReferenceLamp {
    double frequency = 0;
    double tolerance = 0;
};

/// Something about a fit that the analyst has to know.
struct FitRemark {
    enum class Kind {
        LostFrames,   ///< the edges come early from here on: `count` frames aren't there
        AddedFrames,  ///< the edges come late from here on: `count` frames show nothing new
        WrongEdge,    ///< this edge lies off the line that all others keep; left out
        Drift,        ///< the rate changes along the capture
        Factor,       ///< the rate is a multiple or a fraction of what the file or the analyst says: a wrong harmonic
        NoDither,     ///< the lamp's frequency is near a simple fraction of the rate
        CoarseFrames, ///< edges fall on every `count`-th frame only
        Rough,        ///< edges stray from the line by more than whole frames make them
        HiddenLoss,   ///< a lost frame may go unnoticed; allowed for in the uncertainty
        FewEdges,     ///< too few to show a lost frame
    };
    Kind kind = Kind::WrongEdge;
    std::optional<FrameNumber> frame; ///< where, if it has a place
    std::int64_t count = 0;
    std::string sentence;
};

struct FittedEdge {
    LampEdge edge;
    std::int64_t flash = 0; ///< n: which flash of the lamp, from 0
    double residual = 0;    ///< frames off the least squares line, lost frames counted in; 0 when not used
    bool used = false;
};

/// The capture rate that a lamp of known frequency shows. Edge n is first visible in frame k, so k - 1 < a + b n <= k,
/// widened by the edge's doubt; edges On and Off have an `a` of their own. The rate is frequency * b.
struct ReferenceFit {
    std::optional<double>
        rate; ///< camera frames a second: centre of all possible rates; empty where `refused` says why
    double lowest = 0,
           highest = 0; ///< all rates the edges allow for a lamp exactly at its frequency; nothing outside is possible
    double fitUncertainty = 0; ///< relative, standard: half-width / sqrt(3)
    double lampUncertainty =
        0; ///< relative, standard: tolerance / sqrt(3); shared by all that is fitted with this lamp
    double standardUncertainty() const; ///< camera frames a second, both combined
    double low95() const;               ///< rate -+ 2 standard uncertainties: never inside [lowest, highest]
    double high95() const;

    struct LeastSquares {
        double rate = 0, standardUncertainty = 0; ///< camera frames a second, without the lamp's share
        double residualSd = 0;                    ///< camera frames
    };
    std::optional<LeastSquares> leastSquares; ///< the better estimate where phases dither
    std::vector<FittedEdge> edges;
    std::vector<FitRemark> remarks;
    std::string refused; ///< one sentence

    std::size_t usedEdges() const;
    bool has(FitRemark::Kind kind) const;
    /// As evidence for a clock: origin reference. Precondition: `rate`.
    RateEvidence evidence(const ReferenceLamp& lamp) const;
};

struct FitOptions {
    std::vector<Gap> gaps;    ///< frames known to be missing, counted in
    int framesPerPicture = 1; ///< >= 1; of so many frames only the first adds something (picture_repeats.h)
    bool blended = false;     ///< the others are blends of their neighbours, so that a change shows early as well
    std::vector<RateEvidence> otherEvidence; ///< only to tell a wrong harmonic by
    bool allPicturesAdd = false; ///< movement elsewhere in the picture shows that every frame is one of its own
};

/// `edges` ascending, as confirmed. Preconditions: frequency > 0 and finite, 0 <= tolerance < 1.
ReferenceFit fitReference(const std::vector<LampEdge>& edges, const ReferenceLamp& lamp,
                          const FitOptions& options = {});

/// Two events a known time apart: `frames` camera frames from the frame that first shows the one to that of the other,
/// missing ones counted in, >= 1. `seconds` > 0 within +-`tolerance` (relative, below 1). The rate lies within (frames
/// -+ 1) / seconds.
ReferenceFit fitTwoEvents(FrameCount frames, Seconds seconds, double tolerance);

} // namespace timing
