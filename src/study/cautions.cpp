#include "study/cautions.h"

#include <algorithm>
#include <cassert>
#include <limits>
#include <optional>
#include <string_view>
#include <utility>

#include <fmt/format.h>
#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "ground/surface.h"
#include "ground/tolerance.h"
#include "measure/cross.h"
#include "measure/length.h"
#include "measure/mass.h"
#include "model/layout.h"
#include "plan/inside_ring.h"
#include "plan/plan.h"
#include "study/earthwork.h"
#include "study/finding_tools.h"
#include "study/findings.h"
#include "study/lifting.h"
#include "study/section.h"
#include "study/units.h"

namespace underfoot {
namespace {

constexpr double chordSagitta = 1e-4;
constexpr double nowhere = std::numeric_limits<double>::infinity();

/// A place and how much of something there is.
struct Most {
    double value = -nowhere;
    glm::dvec2 at{0, 0};
    bool any() const { return value > -nowhere; }
    void take(double v, glm::dvec2 p) {
        if (v > value) value = v, at = p;
    }
};

double distanceToSegment(glm::dvec2 p, glm::dvec2 a, glm::dvec2 b) {
    const glm::dvec2 way = b - a;
    const double square = glm::dot(way, way);
    const double part = square > 0 ? std::clamp(glm::dot(p - a, way) / square, 0.0, 1.0) : 0;
    return glm::distance(p, a + part * way);
}

struct Sides {
    glm::dvec2 a, b;  ///< of one
    glm::dvec2 c, d;  ///< of the other
};
/// Of two sides that do not cross, the parts of each at which they come nearest: at an end of one.
std::pair<double, double> nearestParts(const Sides& sides) {
    const auto along = [](glm::dvec2 p, glm::dvec2 from, glm::dvec2 to) {
        const double square = glm::dot(to - from, to - from);
        return square > 0 ? std::clamp(glm::dot(p - from, to - from) / square, 0.0, 1.0) : 0.0;
    };
    std::pair<double, double> best;
    double least = nowhere;
    const auto take = [&](double first, double second) {
        const double far =
            glm::distance(sides.a + first * (sides.b - sides.a), sides.c + second * (sides.d - sides.c));
        if (far < least) least = far, best = {first, second};
    };
    take(0, along(sides.a, sides.c, sides.d));
    take(1, along(sides.b, sides.c, sides.d));
    take(along(sides.c, sides.a, sides.b), 0);
    take(along(sides.d, sides.a, sides.b), 1);
    return best;
}

double distanceToLine(glm::dvec2 p, const std::vector<glm::dvec2>& ring) {
    double least = nowhere;
    for (size_t i = 0; i < ring.size(); ++i)
        least = std::min(least, distanceToSegment(p, ring[i], ring[(i + 1) % ring.size()]));
    return least;
}

/// Between closed lines that may overlap; either may be a line of two points.
double distanceBetween(const std::vector<glm::dvec2>& a, const std::vector<glm::dvec2>& b) {
    const auto inside = [](const std::vector<glm::dvec2>& ring, const std::vector<glm::dvec2>& points) {
        const InsideRing of(ring);
        return ring.size() > 2 &&
               std::any_of(points.begin(), points.end(), [&](glm::dvec2 p) { return of.contains(p); });
    };
    if (inside(a, b) || inside(b, a)) return 0;
    double least = nowhere;
    for (const glm::dvec2 p : a) least = std::min(least, distanceToLine(p, b));
    for (const glm::dvec2 p : b) least = std::min(least, distanceToLine(p, a));
    return least;
}

/// What lies near a thing.
class Surroundings {
  public:
    explicit Surroundings(const Region& region) : outer_(region.outer), low_(nowhere), high_(-nowhere) {
        rings_.push_back(region.outer);
        for (const auto& hole : region.holes) rings_.push_back(hole), holes_.emplace_back(hole);
        for (const glm::dvec2 p : region.outer) low_ = glm::min(low_, p), high_ = glm::max(high_, p);
    }

