#include "core/report/capture_words.h"
#include "core/analysis/phrases.h"
#include "core/session/text.h"
#include "core/stats/rounding.h"

namespace report {
namespace {

std::string stamps(const session::Piece& piece)
{
    const std::string slowed =
        piece.slowedBy > 1 ? ", to be played " + std::to_string(piece.slowedBy) + " times slower" : "";
    if (piece.stepSeconds > 0)
        return " (stamps "
               + stats::formatFixed(piece.stepSeconds * 1000, stats::decimalsFor(piece.stepSeconds * 1000) + 1)
               + " ms apart" + slowed + ")";
    return piece.fromStamps ? " (stamps at changing distance" + slowed + ")" : "";
}

} // namespace

std::string pictureWords(const session::PictureFinding& found, std::optional<double> rate)
{
    const timing::PictureRepeats repeats{found.verdict, found.period, found.adding, {}, found.judged};
    std::string words = found.verdict == timing::PictureRepeats::Verdict::Irregular
                            ? std::to_string(found.repeats) + " of " + std::to_string(found.judged)
                                  + " camera frames that can be judged repeat the one before."
                            : repeats.sentence(rate);
    if (timing::isPattern(found.verdict))
        words += " A mark may then lie up to " + analysis::counted(repeats.framesPerPicture() - 1, "camera frame")
                 + " late, beyond what counting allows for.";
    return words;
}

std::vector<std::string> pieceWords(const session::Document& document, const session::Capture& capture)
{
    std::vector<std::string> words;
    for (const session::Piece& piece : capture.pieces) {
        const session::Clock* clock = find(document, piece.clock);
        words.push_back("frames " + std::to_string(piece.firstFrame.value) + " to "
                        + std::to_string(lastFrame(capture, piece).value)
                        + (clock ? " on " + session::inQuotes(analysis::oneLine(clock->name))
                                 : std::string(" without a capture rate"))
                        + stamps(piece));
    }
    return words;
}

} // namespace report
