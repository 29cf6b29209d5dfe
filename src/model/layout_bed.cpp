#include "model/layout_bed.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <utility>
#include <vector>

#include "measure/cross.h"
#include "model/model.h"

namespace underfoot::layout {

namespace {

constexpr double mostCells = 250'000;

enum class Lies { Outside, Inside, Across };
enum class CellState : uint8_t { Outside, Inside, Edged };

struct Box {
    glm::dvec2 low{std::numeric_limits<double>::infinity()}, high{-std::numeric_limits<double>::infinity()};
    void add(glm::dvec2 p) {
        low = {std::min(low.x, p.x), std::min(low.y, p.y)};
        high = {std::max(high.x, p.x), std::max(high.y, p.y)};
    }
};

Box boxOf(const Polygon& polygon) {
    Box box;
    for (const glm::dvec2& p : polygon) box.add(p);
    return box;
}

struct Side {
    glm::dvec2 a, b;
    int before = -1, after = -1;  ///< neighbours on the ring
};

/// Sides of a convex polygon as lines: inside where the distance is positive.
struct Lines {
    explicit Lines(const Polygon& polygon) {
        for (size_t i = 0; i < polygon.size(); ++i)
            lines.emplace_back(polygon[i], direction(polygon[i], polygon[(i + 1) % polygon.size()]));
    }
    bool holds(glm::dvec2 p) const {
        return std::all_of(lines.begin(), lines.end(),
                           [&](const auto& line) { return cross(line.second, p - line.first) > touching; });
    }
    /// The side passes through the inside, farther in than touching.
    bool crossedBy(const Side& side) const {
        double from = 0, to = 1;
        for (const auto& [at, along] : lines) {
            const double da = cross(along, side.a - at) - touching, db = cross(along, side.b - at) - touching;
            if (da <= 0 && db <= 0) return false;
            if (da < 0) from = std::max(from, da / (da - db));
            if (db < 0) to = std::min(to, da / (da - db));
        }
        return from < to;
    }
    std::vector<std::pair<glm::dvec2, glm::dvec2>> lines;
};

void addPiece(const Unit& unit, const Polygon& outline, bool whole, UnitPlan& plan) {
    UnitPiece piece;
    piece.firstCorner = static_cast<int>(plan.corners.size());
    piece.corners = static_cast<int>(outline.size());
    piece.size = unit.size;
    piece.border = unit.border;
    piece.whole = whole;
    piece.wholeArea = unit.wholeArea;
    piece.planArea = whole ? unit.wholeArea : ringArea(outline);
    piece.leastWidth = whole ? unit.width : leastWidth(outline);
    plan.corners.insert(plan.corners.end(), outline.begin(), outline.end());
    plan.pieces.push_back(piece);
    if (!whole) plan.frames.push_back(unit.frame);
}

void addCut(const Unit& unit, const Polygon& ring, UnitPlan& plan) {
    const Polygon outline = tidy(ring, touching);
    if (!outline.empty() && ringArea(outline) >= unit.least) addPiece(unit, outline, false, plan);
}

/// Adds a piece; one with holes is sawn through the middle of its first hole until none is left.
void addSawn(const Unit& unit, const Region& region, UnitPlan& plan) {
    if (region.holes.empty()) return addCut(unit, region.outer, plan);
    const Box hole = boxOf(region.holes.front());
    const glm::dvec2 middle = (hole.low + hole.high) * 0.5;
    const double reach = ringLength(region.outer);
    const glm::dvec2 along = unit.saw * reach, across = leftOf(unit.saw) * reach;
    const Clipper clipper({region});
    const glm::dvec2 a = middle - along, b = middle + along;
    for (const Polygon& half : {Polygon{a, b, b + across, a + across}, Polygon{b, a, a - across, b - across}})
        for (const Region& part : clipper.clip(half)) addSawn(unit, part, plan);
}

}  // namespace

void append(const UnitPlan& more, UnitPlan& plan) {
    const int shift = static_cast<int>(plan.corners.size());
    plan.corners.insert(plan.corners.end(), more.corners.begin(), more.corners.end());
    for (UnitPiece piece : more.pieces) {
        piece.firstCorner += shift;
        plan.pieces.push_back(piece);
    }
    plan.frames.insert(plan.frames.end(), more.frames.begin(), more.frames.end());
}

struct Bed::Impl {
    Regions regions;
    Clipper clipper;
    std::vector<Side> sides;
    glm::dvec2 low{0, 0};
    double cell = 1;
    int columns = 0, rows = 0;
    std::vector<std::vector<int>> sidesOfCell;
    std::vector<std::vector<int>> sidesOfRow;
    std::vector<CellState> state;