    /// Of a flat convex part, the greatest z in here: a flat one is greatest at its corners, at corners of
    /// the region, or where their sides cross.
    void take(const std::vector<glm::dvec3>& part, const PlaneHeight& plane, Most& most) const {
        glm::dvec2 low(nowhere), high(-nowhere);
        for (const glm::dvec3& p : part)
            low = glm::min(low, glm::dvec2(p)), high = glm::max(high, glm::dvec2(p));
        if (part.size() < 3 || low.x > high_.x || low.y > high_.y || high.x < low_.x || high.y < low_.y)
            return;
        for (const glm::dvec3& p : part)
            if (p.z > most.value && contains(p)) most.take(p.z, p);
        for (const auto& ring : rings_)
            for (size_t i = 0; i < ring.size(); ++i)
                takeAlong(ring[i], ring[(i + 1) % ring.size()], part, plane, most);
    }

  private:
    bool contains(glm::dvec2 p) const {
        return outer_.contains(p) && std::none_of(holes_.begin(), holes_.end(),
                                                  [&](const InsideRing& hole) { return hole.contains(p); });
    }

    /// At both ends of what a side of the region has in common with the part.
    static void takeAlong(glm::dvec2 a, glm::dvec2 b, const std::vector<glm::dvec3>& part,
                          const PlaneHeight& plane, Most& most) {
        double from = 0, to = 1;
        for (size_t i = 0; i < part.size() && from <= to; ++i) {
            const glm::dvec2 corner(part[i]), side = glm::dvec2(part[(i + 1) % part.size()]) - corner;
            const double in = cross(side, a - corner), change = cross(side, b - a);
            if (change > 0) from = std::max(from, -in / change);
            if (change < 0) to = std::min(to, -in / change);
            if (change == 0 && in < 0) return;
        }
        if (from > to) return;
        for (const double t : {from, to}) most.take(plane.height(a + t * (b - a)), a + t * (b - a));
    }

    InsideRing outer_;
    std::vector<InsideRing> holes_;
    std::vector<std::vector<glm::dvec2>> rings_;
    glm::dvec2 low_, high_;
};

class PageWriter {
  public:
    PageWriter(const Model& model, const Catalogue& catalogue)
        : model_(model), catalogue_(catalogue), words_(model, catalogue) {
        for (const Cell& cell : model_.cells) {
            if (model_.columnOf(cell).area < 0) continue;
            for (int c = 0; c < 3; ++c) dig_.take(depthAt(cell, c), model_.at(cell, c));
        }
    }

    CautionsPage page() {
        CautionsPage page;
        page.rulesOf = rulesOf();
        for (const CautionText& text : catalogue_.cautions) page.cautions.push_back(caution(text));
        std::stable_partition(page.cautions.begin(), page.cautions.end(),
                              [](const Caution& one) { return one.applies; });
        page.closing = catalogue_.cautionsClosing;
        return page;
    }

  private:
    std::string rulesOf() const {
        const LocalCode& code = model_.plan.code;
        const std::string name =
            code.name.empty() ? "" : fmt::format(" The plan is built under {}.", code.name);
        if (code.country.empty())
            return "The plan names no country, so that no country's rules are shown. Write country = \"US\" "
                   "under [code] for those that are known." +
                   name;
        return fmt::format("The plan's country is {}.{}", code.country, name);
    }

    Caution caution(const CautionText& text) {
        Caution one;
        one.key = text.key, one.title = text.title;
        one.said.push_back({text.sentence, text.source});
        bool known = false;
        for (const CautionRule& rule : text.rules) {
            if (rule.country == model_.plan.code.country) known = true, one.said.push_back(saidBy(rule));
        }
        if (!known) {
            one.ask = text.ask;
            sayOwnLimits(text, one);
        }
        lookFor(one);
        return one;
    }

    static bool overridden(const Limit& one) { return !one.reason.empty() || one.value != one.published; }

