#include "app/command_line.h"
#include "app/commands.h"

#include <QStringList>
#include <algorithm>

namespace app {

namespace {

constexpr Option jsonOption{"json", "", "prints JSON for programs"};
constexpr Option outsideOption{"read-outside", "",
                               "reads footage, too, that lies outside the session's folder where nobody has let the "
                               "workstation read any"};
constexpr Option streamOption{"stream", "N",
                              "which of several moving pictures in the file, by its number as inspect shows it"};

bool isGiven(const QStringList& arguments, const Option& option)
{
    const QString name = QStringLiteral("--") + QLatin1String(option.name);
    return std::ranges::any_of(arguments, [&](const QString& argument) {
        return argument == name || argument.startsWith(name + QLatin1Char('='));
    });
}

} // namespace

const std::vector<Form>& forms()
{
    static const std::vector<Form> all = {
        {"",
         "[SESSION]",
         "opens the workstation on a session, or on the one that was left without a name",
         {{"until-usable", "", "ends once the window is painted, to measure the start"}},
         workstation,
         Form::Display},
        {"inspect",
         "FILE...",
         "what a footage file or a folder of numbered pictures holds: whether it says its capture rate, and how far "
         "that "
         "can be trusted",
         {{"all", "", "tags, stamps and pieces of different speed as well"},
          {"decode", "", "decodes all of it: confirms the frames and looks for repeated pictures"},
          jsonOption,
          {"stamps", "", "the stamp of every frame as well"},
          streamOption,
          {"joined", "", "the files are one recording that the camera split"}},
         inspect},
        {"clock",
         "FILE",
         "the capture rate from footage of a lamp that blinks at a known frequency",
         {{"lamp-frequency", "HZ", "the flashes a second of the lamp", true},
          {"region", "X,Y,W,H", "the pixels around the lamp in the unturned picture", true},
          {"lamp-tolerance", "PPM",
           "the lamp's own tolerance in parts per million; without it the lamp counts as exact"},
          jsonOption},
         clock},
        {"clock",
         "FILE",
         "the line time of a rolling shutter from the bands of a light that is pulsed at a known frequency",
         {{"bands", "HZ", "the pulses a second of the light", true},
          {"bands-tolerance", "PPM", "the light's own tolerance in parts per million"},
          {"region", "X,Y,W,H", "part of the unturned picture; without it all of it"},
          {"from-frame", "N", "the first of the 16 pictures to measure"},
          {"capture-rate", "HZ", "settles which row is read first"},
          jsonOption},
         lineTime},
        {"hints",
         "FILE",
         "frames in which the lamp seems to light and the screen to react, as the desk proposes them",
         {{"lamp", "X,Y,W,H", "the pixels around the lamp in the unturned picture", true},
          {"screen", "X,Y,W,H", "the pixels of the screen that are watched", true},
          {"goes-out", "", "a press makes the lamp go out"},
          jsonOption},
         hints},
        {"stills",
         "FILE",
         "frames as PNG, upright and with every pixel as it is",
         {{"frames", "LIST", "frame numbers from 0, separated by commas", true},
          {"out", "DIR", "the folder to write into; without it the current one"},
          {"md5", "", "prints the MD5 of the native planes instead"},
          streamOption},
         stills},
        {"runsheet",
         "SESSION",
         "the planned runs in the order to film them: the session's own run sheet, or another order",
         {{"seed", "N", "draws an order by this number"}, {"csv", "", "prints a table for programs"}},
         runSheet},
        {"packet",
         "SESSION",
         "trials for a second reader on another machine, without marks and names",
         {{"out", "DIR", "the folder to make of the packet", true},
          {"share", "PERCENT", "how many of the trials, 10 to 100; 10 where it isn't given, and at least 20 trials"},
          {"seed", "N", "draws the trials by this number"},
          {"list-footage", "", "names the footage and copies none"},
          outsideOption},
         packet},
        {"bringin",
         "SESSION PACKET",
         "takes in the readings of a packet that has come back",
         {{"rejects", "", "rejects the trials, too, that the packet's reader rejects"}, outsideOption},
         bringIn},
        {"results",
         "SESSION",
         "delays and comparisons of a session",
         {{"pair", "A", "A less B by themselves, each by its name or its place in the plan from 1"},
          {"against", "B", "the other one of the pair"},
          jsonOption},
         results},
        {"publish",
         "SESSION",
         "writes chart, tables, sentences and method note",
         {{"out", "DIR", "the folder to write into", true},
          {"replace", "", "replaces files there, too, that this session didn't write as they are now"},
          {"only", "LIST",
           "products, separated by commas: chart, difference, build-up, motion, motion-pictures, card, evidence, clip, "
           "table, sentences, note, report; "
           "motion, motion-pictures, card and clip come only when they are named, here or in the session"},
          {"trials", "LIST",
           "whose evidence and clips, as run01:3,run07:1 for trial 3 of run01 and trial 1 of run07; without it the "
           "trial "
           "of each configuration that is nearest to its median"},
          {"side-by-side", "", "the two trials of --trials in one clip, aligned at the press"},
          {"flashing", "", "writes clips, too, that flash more than 3 times in a second"},
          {"form", "FORM", "of the chart: bars, boxes or differences"},
          {"size", "WxH", "pixels of the pictures, as 1080x1920"},
          {"theme", "NAME", "dark, light, one of your own, or a theme file (.json)"},
          {"transparent", "", "nothing behind the pictures"},
          {"desk-picture", "", "a picture of the reading desk as well"},
          outsideOption},
         publish,
         Form::Painting},
        {"thumbnail",
         "SESSION",
         "the comparison chart as a small PNG, as file managers show it for the session",
         {{"out", "FILE", "the file to write", true},
          {"size", "PIXELS", "the longer side, 16 to 1024; 256 where it isn't given"}},
         thumbnail,
         Form::Painting},
        {"export",
         "SESSION",
         "the session as text: JSON by tallyframe-session.schema.json, crops included, without what was undone",
         {{"out", "FILE", "the file to write; without it the text is printed"}},
         exportSession},
        {"import",
         "FILE",
         "makes a session of a text, such as a session file of version 1 with its journal and evidence folder",
         {{"out", "SESSION", "the session to make; without it \"NAME imported.tallyframe\" beside the text"}},
         importSession},
        {"check",
         "SESSION",
         "whether footage is there and unchanged, clocks are settled and trials are complete",
         {outsideOption},
         check},
    };
    return all;
}

const std::vector<Option>& generalOptions()
{
    static const std::vector<Option> all = {
        {"help", "", "shows how the program is called; after a command, what its options mean"},
        {"version", "", "prints the program's version"},
        {"man-page", "", "prints this manual page for man"},
        {"completion", "", "prints what bash completes"},
    };
    return all;
}

const Form& formOf(const QStringList& arguments)
{
    const Form* found = nullptr;
    for (const Form& form : forms()) {
        if (arguments.isEmpty() || arguments.front() != QLatin1String(form.command))
            continue;
        if (!form.options.empty() && isGiven(arguments, form.options.front()))
            return form;
        if (found == nullptr)
            found = &form;
    }
    return found != nullptr ? *found : forms().front();
}

QString Form::synopsis() const
{
    QStringList words;
    if (*command != '\0')
        words << QLatin1String(command);
    words << QLatin1String(operands);
    for (const Option& option : options) {
        QString text = QStringLiteral("--") + QLatin1String(option.name);
        if (*option.value != '\0')
            text += QLatin1Char(' ') + QLatin1String(option.value);
        words << (option.needed ? text : QStringLiteral("[%1]").arg(text));
    }
    return words.join(QLatin1Char(' '));
}

} // namespace app
