#pragma once
// The program run as a user runs it.
#include <QJsonDocument>
#include <QJsonObject>
#include <QProcess>
#include <catch2/catch.hpp>

struct Outcome {
    int status = -1;
    QByteArray output, problem;
    QJsonObject json() const { return QJsonDocument::fromJson(output).object(); }
};

inline Outcome run(const QStringList& arguments)
{
    QProcess program;
    program.start(QStringLiteral(TALLYFRAME_PROGRAM), arguments);
    REQUIRE(program.waitForFinished(60'000));
    REQUIRE(program.exitStatus() == QProcess::NormalExit);
    return {program.exitCode(), program.readAllStandardOutput(), program.readAllStandardError()};
}
