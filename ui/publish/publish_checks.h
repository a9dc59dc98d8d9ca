#pragma once
#include "core/analysis/results.h"
#include "ui/chart/chart_style.h"
#include "ui/chart/chart_scene.h"
#include <QString>
#include <QVector>

namespace ui {

/// What helps with a finding.
enum class Remedy {
    None,
    Read,     ///< on the reading desk
    Trial,    ///< there, at the trial that is named
    Capture,  ///< there, at the capture that is named
    Clock,    ///< on the clocks' page, at the clock that is named
    Plan,     ///< on the plan's page
    Results,  ///< on the results' page, where the configuration is looked into
    Earlier,  ///< the set-up said that an earlier session measured too
    Title,    ///< words of the chart made shorter
    OwnTheme, ///< one of the program's themes in place of the analyst's
    Ground,   ///< the theme's colour behind the chart
};
QString remedyWords(Remedy remedy); ///< on its button; empty for None

/// One thing to look at before publishing.
struct PublishCheck {
    bool fine = true;
    QString words;  ///< "fewer trials than planned"
    QString detail; ///< "Powered hub has 12 of 24"; may be empty
    Remedy remedy = Remedy::None;
    qint64 at = 0; ///< number of the trial, capture or clock
};

/// A chart needs a configuration with a trial, read or not.
bool anythingToPublish(const analysis::Results& results);

/// What a careful analyst checks before figures go out: trials not read, planned counts, warnings of the results,
/// whether the chart shows everything in full, and whether its colours are legible and told apart. Empty where there is
/// nothing to publish.
QVector<PublishCheck> publishChecks(const session::Document& document, const analysis::Results& results,
                                    const std::vector<ChartScene>& chart, const ChartStyle& style);

} // namespace ui
