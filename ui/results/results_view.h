#pragma once
#include "core/analysis/results.h"
#include <memory>

namespace ui {

/// What the parts of the results page show. A snapshot: replaced as a whole when the session changes.
struct ResultsView {
    std::shared_ptr<const session::Document> document;
    std::shared_ptr<const analysis::Results> results; ///< of `document`; null only before the first show
    session::ConfigurationId selected;                ///< 0 only when there is no configuration
    session::ConfigurationId against; ///< what it is compared with by itself; 0: with the baseline, as all are
    std::shared_ptr<const analysis::Results> pair; ///< of `selected` and `against`; null where there is none

    const analysis::ConfigurationResult* shown() const { return analysis::find(*results, selected); }
    /// Results that the comparison in hand is part of.
    const analysis::Results& comparing() const { return pair ? *pair : *results; }
    const analysis::ConfigurationResult* compared() const { return analysis::find(comparing(), selected); }
};

} // namespace ui
