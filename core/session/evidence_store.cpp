#include "core/session/evidence_store.h"
#include "core/error.h"
#include "core/session/durable_file.h"
#include "core/session/text.h"
#include <QCryptographicHash>

namespace session {

namespace {

/// Both regions before and after a mark take 100 KB at most together; a full picture of any camera stays below this.
constexpr std::int64_t largestCrop = std::int64_t{64} << 20;

std::string hashOf(const QByteArray& bytes)
{
    return QCryptographicHash::hash(bytes, QCryptographicHash::Sha256).toHex().toStdString();
}

} // namespace

std::filesystem::path evidencePath(const std::filesystem::path& sessionPath)
{
    std::filesystem::path name = sessionPath.extension() == ".tallyframe" ? sessionPath.stem() : sessionPath.filename();
    return sessionPath.parent_path() / (name += ".evidence");
}

EvidenceStore::EvidenceStore(std::filesystem::path folder) : m_folder(std::move(folder)) {}

std::string EvidenceStore::keep(const std::vector<std::uint8_t>& png) const
{
    const auto bytes = QByteArray::fromRawData(reinterpret_cast<const char*>(png.data()), std::ssize(png));
    const std::string hash = hashOf(bytes);
    const std::filesystem::path path = m_folder / (hash + ".png");
    std::error_code error;
    // Replacements are atomic: what has the name and the length has the bytes, as far as writing goes.
    if (std::filesystem::file_size(path, error) == png.size() && !error)
        return hash;
    if (std::filesystem::create_directories(m_folder, error))
        syncFolder(m_folder.parent_path());
    if (error)
        throw core::Error(core::ErrorKind::WriteFailed, "The folder " + m_folder.string() + " for crops can't be made: "
                                                            + error.message() + "; check free space and permissions.");
    Replacement(path, bytes).commit();
    return hash;
}

std::optional<std::vector<std::uint8_t>> EvidenceStore::load(const std::string& sha256) const
{
    if (!isHex(sha256, 64)) // a name from elsewhere must not lead out of the folder
        return std::nullopt;
    const std::filesystem::path path = m_folder / (sha256 + ".png");
    try {
        const QByteArray bytes = readFile(path, largestCrop);
        if (hashOf(bytes) != sha256)
            throw core::Error(core::ErrorKind::AtOdds,
                              "The crop " + path.string()
                                  + " isn't what was kept; restore it from a copy of its folder.");
        return std::vector<std::uint8_t>(bytes.begin(), bytes.end());
    } catch (const core::Error& error) {
        if (error.kind() == core::ErrorKind::NotFound)
            return std::nullopt;
        throw;
    }
}

} // namespace session
