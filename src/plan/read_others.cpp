#include <algorithm>
#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "measure/diagnostic.h"
#include "plan/catalogue.h"
#include "plan/document.h"
#include "plan/parts.h"
#include "plan/plan.h"
#include "plan/read_outline.h"
#include "plan/reading.h"
#include "plan/words.h"

namespace underfoot {
namespace {

std::string ownerOf(const Value& value, const char* kind, const char* otherwise) {
    const Value* name = value.find("name");
    const auto* text = name ? name->as<std::string>() : nullptr;
    return text ? fmt::format("{} {}", kind, inQuotes(*text)) : std::string(otherwise);
}

void readPipe(Reading& reading, const Value& value, Plan& plan) {
    const Fields fields(reading, value, ownerOf(value, "the pipe", "a pipe"), {"name", "diameter", "points"});
    if (!fields.isTable()) return;
    BuriedRun run;
    run.place = fields.place();
    run.name = fields.needText("name", "Write name = \"drain\".");
    run.diameter = fields.needLength("diameter", "Write diameter = \"4 in\".", bounds::diameter).value_or(0);
    fields.need("points", "Write points = [ { at = [x, y], invert = 98.2 }, … ].");
    const size_t before = reading.count();
    for (const Value& item : fields.list("points")) {
        const Fields point(reading, item, "a point of " + fields.owner(), {"at", "invert"});
        const auto at = point.needPoint("at", "Write at = [x, y].");
        const auto invert = point.needLength(
            "invert", "Write invert = with the height of the pipe's inside bottom.", bounds::height);
        if (at && invert) run.points.push_back({*at, *invert});
    }
    if (reading.count() == before && fields.find("points") && run.points.size() < 2)
        reading.report(fields.value(), fmt::format("{} has fewer than two points.", fields.owner()),
                       "Give its two ends at least.");
    plan.buriedRuns.push_back(std::move(run));
}

void readFixed(Reading& reading, const Value& value, Plan& plan) {
    const Fields fields(reading, value, ownerOf(value, "the fixed thing", "a fixed thing"),
                        {"kind", "name", "outline", "rectangle", "circle", "polygon", "top", "bottom"});
    if (!fields.isTable()) return;
    FixedThing thing;
    thing.place = fields.place();
    fields.need("kind", "Write kind = \"slab\", \"wall\" or \"house\".");
    thing.kind = static_cast<FixedKind>(fields.choice("kind", {"slab", "wall", "house"}, 0));
    thing.name = fields.needText("name", "Write name = \"garage slab\".");
    if (auto ring = readShape(fields)) thing.outline = std::move(ring->ring);
    const auto top = fields.needLength("top", "Write top = with the height of its top.", bounds::height);
    const auto bottom =
        fields.needLength("bottom", "Write bottom = with the height of its underside.", bounds::height);
    thing.top = top.value_or(0);
    thing.bottom = bottom.value_or(0);
    if (top && bottom && *top <= *bottom)
        reading.report(*fields.find("top"),
                       fmt::format("The top of {} is not above its bottom.", fields.owner()),
                       "Swap or mend them.");
    plan.fixedThings.push_back(std::move(thing));
}

std::optional<double> readLimitValue(const Fields& fields, const Limit& limit) {
    const Value* value = fields.need("value", "Write value = with what your rule asks.");
    if (!value) return std::nullopt;
    if (limit.unit == "m") return readLength(fields.reading(), *value, fields.name("value"), {0, 100});
    if (limit.unit == "slope") return readSlope(fields.reading(), *value, fields.name("value"), {0, 1});
    const double most = limit.unit == "count" ? 1e7 : 1000;
    return readRatio(fields.reading(), *value, fields.name("value"), {0, most});
}

void readLimit(Reading& reading, const Value& value, Plan& plan) {
    const Fields fields(reading, value, "a limit", {"rule", "value", "reason"});
    if (!fields.isTable()) return;
    LimitOverride own;
    own.place = fields.place();
    own.rule = fields.needText("rule", "Write rule = \"bedding.least\".");
    own.reason = fields.needText(
        "reason", "Write reason = with why your value holds here, for example the local code.");
    if (own.rule.empty()) return;
    const Limit* limit = reading.catalogue().findLimit(own.rule);
    if (!limit) {
        std::vector<std::string> known;
        for (const Limit& each : reading.catalogue().limits) known.push_back(each.rule);
        reading.report(*fields.find("rule"), fmt::format("There is no rule {}.", inQuotes(own.rule)),
                       suggestion(own.rule, known));
        return;
    }
    own.value = readLimitValue(fields, *limit).value_or(limit->value);
    plan.limits.push_back(std::move(own));
}

struct Span {
    double least = std::numeric_limits<double>::max();
    double greatest = std::numeric_limits<double>::lowest();
    void add(double value) {
        least = std::min(least, value);
        greatest = std::max(greatest, value);
    }
};

/// A cut at a station runs this far past everything that the plan places.
constexpr double pastEverything = 3.0;

std::vector<glm::dvec2> lineAtStation(const Plan& plan, double station) {
    Span offsets;
    offsets.add(0);
    const auto add = [&](glm::dvec2 p) { offsets.add(plan.baseline.stationOffset(p).y); };
    for (const Area& area : plan.areas)
        for (const glm::dvec2 corner : toChords(area.outline, checkSagitta).corners) add(corner);
    for (const FixedThing& thing : plan.fixedThings)
        for (const glm::dvec2 corner : toChords(thing.outline, checkSagitta).corners) add(corner);
    for (const Shot& shot : plan.ground.shots) add(shot.at);
    for (const glm::dvec3& point : plan.ground.scan.points) add(glm::dvec2(point));
    return {plan.baseline.at(station, offsets.least - pastEverything),
            plan.baseline.at(station, offsets.greatest + pastEverything)};
}

std::vector<glm::dvec2> readLine(const Fields& fields) {
    std::vector<glm::dvec2> line;
    const Value& value = *fields.find("along");
    Reading& reading = fields.reading();
    const size_t before = reading.count();
    for (const Value& item : fields.list("along")) {
        const auto point = readPoint(reading, item, "A point of " + fields.owner());
        if (!point) continue;
        if (!line.empty() && glm::distance(line.back(), *point) < 1e-6) {
            reading.report(item, fmt::format("A point of {} stands on the one before it.", fields.owner()),
                           "Delete one of the two.");
        }
        line.push_back(*point);
    }
    if (reading.count() == before && line.size() < 2)
        reading.report(value, fmt::format("{} has fewer than two points.", fields.owner()),
                       "Write along = [ [x, y], [x, y] ].");
    return line;
}

void readCut(Reading& reading, const Value& value, Plan& plan) {
    const Fields fields(reading, value, ownerOf(value, "the cut", "a cut"), {"name", "station", "along"});
    if (!fields.isTable()) return;
    NamedCut cut;
    cut.place = fields.place();
    cut.name = fields.needText("name", "Write name = \"A\".");
    const bool station = fields.find("station") != nullptr, along = fields.find("along") != nullptr;
    if (station == along) {
        reading.report(fields.value(),
                       fmt::format("{} has {} line.", fields.owner(), station ? "more than one" : "no"),
                       "Write station = 12, or along = [ [x, y], [x, y] ].");
        return;
    }
    if (along)
        cut.along = readLine(fields);
    else if (const auto at = fields.maybeLength("station", bounds::coordinate))
        cut.along = lineAtStation(plan, *at);
    plan.cuts.push_back(std::move(cut));
}

}  // namespace

void readPipes(Reading& reading, const Value& root, Plan& plan) {
    for (const Value* table : tablesOf(reading, root, "pipe")) readPipe(reading, *table, plan);
}

void readFixedThings(Reading& reading, const Value& root, Plan& plan) {
    for (const Value* table : tablesOf(reading, root, "fixed")) readFixed(reading, *table, plan);
}

void readLimits(Reading& reading, const Value& root, Plan& plan) {
    for (const Value* table : tablesOf(reading, root, "limit")) readLimit(reading, *table, plan);
}

void readCuts(Reading& reading, const Value& root, Plan& plan) {
    for (const Value* table : tablesOf(reading, root, "cut")) readCut(reading, *table, plan);
}

}  // namespace underfoot
