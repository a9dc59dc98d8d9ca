#include "ui/chart/chart_style.h"
#include "core/error.h"
#include "core/session/durable_file.h"

#include <QBuffer>
#include <QDir>
#include <QImageReader>
#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <QStandardPaths>
#include <algorithm>

namespace ui {
namespace {

constexpr std::int64_t mostThemeBytes = 1 << 20, mostFontBytes = 64 << 20, mostLogoBytes = 16 << 20;
constexpr int mostLogoSide = 4000, mostGroups = 24;

/// One theme file being read.
class ThemeFile {
public:
    explicit ThemeFile(const std::filesystem::path& file) : m_file(file) {}

    PictureTheme read()
    {
        QJsonParseError error{};
        const QJsonDocument json = QJsonDocument::fromJson(session::readFile(m_file, mostThemeBytes), &error);
        if (!json.isObject())
            fail("it isn't a JSON object" + (error.error ? ": " + error.errorString().toStdString() : std::string()));
        m_object = json.object();
        const QString base = textOf(QStringLiteral("base"), QStringLiteral("dark"));
        if (base != u"dark" && base != u"light")
            fail("\"base\" has to be \"dark\" or \"light\"");
        PictureTheme theme = bundledTheme(base == u"dark" ? session::ChartTheme::Dark : session::ChartTheme::Light);
        theme.name = QString::fromStdString(m_file.stem().string());
        ChartPalette& palette = theme.palette;
        const std::pair<const char*, QColor*> colours[] = {
            {"background", &palette.background},
            {"text", &palette.text},
            {"quietText", &palette.quietText},
            {"grid", &palette.grid},
            {"axis", &palette.axis},
            {"band", &palette.band},
            {"interval", &palette.interval},
            {"baseline", &palette.baseline},
        };
        for (const auto& [key, colour] : colours)
            if (m_object.contains(QLatin1String(key)))
                *colour = colourOf(m_object.value(QLatin1String(key)), key);
        if (m_object.contains(QLatin1String("groups")))
            palette.groups = groups();
        readFiles(theme);
        for (const QString& key : m_object.keys())
            if (!m_known.contains(key)
                && std::ranges::none_of(colours, [&](const auto& entry) { return key == QLatin1String(entry.first); }))
                fail("it knows no \"" + key.toStdString() + '"');
        return theme;
    }

private:
    [[noreturn]] void fail(const std::string& why) const
    {
        throw core::Error(core::ErrorKind::Malformed, "The theme " + m_file.string() + " can't be used: " + why + ".");
    }

    QString textOf(const QString& key, const QString& otherwise = {})
    {
        const QJsonValue value = m_object.value(key);
        if (!value.isUndefined() && !value.isString())
            fail('"' + key.toStdString() + "\" has to be a text");
        return value.toString(otherwise);
    }

    QColor colourOf(const QJsonValue& value, const std::string& key) const
    {
        const QString text = value.toString();
        const QColor colour(text);
        if (text.size() != 7 || !text.startsWith(QLatin1Char('#')) || !colour.isValid())
            fail('"' + key + "\" has to be a colour as \"#1f77b4\"");
        return colour;
    }

    std::vector<GroupColours> groups() const
    {
        const QJsonArray list = m_object.value(QLatin1String("groups")).toArray();
        if (list.isEmpty() || list.size() > mostGroups)
            fail("\"groups\" has to be a list of 1 to " + std::to_string(mostGroups) + " objects");
        std::vector<GroupColours> colours;
        for (const auto entry : list)
            colours.push_back({colourOf(entry.toObject().value(QLatin1String("bar")), "bar"),
                               colourOf(entry.toObject().value(QLatin1String("dot")), "dot")});
        return colours;
    }

    QByteArray fileOf(const QString& key, std::int64_t limit)
    {
        const QString name = textOf(key);
        return name.isEmpty() ? QByteArray() : session::readFile(m_file.parent_path() / name.toStdString(), limit);
    }

