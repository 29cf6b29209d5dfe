#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>

#include <glm/common.hpp>
#include <glm/geometric.hpp>

#include "ground/tolerance.h"
#include "model/corners.h"
#include "model/fittings.h"
#include "model/overlay.h"
#include "model/zero_lines.h"

namespace underfoot {
namespace {

constexpr double soilShown =
    0.3;  // depth of native soil below the lowest surface, for pictures and exports only
constexpr int settleRounds = 6;  // edges are split again at most this often; what is left is welded

glm::dvec2 centroid(const Triangulation& mesh, int t) {
    const Triangle& triangle = mesh.triangles()[static_cast<size_t>(t)];
    glm::dvec2 sum{0, 0};
    for (int v : triangle.v) sum += mesh.vertices()[static_cast<size_t>(v)];
    return sum / 3.0;
}

std::vector<glm::dvec2> cornersOf(const Triangulation& mesh, int t) {
    std::vector<glm::dvec2> corners;
    for (int v : mesh.triangles()[static_cast<size_t>(t)].v)
        corners.push_back(mesh.vertices()[static_cast<size_t>(v)]);
    return corners;
}

/// How much fill a fill layer comes to, which decides its lifts.
struct FillReach {
    double greatest = 0;  ///< thickness
    double low = std::numeric_limits<double>::infinity();
    double high = -std::numeric_limits<double>::infinity();
};

class ModelMaker {
  public:
    ModelMaker(const Plan& plan, const Groundwork& work, Overlay& overlay)
        : plan_(plan), work_(work), overlay_(overlay) {}

    Model make() {
        measureFill();
        addZeroLines();
        solve();
        for (int round = 0; round < settleRounds && splitEdges(); ++round) solve();
        clearBareSlopes();
        weldCorners(model_);
        addFittings(work_, model_);
        return std::move(model_);
    }

  private:
    const Stand& standOf(int t) const {
        return overlay_.stands()[static_cast<size_t>(overlay_.standOf()[static_cast<size_t>(t)])];
    }
    int plotOf(const Stand& stand) const {
        if (stand.plot >= 0 || stand.facets.empty()) return stand.plot;
        return work_.facets[static_cast<size_t>(stand.facets.front())].plot;
    }

    // ------------------------------------------------------------ columns

    int liftsOf(const Layer& layer) const {
        if (layer.lift <= 0) return 1;
        return std::max(1, static_cast<int>(std::ceil(layer.thickness / layer.lift - 1e-9)));
    }

    int fillLiftsOf(int plot) const {
        const auto found = fill_.find(work_.plots[static_cast<size_t>(plot)].fillLayer);
        if (found == fill_.end() || found->second.greatest <= tolerance::zeroThickness) return 0;
        const double lift = work_.plots[static_cast<size_t>(plot)].fillLift;
        if (lift <= 0) return 1;
        const FillReach& reach = found->second;
        const double depth =
            plan_.ground.fillLifts == FillLifts::Parallel ? reach.greatest : reach.high - settings_.liftDatum;
        return std::max(1, static_cast<int>(std::ceil(depth / lift - 1e-9)));
    }

    static void addEntries(Column& column, const ColumnEntry& entry, int lifts) {
        for (int i = 0; i < lifts; ++i) {
            column.entries.push_back(entry);
            column.entries.back().lift = lifts - 1 - i;
            column.entries.back().lifts = lifts;
            column.entries.back().wanted = entry.wanted / lifts;
        }
    }

    void addCourses(const Plot& plot, const std::vector<char>& present, Column& column) const {
        for (int i = 0; i < plot.courses; ++i) {
            const size_t at = static_cast<size_t>(i);
            if (!present[at]) continue;
            const Layer& layer = plot.buildUp->layers[at];
            addEntries(column,
                       {plot.layerIds[at], 0, 1, layer.thickness, layer.least, layer.greatest, layer.takesUp},
                       liftsOf(layer));
        }
    }

    Column columnFor(const Stand& stand) const {
        Column column;
        column.area = plotOf(stand);
        column.beyond = stand.beyond || (stand.plot < 0 && column.area >= 0);
        if (stand.beyond) column.entries.push_back({work_.backfill, 0, 1, 0, {}, {}, true});
        if (stand.plot >= 0) addCourses(work_.plots[static_cast<size_t>(stand.plot)], stand.present, column);
        column.formation = static_cast<int>(column.entries.size());
        if (column.area >= 0)
            addEntries(column,
                       {work_.plots[static_cast<size_t>(column.area)].fillLayer, 0, 1, 0, {}, {}, true},
                       fillLiftsOf(column.area));
        column.entries.push_back({work_.nativeSoil, 0, 1, 0, {}, {}, false});
        return column;
    }

