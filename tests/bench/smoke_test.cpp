// Runs the benchmark on tiny films and looks whether every row is there; how quick anything was doesn't matter.
#include <QFile>
#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <QTemporaryDir>
#include <catch2/catch.hpp>
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <set>

TEST_CASE("the benchmark gives every row, with a bare program's figure where it stands beside one", "[bench]")
{
    const QTemporaryDir folder;
    REQUIRE(folder.isValid());
    const std::string json = folder.filePath("bench.json").toStdString();
    const std::string command = std::string("'") + TALLYFRAME_BENCH + "' --small --pace 100 --program '"
                                + TALLYFRAME_PROGRAM + "' --folder '" + folder.path().toStdString() + "' --json '"
                                + json + "' --results '" + folder.filePath("RESULTS.md").toStdString()
                                + "' >/dev/null 2>&1";
    REQUIRE(std::system(command.c_str()) == 0);
    QFile file(QString::fromStdString(json));
    REQUIRE(file.open(QIODevice::ReadOnly));
    const QJsonObject result = QJsonDocument::fromJson(file.readAll()).object();
    CHECK(result["machine"].toObject()["cores"].toInt() >= 1);

    std::set<std::pair<std::string, std::string>> seen;
    for (const auto& each : result["rows"].toArray()) {
        const QJsonObject row = each.toObject();
        const std::string subject = row["subject"].toString().toStdString(),
                          what = row["what"].toString().toStdString();
        INFO(subject << ": " << what);
        CHECK(row["value"].toDouble() > 0);
        if (row.contains("bare")) {
            CHECK(row["bare"].toDouble() > 0);
            CHECK(std::abs(row["ratio"].toDouble() - row["value"].toDouble() / row["bare"].toDouble()) < 1e-9);
            seen.insert({subject, what + " / " + row["against"].toString().toStdString()});
        }
        seen.insert({subject, what});
    }
    std::vector<std::string> wanted{"first open / packet scan",
                                    "confirming it in the background / decode, all",
                                    "reopening / packet scan",
                                    "traces of two regions / decode, all",
                                    "jump, reader, mean / key frame t",
                                    "jump, cache and reader, mean / key frame t",
                                    "first step back after a jump, mean",
                                    "step with the change since the press / step without",
                                    "step with the change since the frame before / step without",
                                    "change since the press / subtracting the region's luma",
                                    "change since the frame before / subtracting the region's luma",
                                    "memory, cache budget 1024 MiB / the budget"};
    for (const std::string way : {"forward", "back"}) {
        wanted.push_back("key held " + way + ", a frame / decode, a p");
        for (const std::string figure : {"p50 / decode, a p", "p99", "longest"})
            wanted.push_back("12 steps " + way + ", 100 a second, " + figure);
    }
    for (const std::string film : {"1080p H.264, GOP 250, B", "1080p HEVC", "1080p MJPEG, intra only",
                                   "4K H.264, GOP 250, B", "720p H.264, GOP 12"})
        for (const std::string& what : wanted) {
            INFO(film << ": " << what);
            const auto found = std::find_if(seen.begin(), seen.end(), [&](const auto& row) {
                return row.first == film && row.second.starts_with(what);
            });
            CHECK(found != seen.end());
        }
    for (const std::string film :
         {"1080p H.264, GOP 250, B", "1080p HEVC", "4K H.264, GOP 250, B", "720p H.264, GOP 12"})
        for (const std::string what :
             {"drop to first picture, 0 MiB / packet scan and one picture",
              "drop to first picture, the same in 4 GiB, the rest an empty box / of 0 MiB",
              "ten dropped, the first broken: the nine and a picture / the nine",
              "ten dropped, the first on a disk of 4 MiB/s: the nine and a picture / the nine"}) {
            INFO(film << ": " << what);
            const auto found = std::find_if(seen.begin(), seen.end(), [&](const auto& row) {
                return row.first == film && row.second.starts_with(what);
            });
            CHECK(found != seen.end());
        }
    for (const std::string what : {"read the file / rows read", "open the session / rows read",
                                   "a mark with four crops shows, on the disk / bare commit", "all results", "one edit",
                                   "one mark and all results"}) {
        INFO(what);
        const auto found = std::find_if(seen.begin(), seen.end(), [&](const auto& row) {
            return row.first == "30 trials" && row.second.starts_with(what);
        });
        CHECK(found != seen.end());
    }

    for (const std::string what : {"in motion as H.264, CPU / encode", "in motion as ProRes 4444, CPU / encode",
                                   "laid out, painted and written as PNG, CPU / encode",
                                   "a clip of 56 pictures as H.264, checked for flashes, CPU / encode"}) {
        INFO(what);
        CHECK(std::any_of(seen.begin(), seen.end(), [&](const auto& row) { return row.second == what; }));
    }
    for (const std::string what : {"inspect / started to tell its version, packet scan",
                                   "inspect --decode / started to tell its version, decode, all cores"}) {
        INFO(what);
        CHECK(seen.count({"360p H.264, 20,000 frames", what}) == 1);
    }
    CHECK(seen.count({"program", "start to usable / started to tell its version"}) == 1);
    for (const std::string what : {"report as HTML", "results as JSON", "what moved"})
        CHECK(std::any_of(seen.begin(), seen.end(),
                          [&](const auto& row) { return row.first == "30 trials" && row.second.starts_with(what); }));

    // The page has the same rows, once for each set of options.
    const QString page = folder.filePath("RESULTS.md");
    const auto headings = [&] {
        QFile results(page);
        REQUIRE(results.open(QIODevice::ReadOnly));
        const QByteArray text = results.readAll();
        CHECK(text.count("| 30 trials | all results |") == 1);
        return text.count("\n## ");
    };
    CHECK(headings() == 1);
    const auto again = [&](const std::string& options) {
        return std::system((std::string("'") + TALLYFRAME_BENCH + "' --small " + options + " --folder '"
                            + folder.path().toStdString() + "' --results '" + page.toStdString() + "' >/dev/null 2>&1")
                               .c_str());
    };
    REQUIRE(again("--pace 100 --film h264_720 --only opening") == 0);
    CHECK(headings() == 2);
    REQUIRE(again("--pace 100 --film h264_720 --only opening") == 0);
    CHECK(headings() == 2);
}