    void readFiles(PictureTheme& theme)
    {
        const QByteArray regular = fileOf(QStringLiteral("font"), mostFontBytes);
        const QByteArray bold = fileOf(QStringLiteral("boldFont"), mostFontBytes);
        if (regular.isEmpty() && !bold.isEmpty())
            fail("\"boldFont\" takes a \"font\" as well");
        if (!regular.isEmpty()) {
            const std::optional<Typeface> face = Typeface::fromFiles(regular, bold);
            if (!face)
                fail("its font isn't a TrueType or OpenType file");
            theme.face = *face;
        }
        QByteArray logo = fileOf(QStringLiteral("logo"), mostLogoBytes);
        if (logo.isEmpty())
            return;
        QBuffer buffer(&logo);
        buffer.open(QIODevice::ReadOnly);
        QImageReader reader(&buffer, QByteArrayLiteral("png"));
        const QSize size = reader.size();
        if (size.width() > mostLogoSide || size.height() > mostLogoSide || !reader.read(&theme.logo))
            fail("its logo has to be a PNG picture of at most " + std::to_string(mostLogoSide) + " pixels a side");
    }

    const std::filesystem::path& m_file;
    QJsonObject m_object;
    const QStringList m_known{QStringLiteral("base"), QStringLiteral("groups"), QStringLiteral("logo"),
                              QStringLiteral("font"), QStringLiteral("boldFont")};
};

} // namespace

const PictureTheme& bundledTheme(session::ChartTheme theme)
{
    static const PictureTheme dark{QStringLiteral("dark"), chartPalette(session::ChartTheme::Dark), {}, {}};
    static const PictureTheme light{QStringLiteral("light"), chartPalette(session::ChartTheme::Light), {}, {}};
    return theme == session::ChartTheme::Dark ? dark : light;
}

PictureTheme readTheme(const std::filesystem::path& file) { return ThemeFile(file).read(); }

std::filesystem::path themeFolder()
{
    return QDir(QStandardPaths::writableLocation(QStandardPaths::AppConfigLocation))
        .filePath(QStringLiteral("themes"))
        .toStdString();
}

QStringList ownThemes()
{
    QStringList names;
    const QDir folder(QString::fromStdString(themeFolder().string()));
    for (const QString& file : folder.entryList({QStringLiteral("*.json")}, QDir::Files, QDir::Name))
        names << file.chopped(5);
    return names;
}

PictureTheme themeNamed(const QString& name)
{
    if (name == u"dark" || name == u"light")
        return bundledTheme(name == u"dark" ? session::ChartTheme::Dark : session::ChartTheme::Light);
    if (name.endsWith(QLatin1String(".json")))
        return readTheme(name.toStdString());
    const std::filesystem::path file = themeFolder() / (name.toStdString() + ".json");
    if (name.contains(QLatin1Char('/')) || !std::filesystem::exists(file))
        throw core::Error(core::ErrorKind::NotFound, "There is no theme \"" + name.toStdString()
                                                         + "\": it would be the file " + file.string()
                                                         + ". Choose dark, light or one of your own.");
    return readTheme(file);
}

ChartStyle styleOf(const session::PublishSettings& publish)
{
    ChartStyle style;
    style.theme =
        publish.ownTheme.empty() ? bundledTheme(publish.theme) : themeNamed(QString::fromStdString(publish.ownTheme));
    style.pixels = QSize(publish.width, publish.height);
    style.transparent = publish.transparent;
    style.notesApart = publish.notesApart;
    return style;
}

ChartScene emptyScene(const ChartStyle& style)
{
    ChartScene scene;
    scene.size = unitsOf(style.pixels);
    scene.pixels = style.pixels;
    scene.background = style.theme.palette.background;
    if (style.transparent)
        scene.background.setAlpha(0);
    return scene;
}

QRectF logoBox(const PictureTheme& theme, const QRectF& room)
{
    constexpr QSizeF largest(300, 96);
    if (theme.logo.isNull())
        return {};
    const QSizeF size = QSizeF(theme.logo.size()).scaled(largest, Qt::KeepAspectRatio);
    return {room.topRight() - QPointF(size.width(), 0), size};
}

QSizeF unitsOf(QSize pixels)
{
    // A phone shows 1080 units on its shorter side; along its longer one 2340 have room (19.5 : 9).
    const double shorter = std::min(pixels.width(), pixels.height()),
                 longer = std::max(pixels.width(), pixels.height());
    const double pixelsAUnit = std::max(shorter / 1080, longer / 2340);
    return QSizeF(pixels) / pixelsAUnit;
}

QRectF safeAreaOf(QSizeF units)
{
    return {0.05 * units.width(), 0.05 * units.height(), 0.9 * units.width(), 0.9 * units.height()};
}

} // namespace ui