    Sourced saidBy(const CautionRule& rule) const {
        Sourced said{rule.sentence, rule.source};
        for (const std::string& name : rule.limits) {
            const Limit& one = catalogue_.limit(name);
            const std::string mark = '{' + name + '}';
            for (size_t at = said.sentence.find(mark); at != std::string::npos; at = said.sentence.find(mark))
                said.sentence.replace(at, mark.size(), words_.length(one.value));
            if (overridden(one)) said.source += "; " + words_.sourceOf(one);
        }
        return said;
    }

    /// The plan's own values of limits whose published ones are another country's.
    void sayOwnLimits(const CautionText& text, Caution& one) const {
        for (const CautionRule& rule : text.rules)
            for (const std::string& name : rule.limits)
                if (const Limit& own = catalogue_.limit(name); overridden(own))
                    one.said.push_back(
                        {fmt::format("{} Here: {}.", own.sentence, words_.length(own.value)),
                         "the plan's own value: " + (own.reason.empty() ? "no reason given" : own.reason)});
    }

    /// Whether a limit rules here: by the plan's country, or because the plan says so.
    bool rules(std::string_view name) const {
        if (overridden(catalogue_.limit(name))) return true;
        for (const CautionText& text : catalogue_.cautions)
            for (const CautionRule& rule : text.rules)
                if (rule.country == model_.plan.code.country &&
                    std::find(rule.limits.begin(), rule.limits.end(), name) != rule.limits.end())
                    return true;
        return false;
    }

    void lookFor(Caution& one) {
        if (one.key == "buried lines") return lookForLines(one);
        if (one.key == "silica") return lookForSawing(one);
        if (one.key == "lifting") return lookForWeights(one);
        if (one.key == "compactors") return lookForLifts(one);
        if (one.key == "open cuts") return lookForCuts(one);
        if (one.key == "foundations") return lookForFoundations(one);
        assert(one.key == "fire" && "a caution that nothing looks for");
        lookForFires(one);
    }
    static void apply(Caution& one, std::string sentence) {
        one.applies = true;
        one.here.push_back(std::move(sentence));
    }
    static void leave(Caution& one, std::string sentence) { one.here.push_back(std::move(sentence)); }

    double formation(const Cell& cell, int corner) const {
        return model_.height(cell, corner, model_.interfaces(cell) - 2);
    }
    double depthAt(const Cell& cell, int corner) const {
        return model_.factsAt(cell, corner).ground - formation(cell, corner);
    }
    bool digs() const { return dig_.value > tolerance::lengthCompare; }
    std::string deepest() const {
        return fmt::format("The deepest place of the dig lies {} below the ground, {}{}.",
                           dig_.value < metresPerInch ? words_.amount(dig_.value) : words_.length(dig_.value),
                           words_.where(dig_.at),
                           model_.plan.ground.assumed()
                               ? " (the plan has no shots: the ground is taken as level with the finish)"
                               : "");
    }

    // ------------------------------------------------------------ lines

    void lookForLines(Caution& one) const {
        double spikes = 0;
        for (const Spike& spike : model_.spikes) spikes = std::max(spikes, spike.length);
        if (digs()) apply(one, deepest());
        if (spikes > 0)
            apply(one, fmt::format("Spikes of the edging, {} long, are driven into what lies below.",
                                   words_.thickness(spikes)));
        if (!one.applies) return leave(one, "Nothing is dug or driven.");
        for (const BuriedRun& run : model_.plan.buriedRuns) lookForPipe(one, run);
    }

