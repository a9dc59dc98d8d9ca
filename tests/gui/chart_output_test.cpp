#include "tests/gui/chart_samples.h"
#include "core/report/markup.h"
#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_painter.h"
#include "ui/chart/chart_text.h"

#include <QColorSpace>
#include <QGuiApplication>
#include <QImage>
#include <QPainter>
#include <QSvgRenderer>
#include <QXmlStreamReader>
#include <catch2/catch.hpp>

namespace {

ui::ChartScene scene(session::ChartTheme theme = session::ChartTheme::Dark)
{
    return ui::layOutChart(chart_samples::pedalLinks(), theme);
}

} // namespace

TEST_CASE("the same model gives the same PNG and SVG", "[chart]")
{
    const auto theme = GENERATE(session::ChartTheme::Dark, session::ChartTheme::Light);
    CHECK(ui::chartPng(scene(theme)) == ui::chartPng(scene(theme)));
    CHECK(ui::chartSvg(scene(theme)) == ui::chartSvg(scene(theme)));
}

TEST_CASE("the font setting of the program doesn't reach into the chart", "[chart]")
{
    const QByteArray before = ui::chartPng(scene());
    const QFont font = QGuiApplication::font();
    QFont other(QStringLiteral("DejaVu Serif"));
    other.setPixelSize(30);
    QGuiApplication::setFont(other);
    const QByteArray after = ui::chartPng(scene());
    QGuiApplication::setFont(font);
    CHECK(before == after);
}

TEST_CASE("the PNG is 1920 x 1080, opaque and sRGB", "[chart]")
{
    const QImage image = QImage::fromData(ui::chartPng(scene()), "png");
    REQUIRE_FALSE(image.isNull());
    CHECK(image.size() == QSize(1920, 1080));
    CHECK_FALSE(image.hasAlphaChannel());
    CHECK(image.colorSpace() == QColorSpace(QColorSpace::SRgb));
    CHECK(image.pixelColor(3, 3) == ui::chartPalette(session::ChartTheme::Dark).background);
}

TEST_CASE("neither file holds a date", "[chart]")
{
    const QByteArray png = ui::chartPng(scene());
    CHECK_FALSE(png.contains("tIME"));
    CHECK_FALSE(png.contains("tEXt"));
    CHECK_FALSE(ui::chartSvg(scene()).contains("date"));
}

TEST_CASE("the SVG shows the same picture as the PNG", "[chart]")
{
    const auto theme = GENERATE(session::ChartTheme::Dark, session::ChartTheme::Light);
    const ui::ChartScene laidOut = scene(theme);
    QSvgRenderer renderer(ui::chartSvg(laidOut));
    REQUIRE(renderer.isValid());
    QImage drawn(1920, 1080, QImage::Format_RGB32);
    drawn.fill(Qt::magenta);
    QPainter painter(&drawn);
    painter.setRenderHint(QPainter::Antialiasing);
    renderer.render(&painter);
    painter.end();
    const QImage png = QImage::fromData(ui::chartPng(laidOut), "png");
    qint64 differing = 0;
    for (int y = 0; y < 1080; ++y)
        for (int x = 0; x < 1920; ++x) {
            const QRgb a = drawn.pixel(x, y), b = png.pixel(x, y);
            const int apart =
                std::max({std::abs(qRed(a) - qRed(b)), std::abs(qGreen(a) - qGreen(b)), std::abs(qBlue(a) - qBlue(b))});
            differing += apart > 16;
        }
    // Places are written with two decimals, so a few pixels of an edge may differ.
    CHECK(differing < 100);
}

TEST_CASE("the SVG holds words as outlines only, and their text as its description", "[chart]")
{
    report::ChartModel model = chart_samples::pedalLinks();
    model.title = "Pedal <link> & \"screen\"";
    const QByteArray svg = ui::chartSvg(ui::layOutChart(model, session::ChartTheme::Dark));
    CHECK_FALSE(svg.contains("<text"));
    CHECK_FALSE(svg.contains("font"));
    CHECK(svg.contains("<title>Pedal &lt;link&gt; &amp; &quot;screen&quot;</title>"));
    CHECK(svg.contains("Wireless bridge"));
}

