#include "ui/results/common_steps.h"

#include <QDate>
#include <QKeyEvent>
#include <algorithm>

namespace ui {
namespace {

const char* const comparison = "comparison"; ///< words of session::EarlyLook

bool lookedToday(const session::Settings& settings)
{
    const std::string today = QDate::currentDate().toString(Qt::ISODate).toStdString();
    return std::ranges::any_of(settings.earlyLooks, [&](const session::EarlyLook& look) {
        return look.what == comparison && look.reader == settings.reader && look.time.starts_with(today);
    });
}

} // namespace

void recordEarlyLook(SessionModel& model, const analysis::Results& results)
{
    const bool anything = std::ranges::any_of(results.configurations, [](const auto& result) { return result.n > 0; });
    if (results.interim && anything && !model.readOnly() && !lookedToday(model.document()->settings))
        model.edit([](const session::Document& document) { return session::recordEarlyLook(document, comparison); });
}

bool isPublishKey(const QKeyEvent& event)
{
    return event.key() == Qt::Key_E && event.modifiers() == Qt::ControlModifier;
}

} // namespace ui
