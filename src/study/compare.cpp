#include "study/compare.h"

#include <algorithm>
#include <array>
#include <limits>
#include <utility>

#include <fmt/format.h>
#include <glm/geometric.hpp>
#include <glm/vec3.hpp>

#include "ground/surface.h"
#include "ground/tolerance.h"
#include "measure/words.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "study/earthwork.h"
#include "study/finding_tools.h"
#include "study/takeoff.h"
#include "study/units.h"
#include "study/volumes.h"
#include "study/water.h"
#include "study/water_flow.h"
#include "study/water_surface.h"

namespace underfoot {
namespace {

/// A volume that rounding alone has left.
constexpr double noVolume = 1e-9;

glm::dvec2 nearestOnTriangle(glm::dvec2 p, const std::array<glm::dvec2, 3>& t) {
    const auto cross = [](glm::dvec2 a, glm::dvec2 b) { return a.x * b.y - a.y * b.x; };
    bool inside = true;
    for (size_t i = 0; i < 3; ++i) inside = inside && cross(t[(i + 1) % 3] - t[i], p - t[i]) >= 0;
    if (inside) return p;
    glm::dvec2 best = t[0];
    for (size_t i = 0; i < 3; ++i) {
        const glm::dvec2 way = t[(i + 1) % 3] - t[i];
        const double part = std::clamp(glm::dot(p - t[i], way) / glm::dot(way, way), 0.0, 1.0);
        const glm::dvec2 q = t[i] + part * way;
        if (glm::distance(p, q) < glm::distance(p, best)) best = q;
    }
    return best;
}

struct FinishThere {
    double height = 0;
    double far = 0;  ///< in plan, from where it was asked for
};

/// As finishNearest.
std::optional<FinishThere> finishThere(const Model& model, glm::dvec2 local) {
    std::optional<FinishThere> found;
    for (const Cell& cell : model.cells) {
        if (!insideArea(model.columnOf(cell))) continue;
        const std::array<glm::dvec2, 3> corners{model.at(cell, 0), model.at(cell, 1), model.at(cell, 2)};
        const glm::dvec2 place = nearestOnTriangle(local, corners);
        const double far = glm::distance(place, local);
        if (found && far > found->far + tolerance::samePlanPoint) continue;
        const auto corner = [&](int c) {
            return glm::dvec3(corners[static_cast<size_t>(c)], model.height(cell, c, 0));
        };
        const double height = planeThrough(corner(0), corner(1), corner(2)).height(place);
        const bool nearer = !found || far < found->far - tolerance::samePlanPoint;
        found = FinishThere{nearer ? height : std::max(height, found->height),
                            found ? std::min(far, found->far) : far};
    }
    return found;
}

/// Reads one design; figures are put into rows that all designs share.
class Reader {
  public:
    Reader(std::vector<Figure>& figures, size_t design, size_t designs, const Model& model)
        : figures_(figures),
          design_(design),
          designs_(designs),
          model_(model),
          catalogue_(loadCatalogue(model.plan)) {}

    void read(const std::vector<Sill>& sills) {
        readEarth();
        readLayers();
        readUnits();
        put("lifts", "Lifts to compact", FigureUnit::Count, Better::Less,
            static_cast<double>(liftsToPlace(model_, catalogue_).size()));
        readCost();
        readWater();
        readHeights(sills);
    }
    std::vector<std::string> notPriced;
    std::vector<Finding> readFindings() {
        std::vector<Finding> all = findings(model_, catalogue_);
        put("findings", "Findings", FigureUnit::Count, Better::Less, static_cast<double>(all.size()));
        return all;
    }

  private:
    static bool isLayer(const std::string& key) { return key.starts_with("layer "); }

    void put(const std::string& key, const std::string& title, FigureUnit unit, Better better, double value) {
        auto at = std::find_if(figures_.begin(), figures_.end(),
                               [&](const Figure& figure) { return figure.key == key; });
        if (at == figures_.end()) {
            // Layers that a later design brings stand with the others; where it is missing there is none.
            const bool layer = isLayer(key);
            if (layer)
                at = std::find_if(figures_.rbegin(), figures_.rend(), [](const Figure& figure) {
                         return isLayer(figure.key);
                     }).base();
            if (at == figures_.begin()) at = figures_.end();
            at = figures_.insert(at, {key, title, unit, better, {}});
            at->values.resize(designs_, layer ? std::optional<double>(0) : std::nullopt);
        }
        at->values[design_] = value;
    }

