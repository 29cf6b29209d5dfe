// What holds at the place where the plan is built: the code that rules there, and places for fire.

#include <algorithm>
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
#include "plan/words.h"

namespace underfoot {
namespace {

bool isCountry(const std::string& text) {
    const auto capital = [](char c) { return c >= 'A' && c <= 'Z'; };
    return text.size() == 2 && capital(text[0]) && capital(text[1]);
}

/// The outline of the area that a fire names.
std::optional<Ring> outlineOfArea(const Fields& fields, const Plan& plan) {
    const std::string name = fields.text("area");
    if (name.empty()) return std::nullopt;
    std::vector<std::string> known;
    for (const Area& area : plan.areas) {
        if (area.name == name) return area.outline;
        known.push_back(area.name);
    }
    fields.reading().report(*fields.find("area"), fmt::format("There is no area {}.", inQuotes(name)),
                            suggestion(name, known));
    return std::nullopt;
}

void readFire(Reading& reading, const Value& value, Plan& plan) {
    const Fields fields(reading, value, "a fire",
                        {"name", "area", "outline", "rectangle", "circle", "polygon", "portable"});
    if (!fields.isTable()) return;
    FirePlace fire;
    fire.place = fields.place();
    fire.name = fields.needText("name", "Write name = \"hearth\".");
    fire.portable = fields.flag("portable", false);
    if (fields.find("area")) {
        for (const char* shape : {"outline", "rectangle", "circle", "polygon"})
            if (const Value* second = fields.find(shape))
                reading.report(*second, "The fire has an area and a shape of its own.",
                               fmt::format("Keep one of \"area\" and \"{}\".", shape));
        if (auto ring = outlineOfArea(fields, plan)) fire.outline = std::move(*ring);
    } else if (auto ring = readShape(fields)) {
        fire.outline = std::move(ring->ring);
    }
    plan.fires.push_back(std::move(fire));
}

}  // namespace

void readCode(Reading& reading, const Value& root, Plan& plan) {
    const Value* value = root.find("code");
    if (!value) return;
    const Fields fields(reading, *value, "the code", {"country", "name"});
    if (!fields.isTable()) return;
    plan.code.country = fields.text("country");
    plan.code.name = fields.text("name");
    if (fields.find("country") && !isCountry(plan.code.country))
        reading.report(*fields.find("country"),
                       fmt::format("{} is no country as ISO 3166 writes it.", inQuotes(plan.code.country)),
                       "Write its two capital letters, as country = \"US\".");
}

void readFires(Reading& reading, const Value& root, Plan& plan) {
    for (const Value* table : tablesOf(reading, root, "fire")) readFire(reading, *table, plan);
}

}  // namespace underfoot
