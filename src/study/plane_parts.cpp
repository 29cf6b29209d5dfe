#include "study/plane_parts.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <numeric>
#include <unordered_map>
#include <utility>

#include <glm/common.hpp>
#include <glm/geometric.hpp>

#include "measure/cross.h"

namespace underfoot {

namespace {

struct Plane {
    double level = 0;
    glm::dvec2 gradient{0, 0};
    double at(glm::dvec2 p) const { return level + glm::dot(gradient, p); }
};

struct PlaceHash {
    size_t operator()(glm::dvec2 p) const {
        uint64_t x = 0, y = 0;
        std::memcpy(&x, &p.x, sizeof x);
        std::memcpy(&y, &p.y, sizeof y);
        const uint64_t mixed = (x ^ (y << 1 | y >> 63)) * 0x9e3779b97f4a7c15ULL;
        return static_cast<size_t>(mixed ^ (mixed >> 32));
    }
};

Plane planeOf(const HeightPiece& piece, glm::dvec2 middle) {
    const glm::dvec2 b = piece.at[1] - piece.at[0], c = piece.at[2] - piece.at[0];
    const double zb = piece.value[1] - piece.value[0], zc = piece.value[2] - piece.value[0];
    Plane plane;
    plane.gradient = glm::dvec2{zb * c.y - zc * b.y, zc * b.x - zb * c.x} / cross(b, c);
    plane.level = piece.value[0] - glm::dot(plane.gradient, piece.at[0] - middle);
    return plane;
}

glm::dvec2 middleOf(const HeightField& field) {
    glm::dvec2 low(1e300), high(-1e300);
    for (const HeightPiece& piece : field)
        for (const glm::dvec2 p : piece.at) low = glm::min(low, p), high = glm::max(high, p);
    return field.empty() ? glm::dvec2{0, 0} : (low + high) * 0.5;
}

// The circle about the mean of the part's corners.
void setCircle(const PlaneParts& made, PlanePart& part) {
    const auto corner = made.corners.begin() + part.firstCorner;
    for (int i = 0; i < part.corners; ++i) part.centre += corner[i];
    part.centre /= static_cast<double>(part.corners);
    for (int i = 0; i < part.corners; ++i)
        part.radius = std::max(part.radius, glm::distance(part.centre, corner[i]));
}

// Side s of triangle t is 3 t + s, from its corner s to the next.
class Joining {
  public:
    explicit Joining(const HeightField& field) : field_(field) {
        made_.middle = middleOf(field);
        findTwins();
        growRegions();
        joinSides();
    }

    PlaneParts parts() {
        std::vector<char> seen(next_.size(), 0);
        for (size_t side = 0; side < next_.size(); ++side)
            if (!seen[side] && !out_[side]) addPart(side, seen);
        return std::move(made_);
    }

  private:
    const HeightPiece& pieceOf(size_t side) const { return field_[side / 3]; }
    glm::dvec2 startOf(size_t side) const { return pieceOf(side).at[side % 3]; }
    glm::dvec2 runOf(size_t side) const { return pieceOf(side).at[(side + 1) % 3] - startOf(side); }
    // Along a polygon that has lost sides, to where its next one begins.
    glm::dvec2 alongOf(size_t side) const { return startOf(next_[side]) - startOf(side); }

    void findTwins() {
        std::unordered_map<glm::dvec2, uint32_t, PlaceHash> places;
        places.reserve(field_.size());
        std::vector<uint32_t> place;
        for (const HeightPiece& piece : field_)
            for (const glm::dvec2 p : piece.at)
                place.push_back(places.try_emplace(p, static_cast<uint32_t>(places.size())).first->second);
        struct Ends {
            uint64_t key;
            size_t side;
        };
        std::vector<Ends> sides;
        for (size_t side = 0; side < place.size(); ++side) {
            const uint64_t a = place[side], b = place[side - side % 3 + (side + 1) % 3];
            sides.push_back({std::min(a, b) << 32 | std::max(a, b), side});
        }
        std::sort(sides.begin(), sides.end(), [](const Ends& a, const Ends& b) {
            return a.key != b.key ? a.key < b.key : a.side < b.side;
        });
        twin_.assign(sides.size(), none);
        for (size_t i = 0; i + 1 < sides.size(); ++i) {
            if (sides[i].key != sides[i + 1].key) continue;
            twin_[sides[i].side] = sides[i + 1].side;
            twin_[sides[i + 1].side] = sides[i].side;
            ++i;
        }
    }

    bool liesIn(const Plane& plane, const HeightPiece& piece) const {
        for (size_t k = 0; k < 3; ++k)
            if (std::abs(piece.value[k] - plane.at(piece.at[k] - made_.middle)) > PlaneParts::samePlane)
                return false;
        return true;
    }

