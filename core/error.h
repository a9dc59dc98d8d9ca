#pragma once
#include <stdexcept>
#include <string>

namespace core {

/// What kind of thing is at fault; the edge (window, command line) decides by it what to advise.
enum class ErrorKind {
    NotFound,    ///< a file or folder isn't where it should be
    Unreadable,  ///< the operating system or a decoder can't read it
    Unsupported, ///< readable, but of a kind that is refused (maker's raw, playlist, newer format version)
    Malformed,   ///< contents break their own format
    AtOdds,      ///< input contradicts the session (changed footage, a changed session file)
    Locked,      ///< in use by another instance
    Refused,     ///< an edit that would leave the session inconsistent
    WriteFailed, ///< disk full, no permission
};

/// File, footage or disk is at fault. `what()` is one sentence: what was tried, on what, why it failed.
class Error : public std::runtime_error {
public:
    Error(ErrorKind kind, const std::string& sentence) : std::runtime_error(sentence), m_kind(kind) {}
    ErrorKind kind() const noexcept { return m_kind; }

private:
    ErrorKind m_kind;
};

/// Work stopped because someone asked for it. Not an Error, so that no dialog shows it.
class Cancelled : public std::exception {
public:
    const char* what() const noexcept override { return "stopped on request"; }
};

} // namespace core