TEST_CASE("the SVG is well-formed whatever the names hold", "[chart]")
{
    const std::string name = GENERATE(as<std::string>{}, "<b>bold</b> & ]]> \"x\" 'y'",
                                      "a\x01\x1f\x7f"
                                      "b",
                                      "\xef\xbf\xbe\xef\xbf\xbf", "\xed\xa0\x80 half a pair", "\xff\xfe not UTF-8");
    report::ChartModel model = chart_samples::pedalLinks();
    model.title = name;
    model.groups.front().rows.front().name = name;
    QXmlStreamReader xml(ui::chartSvg(ui::layOutChart(model, session::ChartTheme::Dark)));
    QString title;
    while (!xml.atEnd())
        if (xml.readNext() == QXmlStreamReader::StartElement && xml.name() == QLatin1String("title"))
            title = xml.readElementText();
    INFO(xml.errorString().toStdString());
    CHECK_FALSE(xml.hasError());
    CHECK_FALSE(title.isEmpty());
    if (name.front() == '<')
        CHECK(title.startsWith(QStringLiteral("<b>bold</b> & ]]>")));
}

TEST_CASE("half a surrogate pair and what XML knows no place for are replaced", "[chart]")
{
    const QString words = QStringLiteral("a") + QChar(0xd83c) + QStringLiteral("b") + QChar(0xdfa5) + QChar(0xfffe)
                          + QChar(0xd83c) + QChar(0xdfa5) + QChar(0x0b) + QStringLiteral("<");
    CHECK(report::asMarkup(words)
          == QStringLiteral("a\uFFFDb\uFFFD\uFFFD") + QChar(0xd83c) + QChar(0xdfa5) + QStringLiteral(" &lt;"));
}

TEST_CASE("a line of text is as wide as its letters and kerned pairs are not further apart", "[chart]")
{
    using enum ui::ChartWeight;
    CHECK(ui::chartWidth(QStringLiteral("31.3"), Bold, 46)
          == Approx(ui::chartWidth(QStringLiteral("38.5"), Bold, 46))); // tabular figures
    CHECK(ui::chartWidth(QStringLiteral("AV"), Bold, 100)
          <= ui::chartWidth(QStringLiteral("A"), Bold, 100) + ui::chartWidth(QStringLiteral("V"), Bold, 100));
    const ui::ChartLine line = ui::chartLine(QStringLiteral("Direct"), Semibold, 40);
    CHECK(line.outline.boundingRect().height() > 0.7 * 40); // a capital is 0.714 em high
    CHECK(line.outline.boundingRect().width() <= line.width);
}

TEST_CASE("wrapping leaves nothing out and keeps to the width", "[chart]")
{
    const QString text =
        QStringLiteral("Foot pedal behind two chained hubs and averyverylongwordwithoutanyplacetobreakit at the end");
    const QStringList lines = ui::chartWrapped(text, ui::ChartWeight::Regular, 37, 300);
    for (const QString& line : lines)
        CHECK(ui::chartWidth(line, ui::ChartWeight::Regular, 37) <= 300);
    QString together = lines.join(QString()), without = text;
    CHECK(together.remove(QLatin1Char(' ')) == without.remove(QLatin1Char(' ')));
}

TEST_CASE("letters that the bundled font lacks come from the machine instead of being dropped", "[chart]")
{
    const ui::ChartLine line = ui::chartLine(QStringLiteral("Pedal \u6e2c\u8a66"), ui::ChartWeight::Regular, 40);
    CHECK(line.width > ui::chartWidth(QStringLiteral("Pedal "), ui::ChartWeight::Regular, 40));
}
