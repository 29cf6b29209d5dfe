#pragma once
// Inside the model folder only: laying patterns as units that repeat over a lattice.

#include <vector>

#include <glm/vec2.hpp>

#include "plan/plan.h"

namespace underfoot::layout {

/// A unit of the repeat, square to the rows: lower left corner and extent, joints not included.
struct PatternUnit {
    glm::dvec2 at{0, 0};
    glm::dvec2 extent{0, 0};
    int size = 0;
};

/// The units stand at every i * a + j * b.
struct UnitPattern {
    glm::dvec2 a{0, 0}, b{0, 0};
    std::vector<PatternUnit> units;

    /// False where a size or a step is missing: nothing can be laid.
    bool sound() const;
    /// Runs through the units whose extent meets the box, row by row, each once.
    template <class Use>
    void forEachUnit(glm::dvec2 low, glm::dvec2 high, Use use) const;

  private:
    struct Span {
        long first, last;
    };
    Span rows(glm::dvec2 low, glm::dvec2 high) const;
    Span inRow(long row, glm::dvec2 low, glm::dvec2 high) const;
    glm::dvec2 unitsLow() const;
    glm::dvec2 unitsHigh() const;
};

/// The pattern in its own frame: rows along x. Herringbone at 45 degrees has the same frame as at 90, its
/// rows are turned by the caller. With units of length L and width W and joint j, P = L + j and Q = W + j:
/// stack and running repeat by (P, 0) and (shift P, Q); herringbone of any ratio repeats a unit along x at
/// (0, 0) and one along y at (P, Q - P) by (Q, Q) and (P, -P); basket weave sets round(P / Q) units side by
/// side in squares of side max(P, round(P / Q) Q), turned in turn, where the joints take up what a ratio that
/// is not whole leaves over.
UnitPattern unitPattern(const UnitLayout& layout);

template <class Use>
void UnitPattern::forEachUnit(glm::dvec2 low, glm::dvec2 high, Use use) const {
    const glm::dvec2 from = low - unitsHigh(), to = high - unitsLow();
    const Span all = rows(from, to);
    for (long j = all.first; j <= all.last; ++j) {
        const Span row = inRow(j, from, to);
        for (long i = row.first; i <= row.last; ++i) {
            const glm::dvec2 base = a * static_cast<double>(i) + b * static_cast<double>(j);
            for (const PatternUnit& unit : units) {
                const glm::dvec2 p = base + unit.at, q = p + unit.extent;
                if (q.x > low.x && q.y > low.y && p.x < high.x && p.y < high.y) use(unit, p);
            }
        }
    }
}

}  // namespace underfoot::layout
