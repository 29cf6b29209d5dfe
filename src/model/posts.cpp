#include "model/posts.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <string>
#include <utility>

#include "ground/tolerance.h"
#include "ground/triangulation.h"
#include "measure/side_by_side.h"
#include "model/linear.h"
#include "plan/plan.h"

namespace underfoot {

// ---------------------------------------------------------------- rulers

VertexRulers::VertexRulers(const Groundwork& work, const Overlay& overlay) : work_(work), overlay_(overlay) {
    sourceOf(work.ground.get());
    for (const Plot& plot : work.plots) {
        std::vector<int> sources{sourceOf(plot.finish)};
        for (const MeasuredSurface& measured : plot.measured) sources.push_back(sourceOf(measured.surface));
        sourcesOf_.push_back(std::move(sources));
    }
}

int VertexRulers::sourceOf(const Surface* surface) {
    for (size_t i = 0; i < sources_.size(); ++i)
        if (sources_[i].surface == surface) return static_cast<int>(i);
    sources_.push_back({surface, {}, {}, -1, {}});
    anySteps_ = anySteps_ || surface->steps();
    return static_cast<int>(sources_.size()) - 1;
}

glm::dvec2 VertexRulers::middleOf(int t) const {
    glm::dvec2 sum{0, 0};
    for (int v : overlay_.mesh().triangles()[static_cast<size_t>(t)].v)
        sum += overlay_.mesh().vertices()[static_cast<size_t>(v)];
    return sum / 3.0;
}

double VertexRulers::heightOf(int source, int vertex) {
    Source& from = sources_[static_cast<size_t>(source)];
    const size_t at = static_cast<size_t>(vertex);
    if (at >= from.heights.size())
        from.heights.resize(overlay_.mesh().vertices().size(), std::numeric_limits<double>::quiet_NaN());
    double& height = from.heights[at];
    if (std::isnan(height)) height = from.surface->heightAt(overlay_.mesh().vertices()[at], from.hint);
    return height;
}

double VertexRulers::heightFrom(int source, int vertex, int t) {
    Source& from = sources_[static_cast<size_t>(source)];
    if (!anySteps_ || !from.surface->steps()) return heightOf(source, vertex);
    const glm::dvec2 p = overlay_.mesh().vertices()[static_cast<size_t>(vertex)];
    return from.surface->pieceAt(middleOf(t), from.hint).height(p);
}

const RulersOf<double>& VertexRulers::at(int plot, int vertex, int t) {
    rulers_.ground = heightFrom(0, vertex, t);
    rulers_.measured.clear();
    if (plot < 0) return rulers_;
    const std::vector<int>& sources = sourcesOf_[static_cast<size_t>(plot)];
    rulers_.finish = heightFrom(sources[0], vertex, t);
    for (size_t i = 1; i < sources.size(); ++i) rulers_.measured.push_back(heightFrom(sources[i], vertex, t));
    return rulers_;
}

uint32_t VertexRulers::sideOfSteps(int plot, int t) {
    uint32_t sides = 0, bit = 1;
    if (!anySteps_) return sides;
    auto ask = [&](int source) {
        Source& from = sources_[static_cast<size_t>(source)];
        if (from.surface->steps() && from.surface->known(middleOf(t), from.hint)) sides |= bit;
        bit <<= 1;
    };
    ask(0);
    if (plot >= 0)
        for (int source : sourcesOf_[static_cast<size_t>(plot)]) ask(source);
    return sides;
}

bool VertexRulers::groundKnown(int t) {
    if (work_.groundAssumed) return false;
    constexpr char notAsked = 2;
    Source& ground = sources_.front();
    ground.known.resize(overlay_.mesh().vertices().size(), notAsked);
    auto knownAt = [&](int vertex) {
        char& known = ground.known[static_cast<size_t>(vertex)];
        if (known == notAsked)
            known =
                ground.surface->known(overlay_.mesh().vertices()[static_cast<size_t>(vertex)], ground.hint);
        return known != 0;
    };
    const auto& corners = overlay_.mesh().triangles()[static_cast<size_t>(t)].v;
    // The shots' hull is convex. A corner that rounding put outside it says nothing.
    if (std::all_of(corners.begin(), corners.end(), knownAt)) return true;
    return ground.surface->known(middleOf(t), ground.hint);
}

// ---------------------------------------------------------------- posts

const Recipe& PostTable::recipe(int stand) {
    for (size_t s = recipes_.size(); s < overlay_.stands().size(); ++s)
        recipes_.push_back(recipeFor(work_, overlay_.stands()[s]));
    return recipes_[static_cast<size_t>(stand)];
}

FillSpan PostTable::fillSpan(int t, int vertex) {
    const int stand = overlay_.standOf()[static_cast<size_t>(t)];
    const Recipe& made = recipe(stand);
    const int facet = rulingOn(t, made);
    const SlopeFacet* ruling = facet < 0 ? nullptr : made.facets[static_cast<size_t>(facet)];
    const RulersOf<double>& rulers =
        rulers_.at(overlay_.stands()[static_cast<size_t>(stand)].plot, vertex, t);
    PointPlace place(overlay_.mesh().vertices()[static_cast<size_t>(vertex)], true, ruling);
    const double top = solver_.levels(made, rulers, place).back();
    return {top, ruling ? place.of(ruling->crown) : top, rulers.ground, rulers.ground - work_.strip};
}

FillSpan PostTable::fillSpan(const Entry& entry, StackSolver<PointPlace>& solver) const {
    FillSpan span{0, 0, entry.facts.ground, entry.facts.stripped};
    if (const SlopeFacet* ruling = rulingOf(entry.seen)) {
        PointPlace place(overlay_.mesh().vertices()[static_cast<size_t>(entry.vertex)], true, ruling);
        span.top = solver.levels(recipes_[static_cast<size_t>(entry.seen.stand)], {}, place).back();
        span.crown = place.of(ruling->crown);
    } else {
        span.top = heights(entry)[columns_.columns[static_cast<size_t>(entry.column)].formation];
        span.crown = span.top;
    }
    return span;
}

int PostTable::plotOn(int t) {
    const int stand = overlay_.standOf()[static_cast<size_t>(t)];
    const Recipe& made = recipe(stand);
    const int facet = rulingOn(t, made);
    return facet < 0 ? overlay_.stands()[static_cast<size_t>(stand)].plot
                     : made.facets[static_cast<size_t>(facet)]->plot;
}

int PostTable::plotOf(const Entry& entry) const {
    const SlopeFacet* ruling = rulingOf(entry.seen);
    return ruling ? ruling->plot : overlay_.stands()[static_cast<size_t>(entry.seen.stand)].plot;
}

const SlopeFacet* PostTable::rulingOf(const Seen& seen) const {
    if (seen.facet < 0) return nullptr;
    return recipes_[static_cast<size_t>(seen.stand)].facets[static_cast<size_t>(seen.facet)];
}

int PostTable::columnOf(const Seen& seen) const {
    const SlopeFacet* ruling = rulingOf(seen);
    return ruling ? columns_.ofSlope[static_cast<size_t>(ruling->plot)]
                  : columns_.ofStand[static_cast<size_t>(seen.stand)];
}

void PostTable::begin(const Columns& columns, const StackSettings& settings) {
    settle(columns, settings);
    firstAt_.clear();
    entries_.clear();
    heights_.clear();
}

void PostTable::settle(const Columns& columns, const StackSettings& settings) {
    columns_ = columns;
    settings_ = settings;
}

/// Of the side slopes that could lie on a triangle the highest at its middle: where two of them cross, each
/// side of the crossing has its own lifts.
int PostTable::rulingOn(int t, const Recipe& made) const {
    if (made.facets.empty()) return -1;
    const glm::dvec2 middle = rulers_.middleOf(t);
    const auto name = [&](const SlopeFacet& facet) -> const std::string& {
        return work_.plots[static_cast<size_t>(facet.plot)].area->name;
    };
    size_t best = 0;
    double height = made.facets[0]->height.at(middle);
    for (size_t i = 1; i < made.facets.size(); ++i) {
        const double other = made.facets[i]->height.at(middle), above = other - height;
        // Side slopes that lie in each other: the areas' order in the plan must change nothing.
        if (above < -tolerance::zeroThickness ||
            (above <= tolerance::zeroThickness && name(*made.facets[i]) >= name(*made.facets[best])))
            continue;
        best = i;
        height = other;
    }
    return static_cast<int>(best);
}

/// A side slope is decided at the middle of a triangle: at daylight itself both answers are right, and the
/// stripped ground lies lower under the one.
bool PostTable::risesOn(int t, const Recipe& made, int facet) {
    double ground = 0;
    for (int v : overlay_.mesh().triangles()[static_cast<size_t>(t)].v)
        ground += rulers_.at(-1, v, t).ground / 3;
    return made.facets[static_cast<size_t>(facet)]->height.at(rulers_.middleOf(t)) - ground >
           tolerance::zeroThickness;
}

PostTable::Seen PostTable::seenFrom(int t) {
    Seen seen;
    seen.stand = overlay_.standOf()[static_cast<size_t>(t)];
    seen.variant = rulers_.sideOfSteps(overlay_.stands()[static_cast<size_t>(seen.stand)].plot, t) << 1;
    const Recipe& made = recipe(seen.stand);
    seen.facet = rulingOn(t, made);
    if (seen.facet >= 0 && risesOn(t, made, seen.facet)) seen.variant |= slopeRises;
    return seen;
}

std::array<int, 3> PostTable::postsOf(int t) {
    const Seen seen = seenFrom(t);
    const auto& corners = overlay_.mesh().triangles()[static_cast<size_t>(t)].v;
    return {postAt(corners[0], seen, t), postAt(corners[1], seen, t), postAt(corners[2], seen, t)};
}

int PostTable::postAt(int vertex, const Seen& seen, int t) {
    if (static_cast<size_t>(vertex) >= firstAt_.size()) makeRoom();
    for (int post = firstAt_[static_cast<size_t>(vertex)]; post >= 0;) {
        const Entry& known = entries_[static_cast<size_t>(post)];
        if (known.seen == seen) return known.sameAs < 0 ? post : known.sameAs;
        post = known.next;
    }
    Entry entry;
    entry.vertex = vertex;
    entry.seen = seen;
    entry.column = columnOf(seen);
    solve(entry, rulers_.at(overlay_.stands()[static_cast<size_t>(seen.stand)].plot, vertex, t), solver_,
          run_);
    entry.sameAs = sameBefore(entry);
    if (entry.sameAs < 0) {
        entry.first = static_cast<int>(heights_.size());
        entry.count = static_cast<int>(run_.size());
        heights_.insert(heights_.end(), run_.begin(), run_.end());
    }
    int& first = firstAt_[static_cast<size_t>(vertex)];
    entry.next = std::exchange(first, static_cast<int>(entries_.size()));
    entries_.push_back(entry);
    return entry.sameAs < 0 ? first : entry.sameAs;
}

/// For the posts of the vertices that there are now; most have one.
void PostTable::makeRoom() {
    const size_t vertices = overlay_.mesh().vertices().size();
    firstAt_.resize(vertices, -1);
    if (vertices <= entries_.capacity()) return;
    size_t most = 0;
    for (const Column& column : columns_.columns) most = std::max(most, column.entries.size() + 1);
    entries_.reserve(vertices + vertices / 8);
    heights_.reserve(entries_.capacity() * most);  // pages that stay untouched take no memory
}

/// Side slopes that meet over a vertex, the lifts of one going on in the other, are one stack there: the run
/// just solved is that of an entry before, but for rounding.
int PostTable::sameBefore(const Entry& entry) const {
    if (entry.seen.facet < 0) return -1;
    for (int post = firstAt_[static_cast<size_t>(entry.vertex)]; post >= 0;) {
        const Entry& known = entries_[static_cast<size_t>(post)];
        if (known.sameAs < 0 && known.seen.stand == entry.seen.stand && known.column == entry.column &&
            known.seen.variant == entry.seen.variant &&
            std::equal(run_.begin(), run_.end(), heights(known), heights(known) + known.count,
                       [](double a, double b) { return std::abs(a - b) <= tolerance::heightRounding; }))
            return post;
        post = known.next;
    }
    return -1;
}

void PostTable::solve(Entry& entry, const RulersOf<double>& rulers, StackSolver<PointPlace>& solver,
                      std::vector<double>& run) const {
    const Recipe& made = recipes_[static_cast<size_t>(entry.seen.stand)];
    const bool rises = (entry.seen.variant & slopeRises) != 0;
    PointPlace place(overlay_.mesh().vertices()[static_cast<size_t>(entry.vertex)], rises,
                     rulingOf(entry.seen));
    double strippedBy = 0;
    const int column = columnOf(entry.seen);
    run = solver.heights(made, columns_.columns[static_cast<size_t>(column)], rulers, settings_, place,
                         strippedBy);
    entry.decisions = place.decisions();
    if (!made.plot && !rises) {
        // Past daylight a side slope is plain ground again.
        entry.column = columns_.plain;
        run = {rulers.ground, settings_.floor};
    }
    // Rounding at a zero line must not leave a layer with less than nothing.
    for (size_t k = run.size() - 1; k-- > 0;) run[k] = std::max(run[k], run[k + 1]);
    const double none = std::numeric_limits<double>::quiet_NaN();
    entry.facts = {rulers.ground, rulers.ground - strippedBy, none, none};
    if (!made.plot) return;
    entry.facts.designFormation = rulers.finish - made.plot->depth;
    if (!made.beyond) entry.facts.designFinish = rulers.finish;
}

// ---------------------------------------------------------------- heights moved

void VertexRulers::known(int plot, int vertex, RulersOf<double>& rulers) const {
    const size_t at = static_cast<size_t>(vertex);
    rulers.ground = sources_[0].heights[at];
    rulers.measured.clear();
    if (plot < 0) return;
    const std::vector<int>& sources = sourcesOf_[static_cast<size_t>(plot)];
    rulers.finish = sources_[static_cast<size_t>(sources[0])].heights[at];
    for (size_t i = 1; i < sources.size(); ++i)
        rulers.measured.push_back(sources_[static_cast<size_t>(sources[i])].heights[at]);
}

void VertexRulers::replace(const Surface* before, const Surface* now) {
    for (Source& source : sources_) {
        if (source.surface != before) continue;
        source.surface = now;
        source.hint = -1;
        source.influences.clear();
    }
}

void VertexRulers::refresh(const Surface* surface, std::vector<char>& moved) {
    const auto found = std::find_if(sources_.begin(), sources_.end(),
                                    [&](const Source& source) { return source.surface == surface; });
    if (found == sources_.end()) return;  // rules nowhere
    Source& from = *found;
    const std::vector<glm::dvec2>& vertices = overlay_.mesh().vertices();
    const bool mixes = surface->mixes(), fresh = from.influences.empty();
    if (mixes) from.influences.resize(from.heights.size());
    inRuns(from.heights.size(), manyPosts, [&](size_t first, size_t last) {
        int hint = -1;
        for (size_t v = first; v < last; ++v) {
            if (std::isnan(from.heights[v])) continue;
            if (mixes && fresh) from.influences[v] = surface->influenceAt(vertices[v], hint);
            const double height = mixes && from.influences[v] ? surface->mixed(*from.influences[v])
                                                              : surface->heightAt(vertices[v], hint);
            if (std::abs(height - from.heights[v]) <= tolerance::heightRounding) continue;
            from.heights[v] = height;
            moved[v] = 1;
        }
    });
}

void PostTable::refresh(const std::vector<const Surface*>& moved, bool layers) {
    movedAt_.assign(overlay_.mesh().vertices().size(), 0);
    for (const Surface* surface : moved) rulers_.refresh(surface, movedAt_);
    if (layers) recipes_.clear();
    if (!overlay_.stands().empty()) recipe(static_cast<int>(overlay_.stands().size()) - 1);
}

void PostTable::keep(const std::vector<int>& entries) {
    std::vector<Entry> kept;
    std::vector<double> heights;
    kept.reserve(entries.size());
    heights.reserve(heights_.size());
    std::fill(firstAt_.begin(), firstAt_.end(), -1);
    for (int post : entries) {
        Entry entry = entries_[static_cast<size_t>(post)];
        const double* run = heights_.data() + entry.first;
        entry.first = static_cast<int>(heights.size());
        heights.insert(heights.end(), run, run + entry.count);
        int& first = firstAt_[static_cast<size_t>(entry.vertex)];
        entry.next = std::exchange(first, static_cast<int>(kept.size()));
        kept.push_back(entry);
    }
    entries_ = std::move(kept);
    heights_ = std::move(heights);
}

namespace {

bool sameFacts(const CornerFacts& a, const CornerFacts& b) {
    auto same = [](double x, double y) { return x == y || (std::isnan(x) && std::isnan(y)); };
    return a.ground == b.ground && a.stripped == b.stripped && same(a.designFinish, b.designFinish) &&
           same(a.designFormation, b.designFormation);
}

}  // namespace

PostTable::Change PostTable::solveAgain(Entry& entry, RulersOf<double>& rulers,
                                        StackSolver<PointPlace>& solver, std::vector<double>& run) {
    rulers_.known(overlay_.stands()[static_cast<size_t>(entry.seen.stand)].plot, entry.vertex, rulers);
    const CornerFacts before = entry.facts;
    solve(entry, rulers, solver, run);
    double* held = heights_.data() + entry.first;
    if (sameFacts(before, entry.facts) && std::equal(run.begin(), run.end(), held)) return Change::None;
    std::copy(run.begin(), run.end(), held);
    return Change::Moved;
}

void PostTable::addFill(const Entry& entry, StackSolver<PointPlace>& solver, FillFound& found) const {
    found.addGround(entry.facts.ground - work_.strip);
    const int plot = plotOf(entry);
    if (plot < 0 || entry.column == columns_.plain) return;
    found.add(work_.plots[static_cast<size_t>(plot)].fillLayer, entry.seen.facet >= 0,
              fillSpan(entry, solver));
}

FillFound PostTable::solveAgain(bool all, std::vector<Change>& changes) {
    std::vector<FillFound> parts((entries_.size() + manyPosts - 1) / manyPosts);
    inRuns(entries_.size(), manyPosts, [&](size_t from, size_t to) {
        StackSolver<PointPlace> solver;
        RulersOf<double> rulers;
        std::vector<double> run;
        FillFound found;
        for (size_t i = from; i < to; ++i) {
            if (all || movedAt_[static_cast<size_t>(entries_[i].vertex)])
                changes[i] = std::max(changes[i], solveAgain(entries_[i], rulers, solver, run));
            addFill(entries_[i], solver, found);
        }
        parts[from / manyPosts] = std::move(found);
    });
    FillFound whole;
    for (const FillFound& part : parts) whole.add(part);
    return whole;
}

}  // namespace underfoot
