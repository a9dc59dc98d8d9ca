// Stills and clips of trials, from the sample session's footage and from footage that strobes.
#include "core/error.h"
#include "core/media/picture/rendition.h"
#include "core/session/open_session.h"
#include "tests/footage/temp_folder.h"
#include "ui/chart/chart_painter.h"
#include "ui/evidence/evidence_clip.h"
#include "ui/evidence/evidence_pieces.h"
#include "ui/evidence/evidence_stills.h"

#include <catch2/catch.hpp>

namespace {

const std::filesystem::path sample = SAMPLE_SESSION;

struct Sample {
    session::Document document = session::readSession(sample);
    ui::PictureSource source{sample.parent_path(), std::make_shared<session::EvidenceStore>(sample), {}};

    session::TrialId trial(const std::string& capture, std::size_t number) const
    {
        for (const session::Capture* c : session::inOrder(document.captures))
            if (c->name == capture)
                return session::trialsOf(document, c->id)[number - 1]->id;
        throw std::logic_error("no capture of that name");
    }
    ui::TrialEvidence evidence(const std::string& capture, std::size_t number) const
    {
        return ui::trialEvidence(document, trial(capture, number), source);
    }
};

ui::ChartStyle styleOf(QSize pixels)
{
    ui::ChartStyle style;
    style.pixels = pixels;
    return style;
}

QStringList wordsOf(const ui::ChartScene& scene)
{
    QStringList words;
    for (const ui::ChartPiece& piece : scene.pieces)
        if (piece.form == ui::ChartPiece::Form::Words)
            words << piece.words;
    return words;
}

std::vector<QImage> picturesOf(const ui::ChartScene& scene)
{
    std::vector<QImage> pictures;
    for (const ui::ChartPiece& piece : scene.pieces)
        if (piece.form == ui::ChartPiece::Form::Picture)
            pictures.push_back(piece.picture);
    return pictures;
}

/// Mean difference of two pictures in 0..255 inside `box`.
double difference(const QImage& a, const QImage& b, const QRect& box)
{
    double sum = 0;
    for (int y = box.top(); y <= box.bottom(); ++y)
        for (int x = box.left(); x <= box.right(); ++x)
            sum += std::abs(qGray(a.pixel(x, y)) - qGray(b.pixel(x, y)));
    return sum / (box.width() * box.height());
}

/// Black and white in turn, two pictures of each.
ui::TrialEvidence strobing(const TempFolder& folder)
{
    const std::filesystem::path pictures = folder / "strobe";
    std::filesystem::create_directory(pictures);
    for (int n = 0; n < 80; ++n) {
        QImage image(96, 54, QImage::Format_RGB888);
        image.fill(n / 2 % 2 == 0 ? Qt::black : Qt::white);
        char name[32];
        std::snprintf(name, sizeof name, "frame_%06d.png", n);
        REQUIRE(image.save(QString::fromStdString((pictures / name).string())));
    }
    ui::TrialEvidence trial;
    trial.configuration = trial.name = QStringLiteral("strobe");
    trial.footage = media::openFootage(pictures);
    trial.press = {20};
    trial.response = {30};
    trial.time = timing::CaptureTime::even(240, trial.footage->frameCount());
    return trial;
}

} // namespace

TEST_CASE("a strip shows the frames around press and response as the footage has them", "[evidence]")
{
    const Sample s;
    const ui::TrialEvidence trial = s.evidence("run04", 3);
    REQUIRE(trial.footage);
    const ui::ChartScene scene = ui::evidenceStrip(trial, styleOf({1920, 1080}), nullptr);
    const std::vector<QImage> pictures = picturesOf(scene);
    REQUIRE(pictures.size() == 16); // lamp and screen of four frames, twice
    media::FrameReader reader(trial.footage);
    std::size_t next = 0;
    for (const timing::FrameNumber mark : {trial.press, trial.response})
        for (std::int64_t n = mark.value - 2; n <= mark.value + 1; ++n) {
            const media::Picture picture = reader.read({n});
            for (const session::Region& r : {trial.lamp, trial.screen}) {
                media::View view;
                view.source = {r.x, r.y, r.width, r.height};
                CHECK(pictures[next++] == ui::imageOf(media::render(picture, view)));
            }
            CHECK(wordsOf(scene).contains(QString::number(n)));
        }
    // 26 frames at the 959.4 a second that the session settled on.
    CHECK(wordsOf(scene).contains(QStringLiteral("+27.1 ms")));
    CHECK(wordsOf(scene).contains(QStringLiteral("0 ms")));
    CHECK(wordsOf(scene).contains(QStringLiteral("\u22121.0 ms")));
    for (const QSize& size : {QSize(1920, 1080), QSize(1080, 1920), QSize(1080, 1080), QSize(640, 480)}) {
        const ui::ChartScene other = ui::evidenceStrip(trial, styleOf(size), nullptr);
        const QRectF all({0, 0}, other.size);
        for (const ui::ChartPiece& piece : other.pieces)
            CHECK(all.contains(piece.box));
        CHECK(ui::chartPng(other) == ui::chartPng(ui::evidenceStrip(trial, styleOf(size), nullptr)));
    }
}

