#include "study/nesting_offcuts.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <map>
#include <numeric>
#include <optional>
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

/// Pieces of one unit by their numbers.
using Pieces = uint64_t;
constexpr size_t mostOfUnit = 64;

/// A cut along a side of a piece, and where the other pieces of the unit lie against it, as far as looked at.
struct Cut {
    glm::dvec2 from, to;
    Pieces known = 0;
    Pieces across = 0;  // it runs through them, or nearer than the kerf
    Pieces beyond = 0;  // they lie outside of the side
};

bool fillsItsBox(const Shape& shape, const Box& box) {
    if (shape.size() != 4) return false;
    return std::all_of(shape.begin(), shape.end(), [&](glm::dvec2 p) {
        const auto on = [](double at, double low, double high) {
            return std::min(std::abs(at - low), std::abs(at - high)) < 1e-12;
        };
        return on(p.x, box.low.x, box.high.x) && on(p.y, box.low.y, box.high.y);
    });
}

/// The convex hull, turning left (Andrew's monotone chain).
Shape hullOf(Shape shape) {
    std::sort(shape.begin(), shape.end(),
              [](glm::dvec2 a, glm::dvec2 b) { return a.x != b.x ? a.x < b.x : a.y < b.y; });
    Shape hull;
    const auto add = [&hull](glm::dvec2 p, size_t from) {
        while (hull.size() >= from + 2 && cross(hull.back() - hull[hull.size() - 2], p - hull.back()) <= 0)
            hull.pop_back();
        hull.push_back(p);
    };
    for (const glm::dvec2& p : shape) add(p, 0);
    const size_t upper = hull.size() - 1;
    for (size_t i = shape.size() - 1; i-- > 0;) add(shape[i], upper);
    hull.pop_back();
    return hull;
}

/// How far a shape lies outside of a side, times the side's length.
struct Reach {
    double least = HUGE_VAL, most = -HUGE_VAL;
};

Reach reachOver(glm::dvec2 from, glm::dvec2 along, const Shape& shape) {
    Reach reach;
    for (const glm::dvec2& p : shape) {
        const double out = -cross(along, p - from);
        reach.least = std::min(reach.least, out), reach.most = std::max(reach.most, out);
    }
    return reach;
}

/// A piece as it lies in a unit. No cut may run through a piece, so that it lies to one side of its hull too,
/// and only sides that its hull has as well can be cut along right across.
struct LaidPiece {
    Shape hull;
    Box box;
    bool fillsBox = false;
    std::vector<Cut> cuts;
};

LaidPiece laidPiece(const Shape& shape) {
    LaidPiece laid;
    laid.hull = hullOf(shape);
    laid.box = boxOf(shape);
    laid.fillsBox = fillsItsBox(shape, laid.box);
    for (size_t i = 0; i < shape.size(); ++i) {
        const glm::dvec2 from = shape[i], to = shape[i + 1 < shape.size() ? i + 1 : 0], along = to - from;
        const double length = std::sqrt(along.x * along.x + along.y * along.y);
        if (length > slack && reachOver(from, along, laid.hull).most <= slack * length)
            laid.cuts.push_back({from, to, 0, 0, 0});
    }
    return laid;
}

/// Pieces that lie this far into each other are parted by no cut. Metres.
constexpr double deepInto = 4 * slack;

/// None of a hull's sides has another beyond it.
bool noSideParts(const Shape& hull, const Shape& other) {
    for (size_t i = 0; i < hull.size(); ++i) {
        const glm::dvec2 from = hull[i], along = hull[i + 1 < hull.size() ? i + 1 : 0] - from;
        const double square = along.x * along.x + along.y * along.y,
                     into = -reachOver(from, along, other).least;
        if (into <= 0 || into * into <= deepInto * deepInto * square) return false;
    }
    return true;
}

/// A whole unit and the pieces to be sawn out of it.
class SawnUnit {
  public:
    SawnUnit(double area, size_t kinds) : free_(area), refused_(kinds, false) {}

