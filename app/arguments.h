#pragma once
#include "app/command_line.h"
#include "app/commands.h"
#include "core/media/picture/picture.h"
#include "core/timing/reference_fit.h"
#include <QMap>
#include <QStringList>
#include <cstdint>
#include <optional>

namespace app {

inline constexpr double highestFrequency = 1e7; ///< Hz, of all that commands take

/// What a command was given, options split from what it works on.
class Arguments {
public:
    /// `arguments` without the program's and the command's name. Throws UsageError for an option that the form doesn't
    /// have, one that lacks its value, is given twice or is needed and missing.
    Arguments(const Form& form, const QStringList& arguments);

    bool has(const char* option) const { return m_options.contains(QLatin1String(option)); }
    QString value(const char* option) const { return m_options.value(QLatin1String(option)); }
    std::string text(const char* option) const { return value(option).toStdString(); }
    /// A whole number within both bounds; empty where it isn't given. Throws UsageError with `what` it takes.
    std::optional<std::int64_t> wholeNumber(const char* option, std::int64_t least, std::int64_t most,
                                            const std::string& what) const;
    /// The value of "stream": a stream's number in its container. Throws UsageError when it isn't one.
    std::optional<int> stream() const;
    /// The value of "seed", from 0 to the highest number that a session holds; throws UsageError when it isn't one.
    std::optional<std::int64_t> seed() const;
    /// A number above 0 and up to `highest`; throws UsageError with `what` it takes otherwise.
    double positiveNumber(const char* option, double highest, const std::string& what) const;
    /// A frequency in Hz, "a number of `what` a second above 0", and where it is given its tolerance in parts per
    /// million. Throws UsageError.
    timing::ReferenceLamp light(const char* frequency, const char* tolerance, const std::string& what) const;
    /// The value of a region's option, X,Y,W,H in whole pixels with W and H at least 1, inside a picture of that size;
    /// all of it where it isn't given. Throws UsageError.
    media::Rect regionIn(media::Size picture, const char* option = "region") const;
    const QStringList& operands() const { return m_operands; }
    /// Throws UsageError naming `what` unless there is exactly one operand.
    QString onlyOperand(const char* what) const;

private:
    UsageError notTaken(const char* option, const std::string& what) const;

    QMap<QString, QString> m_options;
    QStringList m_operands;
};

} // namespace app
