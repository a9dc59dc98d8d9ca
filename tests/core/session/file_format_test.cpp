#include "core/session/file_format.h"
#include "core/error.h"
#include "core/session/limits.h"
#include "json_mutation.h"
#include "cpu_time.h"
#include "sample_document.h"
#include "schema.h"
#include <QCryptographicHash>
#include <QFile>
#include <QProcess>
#include <QRegularExpression>
#include <QTemporaryDir>
#include <catch2/catch.hpp>
#include <cmath>

using namespace session;
using Catch::Contains;
using Catch::Matchers::StartsWith;

namespace {

struct Malformed {
    core::ErrorKind kind;
    std::string sentence;
};

std::optional<Malformed> malformedBy(const QByteArray& json)
{
    try {
        fromJson(json);
        return std::nullopt;
    } catch (const core::Error& error) {
        return Malformed{error.kind(), error.what()};
    }
}

std::string sentence(const QByteArray& json)
{
    const auto refused = malformedBy(json);
    return refused ? refused->sentence : "read without complaint";
}

/// Sets, or with an undefined value removes, what `pointer` ("/trials/0/note") names.
QJsonValue with(const QJsonValue& in, const QStringList& path, const QJsonValue& value)
{
    if (path.isEmpty())
        return value;
    const QString key = path.front();
    const QStringList rest = path.mid(1);
    if (in.isArray()) {
        QJsonArray array = in.toArray();
        array.replace(key.toInt(), with(array.at(key.toInt()), rest, value));
        return array;
    }
    QJsonObject object = in.toObject();
    const QJsonValue changed = with(object.value(key), rest, value);
    if (changed.isUndefined())
        object.remove(key);
    else
        object.insert(key, changed);
    return object;
}

QByteArray with(const QByteArray& json, const char* pointer, const QJsonValue& value)
{
    const QStringList path = QString::fromLatin1(pointer).split(u'/').mid(1);
    return QJsonDocument(with(QJsonDocument::fromJson(json).object(), path, value).toObject()).toJson();
}

QByteArray replaced(QByteArray text, const char* before, const char* after)
{
    const qsizetype at = text.indexOf(before);
    REQUIRE(at >= 0);
    return text.replace(at, qstrlen(before), after);
}

bool namesAPlace(const std::string& text)
{
    static const QRegularExpression place("^(/[^ ]*|line [0-9]+, column [0-9]+): .{8,}",
                                          QRegularExpression::DotMatchesEverythingOption);
    return place.match(QString::fromStdString(text)).hasMatch();
}

} // namespace

TEST_CASE("a session survives its file", "[session]")
{
    for (const Document& document : {Document{}, sample::planned(), sample::rich()}) {
        const QByteArray json = toJson(document);
        const Document read = fromJson(json);
        CHECK(read == document);
        CHECK(toJson(read) == json);
    }
}

TEST_CASE("crops go along in the text", "[session]")
{
    const QByteArray png("\x89PNG crop");
    const CropBytes crops{{QCryptographicHash::hash(png, QCryptographicHash::Sha256).toHex().toStdString(), png}};
    CropBytes found;
    const Document document = sample::rich();
    const QByteArray good = toJson(document, crops);
    CHECK(fromJson(good, &found) == document);
    CHECK(found == crops);
    CHECK_THAT(sentence(with(good, "/crops/0", "no base64!")), StartsWith("/crops/0: ") && Contains("no PNG"));
    CHECK_THAT(sentence(with(good, "/crops/0", "AAAA")), StartsWith("/crops/0: ") && Contains("no PNG"));
}

