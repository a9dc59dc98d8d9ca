#include "core/report/published_folder.h"
#include "core/analysis/phrases.h"
#include "core/error.h"
#include "core/session/durable_file.h"
#include "core/session/text.h"

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <limits>
#include <map>
#include <optional>
#include <sys/stat.h>
#include <unistd.h>

namespace report {
namespace {

namespace fs = std::filesystem;

const std::string checksumsName = "checksums.txt", unfinishedName = "checksums.txt.unfinished";
constexpr std::int64_t longest = 256 << 20; ///< bytes of a file that is compared; products are far below

/// Empty where there is none, and where what has that name can't be read as a file.
std::optional<QByteArray> bytesOf(const fs::path& path)
{
    try {
        return session::readFile(path, longest);
    } catch (const core::Error&) {
        return std::nullopt;
    }
}

using Sums = std::map<std::string, std::string>; ///< file name to SHA-256

std::string headOf(const std::string& session)
{
    return "# Tallyframe wrote these files for the session \"" + analysis::oneLine(session) + "\".\n";
}

/// Empty where the list is another session's, or none.
Sums sumsIn(const std::string& list, const std::string& session)
{
    Sums sums;
    if (list.find(headOf(session)) == std::string::npos)
        return sums;
    for (const std::string& line : analysis::parts(list, "\n"))
        if (line.size() > 66 && session::isHex(line.substr(0, 64), 64) && line.substr(64, 2) == "  ")
            sums[line.substr(66)] = line.substr(0, 64);
    return sums;
}

std::string textOf(const fs::path& path) { return bytesOf(path).value_or(QByteArray()).toStdString(); }

QByteArray checksums(const std::string& session, const Sums& files)
{
    std::string text = headOf(session) + "# sha256sum -c " + checksumsName + " says whether they are as they were.\n";
    for (const auto& [name, sum] : files)
        text += sum + "  " + name + '\n';
    return QByteArray::fromStdString(text);
}

void makeFolder(const fs::path& folder)
{
    try {
        session::makeFolders(folder);
    } catch (const core::Error& error) {
        throw core::Error(error.kind(), std::string(error.what()) + " Choose another folder.");
    }
}

bool runs(const std::string& process)
{
    const long number = std::strtol(process.c_str(), nullptr, 10);
    return number != ::getpid() && number > 0 && number <= std::numeric_limits<pid_t>::max()
           && (::kill(static_cast<pid_t>(number), 0) == 0 || errno == EPERM);
}

const std::string processBefore = "# Tallyframe process ", processAfter = " is publishing into this folder.\n";

/// Says which process is writing and what, so that what it leaves when it is killed is known. Gone with this.
class Unfinished {
public:
    Unfinished(const fs::path& folder, const std::string& session, const Sums& sums) : m_path(folder / unfinishedName)
    {
        const std::string process = processBefore + std::to_string(::getpid()) + processAfter;
        session::Replacement file(m_path, QByteArray::fromStdString(process) + checksums(session, sums));
        file.commit();
    }
    ~Unfinished() { ::unlink(m_path.c_str()); }
    Unfinished(const Unfinished&) = delete;
    Unfinished& operator=(const Unfinished&) = delete;

private:
    fs::path m_path;
};

/// Number of the process that was publishing here when it ended; empty where none was, or it still does.
std::optional<std::string> interrupted(const fs::path& folder)
{
    const std::string text = textOf(folder / unfinishedName);
    const std::size_t end = text.find(processAfter);
    if (!text.starts_with(processBefore) || end == std::string::npos)
        return std::nullopt;
    const std::string process = text.substr(processBefore.size(), end - processBefore.size());
    return runs(process) ? std::nullopt : std::optional(process);
}

/// "NAME.before-12-3" is of "NAME" and process "12".
struct Leftover {
    std::string name;    ///< of the file itself
    std::string product; ///< whose place it was for
    std::string process;
    bool before = false; ///< the file that was there earlier; else the one that was being written
};

std::optional<Leftover> leftover(const std::string& name)
{
    for (const bool before : {true, false}) {
        const std::string mark = before ? ".before-" : ".writing-";
        const std::size_t at = name.rfind(mark);
        if (at == std::string::npos || at == 0)
            continue;
        const std::string number = name.substr(at + mark.size());
        const std::size_t dash = number.find('-');
        const auto digits = [](const std::string& text) {
            return !text.empty() && text.find_first_not_of("0123456789") == std::string::npos;
        };
        if (dash != std::string::npos && digits(number.substr(0, dash)) && digits(number.substr(dash + 1)))
            return Leftover{name, name.substr(0, at), number.substr(0, dash), before};
    }
    return std::nullopt;
}

std::vector<Leftover> leftovers(const fs::path& folder, const std::vector<Product>& products)
{
    std::vector<Leftover> found;
    std::error_code error;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder, error)) {
        const auto one = leftover(entry.path().filename().string());
        const bool ofProduct = one
                               && (one->product == checksumsName || one->product == unfinishedName
                                   || std::ranges::find(products, one->product, &Product::name) != products.end());
        if (ofProduct && !runs(one->process) && entry.symlink_status(error).type() == fs::file_type::regular)
            found.push_back(*one);
    }
    std::ranges::sort(found, {}, &Leftover::name);
    return found;
}

} // namespace

