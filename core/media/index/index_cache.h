#pragma once
#include "core/media/index/footage.h"

namespace media {

/// Indexes kept on disk, so that reopening footage doesn't decode all of it again. An entry holds only for the same
/// path, size, modification time, sampled contents and decoder versions; anything else, and any damage, counts as
/// absent. Several programs may use one folder.
class IndexCache {
public:
    /// `folder` is made when something is stored. When its files exceed `mostBytes`, the oldest go.
    explicit IndexCache(std::filesystem::path folder, std::int64_t mostBytes = std::int64_t{256} << 20);

    /// Null when there is no entry that holds. `stream` as in OpenOptions.
    std::shared_ptr<const Footage> load(const std::filesystem::path& footage, std::optional<int> stream = {}) const;

    /// Written under another name first, so never half there. Precondition: confirmed. Throws core::Error
    /// (WriteFailed).
    void store(const Footage& footage) const;

private:
    std::filesystem::path entryFor(const std::filesystem::path& footage, std::optional<int> stream) const;
    std::shared_ptr<Footage> loadEntry(const std::filesystem::path& footage, std::optional<int> stream) const;
    void prune() const;

    std::filesystem::path m_folder;
    std::int64_t m_mostBytes;
};

} // namespace media
