#include "share/gltf_mesh.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstddef>
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

uint64_t hashOf(float x, float y) {
    uint64_t h = 0x9E3779B97F4A7C15ULL;
    for (const float value : {x, y}) h = mixed(h + std::bit_cast<uint32_t>(value)) + 0x9E3779B97F4A7C15ULL;
    return h;
}

/// Outward unit normal in double; a face of no area points the way of its kind.
glm::dvec3 normalOf(const glm::dvec3& a, const glm::dvec3& b, const glm::dvec3& c, Face face) {
    const glm::dvec3 n = glm::cross(b - a, c - a);
    const double length = glm::length(n);
    // Sides within reach of the grid and of the greatest heights, at most 25 km, make this far more than
    // rounding.
    constexpr double plain = 1e-3;
    if (length > plain) return n / length;
    // Twice the area against the longest side squared: below this the direction is rounding.
    const double reach = std::max({glm::dot(b - a, b - a), glm::dot(c - a, c - a), glm::dot(c - b, c - b)});
    if (length > 1e-12 * reach && length > 0) return n / length;
    switch (face) {
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

/// A normal in whole millionths (of two), so that faces in one plane share their vertices.
struct RoundNormal {
    static constexpr int steps = 1 << 20;
    explicit RoundNormal(const glm::dvec3& n) : x(nearest(n.x)), y(nearest(n.y)), z(nearest(n.z)) {}
    static int nearest(double part) { return static_cast<int>(part * steps + std::copysign(0.5, part)); }
    static float part(int whole) { return static_cast<float>(whole) / steps; }
    /// A number of its own.
    uint64_t key() const {
        constexpr uint64_t values = 2 * steps + 1;
        const auto above = [](int whole) { return static_cast<uint64_t>(whole + steps); };
        return (above(x) * values + above(y)) * values + above(z);
    }
    int x, y, z;
};

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

/// A triangle's side of an edge.
struct EdgeSide {
    int low, high;  ///< its points
    uint32_t triangle;
    bool operator<(const EdgeSide& o) const { return high != o.high ? high < o.high : triangle < o.triangle; }
};

/// The sides of edges that may be sharp, their points numbered anew in the order in which they are met;
/// `numbered` holds which they are.
std::vector<EdgeSide> maybeSharp(const MeshSource& source, const Facings& facings, MeshRoom& room,
                                 std::vector<int>& numbered) {
    std::vector<EdgeSide> out;
    if (room.met.size() < source.points.size()) room.met.resize(source.points.size(), 0);
    const uint32_t first = room.points + 1;
    const auto numberOf = [&](int point) {
        if (!facings.mayBeSharp(point)) return -1;
        uint32_t& mark = room.met[static_cast<size_t>(point)];
        if (mark < first) {
            mark = ++room.points;
            numbered.push_back(point);
        }
        return static_cast<int>(mark - first);
    };
    for (uint32_t t = 0; t < source.triangles.size(); ++t) {
        const std::array<int, 3> corner = source.corners(t);
        if (MeshSource::isLine(corner)) continue;
        const int a = numberOf(corner[0]), b = numberOf(corner[1]), c = numberOf(corner[2]);
        if (a >= 0 && b >= 0) out.push_back({std::min(a, b), std::max(a, b), t});
        if (b >= 0 && c >= 0) out.push_back({std::min(b, c), std::max(b, c), t});
        if (c >= 0 && a >= 0) out.push_back({std::min(c, a), std::max(c, a), t});
    }
    return out;
}

/// Them by their lower point, then the higher, then the triangle: so that the sides of one edge follow each
/// other.
std::vector<EdgeSide> sorted(const std::vector<EdgeSide>& found, size_t points) {
    std::vector<uint32_t> end(points, 0);
    for (const EdgeSide& side : found) ++end[static_cast<size_t>(side.low)];
    uint32_t sum = 0;
    for (uint32_t& place : end) sum += std::exchange(place, sum);
    std::vector<EdgeSide> out(found.size());
    for (const EdgeSide& side : found) out[end[static_cast<size_t>(side.low)]++] = side;
    auto first = out.begin();
    for (const uint32_t place : end) {
        const auto last = out.begin() + place;
        std::sort(first, last);
        first = last;
    }
    return out;
}

}  // namespace

FloatPoint gltfPoint(const glm::dvec3& point, double level) {
    return {static_cast<float>(point.x) + 0.0F, static_cast<float>(point.z - level) + 0.0F,
            static_cast<float>(-point.y) + 0.0F};
}

namespace {

/// Points that follow each other over one place in plan.
struct Upright {
    float x, z;
    float top;  ///< the highest
    int first, last;
    int before;  ///< another run over the same place, -1: none
};

/// Finds the first point at a place among those already met.
class SamePlaces {
  public:
    explicit SamePlaces(std::vector<int>& same) : same_(same) {}

    void add(int point, const FloatPoint& p) {
        if (runs_.empty() || runs_.back().x != p[0] || runs_.back().z != p[2]) begin(point, p);
        Upright& run = runs_.back();
        height_.push_back(p[1]);
        run.last = point;
        int found = point;
        // Most runs climb, and have their place for themselves.
        if (point > run.first && p[1] <= run.top) found = firstOf(run, p[1], found);
        run.top = std::max(run.top, p[1]);
        for (int other = run.before; other >= 0; other = runs_[static_cast<size_t>(other)].before)
            found = firstOf(runs_[static_cast<size_t>(other)], p[1], found);
        same_.push_back(found);
    }

  private:
    void begin(int point, const FloatPoint& p) {
        if (2 * runs_.size() >= table_.size()) widen();
        int& slot = slotOf(p[0], p[2]);
        runs_.push_back({p[0], p[2], p[1], point, point, slot});
        slot = static_cast<int>(runs_.size()) - 1;
    }

    /// The first point of a run at that height, or `otherwise`, which comes after it.
    int firstOf(const Upright& run, float height, int otherwise) const {
        for (int point = run.first; point <= std::min(run.last, otherwise); ++point)
            if (height_[static_cast<size_t>(point)] == height) return point;
        return otherwise;
    }

    int& slotOf(float x, float z) {
        size_t at = hashOf(x, z) & (table_.size() - 1);
        for (;; at = (at + 1) & (table_.size() - 1)) {
            if (table_[at] < 0) return table_[at];
            const Upright& run = runs_[static_cast<size_t>(table_[at])];
            if (run.x == x && run.z == z) return table_[at];
        }
    }

    void widen() {
        table_.assign(std::max<size_t>(64, 4 * table_.size()), -1);
        for (size_t i = 0; i < runs_.size(); ++i) slotOf(runs_[i].x, runs_[i].z) = static_cast<int>(i);
    }

    std::vector<int>& same_;
    std::vector<Upright> runs_;
    std::vector<int> table_;  // the last run over a place
    std::vector<float> height_;
};

}  // namespace

RoundedPoints roundPoints(std::span<const glm::dvec3> points, double level) {
    RoundedPoints out;
    out.level = level;
    out.same.reserve(points.size());
    SamePlaces places(out.same);
    for (size_t i = 0; i < points.size(); ++i) places.add(static_cast<int>(i), gltfPoint(points[i], level));
    return out;
}

glm::dvec3 MeshSource::normal(size_t triangle) const {
    const auto& [a, b, c] = triangles[triangle];
    const auto at = [&](int point) -> const glm::dvec3& { return points[static_cast<size_t>(point)]; };
    return normalOf(at(a), at(b), at(c), faces[triangle]);
}

Facings::Facings(double degrees)
    : degrees_(degrees), level_(std::cos(degrees / 2 * std::numbers::pi / 180) + 1e-9) {}

MeshBuilder::MeshBuilder(double tile, bool textured, bool heated, MeshRoom& room)
    : tile_(tile), textured_(textured), heated_(heated), room_(room) {
    primitive_.sets = (textured ? 1 : 0) + (heated ? 1 : 0);
    floats_ = primitive_.floatsPerVertex();
}

/// Room for as many vertices as there may be: of what stays empty no memory is used.
void MeshBuilder::makeRoom(size_t triangles, size_t points) {
    const auto widen = [](auto& values, size_t wanted) {
        if (wanted > values.capacity()) values.reserve(std::max(wanted, 2 * values.capacity()));
    };
    widen(primitive_.vertices, written_ + 3 * triangles * floats_ + mostFloats);
    widen(primitive_.indices, primitive_.indices.size() + 3 * triangles);
    room_.known.clear();
    widen(room_.known, 3 * triangles);
    if (room_.last.size() < points) room_.last.resize(points, 0);
    before_ = vertices_;
    firstMark_ = room_.used + 1;
}

void MeshBuilder::add(const MeshSource& source, glm::dvec2 shift, std::span<const float> heat,
                      Facings* facings) {
    makeRoom(source.triangles.size(), source.points.size());
    if (facings) facings->begin(source.points.size());
    for (size_t t = 0; t < source.triangles.size(); ++t) {
        const std::array<int, 3> corners = source.corners(t);
        if (MeshSource::isLine(corners)) continue;
        const Face face = source.faces[t];
        const glm::dvec3 normal = source.normal(t);
        if (facings) facings->note(corners, normal.z);
        const RoundNormal round(normal);
        const TextureFrame frame(normal, face);
        // On what lies level, a point and a normal say where the texture lies; a side may lean by less than
        // rounding shows.
        const bool told = face != Face::Side && !heated_;
        const MeshRoom::Known made{round.key(), 0, told};
        Vertex values{0, 0, 0, round.part(round.x), round.part(round.z), round.part(-round.y)};
        for (size_t i = 0; i < 3; ++i) {
            const auto corner = static_cast<size_t>(corners[i]);
            uint32_t& last = room_.last[corner];
            uint32_t found = told ? find(last, made) : none;
            if (found == none) {
                const FloatPoint position = source.position(corners[i]);
                std::copy(position.begin(), position.end(), values.begin());
                size_t next = 6;
                if (textured_) {
                    const glm::dvec2 at = frame.at(source.points[corner]);
                    values[next++] = static_cast<float>(at.x / tile_ + shift.x);
                    values[next++] = static_cast<float>(at.y / tile_ + shift.y);
                }
                if (heated_) {
                    values[next++] = heat[t * 3 + i];
                    values[next++] = 0.5F;
                }
                if (!told) found = find(last, made, &values);
                if (found == none) found = append(last, made, values);
            }
            primitive_.indices.push_back(found);
        }
    }
}

/// A vertex at a point whose last one's mark is known, with the same normal; with the same values after it
/// where they are given.
uint32_t MeshBuilder::find(uint32_t mark, const MeshRoom::Known& like, const Vertex* values) const {
    for (int i = 0; mark >= firstMark_ && i < mostTried; ++i) {
        const uint32_t number = mark - firstMark_, vertex = before_ + number;
        const MeshRoom::Known& known = room_.known[number];
        mark = known.before;
        if (known.normal != like.normal || known.told != like.told) continue;
        if (values == nullptr ||
            std::equal(values->begin() + 6, values->begin() + static_cast<std::ptrdiff_t>(floats_),
                       primitive_.vertices.begin() + static_cast<std::ptrdiff_t>(vertex * floats_ + 6)))
            return vertex;
    }
    return none;
}

uint32_t MeshBuilder::append(uint32_t& last, MeshRoom::Known made, const Vertex& values) {
    // Lengthened by the thousand, not with every vertex; all of `values` is copied, the next overwrites the
    // rest.
    std::vector<float>& vertices = primitive_.vertices;
    if (written_ + mostFloats > vertices.size())
        vertices.resize(std::max(written_ + mostFloats, std::min(written_ + 16'384, vertices.capacity())));
    std::memcpy(vertices.data() + written_, values.data(), sizeof values);
    written_ += floats_;
    made.before = last;
    room_.known.push_back(made);
    last = ++room_.used;
    return vertices_++;
}

GlbPrimitive MeshBuilder::take(int material, int variantMaterial) {
    primitive_.material = material;
    primitive_.variantMaterial = variantMaterial;
    primitive_.vertices.resize(written_);
    return std::move(primitive_);
}

GlbPrimitive sharpEdges(const MeshSource& source, const Facings& facings, double gap, int material,
                        MeshRoom& room) {
    GlbPrimitive out;
    out.lines = true;
    out.material = material;
    const double flat = std::cos(facings.degrees() * std::numbers::pi / 180);
    std::vector<int> numbered;
    const std::vector<EdgeSide> found = maybeSharp(source, facings, room, numbered);
    const std::vector<EdgeSide> sides = sorted(found, numbered.size());
    const auto put = [&](int point, const glm::dvec3& away) {
        const FloatPoint p = source.position(numbered[static_cast<size_t>(point)]);
        out.indices.push_back(static_cast<uint32_t>(out.indices.size()));
        for (const float part : {p[0] + static_cast<float>(away.x), p[1] + static_cast<float>(away.z),
                                 p[2] - static_cast<float>(away.y)})
            out.vertices.push_back(part);
    };
    for (size_t i = 0; i + 1 < sides.size();) {
        const EdgeSide &one = sides[i], &two = sides[i + 1];
        if (one.low != two.low || one.high != two.high) {
            ++i;
            continue;
        }
        i += 2;  // where four faces meet in one edge the pairs are as good as any
        const glm::dvec3 a = source.normal(one.triangle), b = source.normal(two.triangle);
        if (glm::dot(a, b) > flat) continue;
        const double both = glm::length(a + b);
        const glm::dvec3 out1 = both > 1e-6 ? (a + b) / both : a;
        const glm::dvec3 away = out1 * (gap / std::max(glm::dot(out1, a), 0.3));
        put(one.low, away);
        put(one.high, away);
    }
    return out;
}

}  // namespace underfoot