    void readEarth() {
        double deepest = 0;
        for (const Cell& cell : model_.cells) {
            if (model_.columnOf(cell).area < 0) continue;
            for (int c = 0; c < 3; ++c)
                deepest = std::max(deepest, model_.factsAt(cell, c).ground -
                                                model_.height(cell, c, model_.interfaces(cell) - 2));
        }
        put("deepest", "Deepest dig", FigureUnit::Length, Better::Less, deepest);
        const EarthBalance earth = earthBalance(model_, catalogue_);
        put("topsoil", "Topsoil off, in place", FigureUnit::Volume, Better::Less, earth.strip.inPlace);
        put("cut", "Cut, in place", FigureUnit::Volume, Better::Less, earth.cut.inPlace);
        put("out", "Hauled out, loose", FigureUnit::Volume, Better::Less, earth.looseOut());
        put("in", "Earth hauled in, loose", FigureUnit::Volume, Better::Less, earth.looseIn());
        fillAtHand_ = earth.cutUsed * earth.soil.compacted;
    }

    void readLayers() {
        const Volumes all = volumes(model_);
        double carried = 0;
        for (const LayerVolume& one : all.layers) {
            const ModelLayer& layer = model_.layers[static_cast<size_t>(one.layer)];
            if (one.volume <= noVolume) continue;
            put("layer " + layer.name, layer.name + ", placed", FigureUnit::Volume, Better::Neither,
                one.volume);
            if (layer.role == Role::Backfill) continue;
            const double part = layer.role == Role::Fill ? 1 - fillAtHand_ / all.fill : 1;
            carried += one.volume * part * catalogue_.material(layer.material, layer.role).densityCompacted;
        }
        put("carried", "Brought in, as placed", FigureUnit::Mass, Better::Less, carried);
    }

    void readUnits() {
        bought_ = takeoff(model_, catalogue_);
        const std::vector<UnitCount>& counts = bought_.units.counts;
        if (counts.empty()) return;
        double heaviest = 0, laid = 0, sawn = 0;
        for (const UnitCount& count : counts) {
            heaviest = std::max(heaviest, count.weight);
            laid += static_cast<double>(static_cast<size_t>(count.whole) + count.cut.size());
            sawn += static_cast<double>(count.cut.size());
        }
        put("heaviest", "Heaviest unit", FigureUnit::Mass, Better::Less, heaviest);
        put("units", "Units laid", FigureUnit::Count, Better::Neither, laid);
        put("sawn", "of them sawn", FigureUnit::Count, Better::Less, sawn);
    }

    void readCost() {
        if (!bought_.total) return;
        // Money of two currencies is never put side by side.
        const std::string title = "Cost of what is bought, " + bought_.currency;
        const bool other = std::any_of(figures_.begin(), figures_.end(), [&](const Figure& figure) {
            return figure.key == "cost" && figure.title != title;
        });
        put(other ? "cost in " + bought_.currency : "cost", title, FigureUnit::Money, Better::Less,
            *bought_.total);
        for (const TakeoffRow& row : bought_.rows) {
            if (row.cost || row.bought <= 0) continue;
            notPriced.push_back(uncapitalised(row.title));
        }
    }

    void readWater() {
        const WaterReport water = waterReport(model_, catalogue_, WaterOn::DesignedFinish);
        double least = std::numeric_limits<double>::infinity(), pond = 0;
        for (const FlatPiece& piece : water.pieces) least = std::min(least, piece.slope);
        for (const Pond& one : water.ponds) pond = std::max(pond, one.depth);
        if (!water.pieces.empty())
            put("fall", "Least fall of the finish", FigureUnit::Slope, Better::More, least);
        put("pond", "Deepest pond", FigureUnit::Thickness, Better::Less, pond);
    }

