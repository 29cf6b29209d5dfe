#include "model/maker.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <set>
#include <span>
#include <string>
#include <utility>

#include <fmt/format.h>
#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "ground/tolerance.h"
#include "ground/triangulation.h"
#include "measure/length.h"
#include "measure/side_by_side.h"
#include "model/corners.h"
#include "model/fittings.h"
#include "model/zero_lines.h"

namespace underfoot {
namespace {

constexpr double soilShown =
    0.3;  // depth of native soil below the lowest surface, for pictures and exports only
constexpr int settleRounds = 6;  // edges are split again at most this often; what is left is welded

std::array<glm::dvec2, 3> cornersOf(const Triangulation& mesh, int t) {
    const auto& v = mesh.triangles()[static_cast<size_t>(t)].v;
    const auto at = [&](int vertex) { return mesh.vertices()[static_cast<size_t>(vertex)]; };
    return {at(v[0]), at(v[1]), at(v[2])};
}

}  // namespace

ModelMaker::ModelMaker(const Groundwork& work, Overlay& overlay)
    : work_(work), overlay_(overlay), posts_(work, overlay) {}

Checked<Model> ModelMaker::make(Plan plan) {
    settings_.fillLifts = plan.ground.fillLifts;
    model_.plan = std::move(plan);
    model_.site = work_.site;
    model_.layers = work_.layers;
    model_.scans = work_.scans;
    model_.nativeSoil = work_.nativeSoil;
    measureFill();
    if (Diagnostics faults = liftFaults(); !faults.empty()) return tl::unexpected(std::move(faults));
    addZeroLines();
    for (int round = 0; round < settleRounds && splitEdges();) ++round;
    layCells();
    measurePlanAreas(model_);
    weldCorners(model_);
    addFittings(work_, model_);
    model_.site.floor = settings_.floor;
    return std::move(model_);
}

void ModelMaker::measureFill() {
    // What was last looked at over a vertex: the stand, and the side of steps that it was seen from.
    std::vector<std::pair<int, uint32_t>> seen(overlay_.mesh().vertices().size(), {-1, 0});
    VertexRulers& rulers = posts_.rulers();
    for (int t : overlay_.walkOrder()) {
        const Stand& stand = standOf(t);
        if (stand.plot < 0 && !stand.facets.empty()) {
            measureSlope(t, work_.plots[static_cast<size_t>(posts_.plotOn(t))].fillLayer);
            continue;
        }
        const std::pair here{overlay_.standOf()[static_cast<size_t>(t)],
                             rulers.anySteps() ? rulers.sideOfSteps(stand.plot, t) : 0};
        for (int v : overlay_.mesh().triangles()[static_cast<size_t>(t)].v) {
            if (std::exchange(seen[static_cast<size_t>(v)], here) == here) continue;
            const FillSpan span = posts_.fillSpan(t, v);
            fill_.addGround(span.stripped);
            if (stand.plot >= 0)
                fill_.add(work_.plots[static_cast<size_t>(stand.plot)].fillLayer, false, span);
        }
    }
    settings_.liftDatum = fill_.liftDatum();
    settings_.floor = fill_.lowest - soilShown;
    columns_ = columnsFor(work_, overlay_.stands(), fill_, settings_.fillLifts);
    posts_.begin(columns_, settings_);
}

/// A side slope ends at daylight, between corners; there its fill may lie farthest below the crown.
void ModelMaker::measureSlope(int t, LayerId fill) {
    std::array<FillSpan, 3> corner;
    for (size_t i = 0; i < 3; ++i) {
        corner[i] = posts_.fillSpan(t, overlay_.mesh().triangles()[static_cast<size_t>(t)].v[i]);
        fill_.addGround(corner[i].stripped);
        fill_.add(fill, true, corner[i]);
    }
    for (size_t i = 0; i < 3; ++i) {
        const FillSpan &a = corner[i], &b = corner[(i + 1) % 3];
        const double ofA = a.top - a.ground, ofB = b.top - b.ground;
        if ((ofA > 0) == (ofB > 0)) continue;
        const double along = ofA / (ofA - ofB);
        fill_.add(fill, true,
                  {std::lerp(a.top, b.top, along), std::lerp(a.crown, b.crown, along),
                   std::lerp(a.ground, b.ground, along), std::lerp(a.stripped, b.stripped, along)});
    }
}

Diagnostics ModelMaker::liftFaults() const {
    Diagnostics faults;
    std::set<const BuildUp*> seen;
    const LengthFormat& show = model_.plan.show;
    const auto add = [&](const SourcePlace& place, std::string what, double thick, double lift) {
        faults.push_back({place,
                          fmt::format("{} {} thick and would take more than {} lifts of {}.", what,
                                      formatLength(thick, show), mostLifts, formatThickness(lift, show)),
                          "Look for a wrong height or unit, or write thicker lifts."});
    };
    for (const Plot& plot : work_.plots) {
        if (fill_.lifts(plot, settings_.fillLifts) > mostLifts)
            add(plot.area->place, fmt::format("Fill under \"{}\" would be", plot.area->name),
                fill_.depth(plot, settings_.fillLifts), plot.fillLift);
        if (!seen.insert(plot.buildUp).second) continue;
        for (const Layer& layer : plot.buildUp->layers)
            if (liftsOf(layer) > mostLifts)
                add(layer.place, fmt::format("Layer \"{}\" is", layer.name), layer.thickness, layer.lift);
    }
    return faults;
}

/// Whether surfaces could change order inside a triangle.
bool ModelMaker::undecided(const std::array<int, 3>& posts) const {
    uint64_t above = 0, below = 0;
    bool complete = true;
    for (int post : posts) {
        const Decisions& decisions = posts_.entry(post).decisions;
        above |= decisions.above;
        below |= decisions.below;
        complete = complete && decisions.complete;
    }
    return !complete || (above & below) != 0;
}

/// Most triangles are those that they were before lines and points were added, on the same posts.
const ModelMaker::Laid& ModelMaker::laid(int t) {
    if (laid_.size() < overlay_.mesh().triangles().size()) laid_.resize(overlay_.mesh().triangles().size());
    Laid& known = laid_[static_cast<size_t>(t)];
    const auto& vertex = overlay_.mesh().triangles()[static_cast<size_t>(t)].v;
    const int stand = overlay_.standOf()[static_cast<size_t>(t)];
    if (known.stand != stand || known.vertex != vertex) known = {vertex, stand, posts_.postsOf(t), true};
    return known;
}

void ModelMaker::layTriangles() {
    for (int t : overlay_.walkOrder()) laid(t);
}

void ModelMaker::addZeroLines() {
    std::vector<Line> lines;
    RulerReader reader(work_);
    ZeroLines zero(settings_);
    for (int t : overlay_.walkOrder()) {
        if (!undecided(laid(t).post)) continue;
        const std::array<glm::dvec2, 3> corners = cornersOf(overlay_.mesh(), t);
        const int stand = overlay_.standOf()[static_cast<size_t>(t)];
        const Rulers rulers = reader.at(standOf(t).plot, (corners[0] + corners[1] + corners[2]) / 3.0);
        const int column = columns_.ofStand[static_cast<size_t>(stand)];
        zero.add(posts_.recipe(stand), columns_.columns[static_cast<size_t>(column)], rulers, corners, lines);
    }
    overlay_.insertLines(lines);
    if (!lines.empty()) reclassify();
}

void ModelMaker::reclassify() {
    const size_t known = overlay_.stands().size();
    overlay_.classify();
    if (overlay_.stands().size() == known) return;
    columns_ = columnsFor(work_, overlay_.stands(), fill_, settings_.fillLifts);
    posts_.begin(columns_, settings_);
    laid_.clear();
}

namespace {

/// A number for every triangle, by its first vertex: triangles that lie near each other get near numbers.
std::vector<int> numbersByVertex(const Triangulation& mesh) {
    auto firstOf = [](const Triangle& t) { return static_cast<size_t>(std::min({t.v[0], t.v[1], t.v[2]})); };
    std::vector<int> next(mesh.vertices().size() + 1, 0);
    for (const Triangle& t : mesh.triangles()) ++next[firstOf(t) + 1];
    for (size_t v = 1; v < next.size(); ++v) next[v] += next[v - 1];
    std::vector<int> numbers;
    numbers.reserve(mesh.triangles().size());
    for (const Triangle& t : mesh.triangles()) numbers.push_back(next[firstOf(t)]++);
    return numbers;
}

}  // namespace

namespace {

bool standsOn(const std::array<int, 3>& posts, int post) {
    return posts[0] == post || posts[1] == post || posts[2] == post;
}

}  // namespace

/// Most edges lie inside one region, where both triangles stand on the same posts.
bool ModelMaker::isSeam(int t, size_t edge) const {
    const int next = overlay_.mesh().triangles()[static_cast<size_t>(t)].neighbour[edge];
    if (next < 0) return true;
    const std::array<int, 3>&mine = laid_[static_cast<size_t>(t)].post,
                          &beside = laid_[static_cast<size_t>(next)].post;
    return !standsOn(beside, mine[(edge + 1) % 3]) || !standsOn(beside, mine[(edge + 2) % 3]);
}

/// Where surfaces on the two sides of an edge change order between its ends, well away from both; but for
/// edges between triangles that were there the last time.
std::vector<glm::dvec2> ModelMaker::crossingsAlongEdges() {
    const Triangulation& mesh = overlay_.mesh();
    const std::vector<int> number = numbersByVertex(mesh);
    std::vector<int> byNumber(number.size());
    for (size_t t = 0; t < number.size(); ++t) byNumber[static_cast<size_t>(number[t])] = static_cast<int>(t);
    const auto stackOver = [&](const Laid& laid, int vertex) {
        const auto at = std::find(laid.vertex.begin(), laid.vertex.end(), vertex) - laid.vertex.begin();
        const PostTable::Entry& post = posts_.entry(laid.post[static_cast<size_t>(at)]);
        return std::span(posts_.heights(post), static_cast<size_t>(post.count));
    };
    std::vector<glm::dvec2> corners;
    for (int t : byNumber)
        for (size_t e = 0; e < 3; ++e) {
            const int beside = mesh.triangles()[static_cast<size_t>(t)].neighbour[e];
            if (beside < 0 || number[static_cast<size_t>(beside)] < number[static_cast<size_t>(t)]) continue;
            const Laid &mine = laid_[static_cast<size_t>(t)], &other = laid_[static_cast<size_t>(beside)];
            if ((!mine.fresh && !other.fresh) || !isSeam(t, e)) continue;
            const int from = mine.vertex[(e + 1) % 3], to = mine.vertex[(e + 2) % 3];
            const glm::dvec2 a = mesh.vertices()[static_cast<size_t>(from)],
                             b = mesh.vertices()[static_cast<size_t>(to)];
            forEachCrossing(
                {stackOver(mine, from), stackOver(mine, to), stackOver(other, from), stackOver(other, to)},
                [&](double along, int, int) {
                    const glm::dvec2 p = glm::mix(a, b, along);
                    const double near = 2 * tolerance::samePlanPoint;
                    if (glm::distance(p, a) > near && glm::distance(p, b) > near) corners.push_back(p);
                });
        }
    for (Laid& laid : laid_) laid.fresh = false;
    return corners;
}

/// One more corner wherever they do.
bool ModelMaker::splitEdges() {
    layTriangles();
    const std::vector<glm::dvec2> corners = crossingsAlongEdges();
    if (corners.empty()) return false;
    for (const glm::dvec2& p : corners) overlay_.mesh().insertPoint(p);
    reclassify();
    return true;
}

void ModelMaker::layCells() {
    layTriangles();
    const Triangulation& mesh = overlay_.mesh();
    model_.vertices = mesh.vertices();
    model_.columns = columns_.columns;
    model_.cells.resize(mesh.triangles().size());
    model_.groundKnown.assign(model_.cells.size(), 0);
    const std::vector<int> number = numbersByVertex(mesh);
    for (int t : overlay_.walkOrder()) {
        const size_t at = static_cast<size_t>(number[static_cast<size_t>(t)]);
        const Triangle& triangle = mesh.triangles()[static_cast<size_t>(t)];
        Cell& cell = model_.cells[at];
        cell.vertex = triangle.v;
        for (size_t e = 0; e < 3; ++e)
            cell.neighbour[e] =
                triangle.neighbour[e] < 0 ? -1 : number[static_cast<size_t>(triangle.neighbour[e])];
        cell.post = laid_[static_cast<size_t>(t)].post;
        cell.column = posts_.entry(cell.post[0]).column;
        cell.seams = 0;
        for (size_t e = 0; e < 3; ++e)
            if (isSeam(t, e)) cell.seams = static_cast<uint8_t>(cell.seams | 1u << e);
        model_.groundKnown[at] = posts_.rulers().groundKnown(t);
    }
    layPosts();
    laid_ = {};
}

/// The posts that cells stand on, in the order of their vertices.
void ModelMaker::layPosts() {
    order_ = postsByVertex();
    std::vector<int> place(posts_.size(), -1);
    model_.posts.clear();
    model_.facts.clear();
    model_.heights.clear();
    model_.posts.reserve(order_.size());
    model_.facts.reserve(order_.size());
    for (int post : order_) {
        const PostTable::Entry& entry = posts_.entry(post);
        place[static_cast<size_t>(post)] = static_cast<int>(model_.posts.size());
        model_.posts.push_back({entry.vertex, entry.column, static_cast<int>(model_.heights.size())});
        model_.facts.push_back(entry.facts);
        const double* run = posts_.heights(entry);
        model_.heights.insert(model_.heights.end(), run, run + entry.count);
    }
    for (Cell& cell : model_.cells)
        for (int& post : cell.post) post = place[static_cast<size_t>(post)];
}

std::vector<int> ModelMaker::postsByVertex() const {
    std::vector<char> used(posts_.size(), 0);
    std::vector<int> start(model_.vertices.size() + 1, 0);
    for (const Cell& cell : model_.cells)
        for (int post : cell.post) {
            if (std::exchange(used[static_cast<size_t>(post)], 1)) continue;
            ++start[static_cast<size_t>(posts_.entry(post).vertex) + 1];
        }
    for (size_t v = 1; v < start.size(); ++v) start[v] += start[v - 1];
    std::vector<int> order(static_cast<size_t>(start.back()));
    for (size_t post = 0; post < used.size(); ++post) {
        if (!used[post]) continue;
        const int vertex = posts_.entry(static_cast<int>(post)).vertex;
        order[static_cast<size_t>(start[static_cast<size_t>(vertex)]++)] = static_cast<int>(post);
    }
    return order;
}

// ---------------------------------------------------------------- heights moved

bool ModelMaker::sameLifts(const Columns& other) const {
    auto entries = [](const Column& a, const Column& b) { return a.entries.size() == b.entries.size(); };
    return std::equal(columns_.columns.begin(), columns_.columns.end(), other.columns.begin(),
                      other.columns.end(), entries);
}

bool ModelMaker::resolve(const Moved& what, Model& model, std::vector<int>& moved) {
    if (!std::exchange(kept_, true)) posts_.keep(order_);
    posts_.refresh(what.surfaces, what.layers || what.facets);
    std::vector<PostTable::Change> changes(posts_.size(), PostTable::Change::None);
    const FillFound fill = posts_.solveAgain(what.layers || what.facets, changes);
    Columns columns = columnsFor(work_, overlay_.stands(), fill, settings_.fillLifts);
    if (!sameLifts(columns)) return false;
    auto follow = [](double& value, double now) {
        if (std::abs(value - now) <= tolerance::sameHeight) return false;
        value = now;
        return true;
    };
    const bool datumMoved = follow(settings_.liftDatum, fill.liftDatum());
    const bool floorMoved = follow(settings_.floor, fill.lowest - soilShown);
    fill_ = fill;
    columns_ = std::move(columns);
    posts_.settle(columns_, settings_);
    if (floorMoved || (datumMoved && settings_.fillLifts == FillLifts::Level))
        posts_.solveAgain(true, changes);
    model.columns = columns_.columns;
    model.site.floor = settings_.floor;
    if (std::exchange(welded_, false)) std::fill(changes.begin(), changes.end(), PostTable::Change::Moved);
    moved.clear();
    for (size_t i = 0; i < changes.size(); ++i)
        if (changes[i] != PostTable::Change::None) moved.push_back(static_cast<int>(i));
    takeOver(moved, model);
    return true;
}

void ModelMaker::takeOver(const std::vector<int>& moved, Model& model) const {
    inRuns(moved.size(), manyPosts, [&](size_t from, size_t to) {
        for (size_t k = from; k < to; ++k) {
            const size_t post = static_cast<size_t>(moved[k]);
            const PostTable::Entry& entry = posts_.entry(moved[k]);
            model.facts[post] = entry.facts;
            const double* run = posts_.heights(entry);
            std::copy(run, run + entry.count, model.heights.begin() + model.posts[post].first);
        }
    });
}

}  // namespace underfoot
