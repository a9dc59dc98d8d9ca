#include "core/reading/incoming_marks.h"
#include "core/error.h"
#include "core/media/decode/frame_reader.h"
#include "core/reading/hints.h"
#include "core/reading/make_mark.h"
#include "core/session/text.h"

#include <algorithm>
#include <charconv>
#include <limits>
#include <set>

namespace reading {

namespace {

using session::Capture;
using session::RegionKind;

std::string lower(std::string text)
{
    std::ranges::transform(text, text.begin(),
                           [](unsigned char c) { return c < 128 ? char(std::tolower(c)) : char(c); });
    return text;
}

std::string lastPart(const std::string& path) { return path.substr(path.find_last_of("/\\") + 1); }

std::string withoutEnding(const std::string& name)
{
    const std::size_t dot = name.find_last_of('.');
    return dot == 0 || dot == std::string::npos ? name : name.substr(0, dot);
}

/// Captures by all that a table may call them.
class Names {
public:
    explicit Names(const session::Document& document)
    {
        for (const Capture* capture : session::inOrder(document.captures)) {
            const std::string file = lower(lastPart(capture->path));
            for (const std::string& name : std::set{lower(capture->name), file, withoutEnding(file)})
                m_named[name].push_back(capture->id);
        }
    }

    /// Most literal first: the name as it stands, then without folder, then without ending.
    std::vector<session::CaptureId> meant(const std::string& file) const
    {
        const std::string whole = lower(file), name = lastPart(whole);
        for (const std::string& one : {whole, name, withoutEnding(name)})
            if (const auto found = m_named.find(one); found != m_named.end())
                return found->second;
        return {};
    }

private:
    std::map<std::string, std::vector<session::CaptureId>> m_named;
};

std::optional<std::int64_t> wholeNumber(const std::string& text)
{
    std::int64_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    return error == std::errc() && end == text.data() + text.size() ? std::optional(value) : std::nullopt;
}

/// Into `frame`; what is wrong with it, or empty.
std::string readFrame(const std::string& text, const char* what, FirstFrame first, timing::FrameCount frames,
                      std::optional<timing::FrameNumber>& frame)
{
    const auto number = wholeNumber(text);
    if (!number)
        return std::string("its ") + what + " is " + session::inQuotes(text) + ", not a frame number";
    const std::int64_t least = first == FirstFrame::One ? 1 : 0, last = frames.value - 1 + least;
    if (*number < least || *number > last)
        return std::string("its ") + what + " is frame " + std::to_string(*number) + ", and the film's frames are "
               + std::to_string(least) + " to " + std::to_string(last) + " as the table counts";
    frame = timing::FrameNumber{*number - least};
    return {};
}

/// Press frames that are trials already, or come in by an earlier row, and whose they are: "trial 3 of run01".
using Pressed = std::map<session::CaptureId, std::map<timing::FrameNumber, std::string>>;

Pressed pressedIn(const session::Document& document)
{
    Pressed pressed;
    for (const auto& [id, trial] : document.trials)
        for (const session::Reading& reading : trial->readings)
            if (reading.press)
                pressed[trial->capture].emplace(reading.press->frame, session::trialName(document, id));
    return pressed;
}

/// "it lies beside the press of trial 3 of run01 (1 frame)", of the nearest; empty where there is none.
std::string besideWords(const std::map<timing::FrameNumber, std::string>& pressed, timing::FrameNumber press)
{
    std::string words;
    timing::FrameCount nearest{std::numeric_limits<std::int64_t>::max()};
    for (const auto& [frame, whose] : pressed) {
        const timing::FrameCount away = frame < press ? press - frame : frame - press;
        if (away >= nearest || !belongsTo({{frame}, {}}, press))
            continue;
        nearest = away;
        words = "it lies beside the press of " + whose + " (" + std::to_string(away.value)
                + (away.value == 1 ? " frame)" : " frames)");
    }
    return words;
}

struct Columns {
    std::size_t file, press, response;
    std::optional<std::size_t> configuration;
};

Columns columnsIn(const std::vector<CsvRow>& rows)
{
    const auto find = [&](const char* name) -> std::optional<std::size_t> {
        if (rows.empty())
            return std::nullopt;
        const auto& head = rows.front().fields;
        const auto at = std::ranges::find_if(head, [&](const std::string& field) { return lower(field) == name; });
        return at == head.end() ? std::nullopt : std::optional(std::size_t(at - head.begin()));
    };
    const auto need = [&](const char* name) {
        if (const auto at = find(name))
            return *at;
        throw core::Error(core::ErrorKind::Malformed,
                          std::string("The table has no column \"") + name
                              + "\": its first line names the columns file, press, response and configuration.");
    };
    return {need("file"), need("press"), need("response"), find("configuration")};
}

/// What keeps a row out, in the order in which one would look; fills in what it becomes on the way.
std::string judge(IncomingTrial& row, const session::Document& document, const Names& names, FirstFrame first,
                  const ConfirmedFootage& footage)
{
    const auto meant = names.meant(row.file);
    if (meant.size() != 1)
        return (meant.empty() ? "no capture is called " : "several captures are called ") + session::inQuotes(row.file);
    row.capture = meant.front();
    const Capture& capture = *session::find(document, row.capture);
    if (capture.lampReference)
        return "that film shows the reference lamp and has no trials";
    row.tag = capture.configuration;
    if (std::string fault = readFrame(row.press, "press", first, capture.frames, row.pressFrame); !fault.empty())
        return fault;
    const std::string response = lower(row.response);
    row.noReaction = response == "none" || response == "no reaction";
    if (!row.noReaction && !response.empty())
        if (std::string fault = readFrame(row.response, "response", first, capture.frames, row.responseFrame);
            !fault.empty())
            return fault;
    if (row.responseFrame && *row.responseFrame < *row.pressFrame)
        return "its response lies before its press";
    if (!row.configuration.empty()) {
        row.tag = {};
        for (const auto& [id, one] : document.configurations)
            if (lower(one->name) == lower(row.configuration))
                row.tag = id;
        if (!row.tag)
            return "no configuration is called " + session::inQuotes(row.configuration);
    }
    for (const RegionKind kind : {RegionKind::Lamp, RegionKind::Screen})
        if (!session::firstRegion(capture, kind))
            return std::string("its capture has no ") + (kind == RegionKind::Lamp ? "lamp" : "screen")
                   + " region yet, so no evidence could be kept";
    if (!footage.contains(row.capture))
        return "its footage isn't there, or not decoded to its end yet";
    return {};
}

} // namespace

std::vector<IncomingTrial> incomingTrials(const session::Document& document, const std::vector<CsvRow>& table,
                                          FirstFrame first, const ConfirmedFootage& footage, Beside beside)
{
    const Columns columns = columnsIn(table);
    const Names names(document);
    Pressed pressed = pressedIn(document);
    std::vector<IncomingTrial> rows;
    for (std::size_t at = 1; at < table.size(); ++at) {
        const auto& fields = table[at].fields;
        const auto field = [&](std::size_t column) { return column < fields.size() ? fields[column] : std::string(); };
        IncomingTrial row;
        row.line = table[at].line;
        row.file = field(columns.file);
        row.press = field(columns.press);
        row.response = field(columns.response);
        if (columns.configuration)
            row.configuration = field(*columns.configuration);
        row.fault = judge(row, document, names, first, footage);
        if (row.fault.empty()) {
            auto& there = pressed[row.capture];
            const std::string words = besideWords(there, *row.pressFrame);
            row.isBeside = !words.empty() && !there.contains(*row.pressFrame);
            if (row.isBeside && beside == Beside::StaysOut)
                row.fault = words;
            else if (!there.emplace(*row.pressFrame, "line " + std::to_string(row.line)).second)
                row.fault = "a trial has that press already";
        }
        if (!row.fault.empty())
            row.fault = session::asSentence(row.fault);
        rows.push_back(std::move(row));
    }
    return rows;
}

std::vector<MadeTrial> makeTrials(const session::Document& document, std::vector<IncomingTrial>& rows,
                                  const ConfirmedFootage& footage, session::EvidenceStore& evidence,
                                  std::stop_token stop, const std::function<void(std::size_t, std::size_t)>& progress)
{
    // One film after the other and forward in it: that decodes least.
    std::map<session::CaptureId, std::vector<IncomingTrial*>> byCapture;
    std::size_t total = 0, done = 0;
    for (IncomingTrial& row : rows)
        if (row.fault.empty()) {
            byCapture[row.capture].push_back(&row);
            ++total;
        }
    std::vector<MadeTrial> made;
    for (auto& [id, trials] : byCapture) {
        std::ranges::sort(trials, {}, [](const IncomingTrial* row) { return *row->pressFrame; });
        const Capture& capture = *session::find(document, id);
        MarkRequest request{footage.at(id),
                            {},
                            {},
                            {},
                            *session::firstRegion(capture, RegionKind::Lamp),
                            *session::firstRegion(capture, RegionKind::Screen)};
        std::optional<media::FrameReader> reader;
        const auto mark = [&](timing::FrameNumber frame) {
            if (!reader)
                reader.emplace(request.footage, stop);
            request.frame = frame;
            request.before = frame.value > 0 ? reader->read(frame - timing::FrameCount{1}, stop) : media::Picture();
            request.at = reader->read(frame, stop);
            return makeMark(request, evidence, stop).mark;
        };
        for (IncomingTrial* row : trials) {
            try {
                MadeTrial trial{*row, request.lamp.id, request.screen.id, mark(*row->pressFrame), {}};
                if (row->responseFrame)
                    trial.response = mark(*row->responseFrame);
                made.push_back(std::move(trial));
            } catch (const core::Error& error) {
                row->fault = error.what();
            }
            if (progress)
                progress(++done, total);
        }
    }
    return made;
}

session::Edit bringInTrials(const session::Document& document, const std::vector<MadeTrial>& made,
                            const std::string& table)
{
    session::EditBuilder builder(document, "bring in marks of " + table);
    Pressed pressed = pressedIn(document);
    const std::string now = session::timeNow();
    for (const MadeTrial& one : made) {
        const Capture* capture = session::find(document, one.row.capture);
        if (!capture || capture->lampReference || !session::findRegion(*capture, one.lamp)
            || !session::findRegion(*capture, one.screen)
            || !pressed[capture->id].emplace(one.press.frame, std::string()).second)
            continue;
        session::Trial trial;
        trial.id = builder.nextId<session::TrialId>();
        trial.capture = capture->id;
        trial.lamp = one.lamp;
        trial.screen = one.screen;
        trial.configuration = session::find(document, one.row.tag) ? one.row.tag : capture->configuration;
        trial.run = capture->run;
        session::Reading reading;
        reading.id = builder.nextId<session::ReadingId>();
        reading.reader = document.settings.reader;
        reading.time = now;
        reading.view = "brought in from " + table + ", line " + std::to_string(one.row.line);
        reading.press = one.press;
        reading.response = one.response;
        reading.noReaction = one.row.noReaction;
        reading.accepted = session::isComplete(reading);
        trial.readings.push_back(std::move(reading));
        builder.put(trial);
    }
    return std::move(builder).finish();
}

} // namespace reading
