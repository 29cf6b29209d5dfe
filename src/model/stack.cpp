#include "model/stack.h"

#include <cassert>
#include <memory>

namespace underfoot {

int& RulerReader::hintOf(const Surface* surface) {
    for (auto& [known, hint] : hints_)
        if (known == surface) return hint;
    hints_.emplace_back(surface, -1);
    return hints_.back().second;
}

Rulers RulerReader::at(int plot, glm::dvec2 p) {
    Rulers rulers;
    if (plot >= 0) rulers = aboveGround(plot, p);
    rulers.ground = toLinear(work_.ground->pieceAt(p, hintOf(work_.ground.get())));
    return rulers;
}

Rulers RulerReader::aboveGround(int plot, glm::dvec2 p) {
    Rulers rulers;
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

/// The present layers above fill of a plot while their spans are found.
struct Present {
    std::vector<const Layer*> layers;  // top first
    std::vector<int> known;            // per interface: index of the measured top, -1: not measured
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

Present presentIn(const Plot& plot, const std::vector<char>& present) {
    Present found;
    for (int i = 0; i <= plot.courses; ++i) {
        if (i < plot.courses && !present[static_cast<size_t>(i)]) continue;
        int known = -1;
        for (size_t m = 0; m < plot.measured.size(); ++m)
            if (plot.measured[m].interface == i) known = static_cast<int>(m);
        found.known.push_back(known);
        if (i < plot.courses) found.layers.push_back(&plot.buildUp->layers[static_cast<size_t>(i)]);
    }
    return found;
}

/// Below the lowest measured top the layers hang at their wanted thickness; with nothing measured the
/// formation is where the design puts it.
void findBottom(const Plot& plot, const Present& present, Courses& courses) {
    const int bottom = present.count();
    courses.bottomBelow = present.takingUp(0, bottom) >= 0 ? plot.depth : present.wanted(0, bottom);
    for (int k = bottom; k >= 0; --k) {
        courses.bottomFrom = present.known[static_cast<size_t>(k)];
        if (courses.bottomFrom < 0) continue;
        courses.bottomBelow = present.wanted(k, bottom);
        return;
    }
}

void findSpans(const Present& present, Courses& courses) {
    int lower = present.count();
    for (int upper = lower - 1; upper >= 0; --upper) {
        const int measured = present.known[static_cast<size_t>(upper)];
        if (measured < 0 && upper > 0) continue;
        Courses::Span span{upper, lower, measured, present.takingUp(upper, lower), 0};
        // A measured top is a fact: the layer it was shot on has whatever thickness that leaves.
        if (measured >= 0 && span.takingUp < 0) span.takingUp = upper;
        span.others = present.wanted(upper, lower);
        if (span.takingUp >= 0) span.others -= present.layers[static_cast<size_t>(span.takingUp)]->thickness;
        courses.spans.push_back(span);
        lower = upper;
    }
}

Courses coursesOf(const Plot& plot, const std::vector<char>& standing) {
    const Present present = presentIn(plot, standing);
    Courses courses;
    for (const Layer* layer : present.layers) courses.thickness.push_back(layer->thickness);
    findBottom(plot, present, courses);
    findSpans(present, courses);
    return courses;
}

/// Lifts of the layer that begins at an entry.
int entriesOf(const Column& column, size_t from) {
    return column.entries[from].lifts;
}

double levelAs(double height, double) {
    return height;
}
Linear levelAs(double height, const Linear&) {
    return level(height);
}

template <class Height, class Place>
Height clampAbove(const Height& value, const Height& floor, Place& place) {
    return place.side(value - floor) > 0 ? value : floor;
}
template <class Height, class Place>
Height clampBelow(const Height& value, const Height& ceiling, Place& place) {
    return place.side(ceiling - value) > 0 ? value : ceiling;
}

}  // namespace

Recipe recipeFor(const Plot& plot, const std::vector<char>& present, bool beyond) {
    Recipe recipe;
    recipe.plot = &plot;
    recipe.beyond = beyond;
    if (!beyond) {
        recipe.courses = coursesOf(plot, present);
        return recipe;
    }
    // At the edge itself every layer stands that does not stop short of it.
    std::vector<char> atEdge(present.size(), 0);
    for (size_t i = 0; i < present.size(); ++i) {
        const int reach = plot.reachOf[i];
        atEdge[i] = reach < 0 || plot.reaches[static_cast<size_t>(reach)].beyond > 0;
    }
    for (size_t i = 0; i < static_cast<size_t>(plot.courses); ++i)
        if (atEdge[i]) recipe.kept.push_back(present[i]);
    recipe.courses = coursesOf(plot, atEdge);
    return recipe;
}

Recipe recipeFor(const Groundwork& work, const Stand& stand) {
    Recipe recipe;
    if (stand.plot >= 0)
        recipe = recipeFor(work.plots[static_cast<size_t>(stand.plot)], stand.present, stand.beyond);
    for (int f : stand.facets) recipe.facets.push_back(&work.facets[static_cast<size_t>(f)]);
    recipe.strip = work.strip;
    return recipe;
}

/// Stacks the layers between known surfaces, from the formation up.
template <class Place>
void StackSolver<Place>::solveCourses(const Courses& courses, const RulersOf<Height>& rulers, Place& place) {
    auto measured = [&](int index) -> const Height& {
        return index < 0 ? rulers.finish : rulers.measured[static_cast<size_t>(index)];
    };
    levels_.resize(courses.thickness.size() + 1);
    levels_.back() = measured(courses.bottomFrom) - courses.bottomBelow;
    for (const Courses::Span& span : courses.spans) {
        Height left{};
        if (span.takingUp >= 0) {
            left = measured(span.target) - levels_[static_cast<size_t>(span.lower)] - span.others;
            // Too high below: nothing is left for this layer, and all above it is pushed up.
            if (place.side(left) < 0) left = Height{};
        }
        for (int i = span.lower - 1; i >= span.upper; --i) {
            const size_t at = static_cast<size_t>(i);
            levels_[at] =
                i == span.takingUp ? levels_[at + 1] + left : levels_[at + 1] + courses.thickness[at];
        }
    }
}

/// Of the courses at the edge only those that run out as far as here, each as thick as it is there.
template <class Place>
void StackSolver<Place>::keepBeyond(const std::vector<char>& kept) {
    thickness_.clear();
    Height bottom = levels_.back();
    for (size_t k = 0; k < kept.size(); ++k) {
        if (!kept[k]) continue;
        thickness_.push_back(levels_[k] - levels_[k + 1]);
        bottom = levels_[k + 1];
    }
    levels_.assign(thickness_.size() + 1, bottom);
    for (size_t i = thickness_.size(); i-- > 0;) levels_[i] = levels_[i + 1] + thickness_[i];
}

template <class Place>
const SlopeFacet& StackSolver<Place>::highest(const Recipe& recipe, Place& place) const {
    const SlopeFacet* best = recipe.facets.front();
    for (size_t i = 1; i < recipe.facets.size(); ++i)
        if (place.side(place.of(recipe.facets[i]->height) - place.of(best->height)) > 0)
            best = recipe.facets[i];
    return *best;
}

template <class Place>
auto StackSolver<Place>::levels(const Recipe& recipe, const RulersOf<Height>& rulers, Place& place)
    -> const std::vector<Height>& {
    if (recipe.plot) {
        solveCourses(recipe.courses, rulers, place);
        if (recipe.beyond) keepBeyond(recipe.kept);
    } else {
        levels_.assign(1, recipe.facets.empty() ? rulers.ground : place.of(highest(recipe, place).height));
    }
    return levels_;
}

/// Adds the tops of a course's lifts, equal parts between its top and bottom.
template <class Place>
void StackSolver<Place>::addCourse(const Column& column, const Height& top, const Height& bottom) {
    const int lifts = entriesOf(column, heights_.size());
    for (int i = 0; i < lifts; ++i)
        heights_.push_back(i == 0 ? top : top - (top - bottom) * (static_cast<double>(i) / lifts));
}

/// Adds the tops of the fill's lifts between `top` and the stripped ground, and the native soil under them.
/// Parallel lifts lie square below `crown`, so that the odd one is the lowest; level ones count up from the
/// datum.
template <class Place>
void StackSolver<Place>::addFillAndSoil(const Column& column, const StackSettings& settings,
                                        const Height& top, const Height& crown, const Height& stripped,
                                        double lift, Place& place) {
    const size_t first = heights_.size();
    const int lifts = first + 1 < column.entries.size() ? entriesOf(column, first) : 0;
    const bool filled = lifts > 0 && place.side(top - stripped) > 0;
    for (int i = 0; i < lifts; ++i) {
        Height boundary = top;
        if (i > 0 && (filled || Place::everyDecision)) {
            boundary = settings.fillLifts == FillLifts::Parallel
                           ? crown - lift * i
                           : levelAs(settings.liftDatum + lift * (lifts - i), top);
            boundary = clampAbove(clampBelow(boundary, top, place), stripped, place);
        }
        heights_.push_back(filled ? boundary : top);
    }
    heights_.push_back(filled ? stripped : top);
    heights_.push_back(levelAs(settings.floor, top));
}

template <class Place>
void StackSolver<Place>::addSlope(const Recipe& recipe, const Column& column, const RulersOf<Height>& rulers,
                                  const StackSettings& settings, Place& place, double& strippedBy) {
    const SlopeFacet& facet = highest(recipe, place);
    const SlopeFacet& ruling = place.ruling(facet);
    const Height top = place.of(facet.height);
    const bool filled = place.slopeRises(top - rulers.ground);
    strippedBy = filled ? recipe.strip : 0;
    if (filled)
        addFillAndSoil(column, settings, top, place.of(ruling.crown), rulers.ground - strippedBy, ruling.lift,
                       place);
    else
        addFillAndSoil(column, settings, rulers.ground, rulers.ground, rulers.ground, ruling.lift, place);
}

template <class Place>
auto StackSolver<Place>::heights(const Recipe& recipe, const Column& column, const RulersOf<Height>& rulers,
                                 const StackSettings& settings, Place& place, double& strippedBy)
    -> const std::vector<Height>& {
    heights_.clear();
    strippedBy = recipe.plot ? recipe.strip : 0;
    if (recipe.plot) {
        levels(recipe, rulers, place);
        // Soil goes back over what runs past the edge, up to the ground beside it.
        if (recipe.beyond) heights_.push_back(clampAbove(rulers.ground, levels_.front(), place));
        for (size_t k = 0; k + 1 < levels_.size(); ++k) addCourse(column, levels_[k], levels_[k + 1]);
        addFillAndSoil(column, settings, levels_.back(), levels_.back(), rulers.ground - recipe.strip,
                       recipe.plot->fillLift, place);
    } else if (!recipe.facets.empty()) {
        addSlope(recipe, column, rulers, settings, place, strippedBy);
    } else {
        heights_.push_back(rulers.ground);
        heights_.push_back(levelAs(settings.floor, rulers.ground));
    }
    assert(heights_.size() == column.entries.size() + 1);
    return heights_;
}

template class StackSolver<PointPlace>;
template class StackSolver<PiecePlace>;

}  // namespace underfoot
