// Opens a session, changes it at random until it is killed, and says on standard output what it asked for ("asked",
// with the checksum of what the session is to be) and what was accepted ("accepted", with its number).
#include "core/error.h"
#include "core/session/edits.h"
#include "core/session/file_format.h"
#include "core/session/open_session.h"
#include "json_mutation.h"
#include "sample_document.h"
#include <atomic>
#include <cstdio>
#include <thread>
#include <unistd.h>

using namespace session;

namespace {

/// One write() a line, so that no line is torn by being killed.
void say(const std::string& line)
{
    const std::string whole = line + "\n";
    if (::write(STDOUT_FILENO, whole.data(), whole.size()) != static_cast<ssize_t>(whole.size()))
        std::_Exit(3);
}

std::string checksum(const Document& document)
{
    return QCryptographicHash::hash(toJson(document), QCryptographicHash::Sha256).toHex().toStdString();
}

Edit someEdit(const Document& d, mutation::Random& random)
{
    const CaptureId capture =
        std::next(d.captures.begin(), static_cast<std::ptrdiff_t>(mutation::below(random, 3)))->first;
    const auto frame = static_cast<std::int64_t>(mutation::below(random, 2'400));
    if (d.trials.empty() || (d.trials.size() < 60 && mutation::below(random, 3) == 0))
        return addTrial(d, capture, {}, {}, sample::mark(frame));
    const TrialId trial =
        std::next(d.trials.begin(), static_cast<std::ptrdiff_t>(mutation::below(random, d.trials.size())))->first;
    switch (mutation::below(random, 6)) {
    case 0: return removeTrial(d, trial);
    case 1: return rejectTrial(d, trial, RejectReason::Torn, std::to_string(frame));
    case 2: return setTrialNote(d, trial, std::string(mutation::below(random, 5'000), 'x') + std::to_string(frame));
    case 3: return recordEarlyLook(d, "delays while reading " + std::to_string(frame));
    case 4: return setMark(d, trial, {}, MarkKind::Response, sample::mark(frame), std::to_string(random()));
    default: return setMark(d, trial, {}, MarkKind::Press, sample::mark(frame), std::to_string(random()));
    }
}

} // namespace

int main(int, char** arguments)
{
    std::atomic<std::int64_t> accepted = 0;
    OpenSession::Notices notices;
    notices.accepted = [&](std::int64_t sequence, const auto&) {
        say("accepted " + std::to_string(sequence));
        accepted = sequence;
    };
    notices.failed = [](const std::string& sentence, const auto&) {
        say("failed " + sentence);
        std::_Exit(2);
    };
    try {
        const auto session = OpenSession::open(arguments[1], notices);
        if (session->readOnly() || !session->reports().empty())
            return 4;
        mutation::Random random(std::stoull(arguments[2]));
        say("asked " + checksum(session->latest())); // what it begins with
        // What undoing and redoing lead to, by a model of its own. Numbers given out stay given out,
        // and early looks stay on record.
        std::vector<Document> past, future;
        std::int64_t number = 0;
        for (;;) {
            const Document now = session->latest();
            const auto ask = [&](Document next) {
                next.nextId = std::max(next.nextId, now.nextId);
                if (next.settings.earlyLooks.size() < now.settings.earlyLooks.size())
                    next.settings.earlyLooks = now.settings.earlyLooks;
                say("asked " + checksum(next));
            };
            const std::size_t choice = mutation::below(random, 20);
            if (choice < 4 && !past.empty()) {
                ask(past.back());
                future.push_back(now);
                past.pop_back();
                number = session->undo();
            } else if (choice < 6 && !future.empty()) {
                ask(future.back());
                past.push_back(now);
                future.pop_back();
                number = session->redo();
            } else if (choice == 6) {
                session->startSave();
            } else {
                Edit edit = someEdit(now, random);
                if (edit.changes.empty())
                    continue;
                ask(apply(now, edit));
                if (!isPassedOver(edit.kind)) {
                    past.push_back(now);
                    future.clear();
                }
                number = session->submit(std::move(edit));
            }
            // A few edits under way at a time, as a quick hand would have.
            while (accepted < number - 3)
                std::this_thread::yield();
        }
    } catch (const std::exception& error) {
        say(std::string("failed ") + error.what());
        return 1;
    }
}