    /// Dig and pipe are both straight within an interval: they come nearest at one of its ends.
    void lookForPipe(Caution& one, const BuriedRun& run) const {
        std::vector<glm::dvec2> line;
        for (const PipePoint& p : run.points) line.push_back(model_.toLocal(p.at));
        const Section section = cut(model_, line);
        Most reach;  // of the dig below the pipe's top
        for (const SectionInterval& interval : section.intervals) {
            const Cell& cell = model_.cells[static_cast<size_t>(interval.cell)];
            if (model_.columnOf(cell).area < 0) continue;
            const int k = model_.interfaces(cell) - 2;
            for (const int end : {0, 1}) {
                const double at = end == 0 ? interval.from : interval.to;
                const double dug = section.heights[static_cast<size_t>(interval.first + 2 * k + end)];
                reach.take(pipeTop(run, section, at) - dug, section.at(at));
            }
        }
        const double near = catalogue_.limit("dig.by_hand").value;
        if (!reach.any() || -reach.value > near) return lookBesidePipe(one, run, line, near);
        one.here.push_back(
            reach.value >= 0
                ? fmt::format("The dig meets the plan's pipe \"{}\" {}.", run.name, words_.where(reach.at))
                : fmt::format("The dig comes within {} of the top of the plan's pipe \"{}\" {}.",
                              words_.amount(-reach.value), run.name, words_.where(reach.at)));
    }
    /// The same beside a pipe whose top lies no farther below the dig than `near`.
    void lookBesidePipe(Caution& one, const BuriedRun& run, const std::vector<glm::dvec2>& line,
                        double near) const {
        Most beside;  // how much nearer than `near` the dig comes to the pipe's side, in plan
        for (const Cell& cell : model_.cells) {
            if (model_.columnOf(cell).area < 0) continue;
            const std::vector<glm::dvec3> part = dugPart(cell, 0);
            for (size_t i = 0; i < part.size(); ++i)
                for (size_t leg = 0; leg + 1 < line.size(); ++leg) {
                    const Sides sides{part[i], part[(i + 1) % part.size()], line[leg], line[leg + 1]};
                    const auto [onDig, onPipe] = nearestParts(sides);
                    const glm::dvec3 dug = part[i] + onDig * (part[(i + 1) % part.size()] - part[i]);
                    const double from = run.points[leg].invert, to = run.points[leg + 1].invert;
                    const double top = from + onPipe * (to - from) + run.diameter;
                    const glm::dvec2 pipe = line[leg] + onPipe * (line[leg + 1] - line[leg]);
                    const double far = std::max(0.0, glm::distance(glm::dvec2(dug), pipe) - run.diameter / 2);
                    if (far <= near && -dug.z - top <= near) beside.take(near - far, dug);
                }
        }
        if (!beside.any()) return;
        one.here.push_back(fmt::format("The dig comes within {} of the side of the plan's pipe \"{}\" {}.",
                                       words_.amount(near - beside.value), run.name,
                                       words_.where(beside.at)));
    }
    static double pipeTop(const BuriedRun& run, const Section& section, double distance) {
        const auto after = std::upper_bound(section.lineAt.begin() + 1, section.lineAt.end() - 1, distance);
        const auto i = static_cast<size_t>(after - section.lineAt.begin());
        const double part = std::clamp(
            (distance - section.lineAt[i - 1]) / std::max(section.lineAt[i] - section.lineAt[i - 1], 1e-9),
            0.0, 1.0);
        return run.points[i - 1].invert + (run.points[i].invert - run.points[i - 1].invert) * part +
               run.diameter;
    }

    // ------------------------------------------------------------ units

    const UnitsReport& units() {
        if (!units_) units_ = unitsReport(model_, catalogue_);
        return *units_;
    }

    /// What is not known may be needed.
    void notLaidOut(Caution& one, const char* unknown) const {
        const bool any = std::any_of(model_.layers.begin(), model_.layers.end(),
                                     [](const ModelLayer& layer) { return layer.role == Role::Units; });
        if (any) return apply(one, std::string("The plan lays no units out: ") + unknown);
        leave(one, "The plan has no units.");
    }

