#include "share/gltf_mesh.h"

#include <algorithm>
#include <bit>
#include <cassert>
#include <cmath>
#include <cstring>
#include <numbers>

#include <glm/geometric.hpp>

namespace underfoot {
namespace {

uint64_t mixed(uint64_t h) {
    h ^= h >> 32;
    h *= 0xD6E8FEB86659FD93ULL;
    h ^= h >> 32;
    return h;
}

template <size_t n>
uint64_t hashOf(const std::array<float, n>& values) {
    uint64_t h = 0x9E3779B97F4A7C15ULL;
    for (const float value : values) h = mixed(h + std::bit_cast<uint32_t>(value)) + 0x9E3779B97F4A7C15ULL;
    return h;
}

size_t tableSize(size_t entries) {
    return std::bit_ceil(std::max<size_t>(64, entries * 2));
}

/// Outward unit normal in double; a face of no area points the way of its kind.
glm::dvec3 normalOf(const MeshSource& source, size_t triangle) {
    const auto& t = source.triangles[triangle];
    const glm::dvec3& a = source.points[static_cast<size_t>(t[0])];
    const glm::dvec3& b = source.points[static_cast<size_t>(t[1])];
    const glm::dvec3& c = source.points[static_cast<size_t>(t[2])];
    const glm::dvec3 n = glm::cross(b - a, c - a);
    const double length = glm::length(n);
    // Twice the area against the longest side squared: below this the direction is rounding.
    const double reach = std::max({glm::dot(b - a, b - a), glm::dot(c - a, c - a), glm::dot(c - b, c - b)});
    if (length > 1e-12 * reach && length > 0) return n / length;
    switch (source.faces[triangle]) {
        case Face::Top:
            return {0, 0, 1};
        case Face::Bottom:
            return {0, 0, -1};
        case Face::Side:
            break;
    }
    const glm::dvec2 along =
        std::abs(b.x - a.x) + std::abs(b.y - a.y) > 0 ? glm::dvec2(b - a) : glm::dvec2(c - a);
    const double flat = glm::length(along);
    return flat > 0 ? glm::dvec3(along.y / flat, -along.x / flat, 0) : glm::dvec3(1, 0, 0);
}

/// Rounded to a millionth, so that faces in one plane share their vertices; -0 becomes 0.
float normalPart(double part) {
    constexpr double steps = 1 << 20;
    return static_cast<float>(std::round(part * steps) / steps) + 0.0F;
}

glm::dvec2 textureAt(const glm::dvec3& point, const glm::dvec3& normal, Face face) {
    if (face != Face::Side) return {point.x, -point.y};
    const double flat = std::hypot(normal.x, normal.y);
    if (flat < 1e-9) return {point.x, -point.y};
    return {(-normal.y * point.x + normal.x * point.y) / flat, -point.z};
}

}  // namespace

FloatPoint gltfPoint(const glm::dvec3& point, double level) {
    return {static_cast<float>(point.x) + 0.0F, static_cast<float>(point.z - level) + 0.0F,
            static_cast<float>(-point.y) + 0.0F};
}

RoundedPoints roundPoints(std::span<const glm::dvec3> points, double level) {
    RoundedPoints out;
    out.position.reserve(points.size());
    out.same.reserve(points.size());
    std::vector<int> table(tableSize(points.size()), -1);
    for (size_t i = 0; i < points.size(); ++i) {
        out.position.push_back(gltfPoint(points[i], level));
        size_t slot = hashOf(out.position[i]) & (table.size() - 1);
        while (table[slot] >= 0 && out.position[static_cast<size_t>(table[slot])] != out.position[i])
            slot = (slot + 1) & (table.size() - 1);
        if (table[slot] < 0) table[slot] = static_cast<int>(i);
        out.same.push_back(table[slot]);
    }
    return out;
}

MeshBuilder::MeshBuilder(double tile, bool textured, bool heated)
    : tile_(tile), textured_(textured), heated_(heated), table_(64, 0) {
    primitive_.sets = (textured ? 1 : 0) + (heated ? 1 : 0);
}

void MeshBuilder::add(const MeshSource& source, glm::dvec2 shift, std::span<const float> heat) {
    assert(heated_ ? heat.size() == source.triangles.size() * 3 : heat.empty());
    for (size_t t = 0; t < source.triangles.size(); ++t) {
        std::array<size_t, 3> corner{};
        for (size_t i = 0; i < 3; ++i)
            corner[i] = static_cast<size_t>(source.rounded.same[static_cast<size_t>(source.triangles[t][i])]);
        if (corner[0] == corner[1] || corner[1] == corner[2] || corner[2] == corner[0]) continue;
        const glm::dvec3 normal = normalOf(source, t);
        for (size_t i = 0; i < 3; ++i) {
            std::array<float, 10> values{};
            const FloatPoint& position = source.rounded.position[corner[i]];
            std::copy(position.begin(), position.end(), values.begin());
            values[3] = normalPart(normal.x);
            values[4] = normalPart(normal.z);
            values[5] = normalPart(-normal.y);
            size_t next = 6;
            if (textured_) {
                const glm::dvec2 at = textureAt(source.points[static_cast<size_t>(source.triangles[t][i])],
                                                normal, source.faces[t]);
                values[next++] = static_cast<float>(at.x / tile_ + shift.x);
                values[next++] = static_cast<float>(at.y / tile_ + shift.y);
            }
            if (heated_) {
                values[next++] = heat[t * 3 + i];
                values[next++] = 0.5F;
            }
            primitive_.indices.push_back(vertex(values));
        }
    }
}

uint32_t MeshBuilder::vertex(const std::array<float, 10>& values) {
    const size_t floats = primitive_.floatsPerVertex(), mask = table_.size() - 1;
    size_t slot = hashOf(values) & mask;
    for (; table_[slot] != 0; slot = (slot + 1) & mask)
        if (std::memcmp(primitive_.vertices.data() + (table_[slot] - 1) * floats, values.data(),
                        floats * sizeof(float)) == 0)
            return table_[slot] - 1;
    const auto number = static_cast<uint32_t>(primitive_.vertexCount());
    primitive_.vertices.insert(primitive_.vertices.end(), values.begin(),
                               values.begin() + static_cast<std::ptrdiff_t>(floats));
    table_[slot] = number + 1;
    if (primitive_.vertexCount() * 2 > table_.size()) grow();
    return number;
}

void MeshBuilder::grow() {
    const size_t floats = primitive_.floatsPerVertex(), count = primitive_.vertexCount();
    table_.assign(tableSize(count * 2), 0);
    for (size_t i = 0; i < count; ++i) {
        std::array<float, 10> values{};
        std::copy_n(primitive_.vertices.begin() + static_cast<std::ptrdiff_t>(i * floats), floats,
                    values.begin());
        size_t slot = hashOf(values) & (table_.size() - 1);
        while (table_[slot] != 0) slot = (slot + 1) & (table_.size() - 1);
        table_[slot] = static_cast<uint32_t>(i + 1);
    }
}

GlbPrimitive MeshBuilder::take(int material, int variantMaterial) {
    primitive_.material = material;
    primitive_.variantMaterial = variantMaterial;
    return std::move(primitive_);
}

GlbPrimitive sharpEdges(const MeshSource& source, double gap, double degrees, int material) {
    struct Side {
        int low, high;
        size_t triangle;
        bool operator<(const Side& o) const {
            return low != o.low ? low < o.low : high != o.high ? high < o.high : triangle < o.triangle;
        }
    };
    std::vector<Side> sides;
    sides.reserve(source.triangles.size() * 3);
    for (size_t t = 0; t < source.triangles.size(); ++t) {
        std::array<int, 3> c{};
        for (size_t i = 0; i < 3; ++i)
            c[i] = source.rounded.same[static_cast<size_t>(source.triangles[t][i])];
        if (c[0] == c[1] || c[1] == c[2] || c[2] == c[0]) continue;
        for (size_t i = 0; i < 3; ++i)
            sides.push_back({std::min(c[i], c[(i + 1) % 3]), std::max(c[i], c[(i + 1) % 3]), t});
    }
    std::sort(sides.begin(), sides.end());

    GlbPrimitive out;
    out.lines = true;
    out.material = material;
    const double flat = std::cos(degrees * std::numbers::pi / 180);
    const auto put = [&](int point, const glm::dvec3& away) {
        const FloatPoint& p = source.rounded.position[static_cast<size_t>(point)];
        out.indices.push_back(static_cast<uint32_t>(out.vertexCount()));
        for (const float part : {p[0] + static_cast<float>(away.x), p[1] + static_cast<float>(away.z),
                                 p[2] - static_cast<float>(away.y)})
            out.vertices.push_back(part);
    };
    for (size_t i = 0; i + 1 < sides.size(); i += 2) {
        // Where four faces meet in one edge the pairs are as good as any.
        const glm::dvec3 a = normalOf(source, sides[i].triangle), b = normalOf(source, sides[i + 1].triangle);
        if (glm::dot(a, b) > flat) continue;
        const double both = glm::length(a + b);
        const glm::dvec3 out1 = both > 1e-6 ? (a + b) / both : a;
        const glm::dvec3 away = out1 * (gap / std::max(glm::dot(out1, a), 0.3));
        put(sides[i].low, away);
        put(sides[i].high, away);
    }
    return out;
}

}  // namespace underfoot