    Impl(Regions r, double reach) : regions(std::move(r)), clipper(regions) {
        for (const Region& region : regions) {
            addSides(region.outer);
            for (const Polygon& hole : region.holes) addSides(hole);
        }
        if (sides.empty()) return;
        makeGrid(reach);
        for (int row = 0; row < rows; ++row) fillStates(row);
    }

    void addSides(const Polygon& ring) {
        const int first = static_cast<int>(sides.size()), n = static_cast<int>(ring.size());
        for (int i = 0; i < n; ++i)
            sides.push_back({ring[static_cast<size_t>(i)], ring[static_cast<size_t>((i + 1) % n)],
                             first + (i + n - 1) % n, first + (i + 1) % n});
    }

    int columnAt(double x) const {
        return static_cast<int>(std::clamp(std::floor((x - low.x) / cell), 0.0, columns - 1.0));
    }
    int rowAt(double y) const {
        return static_cast<int>(std::clamp(std::floor((y - low.y) / cell), 0.0, rows - 1.0));
    }
    size_t cellAt(int column, int row) const { return static_cast<size_t>(row * columns + column); }

    void makeGrid(double reach) {
        Box box;
        for (const Side& side : sides) box.add(side.a);
        const glm::dvec2 extent = box.high - box.low;
        low = box.low;
        cell = std::max({reach, std::sqrt(extent.x * extent.y / mostCells),
                         std::max(extent.x, extent.y) / mostCells, 10 * touching});
        columns = static_cast<int>(extent.x / cell) + 1;
        rows = static_cast<int>(extent.y / cell) + 1;
        sidesOfCell.resize(static_cast<size_t>(columns) * static_cast<size_t>(rows));
        sidesOfRow.resize(static_cast<size_t>(rows));
        for (size_t i = 0; i < sides.size(); ++i) enterSide(static_cast<int>(i));
    }

    /// Into every cell of the rows it passes, between its least and greatest x in the row.
    void enterSide(int index) {
        const Side& side = sides[static_cast<size_t>(index)];
        const glm::dvec2 a = side.a.y < side.b.y ? side.a : side.b, b = side.a.y < side.b.y ? side.b : side.a;
        const double slack = 4 * touching;
        const auto xAt = [&](double y) {
            return b.y > a.y ? a.x + (b.x - a.x) * std::clamp((y - a.y) / (b.y - a.y), 0.0, 1.0) : a.x;
        };
        for (int row = rowAt(a.y - slack); row <= rowAt(b.y + slack); ++row) {
            const double y = low.y + row * cell;
            double x0 = xAt(y - slack), x1 = xAt(y + cell + slack);
            if (b.y - a.y < slack) x0 = a.x, x1 = b.x;
            if (x0 > x1) std::swap(x0, x1);
            for (int column = columnAt(x0 - slack); column <= columnAt(x1 + slack); ++column)
                sidesOfCell[cellAt(column, row)].push_back(index);
            sidesOfRow[static_cast<size_t>(row)].push_back(index);
        }
    }

    void fillStates(int row) {
        state.resize(sidesOfCell.size(), CellState::Edged);
        bool known = false;
        CellState run = CellState::Outside;
        for (int column = 0; column < columns; ++column) {
            const size_t at = cellAt(column, row);
            if (!sidesOfCell[at].empty()) {
                known = false;
                continue;
            }
            if (!known)
                run = isInside(low + glm::dvec2{column + 0.5, row + 0.5} * cell) ? CellState::Inside
                                                                                 : CellState::Outside;
            known = true;
            state[at] = run;
        }
    }

    bool isInside(glm::dvec2 p) const {
        bool inside = false;
        for (const int i : sidesOfRow[static_cast<size_t>(rowAt(p.y))]) {
            const auto& [a, b, before, after] = sides[static_cast<size_t>(i)];
            if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y))
                inside = !inside;
        }
        return inside;
    }

    Lies lies(const Polygon& polygon, std::vector<int>& crossing) const;
    bool layByHalfPlanes(const Unit& unit, std::vector<int> crossing, UnitPlan& plan) const;
    void layByClipping(const Unit& unit, UnitPlan& plan) const;
};