    void lookForSawing(Caution& one) {
        size_t sawn = 0;
        double length = 0;
        for (const UnitCount& count : units().counts) {
            sawn += count.cut.size();
            for (const CutUnit& cut : count.cut) length += cut.sawn;
        }
        if (units().counts.empty()) return notLaidOut(one, "what is sawn is not known.");
        if (sawn == 0) return leave(one, "No unit is sawn.");
        apply(one, fmt::format("{} laid sawn, {} of saw cut.",
                               sawn == 1 ? "1 unit is" : fmt::format("{} units are", sawn),
                               words_.length(length)));
    }

    void lookForWeights(Caution& one) {
        const UnitCount* heaviest = nullptr;
        for (const UnitCount& count : units().counts)
            if (!heaviest || count.weight > heaviest->weight) heaviest = &count;
        if (!heaviest) return notLaidOut(one, "their weights are not known.");
        const LengthFormat& show = model_.plan.show;
        const double usual = units().onePersonLifts;
        const std::string unit =
            fmt::format("The heaviest unit, in \"{}\", weighs {}", words_.areaName(heaviest->area),
                        formatMass(heaviest->weight, show));
        if (heaviest->weight <= usual)
            return leave(one, fmt::format("{}; one person should lift up to {} again and again.", unit,
                                          formatMass(usual, show)));
        one.pastLimit = true;
        apply(one, fmt::format("{}: {} the {} that one person should lift again and again.", unit,
                               timesOver(heaviest->weight, usual), formatMass(usual, show)));
    }

    // ------------------------------------------------------------ earth

    void lookForLifts(Caution& one) const {
        const auto lifts = liftsToPlace(model_, catalogue_);
        if (lifts.empty()) return leave(one, "Neither fill nor base is placed.");
        double thickest = 0;
        bool tooThick = false;
        for (const LiftToPlace& lift : lifts) {
            thickest = std::max(thickest, lift.greatest);
            tooThick = tooThick || lift.tooThick;
        }
        one.pastLimit = tooThick;
        apply(one, fmt::format("{} compacted, up to {} thick{}.",
                               lifts.size() == 1 ? "1 lift of fill and base is"
                                                 : fmt::format("{} lifts of fill and base are", lifts.size()),
                               words_.thickness(thickest),
                               tooThick ? ", more than a walk-behind plate compacts at once" : ""));
    }

    void lookForCuts(Caution& one) const {
        if (!digs()) return leave(one, "Nothing is dug.");
        apply(one, deepest());
        if (!rules("dig.protect")) return;
        const double asked = catalogue_.limit("dig.protect").value;
        one.pastLimit = dig_.value >= asked - tolerance::lengthCompare;
        one.here.push_back(
            one.pastLimit
                ? fmt::format("That is {} or more: protect the cut before anybody steps in.",
                              words_.length(asked))
                : fmt::format("That is less than {}; ground that may cave in is protected all the same.",
                              words_.length(asked)));
    }

