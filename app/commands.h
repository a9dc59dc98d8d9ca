#pragma once
#include <QString>
#include <stdexcept>
#include <string>

/// The command line. Each command prints its result on standard output and returns the exit status;
/// what is wrong goes to standard error as one sentence.
namespace app {

class Arguments;

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

/// Throw UsageError, core::Error.
int inspect(const Arguments& given);
int clock(const Arguments& given);
int lineTime(const Arguments& given); ///< clock with --bands
int hints(const Arguments& given);
int stills(const Arguments& given);
int results(const Arguments& given);
int runSheet(const Arguments& given);
int packet(const Arguments& given);
int bringIn(const Arguments& given);
int check(const Arguments& given);
int exportSession(const Arguments& given);
int importSession(const Arguments& given);
int publish(const Arguments& given);     ///< needs a QApplication
int thumbnail(const Arguments& given);   ///< needs a QApplication
int workstation(const Arguments& given); ///< needs a QApplication and a display

void printLine(const QString& line);            ///< standard output, UTF-8
void printProblem(const std::string& sentence); ///< standard error: "tallyframe: SENTENCE"

} // namespace app
