#include "core/session/edit_steps.h"

namespace session {

namespace {

/// Runs of one name are one run.
RunId runNamed(EditBuilder& builder, const std::string& name, std::map<std::string, RunId>& added)
{
    if (const auto known = added.find(name); known != added.end())
        return known->second;
    return added[name] = putNewRun(builder, name);
}

/// What a trial lacks can't contradict how it was read.
void tagUntagged(EditBuilder& builder, const Capture& capture)
{
    for (const Trial* trial : trialsOf(builder.document(), capture.id)) {
        Trial tagged = *trial;
        if (!tagged.configuration)
            tagged.configuration = capture.configuration;
        if (!tagged.run)
            tagged.run = capture.run;
        builder.put(tagged);
    }
}

} // namespace

Edit tagCaptures(const Document& document, const std::vector<CaptureTags>& captures)
{
    EditBuilder builder(document, captures.size() == 1 ? "tag " + named(need(document, captures.front().capture))
                                                       : "tag " + counted(captures.size(), "capture"));
    std::map<std::string, RunId> added;
    std::map<ClockId, std::vector<CaptureId>> shared;
    for (const CaptureTags& tags : captures) {
        Capture capture = need(builder.document(), tags.capture);
        capture.lampReference = tags.lampReference;
        if (tags.clock)
            shared[tags.clock].push_back(capture.id);
        if (tags.lampReference) {
            requireUnread(named(capture) + " can't be a lamp reference", trialsOf(document, capture.id).size());
            tagWithTrials(builder, capture, {}, {});
            continue;
        }
        RunId run = tags.run;
        ConfigurationId configuration = tags.configuration;
        if (tags.sheetLine) {
            run = runOfLine(builder, *tags.sheetLine);
            configuration = document.settings.runSheet->lines[*tags.sheetLine].configuration;
        } else if (!tags.newRun.empty()) {
            run = runNamed(builder, tags.newRun, added);
        }
        if (configuration)
            need(document, configuration);
        if (run)
            need(builder.document(), run);
        tagWithTrials(builder, capture, configuration, run);
        tagUntagged(builder, *find(builder.document(), capture.id));
    }
    for (const auto& [clock, on] : shared)
        putOnClock(builder, clock, on);
    return std::move(builder).finish();
}

} // namespace session
