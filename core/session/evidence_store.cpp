#include "core/session/evidence_store.h"
#include "core/error.h"
#include "core/session/text.h"

namespace session {

std::filesystem::path evidencePath(const std::filesystem::path& sessionPath)
{
    std::filesystem::path name = sessionPath.extension() == ".tallyframe" ? sessionPath.stem() : sessionPath.filename();
    return sessionPath.parent_path() / (name += ".evidence");
}

EvidenceStore::EvidenceStore(const std::filesystem::path& path)
    : m_file(std::make_unique<SessionStore>(path, SessionStore::Check::None))
{}

std::string EvidenceStore::keep(const std::vector<std::uint8_t>& png)
{
    const QByteArray bytes(reinterpret_cast<const char*>(png.data()), std::ssize(png));
    const std::string hash = sha256Of(bytes);
    const std::lock_guard lock(m_mutex);
    m_uncommitted.emplace(hash, bytes);
    return hash;
}

std::optional<std::vector<std::uint8_t>> EvidenceStore::load(const std::string& sha256)
{
    if (!isHex(sha256, 64))
        return std::nullopt;
    const std::lock_guard lock(m_mutex);
    const auto held = m_uncommitted.find(sha256);
    const std::optional<QByteArray> png = held != m_uncommitted.end() ? std::optional(held->second)
                                          : m_file                    ? m_file->crop(sha256)
                                                                      : std::nullopt;
    return png ? std::optional(std::vector<std::uint8_t>(png->begin(), png->end())) : std::nullopt;
}

CropBytes EvidenceStore::uncommitted() const
{
    const std::lock_guard lock(m_mutex);
    return m_uncommitted;
}

void EvidenceStore::wrote(const CropBytes& crops)
{
    const std::lock_guard lock(m_mutex);
    for (const auto& [sha256, png] : crops)
        m_uncommitted.erase(sha256);
}

void EvidenceStore::moveTo(const std::filesystem::path& path)
{
    auto file = std::make_unique<SessionStore>(path, SessionStore::Check::None);
    const std::lock_guard lock(m_mutex);
    m_file = std::move(file);
}

} // namespace session
