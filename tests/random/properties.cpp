#include "random/properties.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>

#include <fmt/format.h>
#include <glm/geometric.hpp>

#include "ground/surface.h"
#include "ground/triangulation.h"
#include "model/model.h"
#include "plan/read_plan.h"
#include "random/random_plan.h"
#include "random/write_plan.h"
#include "share/json.h"
#include "share/section_drawing.h"
#include "study/section.h"
#include "study/thickness.h"
#include "study/volumes.h"

namespace underfoot::testing {
namespace {

bool near(double a, double b, double within) {
    return std::abs(a - b) <= within * std::max({1.0, std::abs(a), std::abs(b)});
}

// ---------------------------------------------------------------- the model's own promises

Fault promises(const Plan& plan) {
    const Checked<Model> model = buildModel(plan);
    return model ? modelFault(*model) : std::nullopt;
}

// ---------------------------------------------------------------- layers and the whole

/// Surface less native soil, over every cell, without looking at a single layer.
double wholeVolume(const Model& model) {
    double volume = 0;
    for (const Cell& cell : model.cells) {
        const int soil = model.interfaces(cell) - 2;
        double sum = 0;
        for (int corner = 0; corner < 3; ++corner)
            sum += model.height(cell, corner, 0) - model.height(cell, corner, soil);
        volume += model.planArea(cell) * sum / 3;
    }
    return volume;
}

Fault layersSum(const Plan& plan) {
    const Checked<Model> model = buildModel(plan);
    if (!model) return {};
    const Volumes found = volumes(*model);
    double all = 0;
    for (const LayerVolume& layer : found.layers) {
        const std::string& name = model->layers[static_cast<size_t>(layer.layer)].name;
        double lifts = 0;
        for (const LiftVolume& lift : layer.lifts) lifts += lift.volume;
        if (!near(lifts, layer.volume, 1e-9))
            return fmt::format("the lifts of {} hold {}, the layer {}", name, lifts, layer.volume);
        if (layer.insideVolume > layer.volume + 1e-9 || layer.insideVolume < 0)
            return fmt::format("{} holds {} inside the outlines and {} in all", name, layer.insideVolume,
                               layer.volume);
        all += layer.volume;
    }
    const double whole = wholeVolume(*model);
    if (!near(all, whole, 1e-9)) return fmt::format("the layers hold {}, all together {}", all, whole);
    return {};
}

/// The outlines less their openings, from the corners alone (the surveyor's formula).
Fault finishAreaIsThatOfTheOutlines(const Plan& plan) {
    for (const Area& area : plan.areas)
        if (!area.around.empty()) return {};
    const Checked<Model> model = buildModel(plan);
    if (!model) return {};
    double wanted = 0, round = 0;
    const auto add = [&](const Ring& ring, double sign) {
        // The chords of the model's own outlines are as far from the arc.
        const std::vector<glm::dvec2> corners = toChords(ring, 2e-4).corners;
        wanted += sign * std::abs(signedArea(corners));
        for (size_t i = 0; i < corners.size(); ++i)
            round += glm::distance(corners[i], corners[(i + 1) % corners.size()]);
    };
    for (const Area& area : plan.areas) {
        add(area.outline, 1);
        for (const Ring& opening : area.openings) add(opening, -1);
    }
    // Corners nearer than a micrometre are one: all of an outline may move by that much.
    const double found = volumes(*model).finishArea;
    if (std::abs(found - wanted) > 2e-6 * round)
        return fmt::format("the outlines enclose {}, the cells {}", wanted, found);
    return {};
}

// ---------------------------------------------------------------- sections

glm::dvec2 randomDirection(Lot& lot) {
    if (lot.chance(0.3)) return {1, 0};
    if (lot.chance(0.3)) return {0, 1};
    const double angle = lot.real(0, 2 * std::numbers::pi);
    return {std::cos(angle), std::sin(angle)};
}

/// The areas of all layers' cut faces on lines square to `along`.
class CutFaces {
  public:
    CutFaces(const Model& model, glm::dvec2 along)
        : model_(model), cutter_(model), along_(along), across_(-along.y, along.x) {
        const glm::dvec2 middle = (model.site.low + model.site.high) * 0.5;
        middle_ = glm::dot(middle, across_);
        reach_ = glm::distance(model.site.low, model.site.high);
    }
    std::vector<double> at(double station) const {
        const glm::dvec2 foot = along_ * station + across_ * middle_;
        const Section section = cutter_.cut({foot - across_ * reach_, foot + across_ * reach_});
        std::vector<double> areas(model_.layers.size(), 0.0);
        for (const Extremes& layer : extremes(model_, section))
            areas[static_cast<size_t>(layer.layer)] += layer.area;
        return areas;
    }

