#include "ui/clock/clock_captures.h"
#include "ui/controls/choice_box.h"

#include <algorithm>

namespace ui {

Captures capturesOn(const session::Document& document, session::ClockId clock)
{
    Captures captures = session::inOrder(document.captures);
    std::erase_if(captures, [&](const session::Capture* capture) { return !session::runsOn(*capture, clock); });
    return captures;
}

void offerCaptures(ChoiceBox& box, const Captures& captures, session::CaptureId& chosen)
{
    if (std::ranges::find(captures, chosen, &session::Capture::id) == captures.end())
        chosen = captures.empty() ? session::CaptureId{} : captures.front()->id;
    QVector<std::pair<qint64, QString>> choices;
    for (const session::Capture* capture : captures)
        choices.append({capture->id.value, QString::fromStdString(capture->name)});
    box.setChoices(choices, chosen.value);
    box.setEnabled(!captures.empty());
}

} // namespace ui
