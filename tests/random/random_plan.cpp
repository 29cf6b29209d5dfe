#include "random/random_plan.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <glm/common.hpp>

#include "model/make_plan.h"
#include "plan/inside_ring.h"

namespace underfoot::testing {
namespace {

using namespace made;

struct Box {
    glm::dvec2 low{0, 0};
    glm::dvec2 high{0, 0};
    glm::dvec2 size() const { return high - low; }
    glm::dvec2 middle() const { return (low + high) * 0.5; }
};

bool apart(const Box& a, const Box& b) {
    return a.high.x <= b.low.x || b.high.x <= a.low.x || a.high.y <= b.low.y || b.high.y <= a.low.y;
}

// ---------------------------------------------------------------- outlines

glm::dvec2 around(glm::dvec2 middle, double radius, double angle) {
    return middle + radius * glm::dvec2(std::cos(angle), std::sin(angle));
}

Ring ell(Lot& lot, const Box& box) {
    const glm::dvec2 notch = box.low + box.size() * glm::dvec2(lot.real(0.3, 0.7), lot.real(0.3, 0.7));
    return ringOf({box.low,
                   {box.high.x, box.low.y},
                   {box.high.x, notch.y},
                   notch,
                   {notch.x, box.high.y},
                   {box.low.x, box.high.y}});
}

Ring regular(Lot& lot, const Box& box, double radius) {
    std::vector<glm::dvec2> corners;
    const int sides = lot.whole(3, 9);
    const double turn = lot.real(0, 6);
    for (int i = 0; i < sides; ++i)
        corners.push_back(around(box.middle(), radius, turn + 2 * std::numbers::pi * i / sides));
    return ringOf(corners);
}

Ring circle(const Box& box, double radius) {
    const glm::dvec2 middle = box.middle(), right{radius, 0}, up{0, radius};
    Ring ring;
    ring.start = middle + right;
    ring.edges.push_back({middle - right, middle + up, {}});
    ring.edges.push_back({ring.start, middle - up, {}});
    return ring;
}

/// Star-shaped, every third side a shallow arc.
Ring star(Lot& lot, const Box& box, double radius) {
    std::vector<glm::dvec2> corners;
    const int sides = lot.whole(5, 12);
    for (int i = 0; i < sides; ++i)
        corners.push_back(around(box.middle(), radius * lot.real(0.45, 1),
                                 2 * std::numbers::pi * (i + lot.real(-0.2, 0.2)) / sides));
    Ring ring = ringOf(corners);
    for (size_t i = 0; i < ring.edges.size(); i += 3) {
        const glm::dvec2 a = corners[i], b = corners[(i + 1) % corners.size()], along = b - a;
        // Outward, well inside the next corner's sector.
        ring.edges[i].through = (a + b) * 0.5 + 0.04 * glm::dvec2(along.y, -along.x);
    }
    return ring;
}

/// A side bowed inward or outward.
Ring bowed(Lot& lot, const Box& box) {
    Ring ring = rectangle(box.low, box.high);
    const double rise = lot.real(0.02, 0.3) * std::min(box.size().x, box.size().y);
    ring.edges[2].through = glm::dvec2(box.middle().x, box.high.y - rise);
    return ring;
}

/// From a hundredth of a millimetre to three centimetres wide.
Ring sliver(Lot& lot, const Box& box) {
    const double width = std::pow(10, lot.real(-5, -1.5));
    if (lot.chance(0.5)) return rectangle(box.low, {box.high.x, box.low.y + width});
    return ringOf({box.low, {box.high.x, box.low.y}, {box.low.x + lot.real(0, 1), box.low.y + width}});
}

/// Corners more than an outline needs: in line with it, on the neighbour's edge, some nearly at one place.
Ring withCornersInLine(Lot& lot, const Ring& ring) {
    Ring more;
    more.start = ring.start;
    glm::dvec2 from = ring.start;
    for (const OutlineEdge& edge : ring.edges) {
        if (!edge.through && lot.chance(0.6)) {
            const glm::dvec2 along = edge.to - from;
            const double at = lot.real(0.1, 0.8);
            more.edges.push_back({from + along * at, {}, {}});
            const double beside = lot.real(3e-6, 3e-5) / std::hypot(along.x, along.y);
            if (lot.chance(0.4)) more.edges.push_back({from + along * (at + beside), {}, {}});
        }
        more.edges.push_back(edge);
        from = edge.to;
    }
    return more;
}

Ring randomRing(Lot& lot, const Box& box) {
    const double radius = 0.5 * std::min(box.size().x, box.size().y);
    switch (lot.whole(0, 9)) {
        case 0:
        case 1:
            return rectangle(box.low, box.high);
        case 2:
            return ell(lot, box);
        case 3:
            return regular(lot, box, radius);
        case 4:
            return circle(box, radius);
        case 5:
            return bowed(lot, box);
        case 6:
            return sliver(lot, box);
        case 7:
            return withCornersInLine(lot, lot.chance(0.5) ? rectangle(box.low, box.high) : ell(lot, box));
        default:
            return star(lot, box, radius);
    }
}

// ---------------------------------------------------------------- openings

/// Beside the one before, sharing its whole edge, part of it, or a corner.
Box touching(Lot& lot, const Box& before) {
    const glm::dvec2 size = before.size();
    const glm::dvec2 low = before.low + glm::dvec2(size.x, size.y * (lot.chance(0.3)   ? 1.0
                                                                     : lot.chance(0.5) ? 0.0
                                                                                       : 0.4));
    return {low, low + size};
}

Box randomOpeningBox(Lot& lot, const Box& box) {
    const glm::dvec2 size = box.size() * glm::dvec2(lot.real(0.03, 0.25), lot.real(0.03, 0.25));
    glm::dvec2 low = box.low + (box.size() - size) * glm::dvec2(lot.real(0, 1), lot.real(0, 1));
    // On the outline's own side, where there is one.
    if (lot.chance(0.2)) low.x = box.low.x;
    if (lot.chance(0.2)) low.y = box.low.y;
    return {low, low + size};
}

/// Only what lies within the outline, and no two that overlap.
std::vector<Ring> randomOpenings(Lot& lot, const Box& box, const Ring& outline) {
    const InsideRing inside(toChords(outline, 2e-4).corners);
    std::vector<Ring> openings;
    std::vector<Box> boxes;
    const int count = lot.whole(1, 3);
    for (int i = 0; i < count; ++i) {
        const bool touch = !boxes.empty() && lot.chance(0.6);
        const Box own = touch ? touching(lot, boxes.back()) : randomOpeningBox(lot, box);
        Ring ring = touch || lot.chance(0.5) ? rectangle(own.low, own.high) : randomRing(lot, own);
        if (inside.leaves(toChords(ring, 2e-4).corners, 1e-9)) continue;
        if (signedArea(toChords(ring, 2e-4).corners) < 1e-5) continue;
        if (!std::all_of(boxes.begin(), boxes.end(), [&](const Box& b) { return apart(own, b); })) continue;
        boxes.push_back(own);
        openings.push_back(std::move(ring));
    }
    return openings;
}

// ---------------------------------------------------------------- shots

bool samePlace(glm::dvec2 a, glm::dvec2 b) {
    return std::llround(a.x * 1e6) == std::llround(b.x * 1e6) &&
           std::llround(a.y * 1e6) == std::llround(b.y * 1e6);
}

std::vector<Shot> randomShots(Lot& lot, int count, const Box& box, double height, double rough) {
    std::vector<Shot> shots;
    const double gx = lot.real(-0.08, 0.08), gy = lot.real(-0.08, 0.08);
    const auto add = [&](glm::dvec2 p) {
        for (const Shot& s : shots)
            if (samePlace(s.at, p)) return;
        shots.push_back(shot(p.x, p.y, height + gx * p.x + gy * p.y + lot.real(-rough, rough)));
    };
    add(box.low);
    add({box.high.x, box.low.y});
    add(box.high);
    const int kind = lot.whole(0, 4);
    for (int i = 0; i < count; ++i) {
        const glm::dvec2 p = box.low + box.size() * glm::dvec2(lot.real(0, 1), lot.real(0, 1));
        if (kind == 0)
            add(glm::round(p));  // ties: many on one circle, many in line
        else if (kind == 1 && i % 5 == 1)
            add(shots.back().at +
                glm::dvec2(lot.real(2, 9) * 1e-6, lot.real(-9, 9) * 1e-6));  // nearly one place
        else if (kind == 2 && i % 2)
            add({p.x, box.low.y + 0.25 * box.size().y});  // many in line
        else if (kind == 3 && i % 2)
            add({p.x, box.low.y + 0.4 * box.size().y + lot.real(-2e-5, 2e-5)});  // nearly in line
        else
            add(p);
    }
    return shots;
}

/// Few more often than many, up to five hundred.
int randomCount(Lot& lot, double greatest) {
    return static_cast<int>(std::pow(greatest, lot.real(0, 1))) - 1;
}

// ---------------------------------------------------------------- layers and surfaces

Layer randomCourse(Lot& lot, int number) {
    static constexpr Role roles[] = {Role::Underlayment, Role::Base,           Role::Geotextile,
                                     Role::InfillStone,  Role::ProtectiveSand, Role::Base};
    const Role role = roles[lot.index(std::size(roles))];
    // Layers of one name have one role in all build-ups.
    Layer made = layer(roleName(role) + std::string(" ") + std::to_string(number), role,
                       lot.chance(0.2) ? lot.real(0.0005, 0.003) : lot.real(0.005, 0.15));
    if (lot.chance(0.5)) made.beyond = lot.chance(0.2) ? -0.05 : 0.05 * lot.whole(1, 5);
    if (lot.chance(0.3)) made.corners = CornerStyle::Round;
    if (lot.chance(0.3)) made.lift = made.thickness / lot.whole(1, 3);
    if (lot.chance(0.01)) made.takesUp = true;
    return made;
}

/// Three to nine layers in all, and fill below them in half.
BuildUp randomBuildUp(Lot& lot, std::string name) {
    BuildUp made{std::move(name), {}, {}};
    const int layers = lot.whole(3, 9);
    if (lot.chance(0.15)) {
        made.layers.push_back(layer("plate", Role::Slab, lot.real(0.08, 0.2)));
    } else {
        made.layers.push_back(layer("units", Role::Units, lot.real(0.03, 0.08)));
        made.layers.push_back(layer("bedding", Role::Bedding, lot.real(0.01, 0.04),
                                    lot.chance(0.3) ? lot.real(-0.1, 0.15) : 0, lot.chance(0.8)));
    }
    while (static_cast<int>(made.layers.size()) < layers)
        made.layers.push_back(randomCourse(lot, static_cast<int>(made.layers.size())));
    if (lot.chance(0.5)) {
        made.layers.push_back(layer("fill", Role::Fill, 0, 0, true));
        made.layers.back().lift = lot.chance(0.5) ? lot.real(0.05, 0.2) : 0;
    }
    return made;
}

Finish randomFinish(Lot& lot, std::string name, double level) {
    Finish finish;
    finish.name = std::move(name);
    if (lot.chance(0.15)) {
        for (const Shot& s : randomShots(lot, lot.whole(0, 8), {{-1, -1}, {10, 7}}, level, 0.02))
            finish.spots.push_back({s.at, s.height, {}});
        return finish;
    }
    const int planes = lot.whole(1, 3);
    finish.join = lot.chance(0.5) ? PlaneJoin::Ridge : PlaneJoin::Valley;
    for (int i = 0; i < planes; ++i)
        finish.planes.push_back(
            {{lot.real(0, 6), lot.real(0, 6)}, level, lot.real(-0.03, 0.03), lot.real(-0.02, 0.02), {}});
    return finish;
}

// ---------------------------------------------------------------- the plan

class PlanMaker {
  public:
    explicit PlanMaker(uint64_t seed) : lot_(seed) {}

