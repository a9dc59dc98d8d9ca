#include "app/arguments.h"
#include "app/commands.h"
#include "app/footage_asked.h"
#include "core/error.h"
#include "core/session/open_session.h"
#include "ui/desk/blind_packets.h"

#include <random>

namespace app {
namespace {

double shareFrom(const Arguments& given)
{
    if (!given.has("share"))
        return 0.1;
    bool isNumber = false;
    const double percent = given.value("share").toDouble(&isNumber);
    if (!isNumber || !(percent >= 10 && percent <= 100))
        throw UsageError("--share takes a share in % from 10 to 100, \"" + given.text("share") + "\" isn't one");
    return percent / 100;
}

/// For writing; throws where another instance has it open.
std::unique_ptr<session::OpenSession> openForWriting(const std::filesystem::path& path)
{
    auto open = session::OpenSession::open(path, {});
    if (open->readOnly())
        throw core::Error(core::ErrorKind::Locked, open->readOnlyReason());
    for (const std::string& report : open->reports())
        printProblem(report);
    return open;
}

} // namespace

int packet(const Arguments& given)
{
    packets::Order order{shareFrom(given), given.seed().value_or(std::random_device()()), !given.has("list-footage")};
    const auto open = openForWriting(given.onlyOperand("session").toStdString());
    order.notToBeRead = notToBeRead(open->latest(), open->path(), given);
    const std::filesystem::path folder = std::filesystem::absolute(given.text("out"));
    const auto [record, notes] = packets::handOut(open->latest(), open->path().parent_path(), folder, order);
    open->submit(session::handOutPacket(open->latest(), record));
    open->save();
    for (const std::string& note : notes)
        printProblem(note);
    printLine(QStringLiteral("%1 trials in %2").arg(record.trials.size()).arg(QString::fromStdString(folder.string())));
    return Fine;
}

int bringIn(const Arguments& given)
{
    if (given.operands().size() != 2)
        throw UsageError("a session and the packet that has come back are needed");
    const auto open = openForWriting(given.operands()[0].toStdString());
    const std::filesystem::path packet = given.operands()[1].toStdString();
    const analysis::IncomingReadings incoming =
        packets::bringIn(open->latest(), open->path().parent_path(), *open->evidence(), packet,
                         notToBeRead(open->latest(), open->path(), given));
    const bool rejects = given.has("rejects") && !incoming.rejects.empty();
    if (!incoming.readings.empty())
        open->submit(session::bringInReadings(open->latest(), incoming.readings, incoming.reader));
    if (rejects)
        open->submit(session::takeRejects(open->latest(), incoming.rejects, incoming.reader));
    if (!incoming.readings.empty() || rejects)
        open->save();
    const QStringList words = ui::broughtInWords(incoming);
    printLine(words.front());
    for (const QString& sentence : words.mid(1))
        printProblem(sentence.toStdString());
    return incoming.refused.empty() ? Fine : InputFailed;
}

} // namespace app
