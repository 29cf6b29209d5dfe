#include "model/columns.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>
#include <utility>

#include "ground/tolerance.h"

namespace underfoot {
namespace {

/// As many as it takes, or one too many; a thickness of three lifts is three, whatever rounding says.
int liftsIn(double depth, double lift) {
    return static_cast<int>(std::clamp(std::ceil(depth / lift - 1e-9), 1.0, mostLifts + 1.0));
}

void addEntries(Column& column, const ColumnEntry& entry, int lifts) {
    for (int i = 0; i < lifts; ++i) {
        column.entries.push_back(entry);
        column.entries.back().lift = lifts - 1 - i;
        column.entries.back().lifts = lifts;
        column.entries.back().wanted = entry.wanted / lifts;
    }
}

void addCourses(const Plot& plot, const std::vector<char>& present, Column& column) {
    for (int i = 0; i < plot.courses; ++i) {
        const size_t at = static_cast<size_t>(i);
        if (!present[at]) continue;
        const Layer& layer = plot.buildUp->layers[at];
        addEntries(column,
                   {plot.layerIds[at], 0, 1, layer.thickness, layer.least, layer.greatest, layer.takesUp},
                   liftsOf(layer));
    }
}

void addFill(const Plot& plot, const FillFound& fill, FillLifts way, Column& column) {
    column.formation = static_cast<int>(column.entries.size());
    addEntries(column, {plot.fillLayer, 0, 1, 0, {}, {}, true}, fill.lifts(plot, way));
}

Column columnFor(const Groundwork& work, const Stand& stand, const FillFound& fill, FillLifts way) {
    Column column;
    column.area = stand.plot;
    column.beyond = stand.beyond;
    if (stand.beyond) column.entries.push_back({work.backfill, 0, 1, 0, {}, {}, true});
    if (stand.plot >= 0) {
        const Plot& plot = work.plots[static_cast<size_t>(stand.plot)];
        addCourses(plot, stand.present, column);
        addFill(plot, fill, way, column);
    }
    column.entries.push_back({work.nativeSoil, 0, 1, 0, {}, {}, false});
    return column;
}

Column slopeColumn(const Groundwork& work, int plot, const FillFound& fill, FillLifts way) {
    Column column;
    column.area = plot;
    column.beyond = true;
    addFill(work.plots[static_cast<size_t>(plot)], fill, way, column);
    column.entries.push_back({work.nativeSoil, 0, 1, 0, {}, {}, false});
    return column;
}

/// Makes the columns of the plots whose side slopes could lie on a stand. The one with the most entries.
int slopeColumns(const Groundwork& work, const Stand& stand, const FillFound& fill, FillLifts way,
                 Columns& made) {
    const auto entries = [&](int column) { return made.columns[static_cast<size_t>(column)].entries.size(); };
    int most = -1;
    for (int facet : stand.facets) {
        const int plot = work.facets[static_cast<size_t>(facet)].plot;
        int& column = made.ofSlope[static_cast<size_t>(plot)];
        if (column < 0) {
            column = static_cast<int>(made.columns.size());
            made.columns.push_back(slopeColumn(work, plot, fill, way));
        }
        if (most < 0 || entries(column) > entries(most)) most = column;
    }
    return most;
}

}  // namespace

int liftsOf(const Layer& layer) {
    return layer.lift <= 0 ? 1 : liftsIn(layer.thickness, layer.lift);
}

void FillFound::add(LayerId fill, bool onSlope, const FillSpan& span) {
    if (static_cast<size_t>(fill) >= reach.size()) reach.resize(static_cast<size_t>(fill) + 1);
    Reach& of = reach[static_cast<size_t>(fill)];
    lowest = std::min(lowest, onSlope ? std::max(span.top, span.ground) : span.top);
    if (onSlope && span.top < span.ground - tolerance::zeroThickness) return;
    of.greatest = std::max(of.greatest, span.crown - span.stripped);
    if (span.top - span.stripped <= tolerance::zeroThickness) return;
    datum = std::min(datum, span.stripped);
    of.high = std::max(of.high, span.top);
}

void FillFound::add(const FillFound& other) {
    if (other.reach.size() > reach.size()) reach.resize(other.reach.size());
    for (size_t i = 0; i < other.reach.size(); ++i) {
        reach[i].greatest = std::max(reach[i].greatest, other.reach[i].greatest);
        reach[i].high = std::max(reach[i].high, other.reach[i].high);
    }
    lowest = std::min(lowest, other.lowest);
    datum = std::min(datum, other.datum);
}

double FillFound::depth(const Plot& plot, FillLifts way) const {
    const size_t fill = static_cast<size_t>(plot.fillLayer);
    if (fill >= reach.size() || reach[fill].greatest <= tolerance::zeroThickness) return 0;
    return way == FillLifts::Parallel ? reach[fill].greatest : reach[fill].high - liftDatum();
}

int FillFound::lifts(const Plot& plot, FillLifts way) const {
    const double deep = depth(plot, way);
    if (deep <= 0) return 0;
    return plot.fillLift <= 0 ? 1 : liftsIn(deep, plot.fillLift);
}

Columns columnsFor(const Groundwork& work, const std::vector<Stand>& stands, const FillFound& fill,
                   FillLifts way) {
    Columns made;
    made.ofSlope.assign(work.plots.size(), -1);
    std::map<std::tuple<int, bool, std::vector<char>>, int> known;
    for (const Stand& stand : stands) {
        if (stand.plot < 0 && !stand.facets.empty()) {
            made.ofStand.push_back(slopeColumns(work, stand, fill, way, made));
            continue;
        }
        auto [found, fresh] = known.try_emplace({stand.plot, stand.beyond, stand.present},
                                                static_cast<int>(made.columns.size()));
        if (fresh) made.columns.push_back(columnFor(work, stand, fill, way));
        made.ofStand.push_back(found->second);
    }
    Column plain;
    plain.entries.push_back({work.nativeSoil, 0, 1, 0, {}, {}, false});
    made.plain = static_cast<int>(made.columns.size());
    made.columns.push_back(plain);
    return made;
}

}  // namespace underfoot