    void growRegions() {
        std::vector<double> area;
        for (const HeightPiece& piece : field_)
            area.push_back(cross(piece.at[1] - piece.at[0], piece.at[2] - piece.at[0]));
        std::vector<size_t> order(field_.size());
        std::iota(order.begin(), order.end(), size_t{0});
        std::sort(order.begin(), order.end(),
                  [&](size_t a, size_t b) { return area[a] != area[b] ? area[a] > area[b] : a < b; });
        region_.assign(field_.size(), -1);
        std::vector<size_t> open;
        for (const size_t seed : order) {
            if (region_[seed] >= 0) continue;
            const Plane plane = planeOf(field_[seed], made_.middle);
            const int region = static_cast<int>(planes_.size());
            planes_.push_back(plane);
            region_[seed] = region;
            open.assign(1, seed);
            while (!open.empty()) {
                const size_t piece = open.back();
                open.pop_back();
                for (size_t side = 3 * piece; side < 3 * piece + 3; ++side) {
                    const size_t other = twin_[side] == none ? piece : twin_[side] / 3;
                    if (region_[other] >= 0 || !liesIn(plane, field_[other])) continue;
                    region_[other] = region;
                    open.push_back(other);
                }
            }
        }
        made_.regions = static_cast<int>(planes_.size());
    }

    void joinSides() {
        next_.resize(twin_.size());
        before_.resize(twin_.size());
        out_.assign(twin_.size(), 0);
        std::vector<std::pair<double, size_t>> inner;
        for (size_t side = 0; side < twin_.size(); ++side) {
            next_[side] = side - side % 3 + (side + 1) % 3;
            before_[side] = side - side % 3 + (side + 2) % 3;
            const size_t twin = twin_[side];
            if (twin != none && side < twin && region_[side / 3] == region_[twin / 3])
                inner.push_back({-glm::dot(runOf(side), runOf(side)), side});
        }
        std::sort(inner.begin(), inner.end());
        // A side that has to stay may go once the polygons beside it have grown.
        for (bool any = true; any;) {
            any = false;
            for (const auto& [length, side] : inner) any = takeOut(side) || any;
        }
    }

    // The whole run of sides that two polygons share; both its ends have to turn left, or not at all, without
    // it.
    bool takeOut(size_t side) {
        if (out_[side]) return false;
        size_t first = side, last = side;
        while (twin_[before_[first]] == next_[twin_[first]] && before_[first] != last) first = before_[first];
        while (twin_[next_[last]] == before_[twin_[last]] && next_[last] != first) last = next_[last];
        const auto turnsLeft = [&](size_t into, size_t from) {
            const glm::dvec2 a = alongOf(into), b = alongOf(from);
            return cross(a, b) >= -PlaneParts::sameLine * glm::length(a + b);
        };
        const size_t a = before_[first], b = next_[twin_[first]], c = before_[twin_[last]], d = next_[last];
        if (!turnsLeft(a, b) || !turnsLeft(c, d)) return false;
        for (size_t one = first;; one = next_[one]) {
            out_[one] = out_[twin_[one]] = 1;
            if (one == last) break;
        }
        const auto link = [&](size_t into, size_t from) { next_[into] = from, before_[from] = into; };
        link(a, b);
        link(c, d);
        return true;
    }

    void addPart(size_t first, std::vector<char>& seen) {
        PlanePart part;
        part.firstCorner = static_cast<int>(made_.corners.size());
        part.region = region_[first / 3];
        const Plane& plane = planes_[static_cast<size_t>(part.region)];
        part.level = plane.level, part.gradient = plane.gradient;
        for (size_t side = first; !seen[side]; side = next_[side]) {
            seen[side] = 1;
            // A corner on a straight side is none.
            const glm::dvec2 into = alongOf(before_[side]), from = alongOf(side);
            if (cross(into, from) <= 0 && glm::dot(into, from) > 0) continue;
            made_.corners.push_back(startOf(side) - made_.middle);
            ++part.corners;
        }
        if (part.corners < 3) {
            made_.corners.resize(static_cast<size_t>(part.firstCorner));
            return;
        }
        setCircle(made_, part);
        made_.parts.push_back(part);
    }

    static constexpr size_t none = static_cast<size_t>(-1);
    const HeightField& field_;
    PlaneParts made_;
    std::vector<Plane> planes_;
    std::vector<int> region_;
    std::vector<size_t> twin_, next_, before_;
    std::vector<char> out_;
};

}  // namespace

PlaneParts planeParts(const HeightField& field) {
    return Joining(field).parts();
}

PlaneParts unjoinedParts(const HeightField& field) {
    PlaneParts made;
    made.middle = middleOf(field);
    made.regions = static_cast<int>(field.size());
    made.parts.reserve(field.size());
    made.corners.reserve(3 * field.size());
    for (const HeightPiece& piece : field) {
        PlanePart part;
        part.firstCorner = static_cast<int>(made.corners.size());
        part.corners = 3;
        part.region = static_cast<int>(made.parts.size());
        const Plane plane = planeOf(piece, made.middle);
        part.level = plane.level, part.gradient = plane.gradient;
        for (const glm::dvec2 p : piece.at) made.corners.push_back(p - made.middle);
        setCircle(made, part);
        made.parts.push_back(part);
    }
    return made;
}

}  // namespace underfoot
