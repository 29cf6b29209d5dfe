#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>
#include <utility>

#include <glm/common.hpp>
#include <glm/geometric.hpp>

#include "ground/tolerance.h"
#include "model/corners.h"
#include "model/fittings.h"
#include "model/overlay.h"
#include "model/posts.h"
#include "model/zero_lines.h"

namespace underfoot {
namespace {

constexpr double soilShown =
    0.3;  // depth of native soil below the lowest surface, for pictures and exports only
constexpr int settleRounds = 6;  // edges are split again at most this often; what is left is welded

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
        : plan_(plan), work_(work), overlay_(overlay), posts_(work, overlay) {}

    Model make() {
        measureFill();
        addZeroLines();
        layCells();
        for (int round = 0; round < settleRounds && splitEdges(); ++round) layCells();
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

    /// Columns of all stands; stands that differ only in the facets over them share one. Bare ground has the
    /// last.
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
        Column plain;
        plain.entries.push_back({work_.nativeSoil, 0, 1, 0, {}, {}, false});
        model_.columns.push_back(plain);
    }

    // ------------------------------------------------------------ passes over the triangles

    void measureFill() {
        double lowest = std::numeric_limits<double>::infinity();
        double datum = lowest;
        std::vector<int> seen(overlay_.mesh().vertices().size(), -1);  // the stand last looked at there
        for (int t : overlay_.walkOrder()) {
            const Stand& stand = standOf(t);
            const int plot = plotOf(stand);
            FillReach* reach = plot < 0 ? nullptr : &fill_[work_.plots[static_cast<size_t>(plot)].fillLayer];
            for (int v : overlay_.mesh().triangles()[static_cast<size_t>(t)].v) {
                const int here = overlay_.standOf()[static_cast<size_t>(t)];
                if (std::exchange(seen[static_cast<size_t>(v)], here) == here) continue;
                const auto [top, ground] = posts_.fillSpan(t, v);
                const double stripped = ground - work_.strip;
                lowest = std::min(lowest, stripped);
                if (!reach) continue;
                lowest = std::min(lowest, top);
                // A side slope that lies below the ground is none.
                if (stand.plot < 0 && top <= ground) continue;
                reach->greatest = std::max(reach->greatest, top - stripped);
                if (top - stripped <= tolerance::zeroThickness) continue;
                datum = std::min(datum, stripped);
                reach->high = std::max(reach->high, top);
            }
        }
        settings_.fillLifts = plan_.ground.fillLifts;
        settings_.liftDatum = std::isfinite(datum) ? datum : 0;
        settings_.floor = lowest - soilShown;
        makeColumns();
        posts_.begin(model_.columns, columnOfStand_, static_cast<int>(model_.columns.size()) - 1, settings_);
    }

    /// Whether surfaces could change order inside a triangle.
    bool undecided(const std::array<int, 3>& posts) const {
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

    void addZeroLines() {
        std::vector<Line> lines;
        RulerReader reader(work_);
        ZeroLines zero(settings_);
        for (int t : overlay_.walkOrder()) {
            if (!undecided(posts_.postsOf(t))) continue;
            const std::vector<glm::dvec2> corners = cornersOf(overlay_.mesh(), t);
            const int stand = overlay_.standOf()[static_cast<size_t>(t)];
            const Rulers rulers = reader.at(standOf(t).plot, (corners[0] + corners[1] + corners[2]) / 3.0);
            const int column = columnOfStand_[static_cast<size_t>(stand)];
            zero.add(posts_.recipe(stand), model_.columns[static_cast<size_t>(column)], rulers, corners,
                     lines);
        }
        overlay_.insertLines(lines);
        if (!lines.empty()) reclassify();
    }

    void reclassify() {
        const size_t known = overlay_.stands().size();
        overlay_.classify();
        if (overlay_.stands().size() == known) return;
        makeColumns();
        posts_.begin(model_.columns, columnOfStand_, static_cast<int>(model_.columns.size()) - 1, settings_);
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
        reclassify();
        return true;
    }

    // ------------------------------------------------------------ cells

    void layCells() {
        const Triangulation& mesh = overlay_.mesh();
        model_.vertices = mesh.vertices();
        model_.cells.resize(mesh.triangles().size());
        model_.groundKnown.assign(model_.cells.size(), 0);
        for (int t : overlay_.walkOrder()) {
            const size_t at = static_cast<size_t>(t);
            Cell& cell = model_.cells[at];
            cell.vertex = mesh.triangles()[at].v;
            cell.neighbour = mesh.triangles()[at].neighbour;
            cell.post = posts_.postsOf(t);
            cell.column = posts_.entry(cell.post[0]).column;
            model_.groundKnown[at] = posts_.rulers().groundKnown(t);
        }
        layPosts();
    }

    /// The posts that cells stand on, in the order of their vertices.
    void layPosts() {
        std::vector<int> order = postsByVertex();
        std::vector<int> place(posts_.size(), -1);
        model_.posts.clear();
        model_.facts.clear();
        model_.heights.clear();
        model_.posts.reserve(order.size());
        model_.facts.reserve(order.size());
        for (int post : order) {
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

    std::vector<int> postsByVertex() const {
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

    const Plan& plan_;
    const Groundwork& work_;
    Overlay& overlay_;
    PostTable posts_;
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
