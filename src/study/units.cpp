#include "study/units.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <map>
#include <numbers>
#include <optional>
#include <tuple>
#include <utility>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "ground/tolerance.h"
#include "measure/length.h"
#include "measure/mass.h"
#include "measure/side_by_side.h"
#include "model/layout.h"
#include "plan/plan.h"
#include "study/index.h"
#include "study/lifting.h"

namespace underfoot {
namespace {

using Shape = std::vector<glm::dvec2>;

/// A side of a piece this near to a side of the whole unit is that side. Metres.
constexpr double onFactorySide = 1e-6;
/// Two parts of a unit closer than this are the same part.
constexpr double samePart = 1e-9;
/// So are ratios of its sides.
constexpr double sameRatio = 1e-6;

double lengthOf(glm::dvec2 v) {
    return std::hypot(v.x, v.y);
}

Shape inFrame(const UnitFrame& frame, const glm::dvec2* corners, int count) {
    const glm::dvec2 x = frame.along, y{-x.y, x.x};
    Shape out;
    for (int i = 0; i < count; ++i) {
        const glm::dvec2 d = corners[i] - frame.at;
        out.push_back({d.x * x.x + d.y * x.y, d.x * y.x + d.y * y.y});
    }
    return out;
}

bool isFactory(glm::dvec2 a, glm::dvec2 b, const UnitFrame& frame) {
    const auto both = [](double p, double q, double at) {
        return std::abs(p - at) < onFactorySide && std::abs(q - at) < onFactorySide;
    };
    return both(a.x, b.x, 0) || both(a.x, b.x, frame.length) || both(a.y, b.y, 0) ||
           both(a.y, b.y, frame.width);
}

/// The angle inside the piece at corner i; more than half a turn at a notch.
double angleAt(const Shape& shape, size_t i) {
    const size_t n = shape.size();
    const glm::dvec2 in = shape[i] - shape[(i + n - 1) % n], out = shape[(i + 1) % n] - shape[i];
    return std::numbers::pi - std::atan2(in.x * out.y - in.y * out.x, in.x * out.x + in.y * out.y);
}

CutUnit cutUnit(const Model& model, int unit, const UnitFrame& frame, const Catalogue& catalogue) {
    const UnitPiece& piece = model.units[index(unit)];
    CutUnit cut;
    cut.unit = unit;
    cut.piece.shape = inFrame(frame, &model.unitCorners[index(piece.firstCorner)], piece.corners);
    const Shape& shape = cut.piece.shape;
    glm::dvec2 low = shape.front(), high = low;
    cut.smallestAngle = 2 * std::numbers::pi;
    for (size_t i = 0; i < shape.size(); ++i) {
        const glm::dvec2 a = shape[i], b = shape[(i + 1) % shape.size()];
        cut.piece.factory.push_back(isFactory(a, b, frame));
        if (!cut.piece.factory.back()) cut.sawn += lengthOf(b - a);
        cut.smallestAngle = std::min(cut.smallestAngle, angleAt(shape, i));
        low = {std::min(low.x, a.x), std::min(low.y, a.y)};
        high = {std::max(high.x, a.x), std::max(high.y, a.y)};
    }
    cut.length = high.x - low.x;
    cut.width = high.y - low.y;
    cut.leastWidth = piece.leastWidth;
    cut.part = piece.planArea / piece.wholeArea;
    cut.tooNarrow = cut.leastWidth < catalogue.limit("cut_unit.least_width").value - tolerance::lengthCompare;
    cut.tooSmall = cut.part < catalogue.limit("cut_unit.least_part").value - samePart;
    return cut;
}

/// Counts the units of one area: the model's pieces with the frames of the layout that made them.
class AreaCount {
  public:
    AreaCount(const Model& model, const Catalogue& catalogue, UnitsReport& report)
        : model_(model), catalogue_(catalogue), report_(report) {}

    void count(int area, int first, int last) {
        const Area& planned = model_.plan.areas[index(area)];
        const UnitPlan laid = layoutUnits(*planned.units, planned, regionsOf(model_, area),
                                          model_.plan.baseline, model_.site.origin);
        assert(laid.pieces.size() == index(last - first));
        size_t frame = 0;
        for (int u = first; u < last; ++u) {
            const UnitPiece& piece = model_.units[index(u)];
            const UnitFrame own = piece.whole ? frameOfWhole(piece) : laid.frames[frame++];
            UnitCount& count = countFor(piece, own);
            count.laidArea += piece.planArea;
            if (piece.whole)
                ++count.whole;
            else
                count.cut.push_back(cutUnit(model_, u, own, catalogue_));
        }
    }

  private:
    UnitFrame frameOfWhole(const UnitPiece& piece) const {
        const glm::dvec2* p = &model_.unitCorners[index(piece.firstCorner)];
        const double a = lengthOf(p[1] - p[0]), b = lengthOf(p[2] - p[1]);
        return {p[0], {1, 0}, std::max(a, b), std::min(a, b)};
    }

    UnitCount& countFor(const UnitPiece& piece, const UnitFrame& frame) {
        const auto key = std::tuple{piece.area, piece.size, std::lround(frame.length / onFactorySide),
                                    std::lround(frame.width / onFactorySide)};
        const auto [found, isNew] = places_.emplace(key, report_.counts.size());
        if (isNew) report_.counts.push_back(newCount(piece, frame));
        return report_.counts[found->second];
    }

