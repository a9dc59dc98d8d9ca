#pragma once
#include "core/session/edits.h"
#include <QString>
#include <QVector>

namespace ui {

/// The part of a reference's error that others may share: the lamp's frequency, a display's refresh rate, a known
/// distance.
struct SharedError {
    std::string name;               ///< "frequency of the lamp of 9.7 Hz"
    double relativeUncertainty = 0; ///< standard; 0: there is nothing to share
    session::ErrorSourceId
        same; ///< this source of the session it is, with that one's uncertainty; 0: told by name and uncertainty
    bool another = false; ///< none of those that are there, though it may be named alike
};

/// A reference as evidence of the clock, with an error source of its own and the shared one.
session::Edit takeReference(const session::Document& document, session::ClockId clock, timing::RateEvidence rate,
                            const std::string& ownName, double ownUncertainty, const SharedError& shared);

/// Which error it is: first "told by ..." (0), then another (-1), then each that references of the session share, by
/// number.
QVector<std::pair<qint64, QString>> sharedErrorChoices(const session::Document& document, const QString& toldBy);
/// The choice in the terms of SharedError.
void applyChoice(SharedError& shared, qint64 choice);
/// Null unless the choice is one of the session's.
const session::ErrorSource* chosenSource(const session::Document& document, qint64 choice);

} // namespace ui
