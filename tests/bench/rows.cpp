#include "tests/bench/rows.h"

#include <QDateTime>
#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <QSysInfo>
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <thread>

namespace bench {

namespace {

std::string figure(double value)
{
    char text[32];
    std::snprintf(text, sizeof text, value < 10 ? "%.2f" : value < 100 ? "%.1f" : "%.0f", value);
    return text;
}

std::optional<double> ratio(const Row& row)
{
    if (!row.bare || *row.bare <= 0)
        return {};
    return row.value / *row.bare;
}

/// "model name" of the first processor as the kernel has it.
std::string processor()
{
    std::ifstream file("/proc/cpuinfo");
    for (std::string line; std::getline(file, line);)
        if (line.starts_with("model name"))
            return line.substr(std::min(line.size(), line.find(':') + 2));
    return QSysInfo::currentCpuArchitecture().toStdString();
}

/// -1 where the system doesn't say.
double loadAverage()
{
    double load = -1;
    return ::getloadavg(&load, 1) == 1 ? load : -1;
}

} // namespace

std::string tableHead()
{
    return "| film or session | what | measured | bare | ratio | bare program |\n"
           "| --- | --- | ---: | ---: | ---: | --- |\n";
}

std::string tableLines(const Rows& rows)
{
    std::string text;
    for (const Row& row : rows) {
        const auto times = ratio(row);
        text += "| " + row.subject + " | " + row.what + " | " + figure(row.value) + " " + row.unit + " | "
                + (row.bare ? figure(*row.bare) + " " + row.unit : "") + " | " + (times ? figure(*times) : "") + " | "
                + row.against + " |\n";
    }
    return text;
}

std::string withRun(const std::string& page, const std::string& arguments, const Rows& rows)
{
    const std::string head = "# What the bench measured\n\n"
                             "Written by `tests/bench/run`, a table for each set of options it was called with. Every "
                             "ratio is to a bare\nprogram doing the least possible work on the same film in the same "
                             "run; figures depend on the machine.\n";
    const std::string heading = "\n## `tests/bench/run" + (arguments.empty() ? "" : " " + arguments) + "`\n";
    std::string others = page.starts_with(head) ? page.substr(head.size()) : std::string();
    if (const std::size_t from = others.find(heading); from != std::string::npos) {
        const std::size_t next = others.find("\n## ", from + heading.size());
        others.erase(from, next == std::string::npos ? next : next - from);
    }
    std::ostringstream where;
    where << "\n"
          << QDateTime::currentDateTime().toString(QStringLiteral("yyyy-MM-dd HH:mm")).toStdString() << ", "
          << processor() << ", " << std::thread::hardware_concurrency() << " cores, "
          << QSysInfo::prettyProductName().toStdString();
    if (const double load = loadAverage(); load >= 0)
        where << ", load average " << figure(load);
    return head + others + heading + where.str() + ".\n\n" + tableHead() + tableLines(rows);
}

std::string json(const Rows& rows)
{
    QJsonArray array;
    for (const Row& row : rows) {
        QJsonObject object{{QStringLiteral("subject"), QString::fromStdString(row.subject)},
                           {QStringLiteral("what"), QString::fromStdString(row.what)},
                           {QStringLiteral("value"), row.value},
                           {QStringLiteral("unit"), QString::fromStdString(row.unit)}};
        if (row.bare) {
            object[QStringLiteral("bare")] = *row.bare;
            object[QStringLiteral("against")] = QString::fromStdString(row.against);
        }
        if (const auto times = ratio(row))
            object[QStringLiteral("ratio")] = *times;
        array << object;
    }
    const QJsonObject machine{{QStringLiteral("processor"), QString::fromStdString(processor())},
                              {QStringLiteral("cores"), static_cast<int>(std::thread::hardware_concurrency())},
                              {QStringLiteral("system"), QSysInfo::prettyProductName()},
                              {QStringLiteral("time"), QDateTime::currentDateTime().toString(Qt::ISODate)},
                              {QStringLiteral("loadAverage"), loadAverage()}}; // -1: the system doesn't say
    return QJsonDocument(QJsonObject{{QStringLiteral("machine"), machine}, {QStringLiteral("rows"), array}})
        .toJson()
        .toStdString();
}

} // namespace bench
