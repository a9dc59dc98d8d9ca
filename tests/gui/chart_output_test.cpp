#include "tests/gui/chart_samples.h"
#include "core/report/markup.h"
#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_painter.h"
#include "ui/chart/chart_text.h"

#include "core/error.h"

#include <QColorSpace>
#include <QFile>
#include <QGuiApplication>
#include <QImage>
#include <QPainter>
#include <QProcess>
#include <QStandardPaths>
#include <QSvgRenderer>
#include <QTemporaryDir>
#include <QXmlStreamReader>
#include <catch2/catch.hpp>

namespace {

ui::ChartScene scene(session::ChartTheme theme = session::ChartTheme::Dark)
{
    return ui::layOutChart(chart_samples::pedalLinks(), chart_samples::style(theme)).front();
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

TEST_CASE("pictures of 3840 x 2160 have four times the pixels of one of 1920 x 1080, and look alike", "[chart]")
{
    const report::ChartModel model = chart_samples::pedalLinks();
    const auto at = [&](QSize pixels) {
        return ui::chartImage(ui::layOutChart(model, chart_samples::style(session::ChartTheme::Dark, pixels)).front());
    };
    const QImage large = at({3840, 2160}), usual = at({1920, 1080});
    CHECK(large.size() == QSize(3840, 2160));
    const QImage smaller = large.scaled(1920, 1080, Qt::IgnoreAspectRatio, Qt::SmoothTransformation);
    double apart = 0;
    for (int y = 0; y < 1080; ++y)
        for (int x = 0; x < 1920; ++x)
            apart += std::abs(qGray(smaller.pixel(x, y)) - qGray(usual.pixel(x, y)));
    CHECK(apart / (1920 * 1080) < 1); // of 255: edges alone differ
}

TEST_CASE("bars are as long in pixels as their values say", "[chart]")
{
    const report::ChartModel model = chart_samples::many(4);
    for (const QSize& pixels : {QSize(1920, 1080), QSize(1080, 1920), QSize(1080, 1080)}) {
        const ui::ChartScene laidOut =
            ui::layOutChart(model, chart_samples::style(session::ChartTheme::Dark, pixels)).front();
        const QImage image = ui::chartImage(laidOut);
        const QRgb colour = ui::chartPalette(session::ChartTheme::Dark).groups.front().bar.rgb();
        std::vector<int> lengths;
        for (const ui::ChartPiece& piece : laidOut.pieces) {
            if (piece.part != ui::ChartPart::Bar)
                continue;
            int length = 0;
            const int y = qRound(piece.box.bottom()) - 3; // below the interval
            for (int x = 0; x < image.width(); ++x)
                length += image.pixel(x, y) == colour;
            lengths.push_back(length);
        }
        REQUIRE(lengths.size() == 4);
        // Caps of intervals and the baseline's dots hide some pixels of a bar, the same in each.
        const auto& rows = model.groups.front().rows;
        const double pixelsAMs = (lengths[3] - lengths[1]) / (*rows[3].valueMs - *rows[1].valueMs);
        CHECK(std::abs(lengths[2] - lengths[1] - pixelsAMs * (*rows[2].valueMs - *rows[1].valueMs)) <= 2);
        CHECK(std::abs(lengths[3] - pixelsAMs * *rows[3].valueMs) <= 16);
    }
}

TEST_CASE("a chart with nothing behind it has straight alpha", "[chart]")
{
    ui::ChartStyle style = chart_samples::style();
    style.transparent = true;
    const ui::ChartScene laidOut = ui::layOutChart(chart_samples::pedalLinks(), style).front();
    const QImage image = QImage::fromData(ui::chartPng(laidOut), "png");
    REQUIRE(image.hasAlphaChannel());
    CHECK(qAlpha(image.pixel(3, 3)) == 0);
    int part = 0;
    for (int y = 0; y < image.height(); ++y)
        for (int x = 0; x < image.width(); ++x) {
            const QRgb pixel = image.pixel(x, y);
            if (qAlpha(pixel) == 0 || qAlpha(pixel) == 255)
                continue;
            ++part;
            // White words with soft edges stay white: colours aren't multiplied by their alpha.
            if (y > 60 && y < 110 && x < 900)
                CHECK(qRed(pixel) >= 250);
        }
    CHECK(part > 1000);
    const QByteArray svg = ui::chartSvg(laidOut);
    CHECK_FALSE(svg.contains("<rect width=\"1920\" height=\"1080\""));
}

TEST_CASE("the PDF holds a page for each picture and is the same a second time", "[chart]")
{
    const std::vector<ui::ChartScene> scenes{scene(), scene(session::ChartTheme::Light)};
    const QByteArray pdf = ui::chartPdf(scenes);
    CHECK(pdf.startsWith("%PDF-"));
    CHECK(pdf.contains("/Count 2"));
    CHECK_FALSE(pdf.contains("CreationDate"));
    CHECK(pdf == ui::chartPdf(scenes));
}

TEST_CASE("librsvg draws the SVG as the program draws the PNG", "[chart]")
{
    const QString tool = QStandardPaths::findExecutable(QStringLiteral("rsvg-convert"));
    if (tool.isEmpty()) {
        WARN("rsvg-convert (librsvg2-bin) isn't here: not compared");
        return;
    }
    const auto form = GENERATE(session::ChartForm::Bars, session::ChartForm::Boxes, session::ChartForm::Differences);
    const ui::ChartScene laidOut =
        ui::layOutChart(chart_samples::inForm(chart_samples::pedalLinks(), form), chart_samples::style()).front();
    QProcess process;
    process.start(tool, {QStringLiteral("--format=png")});
    REQUIRE(process.waitForStarted());
    process.write(ui::chartSvg(laidOut));
    process.closeWriteChannel();
    REQUIRE(process.waitForFinished(60000));
    const QImage drawn = QImage::fromData(process.readAllStandardOutput(), "png").convertToFormat(QImage::Format_RGB32);
    const QImage png = QImage::fromData(ui::chartPng(laidOut), "png");
    REQUIRE(drawn.size() == png.size());
    qint64 differing = 0;
    for (int y = 0; y < png.height(); ++y)
        for (int x = 0; x < png.width(); ++x)
            differing += std::abs(qGray(drawn.pixel(x, y)) - qGray(png.pixel(x, y))) > 64;
    // The two smooth edges in ways of their own; a form or word in another place differs by thousands.
    CHECK(differing < 200);
}

TEST_CASE("a theme of the analyst's own changes what it names", "[chart]")
{
    const QTemporaryDir folder;
    const auto write = [&](const char* name, const QByteArray& bytes) {
        QFile file(folder.filePath(QString::fromLatin1(name)));
        REQUIRE(file.open(QIODevice::WriteOnly));
        file.write(bytes);
        return std::filesystem::path(file.fileName().toStdString());
    };
    QImage logo(40, 20, QImage::Format_RGB32);
    logo.fill(QColor(0xd0, 0x30, 0x60));
    write("logo.png", ui::pngBytes(logo));
    const auto file = write("channel.json", R"({"base": "light", "background": "#fff8e0", "logo": "logo.png",
        "groups": [{"bar": "#0072b2", "dot": "#003c60"}, {"bar": "#b05000", "dot": "#502400"}]})");
    ui::ChartStyle style;
    style.theme = ui::readTheme(file);
    CHECK(style.theme.name == QStringLiteral("channel"));
    CHECK(style.theme.palette.groups.size() == 2);
    CHECK(style.theme.palette.text == ui::chartPalette(session::ChartTheme::Light).text);
    const ui::ChartScene laidOut = ui::layOutChart(chart_samples::pedalLinks(), style).front();
    const QImage image = ui::chartImage(laidOut);
    CHECK(image.pixelColor(3, 3) == QColor(0xff, 0xf8, 0xe0));
    CHECK(image.pixelColor(1920 - 96 - 20, 54 + 20) == QColor(0xd0, 0x30, 0x60)); // the logo's place
    CHECK(ui::chartSvg(laidOut).contains("data:image/png;base64,"));

    const auto fails = [&](const char* json, const char* why) {
        try {
            ui::readTheme(write("broken.json", json));
            FAIL_CHECK("read " << json);
        } catch (const core::Error& error) {
            CHECK(std::string(error.what()).find(why) != std::string::npos);
        }
    };
    fails("[]", "it isn't a JSON object");
    fails(R"({"background": "blue-ish"})", "\"background\" has to be a colour");
    fails(R"({"colour": "#ffffff"})", "it knows no \"colour\"");
    fails(R"({"font": "channel.json"})", "its font isn't a TrueType or OpenType file");
    fails(R"({"logo": "nowhere.png"})", "nowhere.png");
    fails(R"({"groups": []})", "\"groups\" has to be a list");
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
    const QByteArray svg = ui::chartSvg(ui::layOutChart(model, chart_samples::style()).front());
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
    QXmlStreamReader xml(ui::chartSvg(ui::layOutChart(model, chart_samples::style(session::ChartTheme::Dark)).front()));
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
    CHECK(ui::Typeface().width(QStringLiteral("31.3"), Bold, 46)
          == Approx(ui::Typeface().width(QStringLiteral("38.5"), Bold, 46))); // tabular figures
    CHECK(ui::Typeface().width(QStringLiteral("AV"), Bold, 100)
          <= ui::Typeface().width(QStringLiteral("A"), Bold, 100)
                 + ui::Typeface().width(QStringLiteral("V"), Bold, 100));
    const ui::ChartLine line = ui::Typeface().line(QStringLiteral("Direct"), Semibold, 40);
    CHECK(line.outline.boundingRect().height() > 0.7 * 40); // a capital is 0.714 em high
    CHECK(line.outline.boundingRect().width() <= line.width);
}

TEST_CASE("wrapping leaves nothing out and keeps to the width", "[chart]")
{
    const QString text =
        QStringLiteral("Foot pedal behind two chained hubs and averyverylongwordwithoutanyplacetobreakit at the end");
    const QStringList lines = ui::Typeface().wrapped(text, ui::ChartWeight::Regular, 37, 300);
    for (const QString& line : lines)
        CHECK(ui::Typeface().width(line, ui::ChartWeight::Regular, 37) <= 300);
    QString together = lines.join(QString()), without = text;
    CHECK(together.remove(QLatin1Char(' ')) == without.remove(QLatin1Char(' ')));
}

TEST_CASE("letters that the bundled font lacks come from the machine instead of being dropped", "[chart]")
{
    const ui::ChartLine line = ui::Typeface().line(QStringLiteral("Pedal \u6e2c\u8a66"), ui::ChartWeight::Regular, 40);
    CHECK(line.width > ui::Typeface().width(QStringLiteral("Pedal "), ui::ChartWeight::Regular, 40));
}
