// What follows from the table of command line forms: --help, the manual page, the shell's completion.
#include "app/command_line.h"
#include "app/commands.h"

#include <QMap>
#include <array>

namespace app {

namespace {

constexpr qsizetype helpWidth = 80;

struct Status {
    ExitStatus status;
    const char* meaning;
};
constexpr std::array<Status, 4> statuses{{{Fine, "fine"},
                                          {OutputFailed, "a result can't be written"},
                                          {WrongUsage, "wrong usage"},
                                          {InputFailed, "input can't be read or is at odds with the session"}}};

/// Broken between words; lines after the first are indented by `hanging`. What stands in square brackets stays
/// together.
QString wrapped(const QString& text, int indent, int hanging)
{
    QString result, line(indent, QLatin1Char(' '));
    QString unit;
    bool begun = false;
    for (const QString& word : text.split(QLatin1Char(' '))) {
        unit += unit.isEmpty() ? word : QLatin1Char(' ') + word;
        if (unit.count(QLatin1Char('[')) > unit.count(QLatin1Char(']')))
            continue;
        if (begun && line.size() + 1 + unit.size() > helpWidth) {
            result += line + QLatin1Char('\n');
            line = QString(hanging, QLatin1Char(' '));
            begun = false;
        }
        line += (begun ? QStringLiteral(" ") : QString()) + unit;
        begun = true;
        unit.clear();
    }
    return result + line + unit + QLatin1Char('\n');
}

QString called(const Option& option)
{
    const QString name = QStringLiteral("--") + QLatin1String(option.name);
    return *option.value == '\0' ? name : name + QLatin1Char(' ') + QLatin1String(option.value);
}

QString optionLines(const std::vector<Option>& options, int indent)
{
    constexpr int column = 29;
    QString text;
    for (const Option& option : options)
        text += wrapped(called(option).leftJustified(column - indent - 1) + QLatin1Char(' ')
                            + QLatin1String(option.meaning),
                        indent, column);
    return text;
}

QString formLines(const Form& form)
{
    return wrapped(QStringLiteral("tallyframe ") + form.synopsis(), 2, 6) + wrapped(QLatin1String(form.purpose), 6, 6);
}

/// For troff: its control characters mean themselves.
QString troff(QString text)
{
    text.replace(QLatin1Char('\\'), QStringLiteral("\\e")).replace(QLatin1Char('-'), QStringLiteral("\\-"));
    if (text.startsWith(QLatin1Char('.')) || text.startsWith(QLatin1Char('\'')))
        text.prepend(QStringLiteral("\\&"));
    return text;
}

QString manualOptions(const std::vector<Option>& options)
{
    QString text;
    for (const Option& option : options) {
        text += QStringLiteral(".TP\n.B %1").arg(troff(QStringLiteral("--") + QLatin1String(option.name)));
        if (*option.value != '\0')
            text += QStringLiteral(" \\fI%1\\fR").arg(troff(QLatin1String(option.value)));
        text += QLatin1Char('\n') + troff(QLatin1String(option.meaning)) + QStringLiteral(".\n");
    }
    return text;
}

} // namespace

QString helpText()
{
    QString text = wrapped(QStringLiteral("Tallyframe: from pressing a button to the screen reacting, read off "
                                          "high-speed footage."),
                           0, 0)
                   + QLatin1Char('\n');
    for (const Form& form : forms())
        text += formLines(form);
    text += QLatin1Char('\n') + optionLines(generalOptions(), 2) + QLatin1Char('\n');
    QStringList words;
    for (const Status& status : statuses)
        words << QStringLiteral("%1 %2").arg(status.status).arg(QLatin1String(status.meaning));
    return (text + wrapped(QStringLiteral("Exit status: %1.").arg(words.join(QStringLiteral(", "))), 0, 0)).trimmed();
}

QString helpText(const QString& command)
{
    QString text;
    for (const Form& form : forms())
        if (command == QLatin1String(form.command))
            text += formLines(form) + (form.options.empty() ? QString() : QStringLiteral("\n"))
                    + optionLines(form.options, 6) + QLatin1Char('\n');
    text.chop(2);
    return text;
}

QString manualPage()
{
    QString text = QStringLiteral(".TH TALLYFRAME 1 \"\" \"tallyframe " TALLYFRAME_VERSION "\" \"User Commands\"\n"
                                  ".SH NAME\n"
                                  "tallyframe \\- button\\-to\\-pixel delay, read off high\\-speed footage\n"
                                  ".SH SYNOPSIS\n");
    for (const Form& form : forms())
        text += QStringLiteral(".B tallyframe\n%1\n.br\n").arg(troff(form.synopsis()));
    text += QStringLiteral(
        ".SH DESCRIPTION\n"
        "A lamp is wired to a button and filmed together with the screen by a high\\-speed camera. In the footage the\n"
        "frame in which the lamp lights and the one in which the screen reacts are marked by key, many times over;\n"
        "from them come delays with their uncertainty, comparisons with a baseline, and a chart, tables and\n"
        "sentences to publish. Without a command the workstation opens; F1 in it shows keys and help.\n"
        ".SH COMMANDS\n");
    for (const Form& form : forms())
        text +=
            QStringLiteral(".SS tallyframe %1\n%2.\n")
                .arg(troff((QLatin1String(form.command) + QLatin1Char(' ') + QLatin1String(form.operands)).trimmed()),
                     troff(QLatin1String(form.purpose)))
            + manualOptions(form.options);
    text += QStringLiteral(".SH OPTIONS\n") + manualOptions(generalOptions()) + QStringLiteral(".SH EXIT STATUS\n");
    for (const Status& status : statuses)
        text += QStringLiteral(".TP\n.B %1\n%2.\n").arg(status.status).arg(troff(QLatin1String(status.meaning)));
    text += QStringLiteral(
        ".SH FILES\n"
        "Footage stays where it is and is never changed. A session is a file of its own, named .tallyframe.\n"
        ".SH EXAMPLES\n"
        ".TP\n.B tallyframe inspect clip.mp4\nWhat the clip says of the rate it was captured at.\n"
        ".TP\n.B tallyframe publish session.tallyframe \\-\\-out results\nWrites chart, tables and sentences into a "
        "folder.\n");
    text.chop(1);
    return text;
}

QString bashCompletion()
{
    QMap<QString, QStringList> options; // of each command, all its forms together
    QStringList values, folders;        // options whose value is typed, or is a folder
    const auto note = [&](const QString& command, const Option& option) {
        const QString name = QStringLiteral("--") + QLatin1String(option.name);
        if (!options[command].contains(name))
            options[command] << name;
        QStringList& kind = QLatin1String(option.value) == QLatin1String("DIR") ? folders : values;
        if (*option.value != '\0' && !kind.contains(name))
            kind << name;
    };
    for (const Form& form : forms())
        for (const Option& option : form.options)
            note(QLatin1String(form.command), option);
    for (const Option& option : generalOptions())
        note({}, option);
    QString cases;
    QStringList commands;
    for (const Form& form : forms())
        if (const QString command = QLatin1String(form.command); !command.isEmpty() && !commands.contains(command)) {
            commands << command;
            cases += QStringLiteral("        %1) options=\"%2\" ;;\n")
                         .arg(command,
                              (options.value(command) + QStringList{QStringLiteral("--help")}).join(QLatin1Char(' ')));
        }
    return QStringLiteral(
               "# bash completion for tallyframe, printed by tallyframe --completion\n"
               "_tallyframe() {\n"
               "    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]}\n"
               "    local commands=\"%1\" options=\"%2\"\n"
               "    COMPREPLY=()\n"
               "    case $before in\n"
               "        %3) return ;;\n"
               "        %4) mapfile -t COMPREPLY < <(compgen -d -- \"$word\"); return ;;\n"
               "    esac\n"
               "    case ${COMP_WORDS[1]} in\n"
               "%5"
               "    esac\n"
               "    if [[ $word == -* ]]; then\n"
               "        mapfile -t COMPREPLY < <(compgen -W \"$options\" -- \"$word\")\n"
               "    else\n"
               "        mapfile -t COMPREPLY < <(compgen -f -- \"$word\")\n"
               "        if [[ $COMP_CWORD == 1 ]]; then\n"
               "            mapfile -t -O ${#COMPREPLY[@]} COMPREPLY < <(compgen -W \"$commands\" -- \"$word\")\n"
               "        fi\n"
               "    fi\n"
               "}\n"
               "complete -o filenames -F _tallyframe tallyframe")
        .arg(commands.join(QLatin1Char(' ')), options.value(QString()).join(QLatin1Char(' ')),
             values.join(QLatin1Char('|')), folders.join(QLatin1Char('|')), cases);
}

} // namespace app
