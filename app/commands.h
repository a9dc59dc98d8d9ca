#pragma once
#include <QJsonArray>
#include <QJsonObject>
#include <QString>
#include <optional>
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

/// Opens the session in the real window, waits until its footage is there, and gives what the reading desk shows at
/// 1920 x 1080 as PNG. Needs a QApplication with the look applied. Throws core::Error.
QByteArray deskPicture(const QString& session);

void printLine(const QString& line);                     ///< standard output, UTF-8
void printField(const char* name, const QString& value); ///< a line below the file that it speaks of
void printJson(const QJsonObject& object);               ///< on one line
void printProblem(const std::string& sentence);          ///< standard error: "tallyframe: SENTENCE"

/// One value for each item.
template <class List, class Each> QJsonArray toJsonArray(const List& list, const Each& each)
{
    QJsonArray array;
    for (const auto& item : list)
        array.append(each(item));
    return array;
}
template <class Value> QJsonValue orNull(const std::optional<Value>& value)
{
    return value ? QJsonValue(*value) : QJsonValue();
}

} // namespace app
