#pragma once
#include <QString>
#include <vector>

/// Every way in which the program is called: the one source of what is accepted, of --help, of the manual page and of
/// the shell's completion.
namespace app {

class Arguments;

struct Option {
    const char* name;    ///< "out", given as --out
    const char* value;   ///< what its value is called, "DIR"; empty where it stands alone
    const char* meaning; ///< goes on after "--out DIR, ", without a full stop
    bool needed = false;
};

/// A command, or one of the ways to call it: the first of a command's forms whose first option is given, else its
/// first.
struct Form {
    const char* command;  ///< empty: the workstation
    const char* operands; ///< "FILE...", "SESSION PACKET", "[SESSION]"
    const char* purpose;  ///< without a full stop
    std::vector<Option> options;
    int (*run)(const Arguments& given);
    enum Needs { Nothing, Painting, Display } needs = Nothing;

    /// "inspect FILE... [--json]", options as they are written.
    QString synopsis() const;
};

const std::vector<Form>& forms();

/// Options that stand alone, before any command.
const std::vector<Option>& generalOptions();

/// The form that `arguments` (without the program's name) ask for; what is no command's name is for the workstation.
const Form& formOf(const QStringList& arguments);

QString helpText();                       ///< all forms
QString helpText(const QString& command); ///< the forms of one command, with each option's meaning
QString manualPage();                     ///< troff, for man
QString bashCompletion();

} // namespace app