TEST_CASE("a camera whose note says global exposes all rows at once, until something else is set", "[session]")
{
    Document d = sample::planned();
    Clock clock = *d.clocks.begin()->second;
    clock.camera["readout"] = "Global shutter";
    clock.readout = {};
    d = apply(d, setClock(d, clock, "camera"));
    CHECK(fromJson(toJson(d)).clocks.begin()->second->readout.kind
          == ReadoutKind::Unknown); // set here, so it is in the file

    QByteArray older = toJson(d);
    const QJsonValue nothing(QJsonValue::Undefined);
    older = with(older, "/clocks/0/readout", nothing); // as an older program wrote it
    CHECK(fromJson(older).clocks.begin()->second->readout.kind == ReadoutKind::AllAtOnce);
    older = with(older, "/clocks/0/camera/readout", QStringLiteral("rolling"));
    CHECK(fromJson(older).clocks.begin()->second->readout.kind == ReadoutKind::Unknown);
}

TEST_CASE("equal sessions are equal files, however they came to be", "[session]")
{
    const Document d = sample::rich();
    Settings settings = d.settings;
    settings.event.thresholdSd = 5;
    const Edit edit = setSettings(d, settings, "five");
    Document back = apply(apply(d, edit), reversed(edit));
    CHECK(toJson(back) == toJson(d));
    // 0 and -0 are equal numbers.
    Document zero = sample::rich();
    auto capture = std::make_shared<Capture>(*zero.captures.rbegin()->second);
    capture->stampSeconds[0] = -0.0;
    zero.captures.rbegin()->second = capture;
    CHECK(zero == d);
    CHECK(toJson(zero) == toJson(d));
}

TEST_CASE("numbers keep every digit in the file", "[session]")
{
    Document d = sample::planned();
    const double odd[] = {0.1 + 0.2, 1.0 / 3, 0.001, 1e7, 4, 1234567.0000000001};
    for (const double value : odd) {
        d = apply(d, setMargin(d, value));
        CHECK(fromJson(toJson(d)).settings.plan.marginMs == value);
    }
    Settings settings = d.settings;
    settings.title = "π “quoted” \\ / \t\n 𝄞";
    d = apply(d, setSettings(d, settings, "title"));
    CHECK(fromJson(toJson(d)).settings.title == settings.title);
    d.nextId = limits::number;
    CHECK(fromJson(toJson(d)).nextId == limits::number);
}

