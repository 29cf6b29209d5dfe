#include "plan/comparison.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>
#include <tl/expected.hpp>

#include "measure/length.h"
#include "plan/catalogue.h"
#include "plan/document.h"
#include "plan/parts.h"
#include "plan/read_plan.h"
#include "plan/reading.h"
#include "plan/text_file.h"
#include "plan/words.h"

namespace underfoot {
namespace {

constexpr Allowed raised{-3, 3};

/// A name that must be one of those known.
std::string knownName(const Fields& fields, const char* key, const std::string& remedy,
                      const std::vector<std::string>& known) {
    std::string name = fields.needText(key, remedy);
    if (!name.empty() && std::find(known.begin(), known.end(), name) == known.end())
        fields.reading().report(*fields.find(key), fmt::format("There is no {} {}.", key, inQuotes(name)),
                                suggestion(name, known));
    return name;
}

template <class Records>
std::vector<std::string> namesOf(const Records& records) {
    std::vector<std::string> names;
    names.reserve(records.size());
    for (const auto& record : records) names.push_back(record.name);
    return names;
}

std::vector<std::string> layerNames(const Plan& plan) {
    std::vector<std::string> names;
    for (const BuildUp& buildUp : plan.buildUps)
        for (const Layer& layer : buildUp.layers)
            if (layer.role != Role::Fill && std::find(names.begin(), names.end(), layer.name) == names.end())
                names.push_back(layer.name);
    return names;
}

Variant readVariant(Reading& reading, const Value& value, const Plan& plan) {
    const Fields fields(reading, value, "a variant", {"name", "raise", "fall", "areas", "layers"});
    Variant variant;
    if (!fields.isTable()) return variant;
    variant.place = fields.place();
    variant.name = fields.needText("name", "Write name = \"panels\".");
    variant.raise = fields.length("raise", 0, raised);
    if (fields.find("fall")) variant.fall = fields.slope("fall", 0, bounds::slope);
    for (const Value& item : fields.list("areas")) {
        const Fields one(reading, item, "an area of " + fields.owner(), {"area", "build_up"});
        if (!one.isTable()) continue;
        OtherBuildUp other;
        other.area = knownName(one, "area", "Write area = \"court\".", namesOf(plan.areas));
        other.buildUp = knownName(one, "build_up", "Write build_up = \"panels\".", namesOf(plan.buildUps));
        variant.areas.push_back(std::move(other));
    }
    for (const Value& item : fields.list("layers")) {
        const Fields one(reading, item, "a layer of " + fields.owner(), {"layer", "thickness"});
        if (!one.isTable()) continue;
        OtherThickness other;
        other.layer = knownName(one, "layer", "Write layer = \"base\".", layerNames(plan));
        other.thickness =
            one.needLength("thickness", "Write thickness = \"6 in\".", bounds::thickness).value_or(0.1);
        variant.layers.push_back(std::move(other));
    }
    return variant;
}

Sill readSill(Reading& reading, const Value& value) {
    const Fields fields(reading, value, "a sill", {"name", "at", "height"});
    Sill sill;
    if (!fields.isTable()) return sill;
    sill.place = fields.place();
    sill.name = fields.needText("name", "Write name = \"kitchen door\".");
    sill.at = fields.needPoint("at", "Write at = [x, y].").value_or(sill.at);
    sill.height = fields.needLength("height", "Write height = 100.", bounds::height).value_or(0);
    return sill;
}

}  // namespace

Comparison readComparisonFrom(Reading& reading, const Value& root, const Plan& plan) {
    Comparison comparison;
    comparison.buildUps = plan.buildUps;
    for (const Value* table : tablesOf(reading, root, "variant"))
        comparison.variants.push_back(readVariant(reading, *table, plan));
    for (const Value* table : tablesOf(reading, root, "sill"))
        comparison.sills.push_back(readSill(reading, *table));
    for (const Variant& variant : comparison.variants)
        for (const OtherBuildUp& other : variant.areas) reading.usedByVariants.push_back(other.buildUp);
    return comparison;
}

Checked<Comparison> readComparison(const Plan& plan) {
    const auto text = readTextFile(plan.file, plan.file, greatestPlanBytes, false);
    if (!text) return tl::unexpected(Diagnostics{text.error()});
    const auto plain = plainText(*text, plan.file);
    if (!plain) return tl::unexpected(Diagnostics{plain.error()});
    const auto document = readDocument(*plain, plan.file);
    if (!document) return tl::unexpected(Diagnostics{document.error()});
    const Catalogue catalogue = loadCatalogue();
    Reading reading(plan.file, catalogue);
    reading.bare = plan.bareUnit;
    reading.show = plan.show;
    reading.baseline = plan.baseline;
    Plan whole = plan;
    whole.buildUps.clear();
    readBuildUps(reading, *document, whole);
    Comparison comparison = readComparisonFrom(reading, *document, whole);
    if (reading.count() > 0) return tl::unexpected(reading.takeFaults());
    return comparison;
}

Plan asDesigned(const Plan& plan) {
    Plan designed = plan;
    designed.measuredTops.clear();
    return designed;
}

namespace {

void setThickness(Plan& plan, const OtherThickness& other) {
    for (BuildUp& buildUp : plan.buildUps)
        for (Layer& layer : buildUp.layers) {
            if (layer.name != other.layer || layer.role == Role::Fill) continue;
            layer.thickness = other.thickness;
            const bool inside = other.thickness >= layer.least.value_or(0) &&
                                other.thickness <= layer.greatest.value_or(other.thickness);
            if (!inside) layer.least = layer.greatest = std::nullopt;
        }
}

bool hasUnits(const BuildUp& buildUp) {
    return std::any_of(buildUp.layers.begin(), buildUp.layers.end(),
                       [](const Layer& layer) { return layer.role == Role::Units; });
}

/// What lays units over a build-up without any lays none.
void dropUnits(Plan& plan) {
    for (Area& area : plan.areas)
        if (const BuildUp* buildUp = buildUpOf(plan, area); buildUp && !hasUnits(*buildUp))
            area.units.reset();
}

/// Build-ups that an area uses now; the others would leave layers that lie nowhere.
std::vector<BuildUp> usedOf(const std::vector<BuildUp>& all, const Plan& plan) {
    std::vector<BuildUp> used;
    for (const BuildUp& one : all)
        if (std::any_of(plan.areas.begin(), plan.areas.end(),
                        [&](const Area& area) { return area.buildUp == one.name; }))
            used.push_back(one);
    return used;
}

}  // namespace

Result<Plan> withVariant(const Plan& plan, const Variant& variant, const std::vector<BuildUp>& buildUps) {
    Plan changed = plan;
    for (Finish& finish : changed.finishes) {
        for (FinishPlane& plane : finish.planes) plane.level += variant.raise;
        for (SpotLevel& spot : finish.spots) spot.level += variant.raise;
        if (!variant.fall || !finish.name.empty()) continue;
        if (finish.planes.empty())
            return tl::unexpected(Diagnostic{variant.place,
                                             "The plan's finish is made of spot levels and has no fall.",
                                             "Raise or lower it instead."});
        for (FinishPlane& plane : finish.planes) plane.fall = *variant.fall;
    }
    for (const OtherBuildUp& other : variant.areas)
        for (Area& area : changed.areas)
            if (area.name == other.area) area.buildUp = other.buildUp;
    if (!variant.areas.empty()) changed.buildUps = usedOf(buildUps, changed);
    dropUnits(changed);
    for (const OtherThickness& other : variant.layers) setThickness(changed, other);
    return changed;
}

}  // namespace underfoot
