#include "share/png.h"

#include <cassert>
#include <cstdint>
#include <string_view>

#include <zlib.h>

// Source: W3C, "Portable Network Graphics (PNG) Specification".

namespace underfoot {
namespace {

/// The bytes as a zlib stream. Searching for repeats takes many times as long and gains a tenth in grain.
std::string deflated(const std::string& bytes) {
    z_stream stream{};
    constexpr int window = 15, memory = 8;  // the library's own defaults
    int said = deflateInit2(&stream, 1, Z_DEFLATED, window, memory, Z_HUFFMAN_ONLY);
    assert(said == Z_OK);
    std::string out(deflateBound(&stream, bytes.size()), '\0');
    // zlib reads only; its old interface does not say so.
    stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(bytes.data()));
    stream.avail_in = static_cast<uInt>(bytes.size());
    stream.next_out = reinterpret_cast<Bytef*>(out.data());
    stream.avail_out = static_cast<uInt>(out.size());
    said = deflate(&stream, Z_FINISH);
    assert(said == Z_STREAM_END);
    out.resize(stream.total_out);
    deflateEnd(&stream);
    return out;
}

void putBig(std::string& out, uint32_t value) {
    for (int shift = 24; shift >= 0; shift -= 8) out += static_cast<char>(value >> shift & 255);
}

void putChunk(std::string& out, std::string_view type, std::string_view data) {
    putBig(out, static_cast<uint32_t>(data.size()));
    uLong crc = 0;
    for (const std::string_view part : {type, data}) {
        if (part.empty()) continue;  // zlib would start its sum anew
        crc = crc32(crc, reinterpret_cast<const Bytef*>(part.data()), static_cast<uInt>(part.size()));
        out += part;
    }
    putBig(out, static_cast<uint32_t>(crc));
}

/// Every row as steps from the pixel before.
std::string filtered(const Pixels& pixels) {
    const auto step = static_cast<size_t>(pixels.channels), row = static_cast<size_t>(pixels.width) * step;
    std::string out;
    out.reserve(pixels.bytes.size() + static_cast<size_t>(pixels.height));
    for (size_t at = 0; at < pixels.bytes.size(); at += row) {
        out += '\1';
        for (size_t i = at; i < at + row; ++i)
            out += static_cast<char>(pixels.bytes[i] - (i < at + step ? 0 : pixels.bytes[i - step]));
    }
    return out;
}

}  // namespace

std::string encodePng(const Pixels& pixels) {
    assert(pixels.channels == 1 || pixels.channels == 3);
    assert(pixels.width > 0 && pixels.height > 0);
    assert(pixels.bytes.size() == static_cast<size_t>(pixels.width * pixels.height * pixels.channels));
    std::string head;
    putBig(head, static_cast<uint32_t>(pixels.width));
    putBig(head, static_cast<uint32_t>(pixels.height));
    head += {8, pixels.channels == 1 ? '\0' : '\2', 0, 0, 0};
    std::string out = "\x89PNG\r\n\x1A\n";
    putChunk(out, "IHDR", head);
    putChunk(out, "IDAT", deflated(filtered(pixels)));
    putChunk(out, "IEND", {});
    return out;
}

}  // namespace underfoot
