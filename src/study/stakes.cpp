#include "study/stakes.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "ground/tolerance.h"
#include "measure/cross.h"
#include "measure/length.h"
#include "study/section.h"
#include "study/stakes_tools.h"
#include "study/walk.h"

namespace underfoot {

namespace {

bool wanted(const Column& column, int area) {
    return column.area >= 0 && !column.beyond && (area < 0 || column.area == area);
}

/// A place on the rim of the model can lie a hair outside: the cell that it lies on.
int cellBeside(const Model& model, glm::dvec2 p) {
    for (size_t c = 0; c < model.cells.size(); ++c) {
        bool near = true;
        for (int i = 0; near && i < 3; ++i) {
            const glm::dvec2 a = model.at(model.cells[c], i), way = model.at(model.cells[c], (i + 1) % 3) - a;
            near = cross(way, p - a) >= -tolerance::samePlanPoint * std::hypot(way.x, way.y);
        }
        if (near) return static_cast<int>(c);
    }
    return -1;
}

template <class Of>
double blend(const StakeCell& at, Of of) {
    double sum = 0;
    for (int i = 0; i < 3; ++i) sum += at.share[static_cast<size_t>(i)] * of(i);
    return sum;
}

void addLayers(const Model& model, const StakeCell& at, Stake& stake) {
    const Cell& cell = model.cells[static_cast<size_t>(at.cell)];
    const Column& column = model.columnOf(cell);
    for (int e = 0; e < column.formation; ++e) {
        const ColumnEntry& entry = column.entries[static_cast<size_t>(e)];
        if (blend(at, [&](int i) { return model.thickness(cell, i, e); }) <= tolerance::zeroThickness)
            continue;
        const double top = blend(at, [&](int i) { return model.height(cell, i, e); });
        stake.layers.push_back({entry.layer, entry.lift, entry.lifts, top, stake.string - top});
    }
}

Stake stakeAt(const Model& model, const StakePoint& point, const StakeCell& at, double above) {
    const Cell& cell = model.cells[static_cast<size_t>(at.cell)];
    const Column& column = model.columnOf(cell);
    Stake stake;
    stake.name = point.name;
    stake.at = point.at;
    stake.area = column.area;
    const glm::dvec2 so = model.stationOffset(point.at);
    stake.station = so.x, stake.offset = so.y;
    stake.ground = blend(at, [&](int i) { return model.factsAt(cell, i).ground; });
    stake.finish = blend(at, [&](int i) { return model.factsAt(cell, i).designFinish; });
    stake.formation = blend(at, [&](int i) { return model.height(cell, i, column.formation); });
    stake.string = stake.finish + above;
    addLayers(model, at, stake);
    return stake;
}

bool sameLayer(const StakeLayer& a, const StakeLayer& b) {
    return a.layer == b.layer && a.lift == b.lift;
}

bool agree(const Stake& a, const Stake& b) {
    const auto same = [](double p, double q) { return std::abs(p - q) <= tolerance::lengthCompare; };
    if (!same(a.string, b.string) || !same(a.formation, b.formation) || !same(a.ground, b.ground))
        return false;
    return std::all_of(a.layers.begin(), a.layers.end(), [&](const StakeLayer& one) {
        return std::all_of(b.layers.begin(), b.layers.end(), [&](const StakeLayer& other) {
            return !sameLayer(one, other) || same(one.top, other.top);
        });
    });
}

void addTo(Stake& stake, const Stake& other) {
    if (other.name != stake.name) stake.name += "; " + other.name;
    // What lies uppermost is the finish, which is told of the first.
    for (size_t i = 1; i < other.layers.size(); ++i) {
        const StakeLayer& layer = other.layers[i];
        if (std::none_of(stake.layers.begin(), stake.layers.end(),
                         [&](const StakeLayer& one) { return sameLayer(one, layer); }))
            stake.layers.push_back(layer);
    }
    std::stable_sort(stake.layers.begin(), stake.layers.end(),
                     [](const StakeLayer& a, const StakeLayer& b) { return a.top > b.top; });
}

/// One stake for what areas share: the first of them, with the others' names and layers.
void joinShared(std::vector<Stake>& set) {
    std::multimap<std::pair<long, long>, size_t> placeOf;
    size_t count = 0;
    for (size_t i = 0; i < set.size(); ++i) {
        const std::pair place{std::lround(set[i].at.x / tolerance::samePlanPoint),
                              std::lround(set[i].at.y / tolerance::samePlanPoint)};
        const auto [first, last] = placeOf.equal_range(place);
        const auto shared = std::find_if(first, last, [&](const auto& at) {
            return set[at.second].area != set[i].area && agree(set[at.second], set[i]);
        });
        if (shared != last) {
            addTo(set[shared->second], set[i]);
            continue;
        }
        placeOf.emplace(place, count);
        if (count != i) set[count] = std::move(set[i]);
        ++count;
    }
    set.resize(count);
}

}  // namespace

std::array<double, 3> sharesIn(const Model& model, const Cell& cell, glm::dvec2 at) {
    std::array<double, 3> share{};
    const double twice = 2 * model.planArea(cell);
    for (int i = 0; i < 3; ++i) {
        const glm::dvec2 a = model.at(cell, (i + 1) % 3), b = model.at(cell, (i + 2) % 3);
        share[static_cast<size_t>(i)] = cross(b - a, at - a) / twice;
    }
    return share;
}

StakeCell stakeCell(const Model& model, glm::dvec2 at, int area, int& hint) {
    int start = someCellAt(model, at, hint);
    if (start < 0) start = cellBeside(model, at);
    if (start < 0) return {};
    hint = start;
    int best = -1;
    for (const int cell : cellsTouching(model, at, start, tolerance::samePlanPoint))
        if (wanted(model.columnOf(model.cells[static_cast<size_t>(cell)]), area) && (best < 0 || cell < best))
            best = cell;
    if (best < 0) return {};
    return {best, sharesIn(model, model.cells[static_cast<size_t>(best)], at)};
}

std::vector<Stake> stakes(const Model& model, const std::vector<StakePoint>& points, double above) {
    std::vector<Stake> set;
    int hint = -1;
    for (const StakePoint& point : points) {
        const StakeCell at = stakeCell(model, point.at, point.area, hint);
        if (at.cell >= 0) set.push_back(stakeAt(model, point, at, above));
    }
    joinShared(set);
    return set;
}

std::string cutOrFill(double cut, const LengthFormat& format) {
    const bool metric = format.style == LengthStyle::Metres;
    const double scale = metric ? 1000 : 100 / metresPerFoot;
    const double count = std::floor(std::abs(cut) * scale + 0.5 + 1e-9);
    const std::string amount = fmt::format("{:.{}f}", count / (metric ? 1000 : 100), metric ? 3 : 2);
    return count == 0 ? amount : (cut > 0 ? "C-" : "F-") + amount;
}

// ---------------------------------------------------------------- a string

namespace {

/// The finish, raised as the string is, against the string at the ends of a section's intervals.
void compareFinish(const Model& model, const Section& section, double above, StringRun& run) {
    for (const SectionInterval& interval : section.intervals) {
        const Cell& cell = model.cells[static_cast<size_t>(interval.cell)];
        if (!wanted(model.columnOf(cell), -1)) continue;
        for (const double distance : {interval.from, interval.to}) {
            const glm::dvec2 p = section.at(distance);
            const StakeCell at{interval.cell, sharesIn(model, cell, p)};
            const double finish = blend(at, [&](int i) { return model.factsAt(cell, i).designFinish; });
            const double along = std::hypot(p.x - run.from.x, p.y - run.from.y) / run.length;
            const double off = finish + above - (run.fromHeight - along * run.fall());
            if (std::abs(off) > std::abs(run.off)) run.off = off, run.offAt = p;
        }
    }
}

}  // namespace

Sentence<StringRun> stringRun(const Model& model, glm::dvec2 from, glm::dvec2 to, double above) {
    StringRun run;
    run.from = from, run.to = to;
    run.length = std::hypot(to.x - from.x, to.y - from.y);
    if (!(run.length > tolerance::samePlanPoint))
        return tl::unexpected(std::string("A string needs two places that are apart."));
    const auto ends = stakes(model, {{"", from, -1}, {"", to, -1}}, above);
    if (ends.size() != 2)
        return tl::unexpected(
            std::string("Both ends of a string have to lie inside the areas, or on their edge."));
    run.fromHeight = ends[0].string, run.toHeight = ends[1].string;
    // Along an outline one way has the area to its left, and so in the section.
    compareFinish(model, cut(model, {from, to}), above, run);
    compareFinish(model, cut(model, {to, from}), above, run);
    return run;
}

}  // namespace underfoot
