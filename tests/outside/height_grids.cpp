#include "outside/height_grids.h"

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <string_view>

#include <zlib.h>

namespace underfoot::outside {

namespace {

std::string bytesOf(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

size_t littleEndian(std::string_view bytes, size_t from, size_t count) {
    size_t value = 0;
    for (size_t i = 0; i < count; ++i)
        value |= static_cast<size_t>(static_cast<unsigned char>(bytes.at(from + i))) << (8 * i);
    return value;
}

std::optional<std::string> inflated(std::string_view packed, size_t size) {
    std::string out(size, '\0');
    std::string in(packed);
    z_stream stream{};
    // Negative: no zlib header.
    if (inflateInit2(&stream, -MAX_WBITS) != Z_OK) return {};
    stream.next_in = reinterpret_cast<Bytef*>(in.data());
    stream.avail_in = static_cast<uInt>(in.size());
    stream.next_out = reinterpret_cast<Bytef*>(out.data());
    stream.avail_out = static_cast<uInt>(out.size());
    const int ended = inflate(&stream, Z_FINISH);
    inflateEnd(&stream);
    if (ended != Z_STREAM_END || stream.total_out != size) return {};
    return out;
}

/// A deflated member of a ZIP archive, found through the central directory at its end.
std::optional<std::string> zipMember(std::string_view zip, std::string_view name) {
    const size_t end = zip.rfind("PK\x05\x06");
    if (end == std::string_view::npos) return {};
    size_t at = littleEndian(zip, end + 16, 4);
    while (at + 46 <= zip.size() && zip.substr(at, 4) == "PK\x01\x02") {
        const size_t nameSize = littleEndian(zip, at + 28, 2);
        if (zip.substr(at + 46, nameSize) == name) {
            const size_t local = littleEndian(zip, at + 42, 4);
            const size_t data =
                local + 30 + littleEndian(zip, local + 26, 2) + littleEndian(zip, local + 28, 2);
            return inflated(zip.substr(data, littleEndian(zip, at + 20, 4)), littleEndian(zip, at + 24, 4));
        }
        at += 46 + nameSize + littleEndian(zip, at + 30, 2) + littleEndian(zip, at + 32, 2);
    }
    return {};
}

/// The whole number after the first `key`; 0 where there is none.
int numberAfter(std::string_view text, std::string_view key) {
    const size_t at = text.find(key);
    return at == std::string_view::npos ? 0 : std::atoi(text.data() + at + key.size());
}

}  // namespace

std::vector<glm::dvec3> HeightGrid::points(double step, double heightScale) const {
    std::vector<glm::dvec3> points;
    for (int row = 0; row < rows; ++row) {
        for (int column = 0; column < columns; ++column)
            points.push_back({(column - 0.5 * (columns - 1)) * step, (row - 0.5 * (rows - 1)) * step,
                              at(column, row) * heightScale});
    }
    return points;
}

std::optional<HeightGrid> readVolcano(const std::filesystem::path& file) {
    const std::string text = bytesOf(file);
    HeightGrid grid{numberAfter(text, "\"width\":"), numberAfter(text, "\"height\":"), {}};
    const size_t list = text.find('[');
    if (list == std::string::npos) return {};
    const char* at = text.c_str() + list + 1;
    for (char* after = nullptr; *at != '\0' && *at != ']'; at = after) {
        grid.heights.push_back(static_cast<int>(std::strtol(at, &after, 10)));
        if (after == at) return {};
        while (*after == ',' || *after == ' ' || *after == '\n') ++after;
    }
    if (grid.heights.size() != static_cast<size_t>(grid.columns) * static_cast<size_t>(grid.rows)) return {};
    return grid;
}

std::optional<HeightGrid> readElevations(const std::filesystem::path& archive) {
    const auto npy = zipMember(bytesOf(archive), "elevation.npy");
    if (!npy || npy->compare(0, 6, "\x93NUMPY") != 0) return {};
    const size_t header = 10 + littleEndian(*npy, 8, 2);
    const std::string words = npy->substr(10, header - 10);
    if (words.find("'<i2'") == std::string::npos || words.find("False") == std::string::npos) return {};
    const size_t shape = words.find("'shape': (");
    if (shape == std::string::npos) return {};
    const std::string_view size = std::string_view(words).substr(shape);
    HeightGrid grid{numberAfter(size, ", "), numberAfter(size, "("), {}};
    for (size_t i = header; i + 1 < npy->size(); i += 2)
        grid.heights.push_back(static_cast<int16_t>(littleEndian(*npy, i, 2)));
    if (grid.heights.size() != static_cast<size_t>(grid.columns) * static_cast<size_t>(grid.rows)) return {};
    return grid;
}

// The part above the level of a triangle with one corner on one side of it is a triangle with the shares of
// the two sides cut.
CutFill cutFill(double area, std::array<double, 3> heights, double level) {
    for (double& h : heights) h -= level;
    std::sort(heights.begin(), heights.end());
    const auto [low, middle, high] = heights;
    const double net = area * (low + middle + high) / 3;
    if (low >= 0) return {net, 0};
    if (high <= 0) return {0, -net};
    if (middle <= 0) {
        const double cut = area * (high / (high - low)) * (high / (high - middle)) * high / 3;
        return {cut, cut - net};
    }
    const double fill = area * (low / (low - high)) * (low / (low - middle)) * -low / 3;
    return {net + fill, fill};
}

GridBounds boundsOf(const HeightGrid& grid, double step, double heightScale, double level) {
    GridBounds sum;
    const double half = step * step / 2;
    for (int row = 0; row + 1 < grid.rows; ++row) {
        for (int column = 0; column + 1 < grid.columns; ++column) {
            const double a = grid.at(column, row) * heightScale, b = grid.at(column + 1, row) * heightScale,
                         c = grid.at(column + 1, row + 1) * heightScale,
                         d = grid.at(column, row + 1) * heightScale;
            const auto both = [&](const CutFill& p, const CutFill& q) {
                return CutFill{p.cut + q.cut, p.fill + q.fill};
            };
            const CutFill rising = both(cutFill(half, {a, b, c}, level), cutFill(half, {a, c, d}, level));
            const CutFill falling = both(cutFill(half, {a, b, d}, level), cutFill(half, {b, c, d}, level));
            sum.fourCorners += step * step * ((a + b + c + d) / 4 - level);
            sum.rising += rising.net();
            sum.falling += falling.net();
            sum.leastNet += std::min(rising.net(), falling.net());
            sum.greatestNet += std::max(rising.net(), falling.net());
            sum.leastCut += std::min(rising.cut, falling.cut);
            sum.greatestCut += std::max(rising.cut, falling.cut);
            sum.leastFill += std::min(rising.fill, falling.fill);
            sum.greatestFill += std::max(rising.fill, falling.fill);
        }
    }
    return sum;
}

}  // namespace underfoot::outside