  private:
    const Model& model_;
    Cutter cutter_;
    glm::dvec2 along_, across_;
    double middle_ = 0, reach_ = 0;
};

/// Between the stations of two neighbouring vertices every cell is crossed between the same two sides and
/// every thickness on the way is linear: the area of a cut face is a quadratic in the station, and Gauss's
/// two points integrate it exactly.
Fault sectionsIntegrate(const Plan& plan) {
    constexpr size_t mostVertices = 3000;
    const Checked<Model> model = buildModel(plan);
    if (!model || model->vertices.size() > mostVertices) return {};
    Lot lot(model->vertices.size());
    const glm::dvec2 along = randomDirection(lot);
    std::vector<double> stations;
    for (const glm::dvec2 vertex : model->vertices) stations.push_back(glm::dot(vertex, along));
    std::sort(stations.begin(), stations.end());
    const CutFaces faces(*model, along);
    std::vector<double> integral(model->layers.size(), 0.0);
    for (size_t i = 0; i + 1 < stations.size(); ++i) {
        const double wide = stations[i + 1] - stations[i];
        if (wide < 1e-8) continue;
        const double middle = stations[i] + wide / 2, off = wide / 2 / std::numbers::sqrt3;
        for (const double station : {middle - off, middle + off}) {
            const std::vector<double> areas = faces.at(station);
            for (size_t l = 0; l < areas.size(); ++l) integral[l] += areas[l] * wide / 2;
        }
    }
    // Narrower strips than 10 nm were left out: at most 3,000 of them, each no larger than the site's face.
    for (const LayerVolume& layer : volumes(*model).layers) {
        const double found = integral[static_cast<size_t>(layer.layer)];
        if (!near(found, layer.volume, 2e-6))
            return fmt::format("sections square to ({}, {}) through {} integrate to {}, and it holds {}",
                               along.x, along.y, model->layers[static_cast<size_t>(layer.layer)].name, found,
                               layer.volume);
    }
    return {};
}

std::vector<double> thicknesses(const Model& model, const std::vector<LayerAt>& stack) {
    std::vector<double> found(model.layers.size(), 0.0);
    for (const LayerAt& at : stack) found[static_cast<size_t>(at.layer)] += at.thickness();
    return found;
}

glm::dvec2 randomPoint(Lot& lot, const Model& model) {
    return model.site.low + (model.site.high - model.site.low) * glm::dvec2(lot.real(0, 1), lot.real(0, 1));
}

/// The stack in a section is that at the point; so are the many-points answer and the sum of the stack.
Fault pointsAreThoseOfSections(const Plan& plan) {
    const Checked<Model> model = buildModel(plan);
    if (!model) return {};
    Lot lot(model->cells.size());
    for (int i = 0; i < 8; ++i) {
        const Section section = cut(*model, {randomPoint(lot, *model), randomPoint(lot, *model)});
        for (int k = 0; k < 4; ++k) {
            const double distance = section.length * lot.real(0.01, 0.99);
            const glm::dvec2 point = section.at(distance);
            const auto along = thicknesses(*model, stackAt(*model, section, distance));
            const std::vector<LayerAt> stack = stackAtPoint(*model, point);
            const auto there = thicknesses(*model, stack);
            const auto many = thicknessAtPoints(*model, std::span(&point, 1));
            for (size_t l = 0; l < along.size(); ++l) {
                const std::string& name = model->layers[l].name;
                if (std::abs(along[l] - there[l]) > 1e-6)
                    return fmt::format("{} at ({}, {}) is {} in a section and {} at the point", name, point.x,
                                       point.y, along[l], there[l]);
                if (std::abs((std::isnan(many[l]) ? 0.0 : many[l]) - there[l]) > 1e-9)
                    return fmt::format("{} at ({}, {}) is {} among many points and {} alone", name, point.x,
                                       point.y, many[l], there[l]);
            }
        }
    }
    return {};
}

Fault cuttingTwiceIsTheSame(const Plan& plan) {
    const Checked<Model> first = buildModel(plan), second = buildModel(plan);
    if (!first) return {};
    const Catalogue catalogue = loadCatalogue(plan);
    if (volumesJson(*first, volumes(*first)) != volumesJson(*second, volumes(*second)))
        return "built twice, the volumes differ";
    Lot lot(first->cells.size());
    const std::vector<glm::dvec2> line{randomPoint(lot, *first), randomPoint(lot, *first),
                                       randomPoint(lot, *first)};
    const Cutter cutter(*first);
    const Section one = cut(*first, line), two = cut(*second, line), three = cutter.cut(line);
    const std::string json = sectionJson(*first, one, "A");
    if (json != sectionJson(*second, two, "A") || json != sectionJson(*first, three, "A"))
        return "cut twice, the JSON differs";
    const auto svg = sectionSvg(one, *first, catalogue), again = sectionSvg(two, *second, catalogue);
    if (svg.has_value() != again.has_value() || (svg && *svg != *again)) return "cut twice, the SVG differs";
    return {};
}

// ---------------------------------------------------------------- the same plan in another dress

/// Volumes by the layers' names, and the sums that go with them.
std::map<std::string, double> quantities(const Model& model) {
    std::map<std::string, double> named;
    const Volumes found = volumes(model);
    for (const LayerVolume& layer : found.layers) {
        const std::string& name = model.layers[static_cast<size_t>(layer.layer)].name;
        named[name] = layer.volume;
        named[name + ", inside"] = layer.insideVolume;
    }
    named["strip"] = found.strip;
    named["cut"] = found.cut;
    named["finish area"] = found.finishArea;
    return named;
}

/// At the tips of slivers, bent back by less than a quarter of a degree, what runs past the edge and the side
/// slope end where rounding puts the tip's two sides. Plans with areas less than a centimetre wide are not
/// turned.
bool hasSlivers(const Plan& plan) {
    return std::any_of(plan.areas.begin(), plan.areas.end(), [](const Area& area) {
        const std::vector<glm::dvec2> corners = toChords(area.outline, 2e-4).corners;
        double round = 0;
        for (size_t i = 0; i < corners.size(); ++i)
            round += glm::distance(corners[i], corners[(i + 1) % corners.size()]);
        return 2 * signedArea(corners) / round < 0.01;
    });
}

/// What the second model answers must be what the first does. `within` is a part of each quantity, and an
/// absolute bound for those below one. Where the plan was turned by an odd angle the strip is left out, being
/// taken over the whole plate, whose rim follows the axes.
enum class Turned { No, Quarter, Freely };
Fault differs(const Model& first, const Model& second, double within, Turned turned = Turned::No) {
    const auto a = quantities(first), b = quantities(second);
    if (a.size() != b.size()) return fmt::format("{} quantities became {}", a.size(), b.size());
    for (const auto& [name, value] : a) {
        const auto found = b.find(name);
        if (found == b.end()) return fmt::format("{} is gone", name);
        if (turned == Turned::Freely && name == "strip") continue;
        if (!near(value, found->second, within))
            return fmt::format("{} was {} and became {}", name, value, found->second);
    }
    return {};
}

/// At places well away from upright walls the layers are as thick as they were.
template <class Move>
Fault differsAtPoints(const Model& first, const Model& second, Move move, double within) {
    Lot lot(first.cells.size());
    for (int i = 0; i < 12; ++i) {
        const glm::dvec2 point = randomPoint(lot, first);
        const auto wanted = thicknesses(first, stackAtPoint(first, point));
        bool wall = false;
        for (const glm::dvec2 off : {glm::dvec2(1e-4, 0), {-1e-4, 0}, {0, 1e-4}, {0, -1e-4}}) {
            const auto beside = thicknesses(first, stackAtPoint(first, point + off));
            for (size_t l = 0; l < wanted.size(); ++l) wall = wall || std::abs(beside[l] - wanted[l]) > 1e-3;
        }
        if (wall) continue;
        const glm::dvec2 there = second.toLocal(move(first.toPlan(point)));
        const auto found = thicknesses(second, stackAtPoint(second, there));
        for (size_t l = 0; l < wanted.size(); ++l) {
            if (static_cast<LayerId>(l) == first.nativeSoil) continue;
            const LayerId other = second.findLayer(first.layers[l].name);
            if (std::abs(wanted[l] - found[static_cast<size_t>(other)]) > within)
                return fmt::format("{} at local ({}, {}) was {} thick and became {}", first.layers[l].name,
                                   point.x, point.y, wanted[l], found[static_cast<size_t>(other)]);
        }
    }
    return {};
}

/// Rise over run of the steepest face between heights.
template <class Heights, class PointOf>
double steepest(const Heights& heights, PointOf pointOf) {
    std::vector<glm::dvec2> places;
    std::vector<double> levels;
    for (const auto& height : heights) {
        const glm::dvec3 p = pointOf(height);
        places.emplace_back(p);
        levels.push_back(p.z);
    }
    std::vector<int> vertexOf;
    const Triangulation mesh = Triangulation::ofPoints(places, &vertexOf);
    std::vector<glm::dvec3> corners(mesh.vertices().size());
    for (size_t i = 0; i < places.size(); ++i) {
        const auto v = static_cast<size_t>(vertexOf[i]);
        corners[v] = {mesh.vertices()[v], levels[i]};
    }
    double most = 0;
    const auto corner = [&](int v) { return corners[static_cast<size_t>(v)]; };
    for (const Triangle& t : mesh.triangles())
        most = std::max(most,
                        glm::length(planeThrough(corner(t.v[0]), corner(t.v[1]), corner(t.v[2])).gradient));
    return most;
}

/// Of all that was shot. Shots a few millimetres apart, and slivers at the rim, make faces as steep as walls.
double steepestFace(const Plan& plan) {
    const auto ofShot = [](const Shot& shot) { return glm::dvec3(shot.at, shot.height); };
    double most = steepest(plan.ground.shots, ofShot);
    for (const MeasuredTop& top : plan.measuredTops) most = std::max(most, steepest(top.shots, ofShot));
    for (const Finish& finish : plan.finishes)
        most = std::max(most, steepest(finish.spots, [](const SpotLevel& spot) {
                            return glm::dvec3(spot.at, spot.level);
                        }));
    return most;
}

template <class Move>
Fault movedFault(const Plan& plan, Move move, double within, Turned turned) {
    if (turned != Turned::No && hasSlivers(plan)) return {};
    const Checked<Model> first = buildModel(plan);
    if (!first) return {};
    Plan moved = plan;
    forEachPlace(moved, [&](glm::dvec2& p) { p = move(p); });
    const Checked<Model> second = buildModel(moved);
    if (!second) return "it is refused after the move: " + formatDiagnostic(second.error().front());
    // Turning rounds all places anew: on a face as steep as a wall that is a difference in height. Moving
    // rounds their last bit alone, which there may still choose whether corners a micrometre apart are one.
    const double steep = std::clamp(steepestFace(plan), 1.0, turned == Turned::No ? 10.0 : 1e300);
    if (Fault fault = differs(*first, *second, within * steep, turned)) return fault;
    return differsAtPoints(*first, *second, move, within * steep);
}

/// Corners of two areas within a micrometre of each other become one, whichever comes first, and where lines
/// cross the corner moves as little: on a face as steep as a wall that is a difference in height. Answers
/// agree to two micrometres, in plan where faces are steeper than 1 in 1.
Fault order(const Plan& drawn) {
    const Plan plan = withoutTies(drawn);
    const Checked<Model> first = buildModel(plan);
    if (!first) return {};
    Plan other = plan;
    std::reverse(other.areas.begin(), other.areas.end());
    std::reverse(other.buildUps.begin(), other.buildUps.end());
    std::reverse(other.measuredTops.begin(), other.measuredTops.end());
    // The plan's own finish stays in front.
    std::reverse(other.finishes.begin() + 1, other.finishes.end());
    for (Area& area : other.areas) {
        std::reverse(area.openings.begin(), area.openings.end());
        std::reverse(area.around.begin(), area.around.end());
    }
    for (Finish& finish : other.finishes) std::reverse(finish.planes.begin(), finish.planes.end());
    const Checked<Model> second = buildModel(other);
    if (!second) return "it is refused in another order";
    const double within = 2e-6 * std::max(1.0, steepestFace(plan));
    if (Fault fault = differs(*first, *second, within)) return fault;
    return differsAtPoints(
        *first, *second, [](glm::dvec2 p) { return p; }, within / 2);
}

Fault orderOfShots(const Plan& drawn) {
    const Plan plan = withoutTies(drawn);
    const Checked<Model> first = buildModel(plan);
    if (!first) return {};
    Plan other = plan;
    Lot lot(plan.ground.shots.size());
    const auto shuffle = [&](auto& list) {
        for (size_t i = list.size(); i > 1; --i) std::swap(list[i - 1], list[lot.index(i)]);
    };
    shuffle(other.ground.shots);
    for (MeasuredTop& top : other.measuredTops) shuffle(top.shots);
    for (Finish& finish : other.finishes) shuffle(finish.spots);
    const Checked<Model> second = buildModel(other);
    if (!second) return "it is refused in another order of shots";
    if (Fault fault = differs(*first, *second, 1e-9)) return fault;
    return differsAtPoints(
        *first, *second, [](glm::dvec2 p) { return p; }, 1e-9);
}

Fault moving(const Plan& plan) {
    return movedFault(
        withoutTies(plan), [](glm::dvec2 p) { return p + glm::dvec2(1024, -512); }, 2e-6, Turned::No);
}

Fault quarterTurn(const Plan& plan) {
    return movedFault(
        withoutTies(plan), [](glm::dvec2 p) { return glm::dvec2(-p.y, p.x); }, 2e-6, Turned::Quarter);
}

/// Turned freely, every coordinate is rounded anew (to a nanometre, and corners within a micrometre become
/// one): answers agree to ten micrometres of thickness, and to a hundred-thousandth of each quantity.
Fault freeTurn(const Plan& plan) {
    Lot lot(plan.areas.size() + plan.ground.shots.size());
    const double angle = lot.real(0, 2 * std::numbers::pi), c = std::cos(angle), s = std::sin(angle);
    return movedFault(
        withoutTies(plan), [=](glm::dvec2 p) { return glm::dvec2(c * p.x - s * p.y, s * p.x + c * p.y); },
        1e-5, Turned::Freely);
}

/// Written as a plan file and read again it is the same plan, to the last bit of every volume.
Fault text(const Plan& plan) {
    const Checked<Plan> read = readPlanText(planText(plan), plan.file, "no such folder");
    if (!read) {
        // What the reader and the model refuse alike is no fault.
        return isRefused(plan) ? Fault{} : "the reader refuses it: " + formatDiagnostic(read.error().front());
    }
    const Checked<Model> first = buildModel(plan), second = buildModel(*read);
    if (first.has_value() != second.has_value()) return "one of the two plans is refused";
    return first ? differs(*first, *second, 0) : Fault{};
}

}  // namespace

std::span<const Property> properties() {
    static const std::array<Property, 12> all{{
        {"ModelsKeepEveryPromise", 1, promises},
        {"LayersSumToTheWhole", 10, layersSum},
        {"FinishAreaIsThatOfTheOutlines", 10, finishAreaIsThatOfTheOutlines},
        {"SectionsIntegrateToTheVolumes", 40, sectionsIntegrate},
        {"PointsAreThoseOfSections", 10, pointsAreThoseOfSections},
        {"CuttingTwiceIsTheSame", 20, cuttingTwiceIsTheSame},
        {"TheOrderOfAreasAndLayersChangesNothing", 10, order},
        {"TheOrderOfShotsChangesNothing", 10, orderOfShots},
        {"MovingThePlanMovesTheAnswers", 10, moving},
        {"AQuarterTurnTurnsTheAnswers", 10, quarterTurn},
        {"AFreeTurnTurnsTheAnswers", 10, freeTurn},
        {"TextKeepsThePlan", 10, text},
    }};
    return all;
}

bool isRefused(const Plan& plan) {
    return !buildModel(plan);
}

}  // namespace underfoot::testing