    /// Columns of all stands; stands that differ only in the facets over them share one.
    void makeColumns() {
        model_.columns.clear();
        columnOfStand_.clear();
        std::map<std::tuple<int, bool, std::vector<char>>, int> known;
        for (const Stand& stand : overlay_.stands()) {
            auto [found, fresh] = known.try_emplace({plotOf(stand), stand.beyond, stand.present},
                                                    static_cast<int>(model_.columns.size()));
            if (fresh) model_.columns.push_back(columnFor(stand));
            columnOfStand_.push_back(found->second);
        }
    }

    // ------------------------------------------------------------ passes over the triangles

    template <class Visit>
    void forEachTriangle(Visit visit) {
        RulerReader reader(work_);
        for (int t : overlay_.walkOrder())
            visit(t, reader.at(standOf(t).plot, centroid(overlay_.mesh(), t)), reader);
    }

    Linear topOfFill(const Stand& stand, const Rulers& rulers, glm::dvec2 p) const {
        SidesAtPoint sides(p);
        if (stand.plot >= 0) {
            const Plot& plot = work_.plots[static_cast<size_t>(stand.plot)];
            return stand.beyond ? solveBeyond(plot, stand.present, rulers, sides).back()
                                : solveCourses(plot, stand.present, rulers, sides).back();
        }
        Linear top = rulers.ground;
        for (int f : stand.facets) {
            const Linear& height = work_.facets[static_cast<size_t>(f)].height;
            if (height.at(p) > top.at(p)) top = height;
        }
        return top;
    }

    void measureFill() {
        double lowest = std::numeric_limits<double>::infinity();
        double datum = lowest;
        forEachTriangle([&](int t, const Rulers& rulers, RulerReader&) {
            const Stand& stand = standOf(t);
            const int plot = plotOf(stand);
            for (const glm::dvec2& p : cornersOf(overlay_.mesh(), t)) {
                const double stripped = rulers.ground.at(p) - work_.strip;
                lowest = std::min(lowest, stripped);
                if (plot < 0) continue;
                const double top = topOfFill(stand, rulers, p).at(p);
                lowest = std::min(lowest, top);
                FillReach& reach = fill_[work_.plots[static_cast<size_t>(plot)].fillLayer];
                // A side slope that lies below the ground is none.
                if (stand.plot < 0 && top <= rulers.ground.at(p)) continue;
                reach.greatest = std::max(reach.greatest, top - stripped);
                if (top - stripped > tolerance::zeroThickness) {
                    datum = std::min(datum, stripped);
                    reach.high = std::max(reach.high, top);
                }
            }
        });
        settings_.fillLifts = plan_.ground.fillLifts;
        settings_.liftDatum = std::isfinite(datum) ? datum : 0;
        settings_.floor = lowest - soilShown;
        makeColumns();
    }

    const Column& columnOfTriangle(int t) const {
        const int stand = overlay_.standOf()[static_cast<size_t>(t)];
        return model_.columns[static_cast<size_t>(columnOfStand_[static_cast<size_t>(stand)])];
    }

    void addZeroLines() {
        std::vector<Line> lines;
        forEachTriangle([&](int t, const Rulers& rulers, RulerReader&) {
            zeroLinesIn(work_, standOf(t), columnOfTriangle(t), rulers, settings_,
                        cornersOf(overlay_.mesh(), t), lines);
        });
        for (const auto& [a, b] : lines) overlay_.mesh().insertLine(a, b);
        if (lines.empty()) return;
        overlay_.classify();
        makeColumns();
    }

    /// One more corner wherever surfaces on the two sides of an edge change order between its ends.
    bool splitEdges() {
        std::vector<glm::dvec2> corners;
        for (const EdgeCrossing& crossing : edgeCrossings(model_)) {
            const Cell& cell = model_.cells[static_cast<size_t>(crossing.cell)];
            const glm::dvec2 a = model_.at(cell, (crossing.edge + 1) % 3),
                             b = model_.at(cell, (crossing.edge + 2) % 3);
            const glm::dvec2 p = glm::mix(a, b, crossing.along);
            const double near = 2 * tolerance::samePlanPoint;
            if (glm::distance(p, a) > near && glm::distance(p, b) > near) corners.push_back(p);
        }
        if (corners.empty()) return false;
        for (const glm::dvec2& p : corners) overlay_.mesh().insertPoint(p);
        overlay_.classify();
        makeColumns();
        return true;
    }

    // ------------------------------------------------------------ heights

    void solve() {
        copyCells();
        forEachTriangle(
            [&](int t, const Rulers& rulers, RulerReader& reader) { solveCell(t, rulers, reader); });
    }

