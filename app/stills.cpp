#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/picture/rendition.h"
#include "core/session/durable_file.h"

#include <QDir>

namespace app {
namespace {

std::vector<timing::FrameNumber> parseFrames(const QString& list)
{
    std::vector<timing::FrameNumber> frames;
    for (const QString& part : list.split(QLatin1Char(','))) {
        bool isNumber = false;
        const qlonglong number = part.trimmed().toLongLong(&isNumber);
        if (!isNumber || number < 0)
            throw UsageError("--frames takes frame numbers from 0 separated by commas, \"" + part.toStdString()
                             + "\" isn't one");
        frames.push_back({number});
    }
    return frames;
}

std::filesystem::path stillPath(const std::filesystem::path& folder, const std::filesystem::path& footage,
                                timing::FrameNumber frame)
{
    const QString number = QStringLiteral("%1").arg(frame.value, 6, 10, QLatin1Char('0'));
    return folder / (footage.stem().string() + "_frame_" + number.toStdString() + ".png");
}

} // namespace

int stills(const Arguments& given)
{
    const std::filesystem::path path = given.onlyOperand("file").toStdString();
    if (given.has("md5") && given.has("out"))
        throw UsageError("--md5 writes no pictures, so it doesn't go with --out");
    const std::vector<timing::FrameNumber> frames = parseFrames(given.value("frames"));

    const auto footage = media::openFootage(path, {}, {}, media::OpenOptions{given.stream(), {}});
    for (const timing::FrameNumber frame : frames) {
        if (frame.value >= footage->frameCount().value)
            throw core::Error(core::ErrorKind::AtOdds, "Frame " + std::to_string(frame.value) + " isn't in "
                                                           + path.string() + ", which has "
                                                           + std::to_string(footage->frameCount().value)
                                                           + " camera frames counted from 0; ask for a lower number.");
    }

    const std::filesystem::path folder = given.has("out") ? given.text("out") : std::string(".");
    if (!given.has("md5") && !QDir().mkpath(QString::fromStdString(folder.string())))
        throw core::Error(core::ErrorKind::WriteFailed,
                          "The folder " + folder.string() + " can't be made; choose another with --out.");

    media::FrameReader reader(footage);
    for (const timing::FrameNumber frame : frames) {
        const media::Picture picture = reader.read(frame);
        if (given.has("md5")) {
            printLine(QString::number(frame.value) + QLatin1Char(' ') + QString::fromStdString(picture.md5()));
            continue;
        }
        // Turned upright but never stretched: a still is evidence, so no pixel is resampled.
        media::View view;
        view.rotation = footage->rotation;
        const std::filesystem::path still = stillPath(folder, path, frame);
        const std::vector<std::uint8_t> png = media::encodePng(media::render(picture, view));
        session::Replacement(still, QByteArray(reinterpret_cast<const char*>(png.data()), std::ssize(png))).commit();
        printLine(QString::fromStdString(still.string()));
    }
    return Fine;
}

} // namespace app
