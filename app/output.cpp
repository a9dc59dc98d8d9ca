#include "app/commands.h"

#include <cstdio>

namespace app {

QString usage()
{
    return QStringLiteral(
        "Tallyframe: from pressing a button to the screen reacting, read off high-speed footage.\n"
        "\n"
        "  tallyframe [SESSION] [--until-usable]\n"
        "      opens the workstation; --until-usable: and ends once its window is painted, to measure the start\n"
        "  tallyframe inspect FILE... [--json] [--stamps] [--stream N] [--joined]\n"
        "      what a footage file or a folder of numbered pictures holds, and whether each shows something new; "
        "--joined: the files are one recording that the camera split\n"
        "  tallyframe clock FILE --lamp-frequency HZ --region X,Y,W,H [--lamp-tolerance PPM] [--json]\n"
        "      the capture rate from footage of a lamp that blinks at a known frequency\n"
        "  tallyframe clock FILE --bands HZ [--bands-tolerance PPM] [--region X,Y,W,H] [--from-frame N] "
        "[--capture-rate HZ] [--json]\n"
        "      the line time of a rolling shutter from the bands of a light that is pulsed at a known frequency\n"
        "  tallyframe stills FILE --frames 5,0,99 [--out DIR] [--md5] [--stream N]\n"
        "      frames as PNG, upright and with every pixel as it is; --md5: MD5 of the native planes instead\n"
        "  tallyframe runsheet SESSION [--seed N] [--csv]\n"
        "      the planned runs in the order to film them: the session's own run sheet, or drawn at random by the "
        "seed\n"
        "  tallyframe packet SESSION --out FOLDER [--share PERCENT] [--seed N] [--list-footage]\n"
        "      trials for a second reader on another machine, without marks and names; --list-footage: says where it "
        "is, copies none\n"
        "  tallyframe bringin SESSION PACKET [--rejects]\n"
        "      readings of a packet that has come back; --rejects: and reject the trials that its reader rejects\n"
        "  tallyframe results SESSION [--pair A --against B] [--json]\n"
        "      delays and comparisons of a session; --pair: A less B by themselves, each by its name or its place in "
        "the plan, from 1\n"
        "  tallyframe publish SESSION --out DIR [--replace] [--desk-picture]\n"
        "      chart, tables, sentences and method note; --desk-picture: a picture of the reading desk as well;\n"
        "      --replace: also files there that this session didn't write as they are now\n"
        "  tallyframe check SESSION\n"
        "      footage there and unchanged, clocks settled, trials complete\n"
        "\n"
        "Exit status: 0 fine, 1 a result can't be written, 2 wrong usage,\n"
        "3 input can't be read or is at odds with the session.");
}

void printLine(const QString& line)
{
    const QByteArray bytes = line.toUtf8();
    std::fwrite(bytes.constData(), 1, static_cast<std::size_t>(bytes.size()), stdout);
    std::fputc('\n', stdout);
}

void printProblem(const std::string& sentence) { std::fprintf(stderr, "tallyframe: %s\n", sentence.c_str()); }

} // namespace app
