#include "tests/bench/publish_bench.h"
#include "core/media/encode/movie_writer.h"
#include "core/report/html_report.h"
#include "core/report/publication_changes.h"
#include "core/report/results_json.h"
#include "tests/bench/bare_libav.h"
#include "tests/core/session/sample_document.h"

#include <algorithm>
#include <limits>
#include <stdexcept>

namespace bench {

namespace {

/// Bars that grow on a dark ground, as a chart in motion has them.
class GrowingBars {
public:
    GrowingBars(int width, int height, int pictures) : m_width(width), m_height(height), m_pictures(pictures)
    {
        m_pixels.resize(static_cast<std::size_t>(4) * width * height);
        for (std::size_t i = 0; i < m_pixels.size(); ++i)
            m_pixels[i] = i % 4 == 3 ? 255 : 20;
    }
    int width() const { return m_width; }
    int height() const { return m_height; }
    int pictures() const { return m_pictures; }
    const std::uint8_t* picture(int number)
    {
        constexpr int bars = 6;
        for (int bar = 0; bar < bars; ++bar) {
            const int top = m_height * (2 * bar + 1) / (2 * bars + 1),
                      bottom = m_height * (2 * bar + 2) / (2 * bars + 1);
            const int length = m_width * (number + 1) / m_pictures * (bar + 3) / (bars + 3);
            for (int y = top; y < bottom; ++y)
                std::fill_n(m_pixels.begin() + static_cast<std::ptrdiff_t>(4) * y * m_width, 4 * length,
                            static_cast<std::uint8_t>(190));
        }
        return m_pixels.data();
    }

private:
    int m_width, m_height, m_pictures;
    std::vector<std::uint8_t> m_pixels;
};

double moviesMs(const std::filesystem::path& file, media::MovieCodec codec, GrowingBars bars)
{
    return timed([&] {
        media::MovieWriter movie(file, {codec, {bars.width(), bars.height()}, timing::FrameRate(60)});
        for (int i = 0; i < bars.pictures(); ++i)
            movie.add({bars.picture(i), static_cast<std::ptrdiff_t>(4) * bars.width()});
        movie.finish();
        movie.commit();
    });
}

double bareMs(const std::filesystem::path& file, bool h264, GrowingBars bars)
{
    return timed([&] {
        bare::encode(file, h264, bars.width(), bars.height(), bars.pictures(), [&](int i) { return bars.picture(i); });
    });
}

} // namespace

Rows measurePublishing(const std::filesystem::path& folder, const Effort& effort)
{
    Rows rows;
    const GrowingBars bars = effort.small ? GrowingBars(160, 96, 12) : GrowingBars(1920, 1080, 600);
    const std::string film = effort.small ? "12 pictures" : "10 s of 1080p, 60 a second";
    for (const bool h264 : {true, false}) {
        double ours = std::numeric_limits<double>::infinity(), bare = ours;
        for (int round = 0; round < (effort.small ? 1 : effort.rounds()); ++round) {
            ours = std::min(ours, moviesMs(folder / (h264 ? "ours.mp4" : "ours.mov"),
                                           h264 ? media::MovieCodec::H264 : media::MovieCodec::ProRes4444, bars));
            bare = std::min(bare, bareMs(folder / (h264 ? "bare.mp4" : "bare.mov"), h264, bars));
        }
        rows.push_back({film, h264 ? "a movie as H.264" : "a movie as ProRes 4444", ours, "ms", "encode", bare});
    }

    const session::Document document = sample::withTrials(effort.trials());
    const analysis::Results results = analysis::compute(document);
    const std::string subject = std::to_string(effort.trials()) + " trials";
    const auto quickest = [&](const auto& work) {
        double least = std::numeric_limits<double>::infinity();
        for (int round = 0; round < 3 * effort.rounds(); ++round)
            least = std::min(least, timed(work));
        return least;
    };
    rows.push_back({subject, "report as HTML, without pictures", quickest([&] {
                        report::htmlReport(document, results, {"1", {}, {}});
                    })});
    rows.push_back({subject, "results as JSON", quickest([&] { report::resultsJson(document, results, "1"); })});
    const QByteArray earlier = report::toJson(report::publishedState(document, results, "bench", "1"));
    rows.push_back({subject, "what moved since the last publication", quickest([&] {
                        const auto was = report::publishedStateFrom(earlier);
                        if (!was
                            || !changesBetween(*was, report::publishedState(document, results, "bench", "1")).empty())
                            throw std::runtime_error("nothing moved, but something is said to have");
                    })});
    return rows;
}

} // namespace bench