/// For convex polygons; `crossing` gets the sides that pass through it.
Lies Bed::Impl::lies(const Polygon& polygon, std::vector<int>& crossing) const {
    crossing.clear();
    if (sides.empty()) return Lies::Outside;
    const Box box = boxOf(polygon);
    const double right = low.x + columns * cell, top = low.y + rows * cell;
    if (box.high.x <= low.x || box.high.y <= low.y || box.low.x >= right || box.low.y >= top)
        return Lies::Outside;
    size_t inside = 0, outside = 0;
    for (int row = rowAt(box.low.y); row <= rowAt(box.high.y); ++row)
        for (int column = columnAt(box.low.x); column <= columnAt(box.high.x); ++column) {
            const size_t at = cellAt(column, row);
            if (state[at] == CellState::Inside) ++inside;
            if (state[at] == CellState::Outside) ++outside;
            crossing.insert(crossing.end(), sidesOfCell[at].begin(), sidesOfCell[at].end());
        }
    if (crossing.empty() && outside == 0) return Lies::Inside;
    if (crossing.empty() && inside == 0) return Lies::Outside;
    std::sort(crossing.begin(), crossing.end());
    crossing.erase(std::unique(crossing.begin(), crossing.end()), crossing.end());
    const Lines lines(polygon);
    std::erase_if(crossing, [&](int i) { return !lines.crossedBy(sides[static_cast<size_t>(i)]); });
    if (!crossing.empty()) return Lies::Across;
    glm::dvec2 sum{0, 0};
    for (const glm::dvec2& p : polygon) sum += p;
    return isInside(sum / static_cast<double>(polygon.size())) ? Lies::Inside : Lies::Outside;
}

/// Where the sides through the unit are one run that turns left and leaves it at both ends, what lies inside
/// is the unit cut along each of them: exact, and far quicker than the general overlay. False where they are
/// not.
bool Bed::Impl::layByHalfPlanes(const Unit& unit, std::vector<int> crossing, UnitPlan& plan) const {
    const auto sideAt = [&](int i) -> const Side& { return sides[static_cast<size_t>(i)]; };
    const auto crosses = [&](int i) { return std::binary_search(crossing.begin(), crossing.end(), i); };
    const auto first =
        std::find_if(crossing.begin(), crossing.end(), [&](int i) { return !crosses(sideAt(i).before); });
    if (first == crossing.end()) return false;
    const glm::dvec2 start = sideAt(*first).b - sideAt(*first).a;
    std::vector<int> run{*first};
    while (crosses(sideAt(run.back()).after)) {
        const Side& side = sideAt(run.back());
        const Side& next = sideAt(side.after);
        if (cross(side.b - side.a, next.b - next.a) < 0 || cross(start, next.b - next.a) <= 0) return false;
        run.push_back(side.after);
    }
    const Lines lines(unit.outline);
    if (run.size() != crossing.size() || lines.holds(sideAt(run.front()).a) ||
        lines.holds(sideAt(run.back()).b))
        return false;
    Polygon outline = unit.outline;
    for (const int i : run) outline = keepLeft(outline, sideAt(i).a, direction(sideAt(i).a, sideAt(i).b));
    addCut(unit, outline, plan);
    return true;
}

void Bed::Impl::layByClipping(const Unit& unit, UnitPlan& plan) const {
    const Regions parts = clipper.clip(unit.outline);
    const double lost = ringArea(unit.outline) - regionArea(parts);
    if (parts.size() == 1 && parts.front().holes.empty() && lost < touching * ringLength(unit.outline))
        return unit.whole ? addPiece(unit, unit.outline, true, plan) : addCut(unit, unit.outline, plan);
    for (const Region& part : parts) addSawn(unit, part, plan);
}

Bed::Bed(Regions regions, double reach) : impl_(std::make_unique<Impl>(std::move(regions), reach)) {}
Bed::~Bed() = default;

const Regions& Bed::regions() const {
    return impl_->regions;
}

void Bed::lay(const Unit& unit, UnitPlan& plan) const {
    if (unit.outline.size() < 3) return;
    std::vector<int> crossing;
    switch (impl_->lies(unit.convex ? unit.outline : convexHull(unit.outline), crossing)) {
        case Lies::Outside:
            return;
        case Lies::Inside:
            return unit.whole ? addPiece(unit, unit.outline, true, plan) : addCut(unit, unit.outline, plan);
        case Lies::Across:
            if (unit.convex && impl_->layByHalfPlanes(unit, crossing, plan)) return;
            return impl_->layByClipping(unit, plan);
    }
}

double Bed::areaInside(const Polygon& polygon) const {
    return regionArea(impl_->clipper.clip(polygon));
}

}  // namespace underfoot::layout
