#include "tests/bench/session_bench.h"
#include "core/analysis/results.h"
#include "core/session/file_format.h"
#include "core/session/evidence_store.h"
#include "core/session/open_session.h"
#include "tests/core/session/sample_document.h"

#include <QCryptographicHash>
#include <sqlite3.h>
#include <algorithm>
#include <cmath>
#include <future>
#include <limits>
#include <map>
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

/// As large as crops of both regions come to.
QByteArray cropOf(std::int64_t number)
{
    QByteArray png(10'000, static_cast<char>(number));
    return png.replace(0, 8, QByteArray::number(qint64(10'000'000) + number));
}

/// Every press and response with four crops.
session::CropBytes giveCrops(Document& document)
{
    CropBytes crops;
    std::int64_t number = 0;
    const auto keep = [&] {
        const QByteArray png = cropOf(number++);
        const auto hash = QCryptographicHash::hash(png, QCryptographicHash::Sha256).toHex().toStdString();
        crops.emplace(hash, png);
        return hash;
    };
    for (auto& [id, trial] : document.trials) {
        Trial with = *trial;
        with.readings.front().press->crops = {keep(), keep(), keep(), keep()};
        trial = std::make_shared<const Trial>(std::move(with));
    }
    return crops;
}

/// The least that SQLite does for as many bytes: a row, committed as sessions are.
class BareCommit {
public:
    explicit BareCommit(const std::filesystem::path& path)
    {
        if (sqlite3_open(path.c_str(), &m_handle) != SQLITE_OK)
            throw std::runtime_error("can't make " + path.string());
        run("PRAGMA synchronous = EXTRA; CREATE TABLE t(id INTEGER PRIMARY KEY, body TEXT)");
    }
    ~BareCommit() { sqlite3_close(m_handle); }
    void operator()(std::int64_t bytes)
    {
        run(("INSERT INTO t(body) VALUES ('" + std::string(static_cast<std::size_t>(bytes), 'x') + "')").c_str());
    }

private:
    void run(const char* sql)
    {
        if (sqlite3_exec(m_handle, sql, nullptr, nullptr, nullptr) != SQLITE_OK)
            throw std::runtime_error(sqlite3_errmsg(m_handle));
    }
    sqlite3* m_handle = nullptr;
};

/// Reads every row of every table without looking at it.
void readRows(const std::filesystem::path& path)
{
    sqlite3* handle = nullptr;
    const auto ignore = [](void*, int, char**, char**) { return 0; };
    if (sqlite3_open(path.c_str(), &handle) != SQLITE_OK
        || sqlite3_exec(handle, "SELECT * FROM entity; SELECT * FROM edit", ignore, nullptr, nullptr) != SQLITE_OK)
        throw std::runtime_error("can't read " + path.string());
    sqlite3_close(handle);
}

/// The least that results can be: mean and SD of each configuration's counted frames.
double sumUp(const Document& document)
{
    struct Sums {
        double n = 0, sum = 0, squares = 0;
    };
    std::map<ConfigurationId, Sums> all;
    for (const auto& [id, trial] : document.trials)
        if (const Reading* reading = countingReading(*trial); reading && reading->press && reading->response) {
            const auto count = static_cast<double>((reading->response->frame - reading->press->frame).value);
            Sums& sums = all[trial->configuration];
            sums.n += 1;
            sums.sum += count;
            sums.squares += count * count;
        }
    double spread = 0;
    for (const auto& [id, sums] : all)
        spread += std::sqrt(std::max(0.0, sums.squares / sums.n - std::pow(sums.sum / sums.n, 2)));
    return spread;
}

} // namespace

/// What reading leaves in a log: three edits a trial.
std::vector<LogLine> logOf(const Document& document)
{
    std::vector<LogLine> log;
    const auto line = [&](const Edit& edit) { log.push_back({std::ssize(log) + 1, LogKind::Edit, bodyOf(edit)}); };
    for (const auto& [id, trial] : document.trials) {
        const Reading& reading = trial->readings.front();
        line(setMark(document, id, {}, MarkKind::Press, sample::mark(reading.press->frame.value + 1), "zoom 4"));
        line(setMark(document, id, {}, MarkKind::Response, sample::mark(reading.response->frame.value + 1), "zoom 4"));
        line(setTrialNote(document, id, "flicker from the left"));
    }
    return log;
}

Rows measureSession(const std::filesystem::path& folder, const Effort& effort)
{
    Document document = sample::withTrials(effort.trials());
    const CropBytes crops = giveCrops(document);
    const auto path = folder / "bench.tallyframe", bareFile = folder / "bare.db";
    std::filesystem::remove(bareFile);
    SessionStore::write(path, {document, logOf(document)}, [&](const SessionStore::AddCrop& add) {
        for (const auto& [sha256, png] : crops)
            add(sha256, png);
    });
    const std::string subject = std::to_string(effort.trials()) + " trials";
    const int rounds = effort.rounds() * 3;
    const double bare = best(rounds, [&] { readRows(path); });
    const double read = best(rounds, [&] { readSession(path); });
    const double open = best(rounds, [&] { OpenSession::open(path, {}); });
    const double compute = best(rounds, [&] { analysis::compute(document); });
    double spread = 0; // used, so that it isn't left out
    const double sums = best(rounds, [&] { spread += sumUp(document); });
    if (std::isnan(spread))
        throw std::runtime_error("the sums of the bench's trials are none");
    const TrialId trial = std::next(document.trials.begin(), std::ssize(document.trials) / 2)->first;
    std::int64_t frame = 100;
    const auto changed = [&] {
        const Edit edit = setMark(document, trial, {}, MarkKind::Press, sample::mark(--frame), "zoom 4");
        return apply(document, edit);
    };
    const double edit = best(rounds, changed);
    const double effect = best(rounds, [&] { analysis::compute(changed()); });
    // A mark with its crops, until it is on the disk and shown.
    std::promise<void>* shown = nullptr;
    OpenSession::Notices notices;
    notices.accepted = [&](std::int64_t, const auto&) { shown->set_value(); };
    const auto session = OpenSession::open(path, notices);
    std::int64_t number = std::ssize(crops);
    const double onDisk = best(rounds, [&] {
        std::promise<void> promise;
        shown = &promise;
        Mark mark = sample::mark(++frame);
        for (std::string* crop :
             {&mark.crops.lampBefore, &mark.crops.lampAt, &mark.crops.screenBefore, &mark.crops.screenAt}) {
            const QByteArray png = cropOf(number++);
            *crop = session->evidence()->keep({png.begin(), png.end()});
        }
        session->submit(setMark(session->latest(), trial, {}, MarkKind::Press, mark, "zoom 4"));
        promise.get_future().wait();
    });
    BareCommit commit(bareFile);
    const double bareCommit = best(rounds, [&] { commit(45'000); });
    constexpr double mebibyte = 1 << 20;
    double cropBytes = 0;
    for (const auto& [sha256, png] : crops)
        cropBytes += static_cast<double>(png.size());
    const double fileBytes = static_cast<double>(std::filesystem::file_size(path));
    return {{subject, "size of the file", fileBytes / mebibyte, "MiB", "its crops", cropBytes / mebibyte},
            {subject, "read the file", read, "ms", "rows read", bare},
            {subject, "open the session", open, "ms", "rows read", bare},
            {subject, "a mark with four crops shows, on the disk", onDisk, "ms", "bare commit of as much", bareCommit},
            {subject, "all results", compute, "ms", "bare sums", sums},
            {subject, "one edit", edit},
            {subject, "one mark and all results", effect}};
}

} // namespace bench