    Plan make() {
        plan_.file = "random.toml";
        plan_.title = "Drawn by lot";
        plan_.bareUnit = LengthUnit::Metre;
        plan_.show.style = LengthStyle::Metres;
        level_ = lot_.real(-5, 300);
        makeBaseline();
        plan_.finishes.push_back(randomFinish(lot_, "", level_));
        if (lot_.chance(0.25))
            plan_.finishes.push_back(randomFinish(lot_, "upper", level_ + lot_.real(-0.2, 0.2)));
        const int buildUps = lot_.whole(1, 2);
        for (int i = 0; i < buildUps; ++i)
            plan_.buildUps.push_back(randomBuildUp(lot_, "build-up " + std::to_string(i)));
        makeAreas();
        dropUnusedBuildUps();
        makeGround();
        makeMeasuredTops();
        return std::move(plan_);
    }

  private:
    void makeBaseline() {
        if (lot_.chance(0.5)) return;
        plan_.baseline.from = {lot_.real(-3, 3), lot_.real(-3, 0)};
        plan_.baseline.to = around(plan_.baseline.from, 4, lot_.real(0, 6.2));
        plan_.baseline.startStation = lot_.real(-10, 10);
        plan_.baseline.offsetLeft = lot_.chance(0.5);
    }

    void addArea(const Box& box, Ring outline) {
        Area area;
        area.name = std::string(1, static_cast<char>('a' + plan_.areas.size()));
        area.buildUp = plan_.buildUps[lot_.index(plan_.buildUps.size())].name;
        area.finish = plan_.finishes[lot_.index(plan_.finishes.size())].name;
        area.outline = std::move(outline);
        if (lot_.chance(0.25)) area.againstWall = {0};
        if (lot_.chance(0.4)) area.openings = randomOpenings(lot_, box, area.outline);
        plan_.areas.push_back(std::move(area));
    }

