#pragma once
#include <QString>
#include "ui/model/session_model.h"

/// A session of our own for the pages: a foot pedal on several links, on two displays, filmed by two cameras.
namespace pages_session {

struct Content {
    bool settleAll = false; ///< else the second camera's clock is in dispute and two cameras have no trials
    int trialsEach = 24;    ///< of each configuration, in two captures
    int planned = 24;
    int configurations = 6; ///< up to 6
    bool margin = true;
};
session::Document document(const Content& content = {});

/// Writes the document as a session file into `folder` and opens it in the model. False when that fails.
bool openIn(ui::SessionModel& model, const QString& folder, const session::Document& document);

/// Waits until the door has answered everything and results below the model are of it; false after five seconds.
bool settled(ui::SessionModel& model);

session::ConfigurationId configurationNamed(const session::Document& document, const std::string& name,
                                            const std::string& group = {});
session::ClockId clockNamed(const session::Document& document, const std::string& name);

} // namespace pages_session