    void copyCells() {
        const Triangulation& mesh = overlay_.mesh();
        model_.vertices = mesh.vertices();
        model_.cells.resize(mesh.triangles().size());
        int first = 0;
        for (size_t t = 0; t < model_.cells.size(); ++t) {
            Cell& cell = model_.cells[t];
            cell.vertex = mesh.triangles()[t].v;
            cell.neighbour = mesh.triangles()[t].neighbour;
            cell.column = columnOfStand_[static_cast<size_t>(overlay_.standOf()[t])];
            cell.first = first;
            first += 3 * model_.interfaces(cell);
        }
        model_.heights.assign(static_cast<size_t>(first), 0);
        model_.facts.assign(3 * model_.cells.size(), {});
        model_.groundKnown.assign(model_.cells.size(), 0);
    }

    void solveCell(int t, const Rulers& rulers, RulerReader& reader) {
        const Cell& cell = model_.cells[static_cast<size_t>(t)];
        const Stand& stand = standOf(t);
        const glm::dvec2 middle = centroid(overlay_.mesh(), t);
        SidesAtPoint sides(middle);
        double strippedBy = 0;
        const std::vector<Linear> levels =
            solveStack(work_, stand, model_.columnOf(cell), rulers, settings_, sides, strippedBy);
        for (int c = 0; c < 3; ++c) {
            const glm::dvec2 p = model_.at(cell, c);
            double* heights =
                &model_.heights[static_cast<size_t>(cell.first) + static_cast<size_t>(c) * levels.size()];
            double below = -std::numeric_limits<double>::infinity();
            // Rounding at a zero line must not leave a layer with less than nothing.
            for (size_t k = levels.size(); k-- > 0;) below = heights[k] = std::max(levels[k].at(p), below);
            model_.facts[3 * static_cast<size_t>(t) + static_cast<size_t>(c)] =
                factsAt(stand, rulers, p, strippedBy);
        }
        model_.groundKnown[static_cast<size_t>(t)] = reader.groundKnown(middle);
    }

    bool bare(const Cell& cell) const {
        const Column& column = model_.columnOf(cell);
        if (!column.beyond || column.formation > 0) return false;
        const int soil = model_.interfaces(cell) - 2;
        for (int c = 0; c < 3; ++c)
            if (model_.height(cell, c, 0) - model_.height(cell, c, soil) > tolerance::zeroThickness)
                return false;
        return true;
    }

    /// Past daylight a side slope is plain ground again.
    void clearBareSlopes() {
        Column plain;
        plain.entries.push_back({work_.nativeSoil, 0, 1, 0, {}, {}, false});
        model_.columns.push_back(plain);
        std::vector<double> heights;
        heights.reserve(model_.heights.size());
        for (Cell& cell : model_.cells) {
            const int first = static_cast<int>(heights.size());
            const int n = model_.interfaces(cell);
            const bool dropped = bare(cell);
            const int kept = dropped ? 2 : n;
            for (int c = 0; c < 3; ++c)
                for (int k = n - kept; k < n; ++k) heights.push_back(model_.height(cell, c, k));
            if (dropped) cell.column = static_cast<int>(model_.columns.size()) - 1;
            cell.first = first;
        }
        model_.heights = std::move(heights);
    }

    CornerFacts factsAt(const Stand& stand, const Rulers& rulers, glm::dvec2 p, double strippedBy) const {
        const double none = std::numeric_limits<double>::quiet_NaN();
        CornerFacts facts{rulers.ground.at(p), rulers.ground.at(p) - strippedBy, none, none};
        if (stand.plot < 0) return facts;
        facts.designFormation = designedFormation(work_.plots[static_cast<size_t>(stand.plot)], rulers).at(p);
        if (!stand.beyond) facts.designFinish = rulers.finish.at(p);
        return facts;
    }

    const Plan& plan_;
    const Groundwork& work_;
    Overlay& overlay_;
    StackSettings settings_;
    std::map<LayerId, FillReach> fill_;
    std::vector<int> columnOfStand_;
    Model model_;

  public:
    /// Everything of the model that does not hang on cells.
    void begin() {
        model_.plan = plan_;
        model_.site = work_.site;
        model_.layers = work_.layers;
        model_.scans = work_.scans;
        model_.nativeSoil = work_.nativeSoil;
    }
    void end(Model& model) const { model.site.floor = settings_.floor; }
};

}  // namespace

LayerId Model::findLayer(std::string_view name) const {
    for (size_t i = 0; i < layers.size(); ++i)
        if (layers[i].name == name) return static_cast<LayerId>(i);
    return -1;
}

Checked<Model> buildModel(const Plan& plan) {
    Checked<Groundwork> work = prepareGroundwork(plan);
    if (!work) return tl::unexpected(std::move(work.error()));
    frameSite(*work);
    Overlay overlay(*work);
    ModelMaker maker(plan, *work, overlay);
    maker.begin();
    Model model = maker.make();
    maker.end(model);
#ifdef UNDERFOOT_CHECK_MODELS
    assert(!modelFault(model));
#endif
    return model;
}

}  // namespace underfoot
