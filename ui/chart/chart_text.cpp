#include "ui/chart/chart_text.h"

#include <QFile>
#include <QFont>
#include <QFontMetricsF>
#include <QRawFont>
#include <algorithm>
#include <atomic>
#include <map>
#include <tuple>

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
const QRawFont& rawFont(int number, const QByteArray& bytes, ChartWeight weight, qreal pixelSize)
{
    thread_local std::map<std::tuple<int, int, qreal>, QRawFont> loaded;
    const auto key = std::tuple(number, static_cast<int>(weight), pixelSize);
    const auto found = loaded.find(key);
    if (found != loaded.end())
        return found->second;
    QByteArray data = bytes;
    if (number == 0) {
        loadFonts();
        QFile file(resourceOf(weight));
        const bool opened = file.open(QIODevice::ReadOnly);
        Q_ASSERT_X(opened, "rawFont", "the bundled fonts are part of the program");
        Q_UNUSED(opened)
        data = file.readAll();
    }
    return loaded.emplace(key, QRawFont(data, pixelSize, QFont::PreferNoHinting)).first->second;
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

} // namespace

Typeface::Typeface() = default;

std::optional<Typeface> Typeface::fromFiles(const QByteArray& regular, const QByteArray& bold)
{
    static std::atomic<int> last = 0;
    const QRawFont font(regular, 40);
    if (!font.isValid() || (!bold.isEmpty() && !QRawFont(bold, 40).isValid()))
        return std::nullopt;
    Typeface face;
    face.m_number = ++last;
    face.m_regular = regular;
    face.m_bold = bold.isEmpty() ? regular : bold;
    return face;
}

ChartLine Typeface::line(const QString& text, ChartWeight weight, qreal pixelSize) const
{
    const QString words = oneLine(text);
    const QRawFont* font = &rawFont(m_number, weight == ChartWeight::Regular ? m_regular : m_bold, weight, pixelSize);
    Set set = setWords(words, *font);
    if (set.glyphs.isEmpty() && m_number != 0) {
        font = &rawFont(0, {}, weight, pixelSize);
        set = setWords(words, *font);
    }
    ChartLine result;
    if (set.glyphs.isEmpty() && !words.isEmpty()) {
        const QFont system = systemFont(weight, pixelSize);
        result.outline.addText(0, 0, system, words);
        result.width = QFontMetricsF(system).horizontalAdvance(words);
    }
    for (qsizetype i = 0; i < set.glyphs.size(); ++i) {
        QPainterPath glyph = font->pathForGlyph(set.glyphs[i]);
        glyph.translate(result.width, 0);
        result.outline.addPath(glyph);
        result.width += set.advances[i].x();
    }
    result.outline.setFillRule(Qt::WindingFill);
    return result;
}

qreal Typeface::width(const QString& text, ChartWeight weight, qreal pixelSize) const
{
    const QString words = oneLine(text);
    Set set =
        setWords(words, rawFont(m_number, weight == ChartWeight::Regular ? m_regular : m_bold, weight, pixelSize));
    if (set.glyphs.isEmpty() && m_number != 0)
        set = setWords(words, rawFont(0, {}, weight, pixelSize));
    if (set.glyphs.isEmpty())
        return words.isEmpty() ? 0 : QFontMetricsF(systemFont(weight, pixelSize)).horizontalAdvance(words);
    qreal width = 0;
    for (const QPointF& advance : set.advances)
        width += advance.x();
    return width;
}

QStringList Typeface::wrapped(const QString& text, ChartWeight weight, qreal pixelSize, qreal width) const
{
    const auto widthOf = [&](const QString& words) { return this->width(words, weight, pixelSize); };
    // How many letters of `word` fit, at least 1.
    const auto fittingPart = [&](const QString& word) {
        // The narrowest letters take a quarter of the pixel size, so what is longer needn't be measured.
        qsizetype fits = 1, tooLong = std::min(word.size(), static_cast<qsizetype>(width / (0.2 * pixelSize))) + 1;
        while (tooLong - fits > 1) {
            const qsizetype middle = (fits + tooLong) / 2;
            (widthOf(word.left(middle)) <= width ? fits : tooLong) = middle;
        }
        return fits > 1 && word[fits - 1].isHighSurrogate() ? fits - 1 : fits;
    };
    QStringList lines;
    QString line;
    for (QString word : oneLine(text).split(QLatin1Char(' '), Qt::SkipEmptyParts)) {
        const QString longer = line.isEmpty() ? word : line + QLatin1Char(' ') + word;
        if (widthOf(longer) <= width) {
            line = longer;
            continue;
        }
        if (!line.isEmpty())
            lines << line;
        while (word.size() > 1 && widthOf(word) > width) {
            const qsizetype part = fittingPart(word);
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
