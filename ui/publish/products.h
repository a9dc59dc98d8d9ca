#pragma once
#include "core/analysis/results.h"
#include "core/report/published_folder.h"
#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_motion.h"
#include "ui/evidence/trial_evidence.h"
#include <functional>
#include <stop_token>
#include <string>
#include <vector>

namespace ui {

/// What publishing can make, by the key that chooses it.
struct ProductKind {
    const char* key;        ///< "chart"
    const char* name;       ///< on screen
    const char* words;      ///< what comes out of it
    bool onlyAsked = false; ///< takes long: made where it is named, not with all the others
};
/// In the order on screen and on disk.
const std::vector<ProductKind>& productKinds();

/// What is to be published, and how, beside the session's own settings.
struct PublishChoice {
    std::vector<std::string> only;    ///< keys of productKinds(); empty: all of them
    bool has(const char* key) const;  ///< among them, or all are made
    bool asks(const char* key) const; ///< named: what takes long is made then only

    /// Whose evidence is shown; empty: of each configuration the trial that is typical of it.
    std::vector<session::TrialId> trials{};
    bool sideBySide = false; ///< the trials stand in one clip; precondition: there are two
    bool flashing = false;   ///< clips that flash too much are written nevertheless
};

/// Keys of the products that the session's settings name; empty: all that doesn't take long.
std::vector<std::string> productKeys(const session::PublishSettings& settings);
/// As the session's settings have it. Throws core::Error (Refused) where they name a trial that isn't there.
PublishChoice choiceOf(const session::Document& document);
/// "run01:3, run07:1": the third trial of run01 and the first of run07, counted as the reading desk lists them. Throws
/// core::Error (Refused) where there is none such.
std::vector<session::TrialId> trialsNamed(const session::Document& document, const QString& list);

/// Pictures of `chart`, `difference`, `build-up` ("build-up-1.png", ...) and `card` ("card-1.png", ... as the script
/// numbers its sentences), as far as chosen: PNG and SVG of each
/// scene ("comparison-chart.png", "comparison-chart-2.png"), and one PDF. Throws core::Error where a theme can't be
/// read.
std::vector<report::Product> chartFiles(const session::Document& document, const analysis::Results& results,
                                        const PublishChoice& choice);

/// What is being made, and how far it is, in pictures; of none: not known.
using MakingProgress = std::function<void(const QString& what, int done, int of)>;

/// The chart building itself: `motion`, comparison-chart.mp4 (H.264), or comparison-chart.mov (ProRes 4444) where
/// nothing lies behind it; `motion-pictures`, motion-0001.png and so on. Throws core::Error, core::Cancelled.
std::vector<report::Product> motionFiles(const session::Document& document, const analysis::Results& results,
                                         const PublishChoice& choice, const std::stop_token& stop,
                                         const MakingProgress& progress = {});
/// As the session's settings have it.
MotionSettings motionSettings(const session::PublishSettings& publish);
/// Configurations as the script names them, which is how charts build up.
std::vector<session::ConfigurationId> scriptOrder(const analysis::Results& results);
/// Whose evidence is shown: the chosen trials, or of each configuration the typical one.
std::vector<session::TrialId> shownTrials(const analysis::Results& results, const PublishChoice& choice);

/// Stills and clips of trials ("evidence-1.png", "still-pair-1.png", "clip-1.mp4", ... in the order of the trials), as
/// far as chosen, and what couldn't be made and why, a sentence each. Reads footage.
struct EvidenceFiles {
    std::vector<report::Product> files;
    std::vector<std::string> reports;
};
/// Throws core::Error (Refused: a trial of `choice` hasn't both marks), core::Cancelled.
EvidenceFiles evidenceFiles(const session::Document& document, const analysis::Results& results,
                            const PublishChoice& choice, const PictureSource& pictures, const std::stop_token& stop,
                            const MakingProgress& progress = {});

} // namespace ui
