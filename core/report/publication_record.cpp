#include "core/report/publication_record.h"
#include "core/session/file_format.h"
#include "core/session/text.h"

namespace report {

session::Publication publicationOf(const session::Document& document, const analysis::Results& results,
                                   const std::string& programVersion, const PublishedFolder::Written& written)
{
    session::Publication made;
    made.version = programVersion;
    session::Document inputs = document;
    inputs.publications.clear();
    inputs.nextId = 1; // putting it on record raises it
    made.inputs = session::sha256Of(session::toJson(inputs));
    made.files = written.sums;
    for (const analysis::ConfigurationResult& result : results.configurations) {
        session::PublishedFigure figure{result.configuration, find(document, result.configuration)->name, result.n};
        if (const stats::MeanOnBasis* mean = result.mean.shown()) {
            figure.meanMs = mean->estimateMs;
            if (mean->interval) {
                figure.lowMs = mean->interval->low();
                figure.highMs = mean->interval->high();
            }
        }
        made.figures.push_back(std::move(figure));
    }
    return made;
}

} // namespace report
