#include "study/nesting_offcuts.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <optional>
#include <set>
#include <utility>

#include "measure/cross.h"

namespace underfoot {
namespace {

using Shape = std::vector<glm::dvec2>;

/// A piece may overstep a unit, or come nearer to another than the kerf, by this much. Metres.
constexpr double slack = 1e-7;
/// Pieces whose corners agree to this are the same piece. Metres.
constexpr double sameShape = 1e-5;

double areaOf(const Shape& shape) {
    double twice = 0;
    for (size_t i = 1; i + 1 < shape.size(); ++i)
        twice += cross(shape[i] - shape[0], shape[i + 1] - shape[0]);
    return twice / 2;
}

struct Box {
    glm::dvec2 low, high;
};

Box boxOf(const Shape& shape) {
    Box box{shape.front(), shape.front()};
    for (const glm::dvec2& p : shape) {
        box.low = {std::min(box.low.x, p.x), std::min(box.low.y, p.y)};
        box.high = {std::max(box.high.x, p.x), std::max(box.high.y, p.y)};
    }
    return box;
}

/// Turned by quarters, its box moved to the origin.
Shape turned(const Shape& shape, int quarters) {
    Shape out;
    for (glm::dvec2 p : shape) {
        for (int k = 0; k < quarters; ++k) p = {-p.y, p.x};
        out.push_back(p);
    }
    const glm::dvec2 low = boxOf(out).low;
    for (glm::dvec2& p : out) p -= low;
    return out;
}

Shape moved(Shape shape, glm::dvec2 by) {
    for (glm::dvec2& p : shape) p += by;
    return shape;
}

/// Where the others lie against the cut along the side from a to b: all on one side of it, or not.
std::optional<std::vector<bool>> partedBy(glm::dvec2 a, glm::dvec2 b, const std::vector<Shape>& shapes,
                                          double kerf) {
    const double length = std::hypot(b.x - a.x, b.y - a.y);
    if (length <= slack) return std::nullopt;
    std::vector<bool> beyond;
    for (const Shape& shape : shapes) {
        double least = HUGE_VAL, most = -HUGE_VAL;
        for (const glm::dvec2& p : shape) {
            const double out = -cross(b - a, p - a) / length;
            least = std::min(least, out), most = std::max(most, out);
        }
        if (most > slack && least < kerf - slack) return std::nullopt;
        beyond.push_back(most > slack);
    }
    return beyond;
}

/// The pieces can be parted by cuts that run right across what is left.
bool canBeSawn(const std::vector<Shape>& shapes, double kerf) {
    if (shapes.size() < 2) return true;
    for (const Shape& shape : shapes)
        for (size_t i = 0; i < shape.size(); ++i) {
            const auto beyond = partedBy(shape[i], shape[(i + 1) % shape.size()], shapes, kerf);
            if (!beyond) continue;
            std::vector<Shape> near, far;
            for (size_t k = 0; k < shapes.size(); ++k) ((*beyond)[k] ? far : near).push_back(shapes[k]);
            if (near.empty() || far.empty()) continue;
            return canBeSawn(near, kerf) && canBeSawn(far, kerf);
        }
    return false;
}

struct SawnUnit {
    std::vector<Shape> shapes;
    double free = 0;
    std::set<int> refused;  ///< kinds of piece that do not fit; nor will they later
};

class Nester {
  public:
    Nester(double length, double width, const std::vector<PieceToSaw>& pieces, double kerf, bool keepFactory)
        : extent_(length, width), pieces_(pieces), kerf_(kerf), keepFactory_(keepFactory) {
        std::map<std::vector<long>, int> kinds;
        for (const PieceToSaw& piece : pieces) {
            std::vector<long> key;
            for (size_t i = 0; i < piece.shape.size(); ++i) {
                const glm::dvec2 p = piece.shape[i] - boxOf(piece.shape).low;
                key.insert(key.end(), {std::lround(p.x / sameShape), std::lround(p.y / sameShape),
                                       piece.factory[i] ? 1L : 0L});
            }
            kinds_.push_back(kinds.emplace(std::move(key), static_cast<int>(kinds.size())).first->second);
        }
    }

    OffcutNesting nest(const std::vector<size_t>& order) {
        units_.clear();
        OffcutNesting out;
        for (const size_t piece : order) out.pieces.push_back(place(piece));
        std::stable_sort(out.pieces.begin(), out.pieces.end(),
                         [](const SawnPiece& a, const SawnPiece& b) { return a.unit < b.unit; });
        out.units = static_cast<int>(units_.size());
        return out;
    }

