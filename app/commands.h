#pragma once
#include <QStringList>
#include <stdexcept>
#include <string>

/// The command line. Each command prints its result on standard output and returns the exit status;
/// what is wrong goes to standard error as one sentence.
namespace app {

enum ExitStatus {
    Fine = 0,
    OutputFailed = 1, ///< a result couldn't be written
    WrongUsage = 2,
    InputFailed = 3, ///< input can't be read or is at odds with the session
};

/// The command was called wrongly; main prints the sentence and how to get help.
class UsageError : public std::runtime_error {
public:
    using std::runtime_error::runtime_error;
};

/// `arguments` are those after the command's name. Throw UsageError, core::Error.
int inspect(const QStringList& arguments);
int clock(const QStringList& arguments);
int lineTime(const QStringList& arguments); ///< clock with --bands
int stills(const QStringList& arguments);
int results(const QStringList& arguments);
int runSheet(const QStringList& arguments);
int packet(const QStringList& arguments);
int bringIn(const QStringList& arguments);
int check(const QStringList& arguments);
int publish(const QStringList& arguments);     ///< needs a QApplication
int workstation(const QStringList& arguments); ///< needs a QApplication and a display

/// How each command is called, for --help.
QString usage();

void printLine(const QString& line);            ///< standard output, UTF-8
void printProblem(const std::string& sentence); ///< standard error: "tallyframe: SENTENCE"

} // namespace app