    double free() const { return free_; }
    bool refuses(int kind) const { return refused_[static_cast<size_t>(kind)]; }
    /// Kinds of piece that do not fit; nor will they later.
    void refuse(int kind) { refused_[static_cast<size_t>(kind)] = true; }
    const std::vector<LaidPiece>& pieces() const { return pieces_; }

    void add(const LaidPiece& piece, glm::dvec2 by, double area) {
        tryAt(piece, by);
        pieces_.push_back(std::move(tried_));
        tried_ = {};
        free_ -= area;
    }

    /// Whether all pieces and this one, moved, can be parted by cuts that run right across what is left.
    bool canBeSawnWith(const LaidPiece& piece, glm::dvec2 by, double kerf) {
        tryAt(piece, by);
        if (liesInto()) return false;
        const Pieces last = Pieces{1} << pieces_.size();
        for (LaidPiece& other : pieces_)
            for (Cut& cut : other.cuts) cut.known &= ~last, cut.across &= ~last, cut.beyond &= ~last;
        return canBeSawn(last | (last - 1), kerf);
    }

  private:
    void tryAt(const LaidPiece& piece, glm::dvec2 by) {
        tried_ = piece;
        for (glm::dvec2& p : tried_.hull) p += by;
        tried_.box = {piece.box.low + by, piece.box.high + by};
        for (Cut& cut : tried_.cuts) cut.from += by, cut.to += by;
    }

    /// Hulls that overlap are parted by no cut at all; they do where no side of either has the other beyond
    /// it.
    bool liesInto() const {
        return std::any_of(pieces_.begin(), pieces_.end(), [&](const LaidPiece& piece) {
            const Box &a = piece.box, &b = tried_.box;
            if (std::min(a.high.x, b.high.x) - std::max(a.low.x, b.low.x) <= deepInto ||
                std::min(a.high.y, b.high.y) - std::max(a.low.y, b.low.y) <= deepInto)
                return false;
            return (piece.fillsBox && tried_.fillsBox) ||
                   (noSideParts(piece.hull, tried_.hull) && noSideParts(tried_.hull, piece.hull));
        });
    }

    LaidPiece& piece(size_t i) { return i < pieces_.size() ? pieces_[i] : tried_; }

    bool canBeSawn(Pieces set, double kerf) {
        if (std::has_single_bit(set)) return true;
        for (Pieces left = set; left != 0; left &= left - 1)
            for (Cut& cut : piece(static_cast<size_t>(std::countr_zero(left))).cuts) {
                if (!parts(cut, set, kerf)) continue;
                const Pieces far = set & cut.beyond;
                if (far == 0 || far == set) continue;
                return canBeSawn(set & ~far, kerf) && canBeSawn(far, kerf);
            }
        return false;
    }

    /// Each piece of the set lies on one side of the cut.
    bool parts(Cut& cut, Pieces set, double kerf) {
        if ((cut.across & set) != 0) return false;
        for (Pieces left = set & ~cut.known; left != 0; left &= left - 1) {
            const size_t i = static_cast<size_t>(std::countr_zero(left));
            const Pieces bit = Pieces{1} << i;
            place(cut, piece(i).hull, bit, kerf);
            if ((cut.across & bit) != 0) return false;
        }
        return true;
    }

    static void place(Cut& cut, const Shape& hull, Pieces bit, double kerf) {
        const glm::dvec2 along = cut.to - cut.from;
        const double length = std::sqrt(along.x * along.x + along.y * along.y);
        const Reach reach = reachOver(cut.from, along, hull);
        cut.known |= bit;
        if (reach.most <= slack * length) return;
        cut.beyond |= bit;
        if (reach.least < (kerf - slack) * length) cut.across |= bit;
    }

