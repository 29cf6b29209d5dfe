#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "measure/diagnostic.h"
#include "plan/document.h"
#include "plan/parts.h"
#include "plan/plan.h"
#include "plan/read_outline.h"
#include "plan/reading.h"
#include "plan/words.h"

namespace underfoot {
namespace {

std::optional<UnitSize> readSize(Reading& reading, const Value& value, const std::string& what) {
    const auto pair = readPair(reading, value, what, bounds::unitSide);
    if (!pair) return std::nullopt;
    return UnitSize{pair->x, pair->y};
}

BorderCourse readBorder(Reading& reading, const Value& value, const std::string& owner,
                        const std::optional<ReadRing>& ring) {
    const Fields fields(reading, value, "a border of " + owner, {"edges", "size", "course"});
    BorderCourse border;
    border.place = fields.place();
    border.edges = readEdgeNumbers(fields, "edges", ring);
    if (const Value* size = fields.need("size", "Write size = [\"12 in\", \"6 in\"]."))
        border.size = readSize(reading, *size, fields.name("size")).value_or(UnitSize{});
    border.soldier = fields.choice("course", {"soldier", "sailor"}, 0) == 0;
    return border;
}

void readRepeat(const Fields& fields, UnitLayout& units) {
    Reading& reading = fields.reading();
    fields.need("repeat", "Write repeat = [ { at = [0, 0], size = [\"12 in\", \"6 in\"] }, … ].");
    for (const Value& item : fields.list("repeat")) {
        const Fields unit(reading, item, "a unit of the repeat of " + fields.owner(), {"at", "size"});
        const auto at = unit.needPair("at", "Write at = [0, 0].", bounds::coordinate);
        const Value* sizeValue = unit.need("size", "Write size = [\"12 in\", \"6 in\"].");
        const auto size = sizeValue ? readSize(reading, *sizeValue, unit.name("size")) : std::nullopt;
        if (at && size) units.repeat.push_back({*at, *size});
    }
    units.repeatStep =
        fields
            .needPair("step", "Write step = [\"18 in\", \"12 in\"], the cell that repeats, joints included.",
                      bounds::repeatStep)
            .value_or(glm::dvec2{0, 0});
    const Value* list = fields.find("repeat");
    if (list && list->as<Value::List>() && list->as<Value::List>()->empty())
        reading.report(*list, fields.name("repeat") + " is empty.",
                       "List the units of the cell that repeats.");
}

void readSizes(const Fields& fields, UnitLayout& units) {
    const bool needed = units.pattern != Pattern::Repeat;
    const Value* value =
        needed ? fields.need("sizes", "Write sizes = [[\"24 in\", \"24 in\"]].") : fields.find("sizes");
    for (const Value& item : fields.list("sizes"))
        if (const auto size = readSize(fields.reading(), item, "A size of " + fields.owner()))
            units.sizes.push_back(*size);
    if (needed && value && value->as<Value::List>() && value->as<Value::List>()->empty())
        fields.reading().report(*value, fields.name("sizes") + " is empty.",
                                "Write sizes = [[\"24 in\", \"24 in\"]].");
}

void readSpikes(const Fields& edging, Edging& read) {
    const Value* value = edging.find("spikes");
    if (!value) return;
    const Fields fields(edging.reading(), *value, "the spikes of " + edging.owner(),
                        {"length", "diameter", "spacing", "on_curves"});
    constexpr Allowed spacing{0.01, 10};
    read.spikeLength = fields.length("length", read.spikeLength, bounds::thickness);
    read.spikeDiameter = fields.length("diameter", read.spikeDiameter, bounds::joint);
    read.spikeSpacing = fields.length("spacing", read.spikeSpacing, spacing);
    read.spikeSpacingOnCurves = fields.length("on_curves", read.spikeSpacingOnCurves, spacing);
}

}  // namespace

UnitLayout readUnits(Reading& reading, const Value& value, const std::string& owner,
                     const std::optional<ReadRing>& ring) {
    const Fields fields(
        reading, value, "the units of " + owner,
        {"pattern", "sizes", "joint", "shift", "angle", "start", "chamfer", "borders", "repeat", "step"});
    UnitLayout units;
    units.place = fields.place();
    if (!fields.isTable()) return units;
    const std::vector<std::string> names = patternNames();
    units.pattern = *patternFromName(names[fields.choice("pattern", names, 1)]);
    readSizes(fields, units);
    if (units.pattern == Pattern::Repeat) readRepeat(fields, units);
    units.joint = fields.length("joint", units.joint, bounds::joint);
    units.chamfer = fields.length("chamfer", 0, bounds::chamfer);
    units.angle = fields.angle("angle", 0);
    constexpr Allowed part{0, 1};
    if (const Value* shift = fields.find("shift"))
        units.shift = readRatio(reading, *shift, fields.name("shift"), part).value_or(units.shift);
    if (const Value* start = fields.find("start"))
        units.start = readPoint(reading, *start, fields.name("start"));
    for (const Value& item : fields.list("borders"))
        units.borders.push_back(readBorder(reading, item, owner, ring));
    return units;
}

std::vector<Edging> readEdgings(const Fields& area, const std::optional<ReadRing>& ring) {
    std::vector<Edging> edgings;
    for (const Value& item : area.list("edging")) {
        const Fields fields(area.reading(), item, "the edging of " + area.owner(),
                            {"edges", "height", "thickness", "top", "spikes", "material"});
        Edging edging;
        edging.place = fields.place();
        edging.edges = readEdgeNumbers(fields, "edges", ring);
        edging.height = fields.length("height", edging.height, bounds::thickness);
        edging.thickness = fields.length("thickness", edging.thickness, bounds::thickness);
        edging.top = fields.length("top", edging.top, bounds::overhang);
        edging.material = fields.text("material", edging.material);
        readSpikes(fields, edging);
        edgings.push_back(std::move(edging));
    }
    return edgings;
}

}  // namespace underfoot
