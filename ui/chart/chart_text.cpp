#include "ui/chart/chart_text.h"

#include <QFile>
#include <QFont>
#include <QFontMetricsF>
#include <QRawFont>
#include <algorithm>
#include <map>

/// The fonts lie in a static library, from which the linker takes only what is asked for. Outside any namespace, as Qt
/// demands.
static void loadFonts() { Q_INIT_RESOURCE(bundled); }

namespace ui {
namespace {

QString resourceOf(ChartWeight weight)
{
    switch (weight) {
    case ChartWeight::Regular: return QStringLiteral(":/fonts/OpenSans-Regular.ttf");
    case ChartWeight::Semibold: return QStringLiteral(":/fonts/OpenSans-Semibold.ttf");
    case ChartWeight::Bold: return QStringLiteral(":/fonts/OpenSans-Bold.ttf");
    }
    return {};
}

QFont::Weight systemWeight(ChartWeight weight)
{
    switch (weight) {
    case ChartWeight::Regular: return QFont::Normal;
    case ChartWeight::Semibold: return QFont::DemiBold;
    case ChartWeight::Bold: return QFont::Bold;
    }
    return QFont::Normal;
}

/// Fonts are kept per thread: QRawFont can't be shared between threads.
const QRawFont& rawFont(ChartWeight weight, qreal pixelSize)
{
    thread_local std::map<std::pair<int, qreal>, QRawFont> loaded;
    const auto key = std::pair(static_cast<int>(weight), pixelSize);
    const auto found = loaded.find(key);
    if (found != loaded.end())
        return found->second;
    loadFonts();
    QFile file(resourceOf(weight));
    const bool opened = file.open(QIODevice::ReadOnly);
    Q_ASSERT_X(opened, "rawFont", "the bundled fonts are part of the program");
    Q_UNUSED(opened)
    return loaded.emplace(key, QRawFont(file.readAll(), pixelSize, QFont::PreferNoHinting)).first->second;
}

QString oneLine(QString text)
{
    for (QChar& c : text)
        if (c.isSpace() && c != QChar::Nbsp)
            c = QLatin1Char(' ');
    return text;
}

QFont systemFont(ChartWeight weight, qreal pixelSize)
{
    QFont font(QStringList{QStringLiteral("Open Sans"), QStringLiteral("Noto Sans")});
    font.setPixelSize(qRound(pixelSize));
    font.setWeight(systemWeight(weight));
    font.setHintingPreference(QFont::PreferNoHinting);
    return font;
}

/// Glyphs of the bundled font and how far each takes the pen; empty where it lacks a character.
struct Set {
    QVector<quint32> glyphs;
    QVector<QPointF> advances;
};
Set setWords(const QString& line, const QRawFont& font)
{
    Set set{font.glyphIndexesForString(line), {}};
    if (set.glyphs.contains(0))
        return {};
    set.advances = font.advancesForGlyphIndexes(set.glyphs, QRawFont::UseDesignMetrics | QRawFont::KernedAdvances);
    return set;
}

/// How many letters of `word` fit into `width`, at least 1.
qsizetype fittingPart(const QString& word, ChartWeight weight, qreal pixelSize, qreal width)
{
    // The narrowest letters take a quarter of the pixel size, so what is longer needn't be measured.
    qsizetype fits = 1, tooLong = std::min(word.size(), static_cast<qsizetype>(width / (0.2 * pixelSize))) + 1;
    while (tooLong - fits > 1) {
        const qsizetype middle = (fits + tooLong) / 2;
        (chartWidth(word.left(middle), weight, pixelSize) <= width ? fits : tooLong) = middle;
    }
    return fits > 1 && word[fits - 1].isHighSurrogate() ? fits - 1 : fits;
}

} // namespace

ChartLine chartLine(const QString& text, ChartWeight weight, qreal pixelSize)
{
    const QString line = oneLine(text);
    const QRawFont& font = rawFont(weight, pixelSize);
    const Set set = setWords(line, font);
    ChartLine result;
    if (set.glyphs.isEmpty())
        result.outline.addText(0, 0, systemFont(weight, pixelSize), line);
    qreal pen = 0;
    for (qsizetype i = 0; i < set.glyphs.size(); ++i) {
        QPainterPath glyph = font.pathForGlyph(set.glyphs[i]);
        glyph.translate(pen, 0);
        result.outline.addPath(glyph);
        pen += set.advances[i].x();
    }
    result.outline.setFillRule(Qt::WindingFill);
    result.width = chartWidth(text, weight, pixelSize);
    return result;
}

qreal chartWidth(const QString& text, ChartWeight weight, qreal pixelSize)
{
    const QString line = oneLine(text);
    const Set set = setWords(line, rawFont(weight, pixelSize));
    if (set.glyphs.isEmpty())
        return QFontMetricsF(systemFont(weight, pixelSize)).horizontalAdvance(line);
    qreal width = 0;
    for (const QPointF& advance : set.advances)
        width += advance.x();
    return width;
}

QStringList chartWrapped(const QString& text, ChartWeight weight, qreal pixelSize, qreal width)
{
    QStringList lines;
    QString line;
    for (QString word : oneLine(text).split(QLatin1Char(' '), Qt::SkipEmptyParts)) {
        const QString longer = line.isEmpty() ? word : line + QLatin1Char(' ') + word;
        if (chartWidth(longer, weight, pixelSize) <= width) {
            line = longer;
            continue;
        }
        if (!line.isEmpty())
            lines << line;
        while (chartWidth(word, weight, pixelSize) > width && word.size() > 1) {
            const qsizetype part = fittingPart(word, weight, pixelSize, width);
            lines << word.left(part);
            word.remove(0, part);
        }
        line = word;
    }
    if (!line.isEmpty())
        lines << line;
    return lines;
}

} // namespace ui
