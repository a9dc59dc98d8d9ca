#pragma once
#include "tests/footage/spec.h"
#include <optional>
#include <vector>

namespace footage {

/// A light that is told to go on and off and follows exponentially.
class SwitchedLight {
public:
    /// Time constants in seconds, > 0. Dark before the first switch.
    SwitchedLight(double riseConstant, double fallConstant) : m_rise(riseConstant), m_fall(fallConstant) {}

    void switchAt(double time, bool on);       ///< `time` not before the last switch
    double level(double time) const;           ///< 0..1
    double mean(double from, double to) const; ///< of level over [from, to), from < to
    /// When level first passes `share` at or after `from`; empty if it never does while it is on.
    std::optional<double> passes(double share, double from) const;

private:
    struct Piece {
        double start;
        double target;   ///< 0 or 1
        double level;    ///< at start
        double integral; ///< of level up to start
    };
    const Piece* pieceAt(double time) const; ///< null before the first switch
    double constant(const Piece& piece) const { return piece.target > 0 ? m_rise : m_fall; }
    double levelIn(const Piece& piece, double time) const;
    double integral(double time) const;

    double m_rise, m_fall;
    std::vector<Piece> m_pieces;
};

struct PlannedPress {
    double press = 0;
    std::optional<double> secondPress; ///< double press: when the lamp lights again
    std::optional<double> scanStart;   ///< scan-out of the first refresh that shows the reaction begins
    std::optional<OddityKind> oddity;
};

/// Everything in front of the camera on one time line; 0 is the capture start.
struct Timeline {
    double refreshInterval = 0, refreshPhase = 0; ///< scan-outs begin at phase + n * interval (+ display processing)
    double displayProcessing = 0;
    std::vector<PlannedPress> presses;
    SwitchedLight lamp, panel; ///< panel: at screen row 0; row v follows v * refreshInterval later
};

/// Draws presses and walks each through the delay chain.
Timeline plan(const SceneSpec& scene, std::uint64_t seed);

/// True instants of the capture grid, missing frames included: start of exposure of the first-read row.
std::vector<double> captureTimes(const CameraSpec& camera, std::uint64_t seed);

} // namespace footage
