#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "measure/diagnostic.h"
#include "plan/document.h"
#include "plan/parts.h"
#include "plan/plan.h"
#include "plan/reading.h"

namespace underfoot {
namespace {

FinishPlane readPlane(const Fields& fields) {
    FinishPlane plane;
    plane.place = fields.place();
    if (fields.find("at"))
        plane.at = fields.needPoint("at", "").value_or(plane.at);
    else
        plane.at = fields.reading().baseline.from;
    plane.level =
        fields
            .needLength("level", "Write level = \"99 ft 8 in\", the height of the finish at \"at\".",
                        bounds::height)
            .value_or(0);
    plane.fall = fields.slope("fall", 0, bounds::slope);
    plane.crossFall = fields.slope("cross_fall", 0, bounds::slope);
    return plane;
}

SpotLevel readSpot(Reading& reading, const Value& value, const std::string& owner) {
    const Fields fields(reading, value, "a spot level of " + owner, {"at", "level"});
    SpotLevel spot;
    spot.place = fields.place();
    spot.at = fields.needPoint("at", "Write at = [x, y].").value_or(spot.at);
    spot.level = fields.needLength("level", "Write level = \"99 ft 8 in\".", bounds::height).value_or(0);
    return spot;
}

void readSpots(const Fields& fields, Finish& finish) {
    const size_t before = fields.reading().count();
    for (const Value& item : fields.list("spots"))
        finish.spots.push_back(readSpot(fields.reading(), item, fields.owner()));
    if (fields.reading().count() > before) return;
    std::vector<Shot> shots;
    for (const SpotLevel& spot : finish.spots) shots.push_back({"", spot.at, spot.level, "", spot.place});
    checkShots(fields.reading(), shots, {}, "the spot levels of " + fields.owner(), fields.place());
}

void readPlanes(const Fields& fields, Finish& finish) {
    const auto planeKeys = {"at", "level", "fall", "cross_fall"};
    for (const Value& item : fields.list("planes")) {
        const Fields plane(fields.reading(), item, "a plane of " + fields.owner(), planeKeys);
        if (plane.isTable()) finish.planes.push_back(readPlane(plane));
    }
    if (fields.list("planes").empty())
        fields.reading().report(fields.value(), fmt::format("{} has no planes in its list.", fields.owner()),
                                "Write planes = [ { at = …, level = …, fall = … }, … ].");
}

Finish readFinish(Reading& reading, const Value& value, const std::string& name) {
    const Fields fields(
        reading, value,
        name.empty() ? std::string("the finish") : fmt::format("the finish {}", inQuotes(name)),
        {"at", "level", "fall", "cross_fall", "join", "planes", "spots"});
    Finish finish;
    finish.name = name;
    finish.place = fields.place();
    if (!fields.isTable()) return finish;
    const bool onePlane =
        fields.find("level") || fields.find("fall") || fields.find("cross_fall") || fields.find("at");
    const bool several = fields.find("planes") != nullptr, spots = fields.find("spots") != nullptr;
    if (onePlane + several + spots > 1) {
        reading.report(fields.value(), fmt::format("{} is given in more than one way.", fields.owner()),
                       "Keep one of: level with fall, planes, spots.");
    }
    if (spots)
        readSpots(fields, finish);
    else if (several)
        readPlanes(fields, finish);
    else
        finish.planes.push_back(readPlane(fields));
    finish.join = fields.choice("join", {"ridge", "valley"}, 0) == 1 ? PlaneJoin::Valley : PlaneJoin::Ridge;
    if (fields.find("join") && !several)
        reading.report(*fields.find("join"),
                       fmt::format("{} joins planes and has only one.", fields.name("join")),
                       "Delete it, or write planes = [ … ].");
    if (several && finish.planes.size() > 1 && !fields.find("join"))
        reading.report(fields.value(),
                       fmt::format("{} has several planes and does not say how they join.", fields.owner()),
                       "Write join = \"ridge\" or join = \"valley\".");
    return finish;
}

}  // namespace

void readFinishes(Reading& reading, const Value& root, Plan& plan) {
    if (const Value* own = root.find("finish")) plan.finishes.push_back(readFinish(reading, *own, ""));
    const Value* more = root.find("finishes");
    if (!more) return;
    const auto* table = more->as<Value::Table>();
    if (!table) {
        reading.report(*more, "\"finishes\" must be tables with names.",
                       "Write [finishes.upper] and the finish below it.");
        return;
    }
    for (const Member& member : *table)
        plan.finishes.push_back(readFinish(reading, member.value, member.key));
}

}  // namespace underfoot
