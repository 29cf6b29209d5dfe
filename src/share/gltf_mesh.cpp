#include "share/gltf_mesh.h"

#include <algorithm>
#include <bit>
#include <cassert>
#include <cmath>
#include <cstring>
#include <numbers>
#include <utility>

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

/// How the texture lies on a triangle: level on what is seen from above, upright on walls.
struct TextureFrame {
    TextureFrame(const glm::dvec3& normal, Face face) : across(-normal.y, normal.x) {
        if (face == Face::Side) flat = std::hypot(normal.x, normal.y);
    }
    glm::dvec2 at(const glm::dvec3& point) const {
        if (flat < 1e-9) return {point.x, -point.y};
        return {(across.x * point.x + across.y * point.y) / flat, -point.z};
    }
    glm::dvec2 across;
    double flat = 0;  ///< length of `across`; 0 on what is seen from above
};

/// Vertices at one point that are tried for being the same: a wheel of very many faces stays cheap.
constexpr int mostTried = 64;

/// Edges sorted by their lower point, then the higher, then the triangle: twice each, once a triangle.
struct EdgeSide {
    int high;
    uint32_t triangle;
    bool operator<(const EdgeSide& o) const { return high != o.high ? high < o.high : triangle < o.triangle; }
};
struct SortedEdges {
    std::vector<size_t> end;  ///< by lower point: one past its last side
    std::vector<EdgeSide> sides;
};

template <class Use>
void eachEdge(const MeshSource& source, Use use) {
    for (size_t t = 0; t < source.triangles.size(); ++t)
        if (const auto c = source.corners(t))
            for (size_t i = 0; i < 3; ++i) {
                const int a = (*c)[i], b = (*c)[(i + 1) % 3];
                use(static_cast<size_t>(std::min(a, b)), std::max(a, b), static_cast<uint32_t>(t));
            }
}

