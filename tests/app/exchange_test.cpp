#include "core/session/session_store.h"
#include "tests/app/program.h"
#include <QTemporaryDir>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

namespace {

namespace fs = std::filesystem;

struct Copy {
    QTemporaryDir temporary;
    fs::path folder = temporary.path().toStdString();
    fs::path session = folder / "own.tallyframe";
    Copy() { fs::copy_file(SAMPLE_SESSION, session); }
    QString text(const char* name) const { return QString::fromStdString((folder / name).string()); }
};

session::CropBytes cropsOf(const fs::path& path)
{
    session::CropBytes crops;
    session::SessionStore(path).forCrops(
        [&](const std::string& sha256, const QByteArray& png) { crops.emplace(sha256, png); });
    return crops;
}

} // namespace

TEST_CASE("a session that was exported is imported as it was, crops included", "[app]")
{
    const Copy copy;
    const Outcome out = run({"export", copy.text("own.tallyframe"), "--out", copy.text("own.json")});
    INFO(out.problem.toStdString());
    REQUIRE(out.status == 0);
    const Outcome printed = run({"export", copy.text("own.tallyframe")});
    std::ifstream written(copy.folder / "own.json", std::ios::binary);
    CHECK(printed.output == QByteArray::fromStdString({std::istreambuf_iterator<char>(written), {}}));

    const Outcome in = run({"import", copy.text("own.json"), "--out", copy.text("again.tallyframe")});
    INFO(in.problem.toStdString());
    REQUIRE(in.status == 0);
    CHECK(session::SessionStore(copy.folder / "again.tallyframe").read().document
          == session::SessionStore(copy.session).read().document);
    CHECK(cropsOf(copy.folder / "again.tallyframe") == cropsOf(copy.session));
    CHECK(cropsOf(copy.session).size() > 100);

    CHECK(run({"import", copy.text("own.json"), "--out", copy.text("again.tallyframe")}).problem.contains("already"));
    CHECK(run({"import", copy.text("own.json")}).status == 0);
    CHECK(fs::exists(copy.folder / "own imported.tallyframe"));
    const Outcome opened = run({"results", copy.text("own.json")});
    CHECK(opened.status == 3);
    CHECK(opened.problem.contains("tallyframe import own.json --out"));
}