    /// Up to six: side by side in two rows, the next ones cut out of those.
    void makeAreas() {
        const int count = lot_.whole(1, 6);
        const int within = count > 1 && lot_.chance(0.4) ? lot_.whole(1, std::min(2, count - 1)) : 0;
        const bool gaps = lot_.chance(0.3);
        for (int i = 0; i < count - within; ++i) {
            Box box{{3.0 * (i % 3), 3.0 * (i / 3)}, {}};
            box.high = box.low + glm::dvec2(3);
            if (gaps) box.high -= std::pow(10, lot_.real(-4.5, -1));
            addArea(box, randomRing(lot_, box));
            if (i == 0) first_ = box;
        }
        // The innermost is cut out of all that it lies in: the one between may not reach round it.
        const size_t sideBySide = plan_.areas.size();
        double reach = 0.55;
        for (int i = 0; i < within; ++i, reach *= 0.4) {
            const glm::dvec2 middle = first_.middle();
            const Box box{middle - reach, middle + reach};
            addArea(box, randomRing(lot_, box));
            plan_.areas[0].around.push_back(plan_.areas.back().name);
            if (i == 1) plan_.areas[sideBySide].around.push_back(plan_.areas.back().name);
        }
    }

    void dropUnusedBuildUps() {
        std::erase_if(plan_.buildUps, [&](const BuildUp& buildUp) {
            return std::none_of(plan_.areas.begin(), plan_.areas.end(),
                                [&](const Area& area) { return area.buildUp == buildUp.name; });
        });
    }