TEST_CASE("without its footage a trial is shown from the crops that its marks kept", "[evidence]")
{
    Sample s;
    const TempFolder empty;
    s.source.folder = empty.path();
    const ui::TrialEvidence trial = s.evidence("run04", 3);
    CHECK_FALSE(trial.footage);
    CHECK_FALSE(trial.noFootage.empty());
    const ui::ChartScene scene = ui::evidenceStrip(trial, styleOf({1920, 1080}), s.source.crops.get());
    const std::vector<QImage> crops = picturesOf(scene);
    REQUIRE(crops.size() == 8);
    s.source.folder = sample.parent_path();
    const ui::TrialEvidence whole = s.evidence("run04", 3);
    media::FrameReader reader(whole.footage);
    const session::Region& r = whole.screen;
    CHECK(crops[7] == ui::imageOf(media::evidenceCrop(reader.read(whole.response), {r.x, r.y, r.width, r.height})));
    CHECK_THROWS_AS(ui::evidenceStrip(trial, styleOf({1920, 1080}), nullptr), core::Error);
    CHECK_THROWS_AS(ui::EvidenceClip({trial}, styleOf({640, 360})), core::Error);
}

TEST_CASE("other footage in the place of what was marked is no evidence", "[evidence]")
{
    Sample s;
    const TempFolder folder;
    std::filesystem::create_directory(folder / "footage");
    std::filesystem::copy_file(sample.parent_path() / "footage" / "run05.mp4", folder / "footage" / "run04.mp4");
    s.source.folder = folder.path();
    const ui::TrialEvidence trial = s.evidence("run04", 3);
    CHECK_FALSE(trial.footage);
    CHECK_THAT(trial.noFootage, Catch::Contains("isn't the one that was marked"));
}

TEST_CASE("a clip has a picture for each camera frame, and its counter tells which", "[evidence]")
{
    const Sample s;
    const TempFolder folder;
    const ui::TrialEvidence trial = s.evidence("run04", 3);
    ui::EvidenceClip clip({trial}, styleOf({960, 540}));
    // Half a second before the press, from press to response, a second more, at 30 pictures a second.
    REQUIRE(clip.pictureCount() == 15 + 26 + 1 + 30);
    CHECK(clip.frameAt(0, 15) == trial.press);
    CHECK(clip.frameAt(0, 15 + 26) == trial.response);
    CHECK_FALSE(ui::writeClip(folder / "clip.mp4", clip, false).tooMuch());

    const auto movie = media::openFootage(folder / "clip.mp4");
    REQUIRE(movie->frameCount().value == clip.pictureCount());
    CHECK(movie->averageRate == timing::Rational(30));
    media::FrameReader reader(movie);
    for (const int n : {0, 15, 40, 41, clip.pictureCount() - 2}) {
        CAPTURE(n);
        const QImage shown = ui::imageOf(media::render(reader.read({n}), {}));
        const ui::ChartScene scene = clip.sceneAt(n);
        QRect counter;
        for (const ui::ChartPiece& piece : scene.pieces)
            if (piece.words == QStringLiteral("camera frame %1").arg(clip.frameAt(0, n).value))
                counter = QRectF(piece.box.topLeft() / 2, piece.box.size() / 2).toAlignedRect();
        REQUIRE(counter.isValid());
        const double own = difference(shown, ui::chartImage(scene), counter);
        CHECK(own < 2);
        CHECK(difference(shown, ui::chartImage(clip.sceneAt(n + 1)), counter) > 2 * own);
        CHECK(difference(shown, ui::chartImage(scene), shown.rect()) < 3);
    }
    const QStringList before = wordsOf(clip.sceneAt(14)), at = wordsOf(clip.sceneAt(15)),
                      end = wordsOf(clip.sceneAt(41));
    CHECK_FALSE(before.contains(QStringLiteral("press")));
    CHECK(at.contains(QStringLiteral("press")));
    CHECK(end.contains(QStringLiteral("response: %1").arg(trial.delay)));
    CHECK(end.contains(QStringLiteral("shown 32 times slower"))); // 959.4 / 30
}

TEST_CASE("two trials stand side by side aligned at the press, at the faster camera's step", "[evidence]")
{
    const Sample s;
    ui::TrialEvidence slow = s.evidence("run04", 3);
    slow.time = timing::CaptureTime::even(959.4 / 2, slow.footage->frameCount());
    ui::EvidenceClip clip({s.evidence("run01", 2), slow}, styleOf({640, 360}));
    CHECK(clip.frameAt(1, 15) == slow.press);
    CHECK(clip.frameAt(1, 16) == slow.press);
    CHECK(clip.frameAt(1, 17) == slow.press + timing::FrameCount{1});
    CHECK(clip.frameAt(0, 17) == clip.frameAt(0, 15) + timing::FrameCount{2});
    slow.time.reset();
    CHECK_THROWS_AS(ui::EvidenceClip({s.evidence("run01", 2), slow}, styleOf({640, 360})), core::Error);
    CHECK(ui::EvidenceClip({slow}, styleOf({640, 360})).sceneAt(16).pieces.size() > 3); // counted in frames alone
}

TEST_CASE("a clip that flashes more than three times in a second is written only where that is allowed", "[evidence]")
{
    const TempFolder folder;
    const ui::TrialEvidence trial = strobing(folder);
    ui::EvidenceClip clip({trial}, styleOf({640, 360}));
    const media::Flashing found = ui::writeClip(folder / "clip.mp4", clip, false);
    CHECK(found.tooMuch());
    CHECK_FALSE(std::filesystem::exists(folder / "clip.mp4"));
    CHECK(ui::writeClip(folder / "clip.mp4", clip, true).tooMuch());
    CHECK(std::filesystem::exists(folder / "clip.mp4"));
    std::stop_source stop;
    stop.request_stop();
    CHECK_THROWS_AS(ui::writeClip(folder / "stopped.mp4", clip, true, stop.get_token()), core::Cancelled);
    CHECK_FALSE(std::filesystem::exists(folder / "stopped.mp4"));
}
