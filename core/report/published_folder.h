#pragma once
#include "core/session/document.h"
#include <QByteArray>
#include <filesystem>
#include <functional>
#include <set>
#include <stop_token>
#include <string>
#include <vector>

namespace report {

/// A file that is published.
struct Product {
    std::string name; ///< without folder
    QByteArray bytes;
};

/// What products of a session are written into. checksums.txt lies beside them: the session's file name and the SHA-256
/// of every file as it was written, in the form that `sha256sum -c checksums.txt` reads. It says which files are the
/// session's own: those that still have the checksum that it lists for that session, or that the session's publications
/// have on record. Every other file of a product's
/// name was written by somebody else, or changed since, and is replaced only when the analyst says so.
class PublishedFolder {
public:
    /// `session` is the name of the session's file without folder; equal names are taken for the same session.
    PublishedFolder(std::filesystem::path folder, std::string session,
                    const session::Table<session::Publication>& publications = {});

    /// Files of these products' names that aren't the session's own; those that hold the same bytes already are left
    /// out. A folder that isn't there has none.
    std::vector<std::string> foreign(const std::vector<Product>& products) const;

    struct Written {
        std::vector<std::filesystem::path> files; ///< the products in their order, then checksums.txt
        std::vector<session::PublishedFile> sums; ///< of the products
        std::vector<std::string> rewritten;       ///< names of those that were new or other than on disk
        std::vector<std::string> others; ///< the session's own from earlier that weren't among the products this time
        /// What an interrupted publishing had left, one sentence each: taken away where it is certain to be the
        /// program's own, else where it lies.
        std::vector<std::string> reports;
    };
    /// Makes the folder when it isn't there. What lies there as it would be written isn't touched. All others are
    /// written beside their names first and take these together at the end, checksums.txt last; a failure or a stop
    /// leaves the earlier ones as they were. `progress` gets (files written, files that are). Throws core::Error
    /// (WriteFailed; Refused where foreign() isn't empty and `replaceForeign` is false) and core::Cancelled.
    Written write(const std::vector<Product>& products, bool replaceForeign, const std::stop_token& stop = {},
                  const std::function<void(std::size_t, std::size_t)>& progress = {}) const;

private:
    std::filesystem::path m_folder;
    std::string m_session;
    std::set<std::pair<std::string, std::string>> m_published; ///< names and checksums on record
};

} // namespace report