    void lookForFoundations(Caution& one) const {
        const double near = catalogue_.limit("dig.foundation").value;
        bool stands = false;
        for (const FixedThing& thing : model_.plan.fixedThings) {
            if (thing.kind == FixedKind::Slab) continue;
            const Most reach = reachBelow(thing, near);
            if (!reach.any()) continue;
            stands = true;
            apply(one, foundationSentence(thing, reach, near));
            one.pastLimit = one.pastLimit || reach.value > tolerance::lengthCompare;
        }
        if (stands) return;
        const bool against = std::any_of(model_.plan.areas.begin(), model_.plan.areas.end(),
                                         [](const Area& area) { return !area.againstWall.empty(); });
        if (!against || !digs())
            return leave(one,
                         fmt::format("Nothing is dug within {} of a house or wall.", words_.length(near)));
        apply(one,
              "The dig stands against a wall whose underside the plan doesn't give: find it before digging "
              "there, and write it as bottom of a [[fixed]] house or wall.");
    }
    std::string foundationSentence(const FixedThing& thing, const Most& reach, double near) const {
        if (reach.value > tolerance::lengthCompare)
            return fmt::format("Within {} of \"{}\" the dig goes {} below its underside, {}.",
                               words_.length(near), thing.name, words_.length(reach.value),
                               words_.where(reach.at));
        return fmt::format("Within {} of \"{}\" the dig ends {} above its underside, lowest {}.",
                           words_.length(near), thing.name, words_.length(-reach.value),
                           words_.where(reach.at));
    }
    /// How far what is dug near a thing reaches below its underside.
    Most reachBelow(const FixedThing& thing, double near) const {
        const Regions grown = grow({regionOf(thing.outline, model_.site.origin)},
                                   near + tolerance::lengthCompare, CornerStyle::Round);
        Most reach;
        for (const Region& region : grown) {
            const Surroundings around(region);
            for (const Cell& cell : model_.cells) {
                if (model_.columnOf(cell).area < 0) continue;
                const auto below = [&](int c) { return belowAt(cell, c, thing.bottom); };
                around.take(dugPart(cell, thing.bottom), planeThrough(below(0), below(1), below(2)), reach);
            }
        }
        return reach;
    }
    /// A corner of a cell; z says how far the formation lies below a height there.
    glm::dvec3 belowAt(const Cell& cell, int corner, double height) const {
        return {model_.at(cell, corner), height - formation(cell, corner)};
    }
    /// The dug part of a cell, turning left.
    std::vector<glm::dvec3> dugPart(const Cell& cell, double height) const {
        std::vector<glm::dvec3> out;
        for (int c = 0; c < 3; ++c) {
            const int d = (c + 1) % 3;
            const double here = depthAt(cell, c) - tolerance::lengthCompare,
                         next = depthAt(cell, d) - tolerance::lengthCompare;
            const glm::dvec3 from = belowAt(cell, c, height), to = belowAt(cell, d, height);
            if (here > 0) out.push_back(from);
            if ((here > 0) != (next > 0)) out.push_back(from + (to - from) * (here / (here - next)));
        }
        return out;
    }

    // ------------------------------------------------------------ fire

    void lookForFires(Caution& one) const {
        if (model_.plan.fires.empty())
            return leave(one, "The plan names no place for fire. Write [[fire]] where one comes.");
        for (const FirePlace& fire : model_.plan.fires) lookForFire(one, fire);
    }
    void lookForFire(Caution& one, const FirePlace& fire) const {
        const auto ring = toChords(fire.outline, chordSagitta).corners;
        double least = nowhere;
        std::string to;
        for (const FixedThing& thing : model_.plan.fixedThings) {
            if (thing.kind != FixedKind::House) continue;
            const double far = distanceBetween(ring, toChords(thing.outline, chordSagitta).corners);
            if (far < least) least = far, to = fmt::format("\"{}\"", thing.name);
        }
        if (to.empty()) {
            const Baseline& base = model_.plan.baseline;
            least = distanceBetween(ring, {base.from, base.to});
            to = "the baseline (the plan has no [[fixed]] house)";
        }
        apply(one, fmt::format("\"{}\" stands {} from {}.", fire.name, words_.length(least), to));
        const std::string rule = fire.portable ? "fire.portable" : "fire.open";
        if (!rules(rule)) return;
        const double asked = catalogue_.limit(rule).value;
        if (least >= asked - tolerance::lengthCompare) {
            one.here.push_back(
                fmt::format("That is at least the {} of the rule below; other structures, "
                            "fences and trees are not in the plan.",
                            words_.length(asked)));
            return;
        }
        one.pastLimit = true;
        one.here.push_back(fmt::format("That is {} less than the {} of the rule below.",
                                       words_.amount(asked - least), words_.length(asked)));
    }

    const Model& model_;
    const Catalogue& catalogue_;
    FindingWords words_;
    Most dig_;
    std::optional<UnitsReport> units_;
};

}  // namespace

CautionsPage cautionsPage(const Model& model, const Catalogue& catalogue) {
    return PageWriter(model, catalogue).page();
}

}  // namespace underfoot
