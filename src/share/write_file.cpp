#include "share/write_file.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <cstdio>
#include <cstring>
#include <memory>
#include <optional>
#include <string>
#include <system_error>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>
#include <tl/expected.hpp>

namespace underfoot {
namespace {

namespace fs = std::filesystem;

using Pieces = std::span<const std::string_view>;

std::string remedyFor(int fault, const fs::path& file) {
    switch (fault) {
        case ENOENT:
            return "Make the folder first, or choose another one.";
        case ENOTDIR:
            return "A part of the path is a file, not a folder: choose another path.";
        case EACCES:
        case EPERM:
            return "Choose a folder you may write to.";
        case EROFS:
            return "The disk is read-only: choose a folder on another one.";
        case ENOSPC:
        case EDQUOT:
            return "The disk is full: free some space or choose another disk.";
        case EFBIG:
            return "The file is larger than the limit in force here: raise it or choose another disk.";
        case EISDIR:
            return "That is a folder: add a file name after it.";
        case ENAMETOOLONG:
            return fmt::format("Choose a name shorter than \"{}\".", file.filename().string());
        default:
            return "Choose another place or try again.";
    }
}

Diagnostic cannotWrite(const fs::path& file, int fault) {
    const std::string reason = std::generic_category().message(fault);
    return {{file.string(), 0, 0},
            fmt::format("Cannot write {}: {}.", file.string(), reason),
            remedyFor(fault, file)};
}

/// Past the system's cache, where the file's system offers that: whole blocks from memory that starts at one.
bool setDirect(int descriptor, bool direct) {
    const int flags = ::fcntl(descriptor, F_GETFL);
    return flags >= 0 && ::fcntl(descriptor, F_SETFL, direct ? flags | O_DIRECT : flags & ~O_DIRECT) == 0;
}

/// 0 or the fault. `direct` becomes false where the file turns out to want the cache.
int writeBytes(int descriptor, std::string_view bytes, bool& direct) {
    while (!bytes.empty()) {
        const ssize_t n = ::write(descriptor, bytes.data(), bytes.size());
        if (n < 0 && errno == EINTR) continue;
        if (n < 0 && errno == EINVAL && direct && setDirect(descriptor, false)) {
            direct = false;
            continue;
        }
        if (n < 0) return errno;
        if (n == 0) return EIO;
        bytes.remove_prefix(static_cast<size_t>(n));
    }
    return 0;
}

int writeCached(int descriptor, Pieces pieces) {
    bool direct = false;
    for (const std::string_view bytes : pieces)
        if (const int fault = writeBytes(descriptor, bytes, direct)) return fault;
    return 0;
}

/// A large file that is flushed anyway: straight to the disk, by way of a buffer of whole blocks. Half the
/// work of filling the cache first, and what others keep there stays.
int writeStraight(int descriptor, Pieces pieces) {
    constexpr size_t block = 4096, room = size_t{4} << 20;
    struct alignas(block) Block {
        std::array<char, block> bytes;
    };
    const std::unique_ptr<Block[]> buffer(new Block[room / block]);
    char* const begin = buffer[0].bytes.data();
    bool direct = true;
    size_t filled = 0;
    for (std::string_view bytes : pieces)
        while (!bytes.empty()) {
            const size_t taken = std::min(bytes.size(), room - filled);
            std::memcpy(begin + filled, bytes.data(), taken);
            bytes.remove_prefix(taken);
            filled += taken;
            if (filled < room) continue;
            if (const int fault = writeBytes(descriptor, {begin, filled}, direct)) return fault;
            filled = 0;
        }
    const size_t whole = filled / block * block;
    if (const int fault = writeBytes(descriptor, {begin, whole}, direct)) return fault;
    // What is left is no whole block.
    if (direct && !setDirect(descriptor, false)) return errno;
    direct = false;
    return writeBytes(descriptor, {begin + whole, filled - whole}, direct);
}

size_t lengthOf(Pieces pieces) {
    size_t length = 0;
    for (const std::string_view piece : pieces) length += piece.size();
    return length;
}

/// 0 or the fault.
int writeAll(int descriptor, Pieces pieces, bool flush) {
    constexpr size_t large = size_t{16} << 20;
    if (flush && lengthOf(pieces) >= large && setDirect(descriptor, true))
        return writeStraight(descriptor, pieces);
    return writeCached(descriptor, pieces);
}

/// Closes after writing; the first fault of write, flush and close.
int writeAndClose(int descriptor, Pieces pieces, bool flush) {
    int fault = writeAll(descriptor, pieces, flush);
    if (fault == 0 && flush && ::fsync(descriptor) != 0 && errno != EINVAL && errno != EROFS) fault = errno;
    if (::close(descriptor) != 0 && fault == 0) fault = errno;
    return fault;
}

/// The rename itself survives a loss of power only once the folder is on the disk. A folder that cannot be
/// flushed (some network disks) is no reason to fail: the file is complete.
void flushFolder(const fs::path& folder) {
    const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (descriptor < 0) return;
    (void)::fsync(descriptor);
    (void)::close(descriptor);
}

struct Temporary {
    fs::path path;
    int descriptor = -1;
};

/// A new file beside `target`, by a name that nobody uses.
tl::expected<Temporary, int> openBeside(const fs::path& target) {
    for (int attempt = 0; attempt < 1000; ++attempt) {
        const std::string stem = target.filename().string().substr(0, 100);
        const fs::path path = target.parent_path() / fmt::format(".{}.{}-{}.part", stem, ::getpid(), attempt);
        const int descriptor = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (descriptor >= 0) return Temporary{path, descriptor};
        if (errno != EEXIST) return tl::unexpected(errno);
    }
    return tl::unexpected(EEXIST);
}

int replace(const fs::path& target, const std::optional<mode_t>& mode, Pieces pieces) {
    auto temporary = openBeside(target);
    if (!temporary) return temporary.error();
    if (mode) (void)::fchmod(temporary->descriptor, *mode);
    int fault = writeAndClose(temporary->descriptor, pieces, true);
    if (fault == 0 && ::rename(temporary->path.c_str(), target.c_str()) != 0) fault = errno;
    if (fault != 0)
        (void)::unlink(temporary->path.c_str());
    else
        flushFolder(target.parent_path());
    return fault;
}

int writeDirectly(const fs::path& target, Pieces pieces) {
    const int descriptor = ::open(target.c_str(), O_WRONLY | O_CLOEXEC);
    return descriptor < 0 ? errno : writeAndClose(descriptor, pieces, false);
}

int writeTo(const fs::path& file, Pieces pieces) {
    if (!file.has_filename()) return EISDIR;
    std::error_code trouble;
    fs::path target = fs::absolute(file, trouble);
    if (trouble) return trouble.value();
    struct stat facts {};
    if (::stat(target.c_str(), &facts) != 0) {
        if (errno != ENOENT) return errno;
        return replace(target, std::nullopt, pieces);
    }
    if (S_ISDIR(facts.st_mode)) return EISDIR;
    if (!S_ISREG(facts.st_mode)) return writeDirectly(target, pieces);
    // A file that is closed to writing stays as it is, though its folder would allow replacing it.
    if (::access(target.c_str(), W_OK) != 0) return errno;
    target = fs::canonical(target, trouble);
    if (trouble) return trouble.value();
    return replace(target, facts.st_mode & 07777U, pieces);
}

}  // namespace

Result<Written> writeFile(const fs::path& file, std::string_view bytes) {
    return writeFile(file, Pieces(&bytes, 1));
}

Result<Written> writeFile(const fs::path& file, Pieces pieces) {
    const int fault = writeTo(file, pieces);
    if (fault != 0) return tl::unexpected(cannotWrite(file, fault));
    return Written{file, lengthOf(pieces)};
}

}  // namespace underfoot
