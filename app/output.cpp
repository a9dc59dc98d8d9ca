#include "app/commands.h"

#include <cstdio>

namespace app {

void printLine(const QString& line)
{
    const QByteArray bytes = line.toUtf8();
    std::fwrite(bytes.constData(), 1, static_cast<std::size_t>(bytes.size()), stdout);
    std::fputc('\n', stdout);
}

void printProblem(const std::string& sentence) { std::fprintf(stderr, "tallyframe: %s\n", sentence.c_str()); }

} // namespace app