  private:
    SawnPiece place(size_t piece) {
        const double area = areaOf(pieces_[piece].shape);
        for (size_t u = 0; u < units_.size(); ++u) {
            SawnUnit& unit = units_[u];
            if (unit.free < area - slack || unit.refused.contains(kinds_[piece])) continue;
            if (auto fit = fitInto(unit, piece)) {
                fit->unit = static_cast<int>(u);
                unit.shapes.push_back(fit->shape);
                unit.free -= area;
                return *fit;
            }
            unit.refused.insert(kinds_[piece]);
        }
        units_.push_back({{pieces_[piece].shape}, extent_.x * extent_.y - area, {}});
        return {static_cast<int>(piece), static_cast<int>(units_.size()) - 1, 0, pieces_[piece].shape};
    }

    std::vector<double> corners(const SawnUnit& unit, double size, bool alongX) const {
        const double whole = alongX ? extent_.x : extent_.y;
        std::vector<double> out{0, whole - size};
        for (const Shape& shape : unit.shapes) {
            const Box box = boxOf(shape);
            out.push_back((alongX ? box.high.x : box.high.y) + kerf_);
            out.push_back((alongX ? box.low.x : box.low.y) - kerf_ - size);
        }
        std::erase_if(out, [&](double at) { return at < -slack || at + size > whole + slack; });
        return out;
    }

    bool keepsFactory(const PieceToSaw& piece, const Shape& shape) const {
        if (!keepFactory_) return true;
        for (size_t i = 0; i < shape.size(); ++i) {
            if (!piece.factory[i]) continue;
            const glm::dvec2 a = shape[i], b = shape[(i + 1) % shape.size()];
            const auto on = [](double p, double q, double at) {
                return std::abs(p - at) < sameShape && std::abs(q - at) < sameShape;
            };
            if (!on(a.x, b.x, 0) && !on(a.x, b.x, extent_.x) && !on(a.y, b.y, 0) && !on(a.y, b.y, extent_.y))
                return false;
        }
        return true;
    }

    std::optional<SawnPiece> fitInto(const SawnUnit& unit, size_t piece) const {
        for (int quarters = 0; quarters < 4; ++quarters) {
            const Shape shape = turned(pieces_[piece].shape, quarters);
            const glm::dvec2 size = boxOf(shape).high;
            for (const double x : corners(unit, size.x, true))
                for (const double y : corners(unit, size.y, false)) {
                    const Shape there = moved(shape, {x, y});
                    if (!keepsFactory(pieces_[piece], there)) continue;
                    std::vector<Shape> all = unit.shapes;
                    all.push_back(there);
                    if (canBeSawn(all, kerf_)) return SawnPiece{static_cast<int>(piece), 0, quarters, there};
                }
        }
        return std::nullopt;
    }

    glm::dvec2 extent_;
    const std::vector<PieceToSaw>& pieces_;
    double kerf_;
    bool keepFactory_;
    std::vector<int> kinds_;
    std::vector<SawnUnit> units_;
};

std::vector<size_t> ordered(const std::vector<double>& by) {
    std::vector<size_t> order(by.size());
    std::iota(order.begin(), order.end(), size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](size_t a, size_t b) { return by[a] > by[b]; });
    return order;
}

}  // namespace

int leastUnits(double unitArea, std::vector<double> areas) {
    const double rounding = 1e-9 * unitArea;
    std::sort(areas.begin(), areas.end());
    std::vector<double> from(areas.begin(),
                             std::upper_bound(areas.begin(), areas.end(), unitArea / 2 + rounding));
    from.push_back(0);
    int most = 0;
    for (const double alpha : from) {
        int alone = 0, large = 0;
        double largeArea = 0, small = 0;
        for (const double a : areas) {
            if (a > unitArea - alpha + rounding)
                ++alone;
            else if (a > unitArea / 2 + rounding)
                ++large, largeArea += a;
            else if (a >= alpha - rounding)
                small += a;
        }
        const double over = (small - (large * unitArea - largeArea)) / unitArea;
        most = std::max(most, alone + large + std::max(0, static_cast<int>(std::ceil(over - 1e-6))));
    }
    return most;
}

OffcutNesting nestOffcuts(double length, double width, const std::vector<PieceToSaw>& pieces, double kerf,
                          bool keepFactory) {
    std::vector<double> areas, longest;
    for (const PieceToSaw& piece : pieces) {
        const Box box = boxOf(piece.shape);
        areas.push_back(areaOf(piece.shape));
        longest.push_back(std::max(box.high.x - box.low.x, box.high.y - box.low.y));
    }
    Nester nester(length, width, pieces, kerf, keepFactory);
    OffcutNesting best = nester.nest(ordered(areas));
    if (OffcutNesting other = nester.nest(ordered(longest)); other.units < best.units)
        best = std::move(other);
    best.atLeast = leastUnits(length * width, areas);
    return best;
}

}  // namespace underfoot
