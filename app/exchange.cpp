#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"
#include "core/session/durable_file.h"
#include "core/session/session_lock.h"
#include "core/session/version1.h"

#include <cstdio>

namespace app {

int exportSession(const Arguments& given)
{
    session::SessionStore store(session::resolved(given.onlyOperand("session").toStdString()));
    const session::Document document = store.read().document;
    session::CropBytes crops;
    store.forCrops([&](const std::string& sha256, const QByteArray& png) { crops.emplace(sha256, png); });
    const QByteArray text = session::toJson(document, crops);
    if (text.size() > session::limits::fileBytes)
        throw core::Error(core::ErrorKind::Unsupported,
                          "The session has more crops than a text may hold; copy its file instead.");
    if (given.has("out"))
        session::Replacement(std::filesystem::absolute(given.text("out")), text).commit();
    else if (std::fwrite(text.constData(), 1, static_cast<std::size_t>(text.size()), stdout)
             != static_cast<std::size_t>(text.size()))
        throw core::Error(core::ErrorKind::WriteFailed, "The session can't be written to standard output.");
    return Fine;
}

int importSession(const Arguments& given)
{
    const std::filesystem::path from = session::resolved(given.onlyOperand("session as text").toStdString());
    std::filesystem::path to = from.parent_path() / (from.stem().string() + " imported.tallyframe");
    if (given.has("out"))
        to = session::resolved(given.text("out"));
    const session::Lock lock = session::lockSession(to);
    if (!lock.file)
        throw core::Error(core::ErrorKind::WriteFailed, lock.reason);
    if (std::filesystem::exists(std::filesystem::symlink_status(to)))
        throw core::Error(core::ErrorKind::Refused,
                          "There already is a file " + to.string() + "; name another by --out.");
    if (const std::string left = session::SessionStore::takeAwayUnfinished(to); !left.empty())
        printProblem(left);
    const session::Version1 read = session::readText(from);
    session::SessionStore::write(to, read.session, [&](const session::SessionStore::AddCrop& add) {
        for (const auto& [sha256, png] : read.crops)
            add(sha256, png);
    });
    for (const std::string& report : read.reports)
        printProblem(report);
    printLine(QString::fromStdString(to.string()));
    return Fine;
}

} // namespace app
