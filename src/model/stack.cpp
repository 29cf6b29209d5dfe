#include "model/stack.h"

#include <algorithm>
#include <cassert>
#include <limits>

namespace underfoot {

int& RulerReader::hintOf(const Surface* surface) {
    for (auto& [known, hint] : hints_)
        if (known == surface) return hint;
    hints_.emplace_back(surface, -1);
    return hints_.back().second;
}

Rulers RulerReader::at(int plot, glm::dvec2 p) {
    Rulers rulers;
    rulers.ground = toLinear(work_.ground->pieceAt(p, hintOf(work_.ground.get())));
    if (plot < 0) return rulers;
    const Plot& asked = work_.plots[static_cast<size_t>(plot)];
    rulers.finish = toLinear(asked.finish->pieceAt(p, hintOf(asked.finish)));
    for (const MeasuredSurface& measured : asked.measured)
        rulers.measured.push_back(toLinear(measured.surface->pieceAt(p, hintOf(measured.surface))));
    return rulers;
}

bool RulerReader::groundKnown(glm::dvec2 p) {
    return !work_.groundAssumed && work_.ground->known(p, hintOf(work_.ground.get()));
}

namespace {

/// The present layers above fill of a plot, with the surfaces known between them.
struct Courses {
    std::vector<const Layer*> layers;  // present, top first
    std::vector<const Linear*> known;  // per interface of the present layers; null: not measured
    int count() const { return static_cast<int>(layers.size()); }
    double wanted(int from, int to) const {
        double sum = 0;
        for (int i = from; i < to; ++i) sum += layers[static_cast<size_t>(i)]->thickness;
        return sum;
    }
    int takingUp(int from, int to) const {
        for (int i = from; i < to; ++i)
            if (layers[static_cast<size_t>(i)]->takesUp) return i;
        return -1;
    }
};

Courses coursesOf(const Plot& plot, const std::vector<char>& present, const Rulers& rulers) {
    Courses courses;
    for (int i = 0; i <= plot.courses; ++i) {
        if (i < plot.courses && !present[static_cast<size_t>(i)]) continue;
        const Linear* known = nullptr;
        for (size_t m = 0; m < plot.measured.size(); ++m)
            if (plot.measured[m].interface == i) known = &rulers.measured[m];
        courses.known.push_back(known);
        if (i < plot.courses) courses.layers.push_back(&plot.buildUp->layers[static_cast<size_t>(i)]);
    }
    return courses;
}

/// Below the lowest measured top the layers hang at their wanted thickness; with nothing measured the
/// formation is where the design puts it.
Linear formationLevel(const Plot& plot, const Courses& courses, const Rulers& rulers) {
    const int bottom = courses.count();
    for (int k = bottom; k >= 0; --k)
        if (courses.known[static_cast<size_t>(k)])
            return *courses.known[static_cast<size_t>(k)] - courses.wanted(k, bottom);
    if (courses.takingUp(0, bottom) >= 0) return designedFormation(plot, rulers);
    return rulers.finish - courses.wanted(0, bottom);
}

/// Stacks the layers between two interfaces from the lower one up. One layer may take up what is left below
/// `target`.
void stackSpan(const Courses& courses, int upper, int lower, const Linear* target, int takingUp, Sides& sides,
               std::vector<Linear>& levels) {
    Linear left = level(0);
    if (takingUp >= 0) {
        const double others =
            courses.wanted(upper, lower) - courses.layers[static_cast<size_t>(takingUp)]->thickness;
        left = *target - levels[static_cast<size_t>(lower)] - others;
        // Too high below: nothing is left for this layer, and all above it is pushed up.
        if (sides.side(left) < 0) left = level(0);
    }
    for (int i = lower - 1; i >= upper; --i) {
        const size_t at = static_cast<size_t>(i);
        levels[at] = levels[at + 1] + (i == takingUp ? left : level(courses.layers[at]->thickness));
    }
}

}  // namespace

std::vector<Linear> solveCourses(const Plot& plot, const std::vector<char>& present, const Rulers& rulers,
                                 Sides& sides) {
    const Courses courses = coursesOf(plot, present, rulers);
    std::vector<Linear> levels(static_cast<size_t>(courses.count()) + 1);
    levels.back() = formationLevel(plot, courses, rulers);
    int lower = courses.count();
    for (int upper = lower - 1; upper >= 0; --upper) {
        const Linear* measured = courses.known[static_cast<size_t>(upper)];
        if (!measured && upper > 0) continue;
        int takingUp = courses.takingUp(upper, lower);
        // A measured top is a fact: the layer it was shot on has whatever thickness that leaves.
        if (measured && takingUp < 0) takingUp = upper;
        stackSpan(courses, upper, lower, measured ? measured : &rulers.finish, takingUp, sides, levels);
        lower = upper;
    }
    return levels;
}

std::vector<Linear> solveBeyond(const Plot& plot, const std::vector<char>& present, const Rulers& rulers,
                                Sides& sides) {
    // At the edge itself every layer stands that does not stop short of it.
    std::vector<char> atEdge(present.size(), 0);
    for (size_t i = 0; i < present.size(); ++i) {
        const int reach = plot.reachOf[i];
        atEdge[i] = reach < 0 || plot.reaches[static_cast<size_t>(reach)].beyond > 0;
    }
    const std::vector<Linear> edge = solveCourses(plot, atEdge, rulers, sides);
    std::vector<Linear> thickness;
    Linear bottom = edge.back();
    size_t k = 0;
    for (int i = 0; i < plot.courses; ++i) {
        const size_t at = static_cast<size_t>(i);
        if (!atEdge[at]) continue;
        if (present[at]) {
            thickness.push_back(edge[k] - edge[k + 1]);
            bottom = edge[k + 1];
        }
        ++k;
    }
    std::vector<Linear> levels(thickness.size() + 1, bottom);
    for (size_t i = thickness.size(); i-- > 0;) levels[i] = levels[i + 1] + thickness[i];
    return levels;
}

namespace {

/// Everything solveStack hands to its parts.
struct Solving {
    const Column& column;
    const StackSettings& settings;
    Sides& sides;
    std::vector<Linear> heights;
};

int entriesOf(const Column& column, size_t from) {
    int count = 1;
    while (from + static_cast<size_t>(count) < column.entries.size() &&
           column.entries[from + static_cast<size_t>(count)].layer == column.entries[from].layer)
        ++count;
    return count;
}

/// Adds the tops of a course's lifts, equal parts between its top and bottom.
void addCourse(Solving& solving, const Linear& top, const Linear& bottom) {
    const int lifts = entriesOf(solving.column, solving.heights.size());
    for (int i = 0; i < lifts; ++i)
        solving.heights.push_back(i == 0 ? top : top - (top - bottom) * (static_cast<double>(i) / lifts));
}

Linear clampAbove(const Linear& value, const Linear& floor, Sides& sides) {
    return sides.side(value - floor) > 0 ? value : floor;
}
Linear clampBelow(const Linear& value, const Linear& ceiling, Sides& sides) {
    return sides.side(ceiling - value) > 0 ? value : ceiling;
}

/// Adds the tops of the fill's lifts between `top` and the stripped ground, and the native soil under them.
/// Parallel lifts lie square below `crown`, so that the odd one is the lowest; level ones count up from the
/// datum.
void addFillAndSoil(Solving& solving, const Linear& top, const Linear& crown, const Linear& stripped,
                    double lift) {
    const Column& column = solving.column;
    const size_t first = solving.heights.size();
    const int lifts = first + 1 < column.entries.size() ? entriesOf(column, first) : 0;
    const bool filled = lifts > 0 && solving.sides.side(top - stripped) > 0;
    for (int i = 0; i < lifts; ++i) {
        Linear boundary = top;
        if (filled && i > 0) {
            boundary = solving.settings.fillLifts == FillLifts::Parallel
                           ? crown - lift * i
                           : level(solving.settings.liftDatum + lift * (lifts - i));
            boundary = clampAbove(clampBelow(boundary, top, solving.sides), stripped, solving.sides);
        }
        solving.heights.push_back(boundary);
    }
    solving.heights.push_back(filled ? stripped : top);
    solving.heights.push_back(level(solving.settings.floor));
}

void solvePlot(const Plot& plot, const Stand& stand, const Rulers& rulers, double strip, Solving& solving) {
    std::vector<Linear> levels;
    if (stand.beyond) {
        levels = solveBeyond(plot, stand.present, rulers, solving.sides);
        // Soil goes back over what runs past the edge, up to the ground beside it.
        solving.heights.push_back(clampAbove(rulers.ground, levels.front(), solving.sides));
    } else {
        levels = solveCourses(plot, stand.present, rulers, solving.sides);
    }
    for (size_t k = 0; k + 1 < levels.size(); ++k) addCourse(solving, levels[k], levels[k + 1]);
    addFillAndSoil(solving, levels.back(), levels.back(), rulers.ground - strip, plot.fillLift);
}

void solveSlope(const Groundwork& work, const Stand& stand, const Rulers& rulers, Solving& solving,
                double& strippedBy) {
    const SlopeFacet* highest = &work.facets[static_cast<size_t>(stand.facets.front())];
    for (size_t i = 1; i < stand.facets.size(); ++i) {
        const SlopeFacet& other = work.facets[static_cast<size_t>(stand.facets[i])];
        if (solving.sides.side(other.height - highest->height) > 0) highest = &other;
    }
    const bool filled = solving.sides.side(highest->height - rulers.ground) > 0;
    strippedBy = filled ? work.strip : 0;
    const double lift = work.plots[static_cast<size_t>(highest->plot)].fillLift;
    if (filled)
        addFillAndSoil(solving, highest->height, highest->crown, rulers.ground - strippedBy, lift);
    else
        addFillAndSoil(solving, rulers.ground, rulers.ground, rulers.ground, lift);
}

}  // namespace

std::vector<Linear> solveStack(const Groundwork& work, const Stand& stand, const Column& column,
                               const Rulers& rulers, const StackSettings& settings, Sides& sides,
                               double& strippedBy) {
    Solving solving{column, settings, sides, {}};
    solving.heights.reserve(column.entries.size() + 1);
    if (stand.plot >= 0) {
        strippedBy = work.strip;
        solvePlot(work.plots[static_cast<size_t>(stand.plot)], stand, rulers, work.strip, solving);
    } else if (!stand.facets.empty()) {
        solveSlope(work, stand, rulers, solving, strippedBy);
    } else {
        strippedBy = 0;
        solving.heights = {rulers.ground, level(settings.floor)};
    }
    assert(solving.heights.size() == column.entries.size() + 1);
    return solving.heights;
}

}  // namespace underfoot