    void makeGround() {
        Ground& ground = plan_.ground;
        if (lot_.chance(0.85)) {
            const double beside = level_ + lot_.real(-0.8, 0.3);
            ground.shots =
                randomShots(lot_, randomCount(lot_, 498), {{-2, -2}, {11, 8}}, beside, lot_.real(0, 0.3));
        }
        ground.extend = lot_.chance(0.5) ? Extend::Nearest : Extend::Plane;
        ground.strip = lot_.chance(0.5) ? lot_.real(0, 0.15) : 0;
        ground.fillLift = lot_.chance(0.5) ? lot_.real(0.05, 0.2) : 0;
        ground.fillLifts = lot_.chance(0.5) ? FillLifts::Level : FillLifts::Parallel;
        ground.sideSlope = lot_.real(0.3, 1.5);
        ground.shoulder = lot_.chance(0.4) ? lot_.real(0.05, 0.4) : 0;
    }

    /// Of up to three layers: rough enough to cross each other and the design.
    void makeMeasuredTops() {
        if (lot_.chance(0.35)) return;
        const BuildUp& buildUp = plan_.buildUps[lot_.index(plan_.buildUps.size())];
        const int count = lot_.whole(1, 3);
        for (int i = 0; i < count; ++i) {
            const size_t at = 1 + lot_.index(buildUp.layers.size() - 1);
            const std::string& name = buildUp.layers[at].name;
            if (std::any_of(plan_.measuredTops.begin(), plan_.measuredTops.end(),
                            [&](const MeasuredTop& t) { return t.layer == name; }))
                continue;
            double above = lot_.real(-0.03, 0.03);
            for (size_t k = 0; k < at; ++k) above += buildUp.layers[k].thickness;
            MeasuredTop top;
            top.layer = name;
            top.shots = randomShots(lot_, randomCount(lot_, 80), {{-0.5, -0.5}, {9, 6}}, level_ - above,
                                    lot_.real(0, 0.08));
            top.extend = lot_.chance(0.7) ? Extend::Nearest : Extend::Plane;
            plan_.measuredTops.push_back(std::move(top));
        }
    }

    Lot lot_;
    Plan plan_;
    double level_ = 0;
    Box first_;
};

}  // namespace

Plan randomPlan(uint64_t seed) {
    return PlanMaker(seed).make();
}

Plan withoutTies(Plan plan) {
    Lot lot(plan.ground.shots.size());
    const auto move = [&](glm::dvec2& p) { p += glm::dvec2(lot.real(-2e-3, 2e-3), lot.real(-2e-3, 2e-3)); };
    for (Finish& finish : plan.finishes)
        for (SpotLevel& spot : finish.spots) move(spot.at);
    for (Shot& shot : plan.ground.shots) move(shot.at);
    for (MeasuredTop& top : plan.measuredTops)
        for (Shot& shot : top.shots) move(shot.at);
    return plan;
}

}  // namespace underfoot::testing