    std::vector<LaidPiece> pieces_;
    LaidPiece tried_;
    double free_ = 0;
    std::vector<bool> refused_;
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
            std::vector<Turn>& turns = turns_.emplace_back();
            for (int quarters = 0; quarters < 4; ++quarters) {
                Shape shape = turned(piece.shape, quarters);
                LaidPiece laid = laidPiece(shape);
                // A rectangle turned half round lies as it did.
                if (quarters == 2 && !keepFactory_ && laid.fillsBox) break;
                turns.push_back({std::move(shape), std::move(laid)});
            }
        }
        kindCount_ = kinds.size();
    }

    /// Nothing where it takes as many units as `most`.
    std::optional<OffcutNesting> nest(const std::vector<size_t>& order, int most) {
        units_.clear();
        OffcutNesting out;
        for (const size_t piece : order) {
            out.pieces.push_back(place(piece));
            if (static_cast<int>(units_.size()) >= most) return std::nullopt;
        }
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
            if (unit.free() < area - slack || unit.refuses(kinds_[piece])) continue;
            if (auto fit = fitInto(unit, piece, area)) {
                fit->unit = static_cast<int>(u);
                return *fit;
            }
            unit.refuse(kinds_[piece]);
        }
        units_.emplace_back(extent_.x * extent_.y, kindCount_);
        units_.back().add(laidPiece(pieces_[piece].shape), {0, 0}, area);
        return {static_cast<int>(piece), static_cast<int>(units_.size()) - 1, 0, pieces_[piece].shape};
    }

    /// Where a piece of that size may begin along one side of the unit, each place once.
    std::vector<double> corners(const SawnUnit& unit, double size, bool alongX) const {
        const double whole = alongX ? extent_.x : extent_.y;
        std::vector<double> out;
        const auto add = [&](double at) {
            if (at < -slack || at + size > whole + slack) return;
            if (std::find(out.begin(), out.end(), at) == out.end()) out.push_back(at);
        };
        add(0);
        add(whole - size);
        for (const LaidPiece& laid : unit.pieces()) {
            add((alongX ? laid.box.high.x : laid.box.high.y) + kerf_);
            add((alongX ? laid.box.low.x : laid.box.low.y) - kerf_ - size);
        }
        return out;
    }

    bool keepsFactory(const PieceToSaw& piece, const Shape& shape) const {
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

    std::optional<SawnPiece> fitInto(SawnUnit& unit, size_t piece, double area) const {
        if (unit.pieces().size() == mostOfUnit) return std::nullopt;
        const std::vector<Turn>& turns = turns_[piece];
        for (size_t quarters = 0; quarters < turns.size(); ++quarters) {
            const auto& [shape, laid] = turns[quarters];
            const std::vector<double> xs = corners(unit, laid.box.high.x, true),
                                      ys = corners(unit, laid.box.high.y, false);
            for (const double x : xs)
                for (const double y : ys) {
                    if (keepFactory_ && !keepsFactory(pieces_[piece], moved(shape, {x, y}))) continue;
                    if (!unit.canBeSawnWith(laid, {x, y}, kerf_)) continue;
                    unit.add(laid, {x, y}, area);
                    return SawnPiece{static_cast<int>(piece), 0, static_cast<int>(quarters),
                                     moved(shape, {x, y})};
                }
        }
        return std::nullopt;
    }

    /// A piece turned by quarters.
    struct Turn {
        Shape shape;
        LaidPiece laid;
    };

    glm::dvec2 extent_;
    const std::vector<PieceToSaw>& pieces_;
    double kerf_;
    bool keepFactory_;
    std::vector<std::vector<Turn>> turns_;  ///< by piece; those that differ
    std::vector<int> kinds_;
    size_t kindCount_ = 0;
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
                          bool keepFactory, int most) {
    std::vector<double> areas, longest;
    for (const PieceToSaw& piece : pieces) {
        const Box box = boxOf(piece.shape);
        areas.push_back(areaOf(piece.shape));
        longest.push_back(std::max(box.high.x - box.low.x, box.high.y - box.low.y));
    }
    Nester nester(length, width, pieces, kerf, keepFactory);
    OffcutNesting best;
    best.units = most;
    const int atLeast = leastUnits(length * width, areas);
    for (const std::vector<double>* by : {&areas, &longest}) {
        if (best.units <= atLeast) break;
        if (auto nested = nester.nest(ordered(*by), best.units)) best = std::move(*nested);
    }
    best.atLeast = atLeast;
    return best;
}

}  // namespace underfoot
