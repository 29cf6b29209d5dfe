// Slope of the designed finish, flat piece by flat piece.

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "ground/surface.h"
#include "ground/tolerance.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "study/finding_tools.h"
#include "study/findings.h"
#include "study/index.h"

namespace underfoot {

namespace {

constexpr double smallestPiece = 1e-4;  // m²; a smaller piece of finish has no slope that water minds

// A flat piece of an area's finish: one plane, wherever it lies in the area.
struct FinishPiece {
    PlaneHeight plane;
    double area = 0;
    glm::dvec2 middle{0, 0};  // of its largest cell
    double leastOffset = 0;   // from the baseline
};

std::array<glm::dvec3, 3> finishCorners(const Model& model, int cell) {
    std::array<glm::dvec3, 3> corners;
    for (size_t c = 0; c < 3; ++c) {
        const int corner = static_cast<int>(c);
        const glm::dvec2 p = model.at(model.cells[index(cell)], corner);
        corners[c] = {p.x, p.y, model.factsAt(model.cells[index(cell)], corner).designFinish};
    }
    return corners;
}

bool liesOn(const PlaneHeight& plane, const std::array<glm::dvec3, 3>& corners) {
    return std::all_of(corners.begin(), corners.end(), [&](const glm::dvec3& c) {
        return std::abs(plane.height({c.x, c.y}) - c.z) <= tolerance::lengthCompare;
    });
}

// Cells inside an area with a designed finish, largest first: the best of a piece's cells says what its plane
// is.
std::vector<int> largestFirst(const Model& model, std::span<const int> inside) {
    std::vector<std::pair<double, int>> sized;
    for (const int i : inside) {
        const Cell& cell = model.cells[index(i)];
        if (!std::isfinite(model.factsAt(cell, 0).designFinish)) continue;
        sized.emplace_back(-model.planArea(cell), i);
    }
    std::sort(sized.begin(), sized.end());
    std::vector<int> cells;
    cells.reserve(sized.size());
    for (const auto& [size, cell] : sized) cells.push_back(cell);
    return cells;
}

std::vector<FinishPiece> finishPieces(const Model& model, std::span<const int> inside) {
    std::vector<FinishPiece> pieces;
    size_t last = 0;
    for (const int cell : largestFirst(model, inside)) {
        const auto corners = finishCorners(model, cell);
        const double size = model.planArea(model.cells[index(cell)]);
        size_t found = last < pieces.size() && liesOn(pieces[last].plane, corners) ? last : pieces.size();
        for (size_t p = 0; p < pieces.size() && found == pieces.size(); ++p) {
            if (liesOn(pieces[p].plane, corners)) found = p;
        }
        double leastOffset = std::numeric_limits<double>::infinity();
        for (const glm::dvec3& c : corners)
            leastOffset = std::min(leastOffset, std::abs(model.stationOffset({c.x, c.y}).y));
        if (found == pieces.size()) {
            if (size < smallestPiece) continue;
            const glm::dvec3 sum = corners[0] + corners[1] + corners[2];
            pieces.push_back(
                {planeThrough(corners[0], corners[1], corners[2]), 0, {sum.x / 3, sum.y / 3}, leastOffset});
        }
        last = found;
        pieces[found].area += size;
        pieces[found].leastOffset = std::min(pieces[found].leastOffset, leastOffset);
    }
    return pieces;
}

// Fall per unit of offset, away from the house: negative toward it.
double fallAway(const Model& model, glm::dvec2 gradient) {
    const Baseline& baseline = model.plan.baseline;
    const glm::dvec2 out = baseline.at(0, 1) - baseline.at(0, 0);
    return -(gradient.x * out.x + gradient.y * out.y);
}

class SlopeChecks {
  public:
    explicit SlopeChecks(FindingWriter& writer)
        : writer_(writer),
          least_(writer.catalogue.findLimit("slope.least")),
          within_(writer.catalogue.findLimit("slope.least.within")),
          cross_(writer.catalogue.findLimit("slope.greatest.cross")),
          running_(writer.catalogue.findLimit("slope.greatest.running")) {}

    void check(int area, const FinishPiece& piece) const {
        const double steepest = std::hypot(piece.plane.gradient.x, piece.plane.gradient.y);
        const double away = fallAway(writer_.model, piece.plane.gradient);
        if (least_) checkLeast(area, piece, steepest, away);
        checkGreatest(area, piece, steepest);
    }

  private:
    // Near the house what counts is the fall away from it; farther out any fall lets the water go.
    void checkLeast(int area, const FinishPiece& piece, double steepest, double away) const {
        if (away < -tolerance::slopeCompare) {
            Finding& finding = add(FindingKind::FallsTowardHouse, area, piece, *least_, away);
            finding.what = fmt::format("\"{}\" falls {} toward the house {}.", writer_.areaName(area),
                                       writer_.slope(-away), writer_.where(piece.middle));
            finding.remedy =
                fmt::format("Turn the fall: at least {} away from the house.", writer_.slope(least_->value));
            return;
        }
        const bool nearHouse = within_ && piece.leastOffset < within_->value - tolerance::lengthCompare;
        const double fall = nearHouse ? away : steepest;
        if (fall >= least_->value - tolerance::slopeCompare) return;
        Finding& finding = add(FindingKind::SlopeUnder, area, piece, *least_, fall);
        finding.what = fmt::format("\"{}\" falls {}{} {}; {} is the least.", writer_.areaName(area),
                                   writer_.slope(fall), nearHouse ? " away from the house" : "",
                                   writer_.where(piece.middle), writer_.slope(least_->value));
        finding.remedy = "Lower the outer edge or raise the house side until the strings fall enough.";
    }

    void checkGreatest(int area, const FinishPiece& piece, double steepest) const {
        const Limit* over =
            running_ && steepest > running_->value + tolerance::slopeCompare ? running_ : cross_;
        if (!over || steepest <= over->value + tolerance::slopeCompare) return;
        Finding& finding = add(FindingKind::SlopeOver, area, piece, *over, steepest);
        finding.what =
            fmt::format("\"{}\" slopes {} {}; an accessible way takes at most {} {}.", writer_.areaName(area),
                        writer_.slope(steepest), writer_.where(piece.middle), writer_.slope(over->value),
                        over == running_ ? "along the way one walks" : "across the way one walks");
        finding.remedy = "Ease the fall if the patio is to be accessible; else leave it as it is.";
    }

    Finding& add(FindingKind kind, int area, const FinishPiece& piece, const Limit& limit,
                 double measured) const {
        Finding& finding = writer_.add(kind, area, piece.middle);
        writer_.setRule(finding, limit);
        finding.measured = measured;
        return finding;
    }

    FindingWriter& writer_;
    const Limit* least_;
    const Limit* within_;
    const Limit* cross_;
    const Limit* running_;
};

}  // namespace

void findSlopes(FindingWriter& writer) {
    const SlopeChecks checks(writer);
    for (int area = 0; area < static_cast<int>(writer.model.plan.areas.size()); ++area) {
        for (const FinishPiece& piece : finishPieces(writer.model, writer.cellsOf(area))) {
            checks.check(area, piece);
        }
    }
}

}  // namespace underfoot
