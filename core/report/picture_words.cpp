#include "core/report/picture_words.h"

namespace report {

std::string pictureWords(const session::PictureFinding& found, std::optional<double> rate)
{
    const timing::PictureRepeats repeats{found.verdict, found.period, found.adding, {}, found.judged};
    std::string words = found.verdict == timing::PictureRepeats::Verdict::Irregular
                            ? std::to_string(found.repeats) + " of " + std::to_string(found.judged)
                                  + " camera frames that can be judged repeat the one before."
                            : repeats.sentence(rate);
    if (timing::isPattern(found.verdict))
        words += " A mark may then lie up to " + std::to_string(repeats.framesPerPicture() - 1)
                 + (repeats.framesPerPicture() == 2 ? " camera frame" : " camera frames")
                 + " late, beyond what counting allows for.";
    return words;
}

} // namespace report
