#include <algorithm>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "measure/diagnostic.h"
#include "plan/catalogue.h"
#include "plan/document.h"
#include "plan/parts.h"
#include "plan/plan.h"
#include "plan/reading.h"
#include "plan/words.h"

namespace underfoot {
namespace {

std::optional<Role> readRole(const Fields& fields) {
    const Value* value =
        fields.need("role", fmt::format("Write role = with one of {}.", listed(roleNames())));
    const auto text = value ? readText(fields.reading(), *value, fields.name("role")) : std::nullopt;
    if (!text) return std::nullopt;
    const auto role = roleFromName(*text);
    if (role && *role != Role::Backfill && *role != Role::NativeSoil) return role;
    if (role) {
        fields.reading().report(*value, fmt::format("{} is never written in a plan.", inQuotes(*text)),
                                "Leave the layer out; it is there by itself.");
    } else {
        fields.reading().report(*value, fmt::format("{} is no role of a layer.", inQuotes(*text)),
                                suggestion(*text, roleNames()));
    }
    return std::nullopt;
}

std::string readMaterial(const Fields& fields, Role role) {
    const std::string name = fields.text("material", defaultMaterial(role));
    std::vector<std::string> known;
    for (const Material& material : fields.reading().catalogue().materials) known.push_back(material.name);
    if (std::find(known.begin(), known.end(), name) == known.end())
        fields.reading().report(*fields.find("material"),
                                fmt::format("There is no material {}.", inQuotes(name)),
                                suggestion(name, known));
    return name;
}

void readThickness(const Fields& fields, Layer& layer) {
    Reading& reading = fields.reading();
    const Value* value = fields.find("thickness");
    if (layer.role == Role::Fill) {
        if (value)
            reading.report(*value,
                           fmt::format("Fill has no thickness of its own, and {} has one.", fields.owner()),
                           "Delete it: fill reaches from the ground to the layer above.");
        layer.takesUp = true;
        return;
    }
    layer.thickness =
        fields.needLength("thickness", "Write thickness = \"4 in\".", bounds::thickness).value_or(0);
    layer.least = fields.maybeLength("least", bounds::smallLength);
    layer.greatest = fields.maybeLength("greatest", bounds::smallLength);
    const double least = layer.least.value_or(0),
                 greatest = layer.greatest.value_or(bounds::thickness.greatest);
    if (least > greatest) {
        reading.report(*fields.find("least"),
                       fmt::format("The least thickness of {} is more than its greatest.", fields.owner()),
                       "Swap or mend them.");
    } else if (layer.thickness > 0 && (layer.thickness < least || layer.thickness > greatest)) {
        reading.report(
            *value,
            fmt::format("The thickness of {} lies outside its own least and greatest.", fields.owner()),
            "Mend one of the three.");
    }
}

Layer readLayer(Reading& reading, const Value& value, size_t number, const std::string& buildUp) {
    std::string owner = fmt::format("layer {} of the build-up {}", number, inQuotes(buildUp));
    if (const Value* name = value.find("name"))
        if (const auto* text = name->as<std::string>()) owner = fmt::format("the layer {}", inQuotes(*text));
    const Fields fields(reading, value, owner,
                        {"name", "role", "thickness", "least", "greatest", "beyond", "corners", "take_up",
                         "lift", "material"});
    Layer layer;
    layer.place = fields.place();
    if (!fields.isTable()) return layer;
    const auto role = readRole(fields);
    layer.role = role.value_or(Role::Base);
    layer.name = fields.find("name") ? fields.needText("name", "Write name = \"sand\".")
                 : role              ? roleName(*role)
                                     : "";
    layer.takesUp = fields.flag("take_up", false);
    // Without its role a layer's other keys can't be judged.
    if (role) readThickness(fields, layer);
    layer.beyond = fields.length("beyond", 0, bounds::overhang);
    layer.corners =
        fields.choice("corners", {"square", "round"}, 0) == 1 ? CornerStyle::Round : CornerStyle::Square;
    layer.lift = fields.length("lift", 0, bounds::smallLength);
    layer.material = readMaterial(fields, layer.role);
    return layer;
}

void readBuildUp(Reading& reading, const Value& value, Plan& plan) {
    BuildUp buildUp;
    const auto* name = value.find("name") ? value.find("name")->as<std::string>() : nullptr;
    const Fields fields(reading, value, name ? fmt::format("the build-up {}", inQuotes(*name)) : "a build-up",
                        {"name", "layers"});
    buildUp.place = fields.place();
    buildUp.name = fields.needText("name", "Write name = \"units on sand\".");
    fields.need(
        "layers",
        "Write layers = [ { name = \"units\", role = \"units\", thickness = \"2 in\" }, … ], top first.");
    const Value::List& layers = fields.list("layers");
    for (size_t i = 0; i < layers.size(); ++i)
        buildUp.layers.push_back(readLayer(reading, layers[i], i + 1, buildUp.name));
    if (fields.find("layers") && fields.find("layers")->as<Value::List>() && layers.empty())
        reading.report(*fields.find("layers"), fmt::format("{} has no layers.", fields.owner()),
                       "List them, top first.");
    plan.buildUps.push_back(std::move(buildUp));
}

}  // namespace

std::vector<const Value*> tablesOf(Reading& reading, const Value& root, std::string_view key) {
    std::vector<const Value*> tables;
    const Value* value = root.find(key);
    if (!value) return tables;
    if (const auto* list = value->as<Value::List>()) {
        for (const Value& item : *list) tables.push_back(&item);
    } else {
        reading.report(
            *value, fmt::format("There may be several of \"{}\", so it is written with two brackets.", key),
            fmt::format("Write [[{}]].", key));
        if (value->as<Value::Table>()) tables.push_back(value);
    }
    return tables;
}

void readBuildUps(Reading& reading, const Value& root, Plan& plan) {
    for (const Value* table : tablesOf(reading, root, "build_up")) readBuildUp(reading, *table, plan);
}

}  // namespace underfoot
