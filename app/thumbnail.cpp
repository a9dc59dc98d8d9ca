#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"
#include "core/report/chart_model.h"
#include "core/session/open_session.h"
#include "core/session/durable_file.h"
#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_painter.h"
#include "ui/chart/chart_style.h"
#include "ui/look/look.h"

#include <QApplication>

namespace app {

int thumbnail(const Arguments& given)
{
    constexpr int least = 16, usual = 256, most = 1024;
    const std::string pixels = "pixels, " + std::to_string(least) + " to " + std::to_string(most);
    const auto side = static_cast<int>(given.wholeNumber("size", least, most, pixels).value_or(usual));
    const std::filesystem::path file = given.onlyOperand("session").toStdString();
    session::Document document = session::readSession(file);
    const analysis::Results results = analysis::compute(document);
    if (results.configurations.empty())
        throw core::Error(core::ErrorKind::Unsupported,
                          "The session " + file.string() + " has no configurations, so there is no chart to draw.");

    ui::applyLook(*qApp);
    // Squarer than what is published: the place for it is a square.
    document.settings.publish.width = 640;
    document.settings.publish.height = 480;
    const std::vector<ui::ChartScene> scenes =
        ui::layOutChart(report::chartModel(document, results), ui::styleOf(document.settings.publish));
    const QImage picture =
        ui::chartImage(scenes.front()).scaled(side, side, Qt::KeepAspectRatio, Qt::SmoothTransformation);
    session::Replacement(std::filesystem::absolute(given.text("out")), ui::pngBytes(picture)).commit();
    return Fine;
}

} // namespace app
