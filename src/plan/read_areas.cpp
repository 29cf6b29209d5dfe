#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "measure/diagnostic.h"
#include "plan/document.h"
#include "plan/parts.h"
#include "plan/plan.h"
#include "plan/read_outline.h"
#include "plan/reading.h"

namespace underfoot {
namespace {

std::vector<Ring> readOpenings(const Fields& area) {
    std::vector<Ring> openings;
    for (const Value& item : area.list("openings")) {
        const std::string owner = "an opening of " + area.owner();
        std::optional<ReadRing> ring;
        if (item.as<Value::List>()) {
            ring = readOutline(area.reading(), item, owner);
        } else {
            ring =
                readShape(Fields(area.reading(), item, owner, {"outline", "rectangle", "circle", "polygon"}));
        }
        if (ring) openings.push_back(std::move(ring->ring));
    }
    return openings;
}

/// "all" alone, or a list of names; names are looked up when all areas are read.
std::vector<std::string> readAround(const Fields& area) {
    std::vector<std::string> names;
    const Value* value = area.find("around");
    if (!value) return names;
    if (const auto* text = value->as<std::string>()) return {*text};
    for (const Value& item : area.list("around"))
        if (auto name = readText(area.reading(), item, area.name("around")))
            names.push_back(std::move(*name));
    return names;
}

void readArea(Reading& reading, const Value& value, Plan& plan) {
    const auto* name = value.find("name") ? value.find("name")->as<std::string>() : nullptr;
    const Fields fields(reading, value, name ? fmt::format("the area {}", inQuotes(*name)) : "an area",
                        {"name", "build_up", "outline", "rectangle", "circle", "polygon", "openings",
                         "finish", "around", "against_wall", "units", "edging"});
    if (!fields.isTable()) return;
    Area area;
    area.place = fields.place();
    area.name = fields.needText("name", "Write name = \"court\".");
    area.buildUp = fields.needText("build_up", "Write build_up = with the name of one of the build-ups.");
    std::optional<ReadRing> ring = readShape(fields);
    area.openings = readOpenings(fields);
    area.finish = fields.text("finish");
    area.around = readAround(fields);
    area.againstWall = readEdgeNumbers(fields, "against_wall", ring);
    if (const Value* units = fields.find("units"))
        area.units = readUnits(reading, *units, fields.owner(), ring);
    area.edgings = readEdgings(fields, ring);
    if (ring) area.outline = std::move(ring->ring);
    plan.areas.push_back(std::move(area));
}

}  // namespace

void readAreas(Reading& reading, const Value& root, Plan& plan) {
    for (const Value* table : tablesOf(reading, root, "area")) readArea(reading, *table, plan);
}

}  // namespace underfoot
