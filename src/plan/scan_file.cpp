#include "plan/scan_file.h"

#include <chrono>
#include <cstdint>
#include <cstdio>
#include <cstring>
#include <string>
#include <string_view>
#include <system_error>

#include "measure/diagnostic.h"
#include "plan/text_file.h"

namespace underfoot {
namespace {

namespace fs = std::filesystem;

/// A file in pieces that end with a line. Stops at the end, and for good where a piece is no plain text or a
/// line has no end.
class Pieces {
  public:
    explicit Pieces(const fs::path& file) : file_(std::fopen(file.c_str(), "rb")), buffer_(size, '\0') {
        if (file_) std::setvbuf(file_.get(), nullptr, _IONBF, 0);
    }

    /// Empty at the end.
    std::string_view next() {
        if (!file_ || ended_) return {};
        std::memmove(buffer_.data(), buffer_.data() + taken_, held_ - taken_);
        held_ -= taken_;
        held_ += std::fread(buffer_.data() + held_, 1, size - held_, file_.get());
        ended_ = held_ < size;
        const std::string_view all(buffer_.data(), held_);
        const size_t lastEnd = all.rfind('\n');
        if (lastEnd == std::string_view::npos && !(ended_ && started_)) return stop();
        taken_ = ended_ ? held_ : lastEnd + 1;
        std::string_view piece = all.substr(0, taken_);
        if (!isPlainText(piece) || std::ferror(file_.get())) return stop();
        if (!started_ && piece.starts_with("\xEF\xBB\xBF")) piece.remove_prefix(3);
        started_ = true;
        return piece;
    }

    bool sound() const { return file_ && sound_; }

  private:
    std::string_view stop() {
        ended_ = true;
        sound_ = false;
        return {};
    }

    static constexpr size_t size = 1 << 18;  // fits the cache of a core
    OpenFile file_;
    std::string buffer_;
    size_t held_ = 0, taken_ = 0;
    bool started_ = false, ended_ = false, sound_ = true;
};

}  // namespace

std::optional<std::vector<glm::dvec3>> readScanFile(const fs::path& file, const PointFileForm& form,
                                                    double greatestShots, long long greatestBytes) {
    constexpr double shortestLine = 8;  // 1,1,1,1 and its end
    std::error_code error;
    if (!fs::is_regular_file(file, error)) return std::nullopt;
    const auto bytes = fs::file_size(file, error);
    if (error || bytes > static_cast<uintmax_t>(greatestBytes)) return std::nullopt;
    if (static_cast<double>(bytes) <= shortestLine * greatestShots) return std::nullopt;
    Pieces pieces(file);
    std::vector<glm::dvec3> points;
    Diagnostics faults;
    uintmax_t seen = 0;
    const auto next = [&]() -> std::string_view {
        if (!faults.empty()) return {};
        const std::string_view piece = pieces.next();
        seen += piece.size();
        // The lines of a scan are much alike: what is left takes as many points a byte.
        if (!piece.empty() && points.empty())
            points.reserve(
                static_cast<size_t>(1.05 * static_cast<double>(bytes) / static_cast<double>(piece.size()) *
                                    static_cast<double>(linesIn(piece))) +
                1);
        return seen > static_cast<uintmax_t>(greatestBytes) ? std::string_view() : piece;
    };
    readScanPieces(next, file.string(), form, points, faults);
    const bool whole = pieces.sound() && seen <= static_cast<uintmax_t>(greatestBytes);
    if (!whole || !faults.empty() || static_cast<double>(points.size()) <= greatestShots) return std::nullopt;
    return points;
}

}  // namespace underfoot
