#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"
#include "core/session/limits.h"
#include "core/session/open_session.h"
#include "ui/desk/blind_packets.h"

#include <random>

namespace app {
namespace {

double shareFrom(const Arguments& given)
{
    if (!given.has(QStringLiteral("share")))
        return 0.1;
    bool isNumber = false;
    const double percent = given.value(QStringLiteral("share")).toDouble(&isNumber);
    if (!isNumber || !(percent >= 10 && percent <= 100))
        throw UsageError("--share takes a share in % from 10 to 100, \""
                         + given.value(QStringLiteral("share")).toStdString() + "\" isn't one");
    return percent / 100;
}

std::int64_t seedFrom(const Arguments& given)
{
    if (!given.has(QStringLiteral("seed")))
        return std::random_device()();
    bool isNumber = false;
    const qint64 seed = given.value(QStringLiteral("seed")).toLongLong(&isNumber);
    if (!isNumber || seed < 0 || seed > session::limits::number)
        throw UsageError("--seed takes a whole number from 0, \"" + given.value(QStringLiteral("seed")).toStdString()
                         + "\" isn't one");
    return seed;
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

int packet(const QStringList& arguments)
{
    const Arguments given(arguments, {QStringLiteral("list-footage")},
                          {QStringLiteral("out"), QStringLiteral("share"), QStringLiteral("seed")});
    if (!given.has(QStringLiteral("out")))
        throw UsageError("--out says which folder to make of the packet");
    const ui::PacketOrder order{shareFrom(given), seedFrom(given), !given.has(QStringLiteral("list-footage"))};
    const auto open = openForWriting(given.onlyOperand(QStringLiteral("session")).toStdString());
    const std::filesystem::path folder = std::filesystem::absolute(given.value(QStringLiteral("out")).toStdString());
    const session::Packet record = ui::writeBlindPacket(open->latest(), open->path().parent_path(), folder, order);
    open->submit(session::handOutPacket(open->latest(), record));
    open->save();
    printLine(QStringLiteral("%1 trials in %2").arg(record.trials.size()).arg(QString::fromStdString(folder.string())));
    return Fine;
}

int bringIn(const QStringList& arguments)
{
    const Arguments given(arguments, {QStringLiteral("rejects")});
    if (given.operands().size() != 2)
        throw UsageError("a session and the packet that has come back are needed");
    const auto open = openForWriting(given.operands()[0].toStdString());
    const std::filesystem::path packet = given.operands()[1].toStdString();
    const analysis::IncomingReadings incoming =
        ui::readBlindPacket(open->latest(), open->path().parent_path(), open->evidenceFolder(), packet);
    const bool rejects = given.has(QStringLiteral("rejects")) && !incoming.rejects.empty();
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