TEST_CASE("whatever is wrong in a session file is named with its place", "[session]")
{
    const QByteArray good = toJson(sample::rich());
    const QJsonValue nothing(QJsonValue::Undefined);
    struct Case {
        const char* pointer;
        QJsonValue value;
        const char* at;
        const char* says;
    };
    const QString tooLong(30'000, u'x');
    const Case cases[] = {
        {"/trials", nothing, "/trials: ", "missing"},
        {"/trials/2/readings/0/press/frame", nothing, "/trials/2/readings/0/press/frame: ", "missing"},
        {"/trials/2/readings/0/press/frame", "12",
         "/trials/2/readings/0/press/frame: ", "this is text where a whole number"},
        {"/trials/2/readings/0/press/frame", 12.5, "/trials/2/readings/0/press/frame: ", "whole number"},
        {"/trials/2/readings/0/press/frame", 1e300, "/trials/2/readings/0/press/frame: ", "whole number"},
        {"/trials/2/readings/0/press/frame", -3, "/trials/2/readings/0/press/frame: ", "-3"},
        {"/trials/2/readings/0/press/frame", 2400, "/trials/2/readings/0/press", "after its response"},
        {"/trials/2/readings/0/press/pictureHash", "no", "/trials/2/readings/0/press/pictureHash: ", "checksum"},
        {"/trials/2/readings/0/accepted", 1, "/trials/2/readings/0/accepted: ", "true or false"},
        {"/trials/2/readings", QJsonObject(), "/trials/2/readings: ", "a list"},
        {"/trials/2/capture", 99999, "/trials/2/capture: ", "isn't in the session"},
        {"/trials/2/settled", 99999, "/trials/2/settled: ", "isn't one of its readings"},
        {"/trials/2/settled", 0, "/trials/2/settled: ", "out of range"},
        {"/trials/2/speed", 4, "/trials/2/speed: ", "isn't known"},
        {"/trials/2/a~b", 4, "/trials/2/a~0b: ", "isn't known"},
        {"/trials/2", QJsonValue::Null, "/trials/2: ", "this is null where an object belongs"},
        {"/trials/0/reject/reason", "bored", "/trials/0/reject/reason: ", "“bored” isn't one of: hidden, no"},
        {"/trials/0/reject/time", "yesterday", "/trials/0/reject/time: ", "ISO 8601"},
        {"/trials/0/reject/time", "2030-02-30T10:00:00Z", "/trials/0/reject/time: ", "ISO 8601"},
        {"/captures/0/name", tooLong, "/captures/0/name: ", "30000 characters; at most 500"},
        {"/captures/0/width", 3e9, "/captures/0/width: ", "between 1 and 100000"},
        {"/captures/0/regions/1/x", 1279, "/captures/0/regions/1: ", "inside the picture"},
        {"/captures/0/clock", 1, "/captures/0/clock: ", "isn't in the session"},
        {"/captures/1/missing/1/before", 3, "/captures/1/missing/1/before: ", "ascending"},
        {"/captures/3/stampSeconds/2", "0.5", "/captures/3/stampSeconds/2: ", "this is text where a number belongs"},
        {"/clocks/0/evidence/0/rate", 0, "/clocks/0/evidence/0/rate: ", "between 0.001 and 1000000000"},
        {"/clocks/0/evidence/0/rate", 1e-200, "/clocks/0/evidence/0/rate: ", "between 0.001 and 1000000000"},
        {"/settings/plan/marginMs", 1e-200, "/settings/plan/marginMs: ", "between 0.001 and 10000000"},
        {"/settings/event/onsetWidthMs", 1e-200, "/settings/event/onsetWidthMs: ", "0 or a number between"},
        {"/clocks/0/evidence/0/exactRate", nothing, "read", "without complaint"},
        {"/clocks/0/evidence/0/exactRate/denominator", 0,
         "/clocks/0/evidence/0/exactRate/denominator: ", "between 1 and"},
        {"/clocks/0/evidence/0/errorSources/0", 99999, "/clocks/0/evidence/0/errorSources/0: ", "isn't in the session"},
        {"/clocks/0/settled/evidence", 7, "/clocks/0/settled/evidence: ", "isn't there"},
        {"/configurations/1/position", 0, "/configurations/1/position: ", "position 0"},
        {"/configurations/1/texts/lens", "wide", "/configurations/1/texts/lens: ", "isn't known"},
        {"/configurations/1/texts/device", "", "/configurations/1/texts/device: ", "left out"},
        {"/settings/plan/level", 95, "/settings/plan/level: ", "between 0.5 and 0.999"},
        {"/settings/plan/baseline", 99999, "/settings/plan/baseline: ", "isn't in the session"},
        {"/settings/title", "bell\u0007", "/settings/title: ", "control characters"},
        {"/settings/looks/0", 1, "/settings/looks/0: ", "an object"},
        {"/nextId", 3, "/configurations/2/id: ", "next number 3"},
        {"/nextId", 0, "/nextId: ", "out of range"},
        {"/version", 0, "/version: ", "between 1 and"},
        {"/format", "something else", "/format: ", "isn't a session file"},
    };
    for (const Case& wrong : cases) {
        INFO(wrong.pointer);
        const std::string said = sentence(with(good, wrong.pointer, wrong.value));
        CHECK_THAT(said, StartsWith(wrong.at) && Contains(wrong.says));
    }
}

TEST_CASE("numbers that are given twice or stand out of order are refused", "[session]")
{
    const QJsonObject good = QJsonDocument::fromJson(toJson(sample::rich())).object();
    const QByteArray bytes = QJsonDocument(good).toJson();
    const QJsonArray trials = good.value("trials").toArray();
    CHECK_THAT(sentence(with(bytes, "/trials/3/id", trials[2].toObject().value("id"))),
               StartsWith("/trials/3/id: ") && Contains("two things of this list"));
    CHECK_THAT(sentence(with(bytes, "/trials/3/id", trials[0].toObject().value("id").toInt() - 1)),
               StartsWith("/trials/3/id: ") && Contains("comes after a higher one"));
    const int region =
        good.value("captures").toArray()[0].toObject().value("regions").toArray()[0].toObject().value("id").toInt();
    CHECK_THAT(sentence(with(bytes, "/trials/3/readings/0/id", region)),
               StartsWith("/trials/3/readings/0/id: ") && Contains("two things of the session"));
}

TEST_CASE("text that isn't JSON is refused with line and column", "[session]")
{
    const QByteArray good = toJson(sample::rich());
    CHECK_THAT(sentence(""), StartsWith("line 1, column 1: "));
    CHECK_THAT(sentence("[]"), StartsWith("line 1, column 1: ") && Contains("a list"));
    CHECK_THAT(sentence("not JSON"), StartsWith("line 1, column "));
    CHECK_THAT(sentence(good.left(good.size() / 2)), StartsWith("line "));
    CHECK_THAT(sentence(replaced(good, "\"level\": 0.95", "\"level\": NaN")), StartsWith("line ") && Contains("JSON"));
    CHECK_THAT(sentence(replaced(good, "\"level\": 0.95", "\"level\": Infinity")), StartsWith("line "));
    CHECK(namesAPlace(sentence(replaced(good, "\"level\": 0.95", "\"level\": 1e999"))));
    CHECK_THAT(sentence("{\n  \"title\": \"\xC3\xA9\xFF\"\n}"), StartsWith("line 2, column 14: ") && Contains("UTF-8"));
    CHECK_THAT(sentence("{\"a\": \"\xC3"), StartsWith("line 1, column 8: ") && Contains("UTF-8"));
    CHECK_THAT(sentence("{\n\"a\": 1,\n\"b\": {\"c\": 1, \"c\": 2}}"),
               StartsWith("line 3, column 16: ") && Contains("“c” is there twice"));
    CHECK_THAT(sentence("{\"\\u0061\": 1, \"a\": 2}"), StartsWith("line 1, column 3: ") && Contains("backslash"));
    CHECK_THAT(sentence(QByteArray("{\"a\": ") + QByteArray(100'000, '[')),
               StartsWith("line 1, column 38: ") && Contains("deep"));
    CHECK_THAT(sentence(replaced(good, "\"Pedal links\"", "\"\\ud800\"")),
               StartsWith("/settings/title: ") && Contains("surrogate"));
    CHECK_THAT(sentence(replaced(good, "\"Pedal links\"", "\"\\u0000\"")),
               StartsWith("/settings/title: ") && Contains("control"));
}

TEST_CASE("too many items are refused by their number", "[session]")
{
    QJsonArray many;
    for (std::size_t i = 0; i <= limits::configurations; ++i)
        many.append(0);
    CHECK_THAT(sentence(with(toJson(sample::rich()), "/configurations", many)),
               StartsWith("/configurations: ") && Contains("1001 items; at most 1000"));
}

TEST_CASE("a file of a newer program is refused as such, whatever else it holds", "[session]")
{
    const auto refused = malformedBy(R"({"format": "tallyframe session", "version": 2, "holograms": []})");
    REQUIRE(refused);
    CHECK(refused->kind == core::ErrorKind::Unsupported);
    CHECK_THAT(refused->sentence, StartsWith("/version: ") && Contains("version 2"));
}

TEST_CASE("files gone wrong are read or refused with a place, never worse", "[session]")
{
    const QByteArray good = toJson(sample::rich());
    mutation::Random random(20300131);
    int read = 0, refused = 0;
    for (int i = 0; i < 1'500; ++i) {
        const QByteArray wrong = i % 2 ? mutation::mutatedBytes(good, random) : mutation::mutatedJson(good, random);
        const QByteArray copy(wrong.constData(), wrong.size());
        try {
            const Document document = fromJson(wrong);
            ++read;
            // What is read holds together and can be written and read again.
            CHECK(contradiction(document) == "");
            CHECK(fromJson(toJson(document)) == document);
        } catch (const core::Error& error) {
            ++refused;
            INFO(error.what());
            CHECK((error.kind() == core::ErrorKind::Malformed || error.kind() == core::ErrorKind::Unsupported));
            CHECK(namesAPlace(error.what()));
            CHECK(std::string(error.what()).size() < 600);
        }
        CHECK(wrong == copy);
    }
    CHECK(read > 50);
    CHECK(refused > 800);
}

TEST_CASE("the schema in resources is the one that the tables of fields make", "[session]")
{
    QFile committed(TALLYFRAME_SCHEMA);
    if (qEnvironmentVariableIsSet("TALLYFRAME_WRITE_SCHEMA")) {
        REQUIRE(committed.open(QIODevice::WriteOnly));
        REQUIRE(committed.write(sessionSchema()) > 0);
        return;
    }
    REQUIRE(committed.open(QIODevice::ReadOnly));
    INFO("TALLYFRAME_WRITE_SCHEMA=1 core_session_tests \"the schema in resources*\" writes it anew");
    CHECK(committed.readAll() == sessionSchema());
}

TEST_CASE("the schema accepts what is written and refuses nothing that is read", "[session]")
{
    QTemporaryDir folder;
    REQUIRE(folder.isValid());
    const auto write = [&](const QString& name, const QByteArray& bytes) {
        QFile file(folder.filePath(name));
        REQUIRE(file.open(QIODevice::WriteOnly));
        REQUIRE(file.write(bytes) == bytes.size());
    };
    const QByteArray good = toJson(sample::rich());
    write("good-empty.json", toJson(Document{}));
    write("good-planned.json", toJson(sample::planned()));
    write("good-rich.json", good);
    mutation::Random random(7);
    int refusedByReader = 0;
    for (int i = 0; i < 300; ++i) {
        const QByteArray wrong = mutation::mutatedJson(good, random);
        const bool refused = malformedBy(wrong).has_value();
        refusedByReader += refused;
        write(QStringLiteral("%1-%2.json").arg(refused ? "refused" : "read").arg(i, 3, 10, QChar(u'0')), wrong);
    }
    const char* script = R"(
import glob, json, os, sys
from jsonschema import Draft202012Validator
schema = json.load(open(sys.argv[1], encoding="utf-8"))
Draft202012Validator.check_schema(schema)
validator = Draft202012Validator(schema)
both = 0
for path in sorted(glob.glob(sys.argv[2] + "/*.json")):
    error = next(validator.iter_errors(json.load(open(path, encoding="utf-8"))), None)
    name = os.path.basename(path)
    if error and not name.startswith("refused"):
        where = "/".join(map(str, error.absolute_path))
        print(name + ": the schema refuses it at /" + where + ": " + error.message[:200])
    both += bool(error) and name.startswith("refused")
print(both)
)";
    QProcess python;
    python.start("python3", {"-c", script, TALLYFRAME_SCHEMA, folder.path()});
    REQUIRE(python.waitForFinished(60'000));
    const std::string output = python.readAllStandardOutput().toStdString();
    INFO(output << python.readAllStandardError().toStdString());
    REQUIRE(python.exitStatus() == QProcess::NormalExit);
    REQUIRE(python.exitCode() == 0);
    REQUIRE(output.find("schema refuses") == std::string::npos);
    // The rest of what the reader refuses are references and other rules that a schema can't state.
    CHECK(std::stoi(output) > refusedByReader * 3 / 5);
}

TEST_CASE("a session of 2,000 trials is read quickly", "[session]")
{
    const QByteArray json = toJson(sample::withTrials(2'000));
    double best = std::numeric_limits<double>::infinity();
    for (int i = 0; i < 5; ++i) {
        const double start = cpuMilliseconds();
        const Document read = fromJson(json);
        best = std::min(best, cpuMilliseconds() - start);
        CHECK(read.trials.size() == 2'000);
    }
    WARN("2,000 trials (" << json.size() / 1024 << " KiB) are read in " << best << " ms");
    CHECK(best < 300 * slowness); // what opening a session may take altogether
}