SortedEdges sortedEdges(const MeshSource& source) {
    SortedEdges out;
    out.end.assign(source.points.size(), 0);
    eachEdge(source, [&](size_t low, int, uint32_t) { ++out.end[low]; });
    size_t sum = 0;
    for (size_t& end : out.end) sum += std::exchange(end, sum);
    out.sides.resize(sum);
    eachEdge(source, [&](size_t low, int high, uint32_t t) { out.sides[out.end[low]++] = {high, t}; });
    size_t first = 0;
    for (const size_t end : out.end) {
        std::sort(out.sides.begin() + static_cast<std::ptrdiff_t>(first),
                  out.sides.begin() + static_cast<std::ptrdiff_t>(end));
        first = end;
    }
    return out;
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

MeshSource::MeshSource(std::span<const glm::dvec3> at, const RoundedPoints& roundedAt,
                       std::span<const std::array<int, 3>> turningLeft, std::span<const Face> kinds)
    : points(at), rounded(roundedAt), triangles(turningLeft), faces(kinds) {
    normals.reserve(triangles.size());
    for (size_t t = 0; t < triangles.size(); ++t) normals.push_back(normalOf(*this, t));
}

MeshBuilder::MeshBuilder(double tile, bool textured, bool heated)
    : tile_(tile), textured_(textured), heated_(heated) {
    primitive_.sets = (textured ? 1 : 0) + (heated ? 1 : 0);
}

/// Room for as many vertices as there may be: of what stays empty no memory is used.
void MeshBuilder::reserve(size_t triangles) {
    const auto widen = [](auto& values, size_t more) {
        const size_t wanted = values.size() + more;
        if (wanted > values.capacity()) values.reserve(std::max(wanted, 2 * values.capacity()));
    };
    widen(primitive_.vertices, 3 * triangles * primitive_.floatsPerVertex());
    widen(primitive_.indices, 3 * triangles);
    widen(before_, 3 * triangles);
}

void MeshBuilder::add(const MeshSource& source, glm::dvec2 shift, std::span<const float> heat) {
    assert(heated_ ? heat.size() == source.triangles.size() * 3 : heat.empty());
    reserve(source.triangles.size());
    last_.assign(source.points.size(), 0);
    for (size_t t = 0; t < source.triangles.size(); ++t) {
        const auto corners = source.corners(t);
        if (!corners) continue;
        const glm::dvec3& normal = source.normals[t];
        const TextureFrame frame(normal, source.faces[t]);
        Vertex values{0, 0, 0, normalPart(normal.x), normalPart(normal.z), normalPart(-normal.y)};
        for (size_t i = 0; i < 3; ++i) {
            const int corner = (*corners)[i];
            const FloatPoint& position = source.rounded.position[static_cast<size_t>(corner)];
            std::copy(position.begin(), position.end(), values.begin());
            size_t next = 6;
            if (textured_) {
                const glm::dvec2 at = frame.at(source.points[static_cast<size_t>(source.triangles[t][i])]);
                values[next++] = static_cast<float>(at.x / tile_ + shift.x);
                values[next++] = static_cast<float>(at.y / tile_ + shift.y);
            }
            if (heated_) {
                values[next++] = heat[t * 3 + i];
                values[next++] = 0.5F;
            }
            primitive_.indices.push_back(vertex(corner, values));
        }
    }
}

uint32_t MeshBuilder::vertex(int point, const Vertex& values) {
    const size_t floats = primitive_.floatsPerVertex();
    uint32_t& last = last_[static_cast<size_t>(point)];
    uint32_t tried = last;
    for (int i = 0; tried != 0 && i < mostTried; ++i, tried = before_[tried - 1])
        // The position is the same for all of them.
        if (std::equal(values.begin() + 3, values.begin() + static_cast<std::ptrdiff_t>(floats),
                       primitive_.vertices.begin() + static_cast<std::ptrdiff_t>((tried - 1) * floats + 3)))
            return tried - 1;
    primitive_.vertices.insert(primitive_.vertices.end(), values.begin(),
                               values.begin() + static_cast<std::ptrdiff_t>(floats));
    before_.push_back(last);
    last = static_cast<uint32_t>(before_.size());
    return last - 1;
}

GlbPrimitive MeshBuilder::take(int material, int variantMaterial) {
    primitive_.material = material;
    primitive_.variantMaterial = variantMaterial;
    return std::move(primitive_);
}

GlbPrimitive sharpEdges(const MeshSource& source, double gap, double degrees, int material) {
    GlbPrimitive out;
    out.lines = true;
    out.material = material;
    const double flat = std::cos(degrees * std::numbers::pi / 180);
    const auto put = [&](size_t point, const glm::dvec3& away) {
        const FloatPoint& p = source.rounded.position[point];
        out.indices.push_back(static_cast<uint32_t>(out.indices.size()));
        for (const float part : {p[0] + static_cast<float>(away.x), p[1] + static_cast<float>(away.z),
                                 p[2] - static_cast<float>(away.y)})
            out.vertices.push_back(part);
    };
    const SortedEdges edges = sortedEdges(source);
    for (size_t low = 0; low < edges.end.size(); ++low)
        for (size_t side = low == 0 ? 0 : edges.end[low - 1]; side + 1 < edges.end[low]; side += 2) {
            // Where four faces meet in one edge the pairs are as good as any.
            const EdgeSide &one = edges.sides[side], &two = edges.sides[side + 1];
            const glm::dvec3 &a = source.normals[one.triangle], &b = source.normals[two.triangle];
            if (glm::dot(a, b) > flat) continue;
            const double both = glm::length(a + b);
            const glm::dvec3 out1 = both > 1e-6 ? (a + b) / both : a;
            const glm::dvec3 away = out1 * (gap / std::max(glm::dot(out1, a), 0.3));
            put(low, away);
            put(static_cast<size_t>(one.high), away);
        }
    return out;
}

}  // namespace underfoot
