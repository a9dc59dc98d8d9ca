#include "app/arguments.h"
#include "app/commands.h"
#include "app/footage_asked.h"
#include "core/error.h"
#include "core/media/index/parts.h"
#include "core/reading/same_footage.h"
#include "core/report/session_check.h"
#include "core/session/evidence_store.h"
#include "core/session/open_session.h"

#include <algorithm>

namespace app {
namespace {

report::FootageFacts lookAt(const session::Capture& capture, const std::filesystem::path& folder, bool mayBeRead)
{
    report::FootageFacts facts;
    facts.capture = capture.id;
    if (!mayBeRead) {
        facts.found = true;
        facts.problem = reading::notAskedSentence(capture.name);
        return facts;
    }
    const std::vector<std::filesystem::path> files = reading::footageOf(capture, folder);
    facts.found =
        std::ranges::all_of(files, [](const std::filesystem::path& file) { return std::filesystem::exists(file); });
    if (!facts.found)
        return facts;
    try {
        facts.sha256 = media::partsSha256(files);
    } catch (const core::Error& error) {
        facts.problem = error.what();
    }
    return facts;
}

} // namespace

int check(const Arguments& given)
{
    const std::filesystem::path path = given.onlyOperand("session").toStdString();
    const session::Document document = session::readSession(path);

    const auto left = notToBeRead(document, path, given);
    std::vector<report::FootageFacts> facts;
    for (const session::Capture* capture : session::inOrder(document.captures))
        facts.push_back(lookAt(*capture, path.parent_path(), !left.contains(capture->id)));
    session::EvidenceStore evidence(path);
    const auto cropIsThere = [&](const std::string& sha256) { return evidence.load(sha256).has_value(); };

    int toSeeTo = 0;
    for (const report::Finding& finding : report::check(document, facts, cropIsThere)) {
        printLine(QStringLiteral("%1: %2: %3")
                      .arg(QLatin1String(report::label(finding.severity)), QString::fromStdString(finding.place),
                           QString::fromStdString(finding.sentence)));
        toSeeTo += finding.severity != report::Severity::Notice;
    }
    if (toSeeTo == 0) {
        printLine(QStringLiteral("Footage is there and unchanged, clocks are settled, trials are complete."));
        return Fine;
    }
    printProblem(path.string() + " isn't ready to publish: " + std::to_string(toSeeTo)
                 + (toSeeTo == 1 ? " finding has to be seen to." : " findings have to be seen to."));
    return InputFailed;
}

} // namespace app
