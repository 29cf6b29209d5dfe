#include "plan/text_file.h"

#include <algorithm>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstring>
#include <memory>
#include <optional>
#include <system_error>
#include <utility>

#include <fmt/format.h>
#include <tl/expected.hpp>

namespace underfoot {
namespace {

namespace fs = std::filesystem;

tl::unexpected<Diagnostic> refused(const std::string& name, std::string what, std::string remedy) {
    return tl::unexpected(Diagnostic{{name, 0, 0}, std::move(what), std::move(remedy)});
}

std::string megabytes(long long bytes) {
    return fmt::format("{:.1f} MB", static_cast<double>(bytes) / (1 << 20));
}

tl::unexpected<Diagnostic> tooLarge(const std::string& name, std::optional<long long> size,
                                    long long greatest) {
    const std::string what =
        size ? fmt::format("The file has {}; at most {} are read.", megabytes(*size), megabytes(greatest))
             : fmt::format("The file has more than {}, and no more is read.", megabytes(greatest));
    return refused(name, what, "Check that it is the right file; thin out its points otherwise.");
}

std::optional<Diagnostic> faultOfKind(const fs::path& file, const std::string& name, bool ordinaryOnly) {
    std::error_code error;
    const fs::file_status status = fs::status(file, error);
    const auto fault = [&](std::string what, std::string remedy) {
        return Diagnostic{{name, 0, 0}, std::move(what), std::move(remedy)};
    };
    if (status.type() == fs::file_type::not_found)
        return fault("There is no such file.", "Check its name and folder.");
    if (error)
        return fault(fmt::format("The file can't be looked at: {}.", error.message()),
                     "Check its name and who may read it.");
    if (fs::is_directory(status)) return fault("This is a folder, not a file.", "Name a file in it.");
    if (ordinaryOnly && !fs::is_regular_file(status))
        return fault("This is not an ordinary file.", "Name a file on disk.");
    return std::nullopt;
}

/// Length of the UTF-8 character at `p`, 0 when it is none.
size_t characterAt(const unsigned char* p, size_t left) {
    const auto follows = [&](size_t i) { return i < left && (p[i] & 0xC0) == 0x80; };
    if (p[0] < 0x80) return 1;
    if (p[0] >= 0xC2 && p[0] <= 0xDF) return follows(1) ? 2 : 0;
    if (p[0] >= 0xE0 && p[0] <= 0xEF) {
        if (!follows(1) || !follows(2)) return 0;
        const bool overlong = p[0] == 0xE0 && p[1] < 0xA0, surrogate = p[0] == 0xED && p[1] > 0x9F;
        return overlong || surrogate ? 0 : 3;
    }
    if (p[0] >= 0xF0 && p[0] <= 0xF4) {
        if (!follows(1) || !follows(2) || !follows(3)) return 0;
        const bool overlong = p[0] == 0xF0 && p[1] < 0x90, past = p[0] == 0xF4 && p[1] > 0x8F;
        return overlong || past ? 0 : 4;
    }
    return 0;
}

/// Length of the whole words of eight ASCII letters, none of them zero, that a text starts with.
size_t plainWords(const char* text, size_t size) {
    constexpr uint64_t ones = 0x0101010101010101ULL, highs = 0x8080808080808080ULL;
    constexpr size_t block = 64;
    // A byte of a word less ones turns its high bit on where it is zero, or above 0x80.
    const auto odd = [&](size_t at) {
        uint64_t word = 0;
        std::memcpy(&word, text + at, sizeof word);
        return (word | (word - ones)) & highs;
    };
    size_t at = 0;
    for (; at + block <= size; at += block) {
        uint64_t any = 0;
        for (size_t k = 0; k < block; k += 8) any |= odd(at + k);
        if (any) break;
    }
    while (at + 8 <= size && !odd(at)) at += 8;
    return at;
}

/// Where the first byte stands that is no UTF-8 or zero; the size when all is well.
size_t firstBadByte(std::string_view text) {
    size_t at = 0;
    while (at < text.size()) {
        at += plainWords(text.data() + at, text.size() - at);
        // Some letters one by one: where one is not ASCII others seldom are far.
        for (int k = 0; k < 8 && at < text.size(); ++k) {
            if (text[at] == '\0') return at;
            const size_t length =
                characterAt(reinterpret_cast<const unsigned char*>(text.data()) + at, text.size() - at);
            if (length == 0) return at;
            at += length;
        }
    }
    return at;
}

/// Text in UTF-16 has a mark in front, or a zero in every other byte of its first letters.
bool looksLikeUtf16(const std::string& bytes) {
    if (bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF")) return true;
    const size_t look = std::min<size_t>(bytes.size(), 64);
    size_t even = 0, odd = 0;
    for (size_t i = 0; i < look; ++i)
        if (bytes[i] == '\0') ++(i % 2 == 0 ? even : odd);
    return look >= 4 && (even * 3 >= look || odd * 3 >= look) && (even == 0 || odd == 0);
}

Result<std::string> readBytes(const fs::path& file, const std::string& name, long long greatestBytes) {
    const OpenFile in(std::fopen(file.c_str(), "rb"));
    if (!in) return refused(name, "The file can't be opened.", "Check who may read it.");
    std::error_code error;
    const auto size = fs::file_size(file, error);
    const bool known = !error && fs::is_regular_file(file, error);
    if (known && size > static_cast<uintmax_t>(greatestBytes))
        return tooLarge(name, static_cast<long long>(size), greatestBytes);
    const size_t most = static_cast<size_t>(greatestBytes) + 1;
    std::string bytes;
    size_t piece =
        known ? std::min<size_t>(static_cast<size_t>(size) + 1, most) : std::min<size_t>(1 << 16, most);
    while (bytes.size() < most) {
        const size_t before = bytes.size(), asked = std::min(piece, most - before);
        size_t got = 0;
        bytes.resize_and_overwrite(before + asked, [&](char* text, size_t) {
            got = std::fread(text + before, 1, asked, in.get());
            return before + got;
        });
        if (got == 0) break;
        piece = std::max<size_t>(1 << 16, bytes.size());
    }
    if (std::ferror(in.get()))
        return refused(name, "The file can't be read to its end.", "Check the disk and who may read it.");
    if (bytes.size() == most) return tooLarge(name, std::nullopt, greatestBytes);
    return bytes;
}

SourcePlace placeOf(const std::string& text, size_t at, const std::string& name) {
    const auto end = text.begin() + static_cast<std::ptrdiff_t>(at);
    const auto line = std::count(text.begin(), end, '\n');
    const size_t lineStart = at == 0 ? std::string::npos : text.rfind('\n', at - 1);
    const size_t column = lineStart == std::string::npos ? at + 1 : at - lineStart;
    return {name, static_cast<int>(line) + 1, static_cast<int>(column)};
}

}  // namespace

Result<std::string> readTextFile(const fs::path& file, const std::string& name, long long greatestBytes,
                                 bool ordinaryOnly) {
    if (auto fault = faultOfKind(file, name, ordinaryOnly)) return tl::unexpected(std::move(*fault));
    auto bytes = readBytes(file, name, greatestBytes);
    if (!bytes) return bytes;
    return plainText(std::move(*bytes), name);
}

bool isPlainText(std::string_view piece) {
    return firstBadByte(piece) == piece.size();
}

Result<std::string> plainText(std::string bytes, const std::string& name) {
    if (bytes.starts_with("\xEF\xBB\xBF")) bytes.erase(0, 3);
    if (looksLikeUtf16(bytes))
        return refused(name, "The file is written in UTF-16.", "Save it as plain text in UTF-8.");
    const size_t bad = firstBadByte(bytes);
    if (bad < bytes.size() && bytes.find('\0') != std::string::npos) {
        const size_t zero = bytes.find('\0');
        return tl::unexpected(Diagnostic{placeOf(bytes, zero, name),
                                         "There is a zero byte here: this is not a text file.",
                                         "Name the text file it was made from."});
    }
    if (bad < bytes.size())
        return tl::unexpected(Diagnostic{placeOf(bytes, bad, name), "There is a sign here that is not UTF-8.",
                                         "Save the file as plain text in UTF-8."});
    if (bytes.find('\r') != std::string::npos && bytes.find('\n') == std::string::npos)
        std::replace(bytes.begin(), bytes.end(), '\r', '\n');
    return bytes;
}

}  // namespace underfoot