    void readHeights(const std::vector<Sill>& sills) {
        for (const Sill& sill : sills)
            if (const auto finish = finishNearest(model_, model_.toLocal(sill.at)))
                put("sill " + sill.name, "Finish below \"" + sill.name + "\"", FigureUnit::Length,
                    Better::Neither, sill.height - *finish);
        for (const FixedThing& thing : model_.plan.fixedThings) {
            if (thing.kind != FixedKind::Slab) continue;
            if (const auto finish = nearestTo(thing.outline))
                put("slab " + thing.name, "Finish above \"" + thing.name + "\"", FigureUnit::Length,
                    Better::Neither, *finish - thing.top);
        }
    }
    /// The finish at the place that lies nearest to an outline: at a corner of the outline or of the finish.
    std::optional<double> nearestTo(const Ring& ring) const {
        std::vector<glm::dvec2> corners = toChords(ring, 1e-4).corners;
        std::optional<FinishThere> best;
        const auto take = [&](glm::dvec2 from) {
            const auto there = finishThere(model_, from);
            if (there && (!best || there->far < best->far)) best = there;
        };
        for (glm::dvec2& corner : corners) take(corner = model_.toLocal(corner));
        double least = std::numeric_limits<double>::infinity();
        glm::dvec2 from{0, 0};
        for (const Cell& cell : model_.cells) {
            if (!insideArea(model_.columnOf(cell))) continue;
            for (int c = 0; c < 3; ++c)
                for (size_t i = 0; i < corners.size(); ++i) {
                    const glm::dvec2 p = model_.at(cell, c), a = corners[i],
                                     way = corners[(i + 1) % corners.size()] - a;
                    const double part = std::clamp(glm::dot(p - a, way) / glm::dot(way, way), 0.0, 1.0);
                    const double far = glm::distance(p, a + part * way);
                    if (far < least) least = far, from = a + part * way;
                }
        }
        take(from);
        if (!best) return std::nullopt;
        return best->height;
    }

    std::vector<Figure>& figures_;
    size_t design_, designs_;
    const Model& model_;
    const Catalogue catalogue_;
    Takeoff bought_;
    double fillAtHand_ = 0;
};

/// What makes two findings the same in two designs: areas and layers by name, for numbers differ.
std::string signOf(const Model& model, const Finding& finding) {
    std::string sign = findingName(finding.kind);
    if (finding.area >= 0) sign += '/' + model.plan.areas[static_cast<size_t>(finding.area)].name;
    if (finding.layer >= 0) sign += '/' + model.layers[static_cast<size_t>(finding.layer)].name;
    return sign;
}

/// Those of `found` that `other` has fewer of, one by one.
std::vector<Finding> lacking(const Model& ofFound, const std::vector<Finding>& found, const Model& ofOther,
                             const std::vector<Finding>& other) {
    std::vector<std::string> there;
    there.reserve(other.size());
    for (const Finding& one : other) there.push_back(signOf(ofOther, one));
    std::vector<Finding> left;
    for (const Finding& one : found) {
        const auto at = std::find(there.begin(), there.end(), signOf(ofFound, one));
        if (at == there.end())
            left.push_back(one);
        else
            there.erase(at);
    }
    return left;
}

/// What the costs leave out, in one sentence for all designs that leave out the same.
std::vector<std::string> costNotes(const std::vector<std::string>& names,
                                   const std::vector<std::vector<std::string>>& notPriced) {
    std::vector<std::string> notes;
    for (size_t d = 0; d < names.size(); ++d) {
        const auto same = [&](size_t other) { return notPriced[other] == notPriced[d]; };
        std::vector<std::string> of;
        bool told = notPriced[d].empty();
        for (size_t other = 0; other < names.size(); ++other)
            if (same(other)) told = told || other < d, of.push_back('"' + names[other] + '"');
        if (told) continue;
        notes.push_back(fmt::format(
            "The cost of {} leaves out {}, for want of a price.",
            of.size() == names.size() && of.size() > 1 ? "each" : fmt::format("{}", fmt::join(of, ", ")),
            fmt::join(notPriced[d], ", ")));
    }
    return notes;
}

}  // namespace

std::optional<double> Figure::difference(size_t design) const {
    if (!values[design] || !values[0]) return std::nullopt;
    return *values[design] - *values[0];
}

std::optional<double> finishNearest(const Model& model, glm::dvec2 local) {
    const auto there = finishThere(model, local);
    if (!there) return std::nullopt;
    return there->height;
}

CompareReport compareDesigns(std::span<const Design> designs, const std::vector<Sill>& sills) {
    CompareReport report;
    std::vector<std::vector<std::string>> notPriced;
    std::vector<Figure> last;  // the count of findings stands under all others
    for (size_t d = 0; d < designs.size(); ++d) {
        const Model& model = *designs[d].model;
        report.names.push_back(designs[d].name);
        Reader reader(report.figures, d, designs.size(), model);
        reader.read(sills);
        notPriced.push_back(std::move(reader.notPriced));
        DesignFindings found;
        found.all = Reader(last, d, designs.size(), model).readFindings();
        if (d > 0) {
            const Model& first = *designs[0].model;
            found.added = lacking(model, found.all, first, report.findings[0].all);
            found.gone = lacking(first, report.findings[0].all, model, found.all);
        }
        report.findings.push_back(std::move(found));
    }
    report.figures.insert(report.figures.end(), last.begin(), last.end());
    report.notes = costNotes(report.names, notPriced);
    return report;
}

}  // namespace underfoot
