#include "tests/gui/chart_samples.h"
#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_painter.h"

#include <QDir>
#include <QFile>
#include <catch2/catch.hpp>

namespace {

report::ChartModel spread()
{
    return chart_samples::model({{"Direct", 8.2, 24, 2, ""},
                                 {"Wireless bridge", 38.5, 23, 5.5, ""},
                                 {"Over the network", 910, 12, 300, ""},
                                 {"Long cable", 9.1, 24, 2, ""}});
}

report::ChartModel foreign()
{
    return chart_samples::model(
        {{"\u30da\u30c0\u30eb\u76f4\u7d50", 31.3, 24, 5.5, "144 Hz"},
         {"\u8e0f\u677f\u7ecf\u96c6\u7ebf\u5668", 33, 24, 5.5, "144 Hz"},
         {"\u062f\u0648\u0627\u0633\u0629 \u0644\u0627\u0633\u0644\u0643\u064a\u0629", 38.5, 23, 5.5, "144 Hz"},
         {"\u05d3\u05d5\u05d5\u05e9\u05d4 \u05d0\u05dc\u05d7\u05d5\u05d8\u05d9\u05ea", 41, 23, 5.5, "144 Hz"}});
}

report::ChartModel shorter()
{
    return chart_samples::model({{"Wireless bridge", 48.5, 23, 5.5, ""},
                                 {"Direct", 31.3, 24, 5.5, ""},
                                 {"Chained hubs", 47.9, 24, 5.5, ""},
                                 {"Long cable", 52, 1, 0, ""}});
}

} // namespace

/// Every form, number of rows and size, to be looked at: into the folder that TALLYFRAME_GALLERY names.
TEST_CASE("gallery", "[.gallery]")
{
    const QDir folder(QString::fromLocal8Bit(qgetenv("TALLYFRAME_GALLERY")));
    REQUIRE(folder.mkpath(QStringLiteral(".")));
    using session::ChartForm;
    const std::pair<const char*, report::ChartModel> models[] = {
        {"1", chart_samples::many(1)},
        {"2", chart_samples::many(2)},
        {"3", chart_samples::many(3)},
        {"6", chart_samples::pedalLinks()},
        {"earlier", chart_samples::withEarlier()},
        {"12", chart_samples::many(12, 2)},
        {"24", chart_samples::many(24, 3)},
        {"long", chart_samples::longNames()},
        {"states", chart_samples::withoutMeans()},
        {"spread", spread()},
        {"foreign", foreign()},
        {"shorter", shorter()},
    };
    const QSize sizes[] = {{1920, 1080}, {1080, 1920}, {1080, 1080}};
    const QByteArray only = qgetenv("TALLYFRAME_GALLERY_ONLY");
    for (const auto& [name, bars] : models)
        for (const ChartForm form : {ChartForm::Bars, ChartForm::Boxes, ChartForm::Differences})
            for (const QSize& size : sizes) {
                const QString file = QStringLiteral("%1-%2-%3x%4")
                                         .arg(int(form))
                                         .arg(QLatin1String(name))
                                         .arg(size.width())
                                         .arg(size.height());
                if (!file.contains(QString::fromLatin1(only)))
                    continue;
                if (form == ChartForm::Differences && bars.groups.front().rows.size() == 1 && bars.groups.size() == 1)
                    continue;
                const auto scenes =
                    ui::layOutChart(chart_samples::inForm(bars, form),
                                    chart_samples::style(
                                        name[0] == 's' ? session::ChartTheme::Light : session::ChartTheme::Dark, size));
                for (std::size_t i = 0; i < scenes.size(); ++i) {
                    QFile png(folder.filePath(QStringLiteral("%1-%2.png").arg(file).arg(i + 1)));
                    REQUIRE(png.open(QIODevice::WriteOnly));
                    png.write(ui::chartPng(scenes[i]));
                }
            }
}
