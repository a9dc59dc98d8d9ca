#include "app/commands.h"

#include <QJsonDocument>
#include <cstdio>

namespace app {

void printLine(const QString& line)
{
    const QByteArray bytes = line.toUtf8();
    std::fwrite(bytes.constData(), 1, static_cast<std::size_t>(bytes.size()), stdout);
    std::fputc('\n', stdout);
}

void printField(const char* name, const QString& value)
{
    printLine(QStringLiteral("  %1 %2").arg(QLatin1String(name), -14).arg(value));
}

void printJson(const QJsonObject& object)
{
    printLine(QString::fromUtf8(QJsonDocument(object).toJson(QJsonDocument::Compact)));
}

void printProblem(const std::string& sentence) { std::fprintf(stderr, "tallyframe: %s\n", sentence.c_str()); }

} // namespace app
