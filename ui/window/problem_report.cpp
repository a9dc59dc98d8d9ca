#include "ui/window/problem_report.h"
#include "core/media/index/libraries.h"
#include "ui/controls/numbers.h"
#include "ui/footage/footage_pool.h"
#include "ui/model/session_model.h"

#include <QFileInfo>
#include <QGuiApplication>
#include <QRegularExpression>
#include <QScreen>
#include <QSysInfo>
#include <algorithm>

namespace ui {

namespace {

// Read by those who mend the program: not translated.

QString desktopWords()
{
    QStringList screens;
    const auto all = QGuiApplication::screens();
    for (const QScreen* screen : all)
        screens << QStringLiteral("%1 x %2 at scale %3, %4 Hz")
                       .arg(screen->size().width())
                       .arg(screen->size().height())
                       .arg(screen->devicePixelRatio())
                       .arg(screen->refreshRate());
    return QStringLiteral("%1, %2, %3; %4; %5")
        .arg(QSysInfo::prettyProductName(), QSysInfo::currentCpuArchitecture(), QGuiApplication::platformName(),
             screens.join(QStringLiteral(", ")), QLocale::system().name());
}

QString librariesWords()
{
    QStringList names{QStringLiteral("Qt %1").arg(QLatin1String(qVersion()))};
    for (const std::string& name : media::libraries())
        names << QString::fromStdString(name);
    return names.join(QStringLiteral(", "));
}

QString kindOf(const media::Footage& footage)
{
    QStringList words{QString::fromStdString(footage.container), QString::fromStdString(footage.codec),
                      QString::fromStdString(footage.pixelFormat),
                      QStringLiteral("%1 x %2").arg(footage.size.width).arg(footage.size.height)};
    if (footage.rotation != 0)
        words << QStringLiteral("turned by %1").arg(footage.rotation);
    if (footage.interlaced)
        words << QStringLiteral("interlaced");
    if (footage.averageRate)
        words << QStringLiteral("%1 a second as the container says").arg(footage.averageRate->toDouble());
    words << QStringLiteral("%1 frames, %2")
                 .arg(footage.frameCount().value)
                 .arg(footage.confirmed ? QStringLiteral("confirmed") : QStringLiteral("by packets"));
    if (!footage.parts.empty())
        words << QStringLiteral("%1 parts").arg(footage.parts.size());
    for (const media::Doubt& doubt : footage.doubts)
        words << QStringLiteral("in doubt from %1 to %2: %3")
                     .arg(doubt.first.value)
                     .arg(doubt.last.value)
                     .arg(withoutNames(QString::fromStdString(doubt.why)));
    if (footage.fault)
        words << withoutNames(QString::fromStdString(*footage.fault));
    return words.join(QStringLiteral(", "));
}

} // namespace

QString withoutNames(QString sentence, const QStringList& known)
{
    for (const QString& name : known)
        if (name.size() > 2)
            sentence.replace(name, QStringLiteral("…"));
    static const QRegularExpression quoted(QStringLiteral("“[^”]*”"));
    static const QRegularExpression path(QStringLiteral("(?:~|[A-Za-z]:)?/\\S*"));
    static const QRegularExpression file(QStringLiteral("\\S+\\.[A-Za-z][A-Za-z0-9]{1,10}\\b"));
    return sentence.replace(quoted, QStringLiteral("“…”"))
        .replace(path, QStringLiteral("…"))
        .replace(file, QStringLiteral("…"));
}

QString problemReport(const SessionModel& model, const FootagePool& pool, const QStringList& problems)
{
    const session::Document& document = *model.document();
    QStringList lines{QStringLiteral("Tallyframe %1").arg(QCoreApplication::applicationVersion()), librariesWords(),
                      desktopWords()};
    lines << QStringLiteral("Session: configurations %1, captures %2, trials %3, clocks %4%5")
                 .arg(document.configurations.size())
                 .arg(document.captures.size())
                 .arg(document.trials.size())
                 .arg(document.clocks.size())
                 .arg(model.readOnly()  ? QStringLiteral(", read-only")
                      : model.isDraft() ? QStringLiteral(", without a name")
                                        : QString());
    QStringList known;
    for (const auto& [id, configuration] : document.configurations)
        known << QString::fromStdString(configuration->name);
    for (const auto& [id, capture] : document.captures) {
        const QString path = model.footagePath(*capture);
        known << path << QFileInfo(path).fileName() << QString::fromStdString(capture->name);
    }
    std::ranges::stable_sort(known, std::greater(), &QString::size); // a path before the names that it holds
    int number = 0;
    for (const session::Capture* capture : session::inOrder(document.captures)) {
        const auto footage = pool.footage(model.footagePath(*capture));
        lines << QStringLiteral("Capture %1: %2")
                     .arg(++number)
                     .arg(footage ? kindOf(*footage) : QStringLiteral("not open"));
    }
    for (const QString& problem : problems)
        lines << QStringLiteral("Told: %1").arg(withoutNames(problem, known));
    return lines.join(QLatin1Char('\n')) + QLatin1Char('\n');
}

} // namespace ui
