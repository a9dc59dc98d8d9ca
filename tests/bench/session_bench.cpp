#include "tests/bench/session_bench.h"
#include "core/analysis/results.h"
#include "core/session/file_format.h"
#include "core/session/journal_file.h"
#include "core/session/open_session.h"
#include "tests/core/session/sample_document.h"

#include <QFile>
#include <QJsonDocument>
#include <algorithm>
#include <limits>
#include <stdexcept>

namespace bench {

namespace {

using namespace session;

template <class Work> double best(int rounds, const Work& work)
{
    double least = std::numeric_limits<double>::infinity();
    for (int i = 0; i < rounds; ++i)
        least = std::min(least, timed(work));
    return least;
}

QByteArray bytesOf(const std::filesystem::path& path)
{
    QFile file(QString::fromStdString(path.string()));
    if (!file.open(QIODevice::ReadOnly))
        throw std::runtime_error("can't read " + path.string());
    return file.readAll();
}

void parse(const std::filesystem::path& path)
{
    if (QJsonDocument::fromJson(bytesOf(path)).isNull())
        throw std::runtime_error("no JSON in " + path.string());
}

} // namespace

Rows measureSession(const std::filesystem::path& folder, const Effort& effort)
{
    const Document document = sample::withTrials(effort.trials());
    const auto path = folder / "bench.tallyframe";
    std::filesystem::remove(path);
    std::filesystem::remove(journalPath(path));
    {
        QFile file(QString::fromStdString(path.string()));
        const QByteArray json = toJson(document);
        if (!file.open(QIODevice::WriteOnly) || file.write(json) != json.size())
            throw std::runtime_error("can't write " + path.string());
    }
    const std::string subject = std::to_string(effort.trials()) + " trials";
    const int rounds = effort.rounds() * 3;
    const double bare = best(rounds, [&] { parse(path); });
    const double read = best(rounds, [&] { readSession(path); });
    const double open = best(rounds, [&] { OpenSession::open(path, {}); });
    const double compute = best(rounds, [&] { analysis::compute(document); });
    const TrialId trial = std::next(document.trials.begin(), std::ssize(document.trials) / 2)->first;
    std::int64_t frame = 100;
    const auto changed = [&] {
        const Edit edit = setMark(document, trial, {}, MarkKind::Press, sample::mark(--frame), "zoom 4");
        return apply(document, edit);
    };
    const double edit = best(rounds, changed);
    const double effect = best(rounds, [&] { analysis::compute(changed()); });
    return {{subject, "read the file", read, "ms", "JSON parsed", bare},
            {subject, "open the session", open, "ms", "JSON parsed", bare},
            {subject, "all results", compute},
            {subject, "one edit", edit},
            {subject, "one mark and all results", effect}};
}

} // namespace bench
