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

std::string json(const Rows& rows)
{
    QJsonArray array;
    for (const Row& row : rows) {
        QJsonObject object{{"subject", QString::fromStdString(row.subject)},
                           {"what", QString::fromStdString(row.what)},
                           {"value", row.value},
                           {"unit", QString::fromStdString(row.unit)}};
        if (row.bare) {
            object["bare"] = *row.bare;
            object["against"] = QString::fromStdString(row.against);
        }
        if (const auto times = ratio(row))
            object["ratio"] = *times;
        array << object;
    }
    double load = -1;
    if (::getloadavg(&load, 1) != 1)
        load = -1;
    const QJsonObject machine{{"processor", QString::fromStdString(processor())},
                              {"cores", static_cast<int>(std::thread::hardware_concurrency())},
                              {"system", QSysInfo::prettyProductName()},
                              {"time", QDateTime::currentDateTime().toString(Qt::ISODate)},
                              {"loadAverage", load}}; // -1: the system doesn't say
    return QJsonDocument(QJsonObject{{"machine", machine}, {"rows", array}}).toJson().toStdString();
}

} // namespace bench
