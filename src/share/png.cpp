#include "share/png.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cstdint>
#include <functional>
#include <queue>
#include <string_view>
#include <utility>
#include <vector>

// Sources: W3C, "Portable Network Graphics (PNG) Specification"; RFC 1950 (zlib) and RFC 1951 (deflate).

namespace underfoot {
namespace {

constexpr size_t symbols = 257;  // every byte, and the end of the block
constexpr size_t endOfBlock = 256;
constexpr uint32_t greatestLength = 15;

using Counts = std::array<uint32_t, symbols>;
using Lengths = std::array<uint32_t, symbols>;

/// Lowest bit first, as deflate packs them.
class Bits {
  public:
    explicit Bits(std::string& out) : out_(out) {}
    void put(uint32_t value, uint32_t count) {
        held_ |= uint64_t{value} << count_;
        for (count_ += count; count_ >= 8; count_ -= 8, held_ >>= 8) out_ += static_cast<char>(held_ & 255);
    }
    void finish() { put(0, (8 - count_) % 8); }

  private:
    std::string& out_;
    uint64_t held_ = 0;
    uint32_t count_ = 0;
};

/// Huffman's code: how many bits each symbol that occurs gets. Two symbols at least occur.
Lengths lengthsOf(const Counts& counts) {
    using Entry = std::pair<uint32_t, size_t>;  // how often, which node
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> rarest;
    for (size_t i = 0; i < symbols; ++i)
        if (counts[i] > 0) rarest.emplace(counts[i], i);
    assert(rarest.size() >= 2);
    std::vector<size_t> parent(symbols, 0);
    while (rarest.size() > 1) {
        const Entry a = rarest.top();
        rarest.pop();
        const Entry b = rarest.top();
        rarest.pop();
        parent[a.second] = parent[b.second] = parent.size();
        rarest.emplace(a.first + b.first, parent.size());
        parent.push_back(0);
    }
    std::vector<uint32_t> depth(parent.size(), 0);  // a parent stands behind its children
    for (size_t i = parent.size() - 1; i-- > 0;)
        if (parent[i] != 0) depth[i] = depth[parent[i]] + 1;
    Lengths out{};
    std::copy_n(depth.begin(), symbols, out.begin());
    return out;
}

Lengths limitedLengths(Counts counts) {
    for (;;) {
        const Lengths lengths = lengthsOf(counts);
        if (*std::max_element(lengths.begin(), lengths.end()) <= greatestLength) return lengths;
        for (uint32_t& count : counts) count = (count + 1) / 2;  // evener, so less deep
    }
}

uint32_t reversed(uint32_t code, uint32_t bits) {
    uint32_t out = 0;
    for (uint32_t i = 0; i < bits; ++i) out |= (code >> i & 1U) << (bits - 1 - i);
    return out;
}

/// The codes that go with the lengths (RFC 1951, 3.2.2), turned round for `Bits`.
std::array<uint32_t, symbols> codesOf(const Lengths& lengths) {
    std::array<uint32_t, symbols> out{};
    uint32_t code = 0;
    for (uint32_t length = 1; length <= greatestLength; ++length, code <<= 1)
        for (size_t i = 0; i < symbols; ++i)
            if (lengths[i] == length) out[i] = reversed(code++, length);
    return out;
}

/// One block of single bytes. Searching for repeats takes twenty times as long and gains a tenth in grain.
void deflate(std::string& out, const std::string& bytes) {
    Counts counts{};
    for (const char c : bytes) ++counts[static_cast<uint8_t>(c)];
    counts[endOfBlock] = 1;
    const Lengths lengths = limitedLengths(counts);
    const auto codes = codesOf(lengths);
    Bits bits(out);
    bits.put(1, 1);   // the last block
    bits.put(2, 2);   // codes of its own
    bits.put(0, 5);   // 257 of them
    bits.put(0, 5);   // and one distance, never used
    bits.put(15, 4);  // lengths are given as 4 bits each: 16, 17 and 18 do not occur, 0 to 15 are alike
    for (int i = 0; i < 19; ++i) bits.put(i < 3 ? 0 : 4, 3);
    for (const uint32_t length : lengths) bits.put(reversed(length, 4), 4);
    bits.put(0, 4);
    for (const char c : bytes) bits.put(codes[static_cast<uint8_t>(c)], lengths[static_cast<uint8_t>(c)]);
    bits.put(codes[endOfBlock], lengths[endOfBlock]);
    bits.finish();
}

void putBig(std::string& out, uint32_t value) {
    for (int shift = 24; shift >= 0; shift -= 8) out += static_cast<char>(value >> shift & 255);
}

uint32_t adlerOf(const std::string& bytes) {
    uint32_t a = 1, b = 0;
    for (const char c : bytes) {
        a = (a + static_cast<uint8_t>(c)) % 65521;
        b = (b + a) % 65521;
    }
    return b << 16 | a;
}

constexpr std::array<uint32_t, 256> crcTable = [] {
    std::array<uint32_t, 256> table{};
    for (uint32_t i = 0; i < 256; ++i) {
        uint32_t c = i;
        for (int k = 0; k < 8; ++k) c = (c & 1U) != 0 ? 0xEDB88320U ^ (c >> 1) : c >> 1;
        table[i] = c;
    }
    return table;
}();

void putChunk(std::string& out, std::string_view type, std::string_view data) {
    putBig(out, static_cast<uint32_t>(data.size()));
    uint32_t crc = 0xFFFFFFFFU;
    for (const std::string_view part : {type, data})
        for (const char c : part) crc = crcTable[(crc ^ static_cast<uint8_t>(c)) & 255] ^ crc >> 8;
    out += type;
    out += data;
    putBig(out, ~crc);
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
    const std::string rows = filtered(pixels);
    std::string data = "\x78\x01";
    deflate(data, rows);
    putBig(data, adlerOf(rows));
    std::string out = "\x89PNG\r\n\x1A\n";
    putChunk(out, "IHDR", head);
    putChunk(out, "IDAT", data);
    putChunk(out, "IEND", {});
    return out;
}

}  // namespace underfoot