    UnitCount newCount(const UnitPiece& piece, const UnitFrame& frame) const {
        UnitCount count;
        count.area = piece.area;
        count.layer = piece.layer;
        count.size = piece.size;
        count.border = piece.border;
        count.length = frame.length;
        count.width = frame.width;
        count.thickness = piece.thickness;
        count.chamfer = piece.chamfer;
        const ModelLayer& layer = model_.layers[index(piece.layer)];
        count.weight = frame.length * frame.width * piece.thickness *
                       catalogue_.material(layer.material, layer.role).densityCompacted;
        const double pass = catalogue_.limit("saw.pass").value;
        count.sawPasses = static_cast<int>(std::ceil((piece.thickness - tolerance::lengthCompare) / pass));
        return count;
    }

    const Model& model_;
    const Catalogue& catalogue_;
    UnitsReport& report_;
    std::map<std::tuple<int, int, long, long>, size_t> places_;
};

OpenJoints openJoints(const Model& model, int area, int first, int last, double belowTop) {
    OpenJoints joints;
    joints.area = area;
    joints.width = model.plan.areas[index(area)].units->joint;
    joints.openArea = regionArea(regionsOf(model, area));
    for (int u = first; u < last; ++u) joints.openArea -= model.units[index(u)].planArea;
    joints.openArea = std::max(0.0, joints.openArea);
    const double thickness = model.units[index(first)].thickness;
    joints.sandToTop = joints.openArea * thickness;
    joints.sandToLimit = joints.openArea * std::max(0.0, thickness - belowTop);
    return joints;
}

std::string sizeText(const UnitCount& count, const LengthFormat& show) {
    return fmt::format("{} x {} x {}", formatThickness(count.length, show),
                       formatThickness(count.width, show), formatThickness(count.thickness, show));
}

/// Published, unless the plan has its own value.
std::string usualBy(const Limit& limit) {
    return limit.reason.empty() ? "usual (ICPI, Construction Tolerances)"
                                : fmt::format("the plan's own ({})", limit.reason);
}

void addSlender(const Limit& limit, const UnitCount& count, const std::string& size, UnitsReport& report) {
    const double slender = count.length / count.thickness;
    if (slender <= limit.value + sameRatio) return;
    report.cautions.push_back(
        fmt::format("Units of {} are {:.1f} times as long as they are thick; under foot traffic at most {:g} "
                    "times is {}. "
                    "Large slabs fall under ASTM C1782 instead.",
                    size, slender, limit.value, usualBy(limit)));
}

void addCautions(const Model& model, const Catalogue& catalogue, UnitsReport& report) {
    const LengthFormat& show = model.plan.show;
    for (const UnitCount& count : report.counts) {
        const std::string size = sizeText(count, show);
        if (count.weight > report.onePersonLifts && report.onePersonLifts > 0)
            report.cautions.push_back(fmt::format(
                "One unit of {} weighs {}, {} the {} that one person should lift again "
                "and again (NIOSH "
                "94-110): use two people and a slab lifter, or a vacuum lifter.",
                size, formatMass(count.weight, show), timesOver(count.weight, report.onePersonLifts),
                formatMass(report.onePersonLifts, show)));
        if (!count.cut.empty() && count.sawPasses > 1)
            report.cautions.push_back(fmt::format("Units of {} are sawn in {} passes, each at most {} deep.",
                                                  size, count.sawPasses,
                                                  formatThickness(catalogue.limit("saw.pass").value, show)));
        addSlender(catalogue.limit("unit.length_to_thickness"), count, size, report);
    }
    for (const OpenJoints& joint : report.joints) {
        const bool tight = joint.width < catalogue.limit("joint.least").value - tolerance::lengthCompare;
        const bool wide = joint.width > catalogue.limit("joint.greatest").value + tolerance::lengthCompare;
        if (!tight && !wide) continue;
        const Limit& limit = catalogue.limit(tight ? "joint.least" : "joint.greatest");
        report.cautions.push_back(
            fmt::format("The joints of \"{}\" are {} wide; {} {} is {}.",
                        model.plan.areas[index(joint.area)].name, formatThickness(joint.width, show),
                        tight ? "at least" : "at most", formatThickness(limit.value, show), usualBy(limit)));
    }
    std::vector<std::string> once;
    for (std::string& caution : report.cautions)
        if (std::find(once.begin(), once.end(), caution) == once.end()) once.push_back(std::move(caution));
    report.cautions = std::move(once);
}

}  // namespace

double UnitCount::waste() const {
    const double faces = bought() * length * width;
    return faces > 0 ? std::max(0.0, 1 - laidArea / faces) : 0;
}

Regions regionsOf(const Model& model, int area) {
    const Area& planned = model.plan.areas[index(area)];
    std::vector<const Area*> cuts;
    for (const Area& other : model.plan.areas)
        if (std::find(planned.around.begin(), planned.around.end(), other.name) != planned.around.end())
            cuts.push_back(&other);
    return areaRegions(planned, cuts, model.site.origin);
}

UnitsReport unitsReport(const Model& model, const Catalogue& catalogue) {
    UnitsReport report;
    report.kerf = catalogue.limit("saw.kerf").value;
    report.onePersonLifts = recommendedWeight(usualLift(catalogue));
    AreaCount counter(model, catalogue, report);
    const int all = static_cast<int>(model.units.size());
    for (int first = 0, last = 0; first < all; first = last) {
        const int area = model.units[index(first)].area;
        while (last < all && model.units[index(last)].area == area) ++last;
        counter.count(area, first, last);
        report.joints.push_back(
            openJoints(model, area, first, last, catalogue.limit("joint.sand.below_top").value));
    }
    sideBySide(report.counts.size(), [&report](size_t i) {
        UnitCount& count = report.counts[i];
        std::vector<PieceToSaw> pieces;
        for (const CutUnit& cut : count.cut) pieces.push_back(cut.piece);
        count.nesting = nestOffcuts(count.length, count.width, pieces, report.kerf, count.chamfer > 0);
    });
    addCautions(model, catalogue, report);
    return report;
}

}  // namespace underfoot
