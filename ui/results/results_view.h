#pragma once
#include "core/report/results.h"
#include <memory>

namespace ui {

/// What the parts of the results page show. A snapshot: replaced as a whole when the session changes.
struct ResultsView {
    std::shared_ptr<const session::Document> document;
    report::Results results;
    session::ConfigurationId selected; ///< 0 only when there is no configuration

    const report::ConfigurationResult* shown() const { return report::find(results, selected); }
};

} // namespace ui
