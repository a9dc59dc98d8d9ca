#pragma once
#include "core/analysis/results.h"
#include "core/report/publication_changes.h"
#include "core/report/published_folder.h"
#include "core/session/document.h"
#include "ui/publish/products.h"

namespace ui {

/// Where products go.
struct PublishInto {
    PublishInto(std::filesystem::path into, std::string name = {}, bool replace = false)
        : folder(std::move(into)), session(std::move(name)), replaceForeign(replace)
    {}
    std::filesystem::path folder; ///< made when it isn't there
    std::string session;          ///< name of its file, as report::PublishedFolder has it; empty while it has none
    bool replaceForeign;          ///< files there that this session didn't write as they are now
};

/// What a publishing that is under way looks at and tells.
struct PublishRun {
    std::shared_ptr<const analysis::Results> results; ///< of the document, where they are known already
    std::vector<report::Product> further;             ///< written with the others, after them
    std::stop_token stop;
    PublishChoice choice;                  ///< all that doesn't take long, where nothing is named
    std::optional<PictureSource> pictures; ///< empty: no evidence is made, as of a session without a file
    std::function<void(std::size_t written, std::size_t all)> progress;
    MakingProgress making; ///< before anything is written
};

struct Published : report::PublishedFolder::Written {
    session::Publication record; ///< what session::recordPublication() puts on record in the session
    report::Changes moved;       ///< since what the folder held; nothing where it held none of this session
};

/// What the folder holds of an earlier publication of this session. Reads a file.
std::optional<report::PublishedState> publishedIn(const PublishInto& into);

/// Writes the chosen products of a session: those of chartFiles(), motionFiles() and evidenceFiles(), results.csv,
/// uncertainty.csv, trials.csv, agreement.csv, check_figures.py (table), sentences.txt, method-note.txt, report.html,
/// changes.txt (from the first publication on that moved something), publication.json (what the next one compares
/// itself with) and checksums.txt, in that order and as report::PublishedFolder does. Equal sessions give equal bytes.
/// Needs a QGuiApplication, no screen; any thread. `programVersion` goes into the method note. Throws core::Error
/// (WriteFailed, Refused) and core::Cancelled; the folder is as it was then.
Published publish(const session::Document& document, const PublishInto& into, const std::string& programVersion,
                  const PublishRun& run = {});

} // namespace ui