PublishedFolder::PublishedFolder(fs::path folder, std::string session,
                                 const session::Table<session::Publication>& publications)
    : m_folder(std::move(folder)), m_session(std::move(session))
{
    for (const auto& [id, publication] : publications)
        for (const session::PublishedFile& file : publication->files)
            m_published.emplace(file.name, file.sha256);
}

std::vector<std::string> PublishedFolder::foreign(const std::vector<Product>& products) const
{
    const Sums own = sumsIn(textOf(m_folder / checksumsName), m_session),
               interruptedSums = sumsIn(textOf(m_folder / unfinishedName), m_session);
    const auto isThere = [&](const std::string& name) {
        std::error_code error;
        return fs::exists(fs::symlink_status(m_folder / name, error));
    };
    const auto lists = [](const Sums& sums, const std::string& name, const std::string& sum) {
        const auto found = sums.find(name);
        return found != sums.end() && found->second == sum;
    };
    std::vector<std::string> names;
    for (const Product& product : products) {
        std::error_code error;
        if (!isThere(product.name) || fs::is_directory(m_folder / product.name, error))
            continue; // a folder is replaced by nobody: writing says so
        const auto there = bytesOf(m_folder / product.name);
        const std::string sum = there ? session::sha256Of(*there) : std::string();
        if (!there
            || (*there != product.bytes && !m_published.contains({product.name, sum}) && !lists(own, product.name, sum)
                && !lists(interruptedSums, product.name, sum)))
            names.push_back(product.name);
    }
    // Another session's list is that session's; one that is no list of ours is somebody's file.
    if (isThere(checksumsName) && textOf(m_folder / checksumsName).find(headOf(m_session)) != 0)
        names.push_back(checksumsName);
    if (isThere(unfinishedName) && !textOf(m_folder / unfinishedName).starts_with(processBefore))
        names.push_back(unfinishedName);
    return names;
}

PublishedFolder::Written PublishedFolder::write(const std::vector<Product>& products, bool replaceForeign,
                                                const std::stop_token& stop,
                                                const std::function<void(std::size_t, std::size_t)>& progress) const
{
    makeFolder(m_folder);
    if (const auto others = foreign(products); !replaceForeign && !others.empty())
        throw core::Error(core::ErrorKind::Refused,
                          "Nothing was published: in " + m_folder.string() + " "
                              + (others.size() == 1
                                     ? "there is a file that this session didn't write as it is now: "
                                     : "there are files that this session didn't write as they are now: ")
                              + analysis::listed(others) + ".");
    const auto process = interrupted(m_folder);
    const std::vector<Leftover> left = leftovers(m_folder, products);
    const Sums earlier = sumsIn(textOf(m_folder / checksumsName), m_session);
    Sums own = earlier;
    Written written;
    for (const Product& product : products) {
        written.sums.push_back({product.name, session::sha256Of(product.bytes)});
        own[product.name] = written.sums.back().sha256;
    }
    std::vector<Product> changed;
    const auto add = [&](const std::string& name, const QByteArray& bytes) {
        if (stop.stop_requested())
            throw core::Cancelled();
        written.files.push_back(m_folder / name);
        if (bytesOf(written.files.back()) != bytes)
            changed.push_back({name, bytes});
    };
    for (const Product& product : products)
        add(product.name, product.bytes);
    for (const auto& [name, sum] : earlier)
        if (std::ranges::find(products, name, &Product::name) == products.end())
            if (const auto there = bytesOf(m_folder / name); there && session::sha256Of(*there) == sum)
                written.others.push_back(name);
    add(checksumsName, checksums(m_session, own));
    if (!changed.empty()) {
        const Unfinished unfinished(m_folder, m_session, own);
        session::Replacements files;
        for (std::size_t i = 0; i < changed.size(); ++i) {
            if (progress)
                progress(i, changed.size());
            if (stop.stop_requested())
                throw core::Cancelled();
            // A full disk shows here, before the first file takes its name.
            files.add(m_folder / changed[i].name, changed[i].bytes);
            written.rewritten.push_back(changed[i].name);
        }
        if (stop.stop_requested())
            throw core::Cancelled();
        files.commit();
        if (progress)
            progress(changed.size(), changed.size());
    } else if (process) {
        ::unlink((m_folder / unfinishedName).c_str()); // all it was about to write is there
    }

    std::vector<std::string> gone, stay;
    for (const Leftover& one : left) {
        const fs::path path = m_folder / one.name;
        const auto bytes = bytesOf(path);
        const auto sum = earlier.find(one.product);
        // A file half written is the program's where that process said so; one that was there earlier is where it was
        // listed as the session's.
        const std::string now = bytes ? session::sha256Of(*bytes) : std::string();
        const bool ours =
            one.before ? (sum != earlier.end() && sum->second == now) || m_published.contains({one.product, now})
                             || (one.product == checksumsName && bytes && bytes->startsWith(headOf(m_session).c_str()))
                       : process && one.process == *process;
        (ours && ::unlink(path.c_str()) == 0 ? gone : stay).push_back(one.name);
    }
    if (!gone.empty())
        written.reports.push_back(
            "Publishing was interrupted earlier; what it had left was taken away: " + analysis::listed(gone) + ".");
    if (!stay.empty())
        written.reports.push_back("Publishing seems to have been interrupted earlier and may have left "
                                  + analysis::listed(stay) + " in " + m_folder.string() + "; look at "
                                  + (stay.size() == 1 ? "it" : "them") + " and take away what isn't needed.");
    return written;
}

} // namespace report
