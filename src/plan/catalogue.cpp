#include "plan/catalogue.h"

#include <cassert>
#include <cmath>
#include <cstdlib>
#include <string_view>

#include "measure/length.h"
#include "measure/number.h"
#include "measure/slope.h"
#include "plan/document.h"
#include "plan/embedded.h"

namespace underfoot {
namespace {

/// The embedded files are part of the program: what is wrong in them is a fault of the program.
const Value& member(const Value& table, std::string_view key) {
    const Value* value = table.find(key);
    assert(value && "a key is missing in an embedded file");
    return *value;
}

std::string textOf(const Value& table, std::string_view key) {
    const auto* text = member(table, key).as<std::string>();
    assert(text && !text->empty() && "an embedded file has no text where one belongs");
    return *text;
}

double numberOf(const Value& table, std::string_view key) {
    const auto* number = member(table, key).as<double>();
    assert(number && std::isfinite(*number) && "an embedded file has no number where one belongs");
    return *number;
}

double limitValue(const Value& table, std::string_view unit) {
    const Value& value = member(table, "value");
    if (const auto* number = value.as<double>()) return *number;
    const auto* text = value.as<std::string>();
    assert(text);
    const auto read = unit == "m"       ? parseLength(*text, LengthUnit::Metre)
                      : unit == "slope" ? parseSlope(*text)
                                        : parseNumber(*text);
    assert(read && "an embedded limit can't be read");
    return *read;
}

Limit limitOf(const Value& table) {
    Limit limit;
    limit.rule = textOf(table, "rule");
    limit.unit = textOf(table, "unit");
    assert(limit.unit == "m" || limit.unit == "slope" || limit.unit == "ratio" || limit.unit == "count" ||
           limit.unit == "kg");
    limit.value = limitValue(table, limit.unit);
    limit.published = limit.value;
    limit.sentence = textOf(table, "sentence");
    limit.source = textOf(table, "source");
    return limit;
}

std::array<double, 3> colourOf(const std::string& hex) {
    assert(hex.size() == 7 && hex[0] == '#');
    const auto bits = std::strtol(hex.c_str() + 1, nullptr, 16);
    const auto part = [bits](int shift) { return static_cast<double>((bits >> shift) & 0xFF) / 255; };
    return {part(16), part(8), part(0)};
}

Material materialOf(const Value& table) {
    Material material;
    material.name = textOf(table, "name");
    material.title = textOf(table, "title");
    material.colour = colourOf(textOf(table, "colour"));
    material.roughness = numberOf(table, "roughness");
    material.grain = textOf(table, "grain");
    material.hatch = textOf(table, "hatch");
    material.densityLoose = numberOf(table, "density_loose");
    material.densityCompacted = numberOf(table, "density_compacted");
    material.boughtBy = textOf(table, "bought_by");
    material.purpose = textOf(table, "purpose");
    if (table.find("soil")) material.soil = textOf(table, "soil");
    return material;
}

Soil soilFrom(const Value& table) {
    Soil soil;
    soil.name = textOf(table, "name");
    soil.title = textOf(table, "title");
    soil.loose = numberOf(table, "loose");
    soil.compacted = numberOf(table, "compacted");
    soil.source = textOf(table, "source");
    assert(soil.loose > 0 && soil.compacted > 0);
    return soil;
}

CautionRule cautionRuleOf(const Value& table) {
    CautionRule rule{textOf(table, "country"), textOf(table, "sentence"), textOf(table, "source"), {}};
    const auto* limits = member(table, "limits").as<Value::List>();
    assert(limits);
    for (const Value& limit : *limits) {
        const auto* name = limit.as<std::string>();
        assert(name && "a limit of a caution without a name");
        rule.limits.push_back(*name);
    }
    return rule;
}

CautionText cautionOf(const Value& table) {
    CautionText text;
    text.key = textOf(table, "key");
    text.title = textOf(table, "title");
    text.sentence = textOf(table, "sentence");
    text.source = textOf(table, "source");
    text.ask = textOf(table, "ask");
    if (const Value* rules = table.find("rule")) {
        const auto* list = rules->as<Value::List>();
        assert(list);
        for (const Value& rule : *list) text.rules.push_back(cautionRuleOf(rule));
    }
    return text;
}

Value assetDocument(std::string_view file) {
    Result<Value> document = readDocument(plan_assets::embedded(file), std::string(file));
    assert(document && "an embedded file is not sound");
    return std::move(*document);
}

template <class T, class Convert>
std::vector<T> readAsset(std::string_view file, std::string_view key, Convert convert) {
    const Value document = assetDocument(file);
    const auto* list = member(document, key).as<Value::List>();
    assert(list);
    std::vector<T> records;
    for (const Value& table : *list) records.push_back(convert(table));
    return records;
}

}  // namespace

const Limit* Catalogue::findLimit(std::string_view rule) const {
    for (const Limit& limit : limits)
        if (limit.rule == rule) return &limit;
    return nullptr;
}

const Material& Catalogue::material(std::string_view name, Role role) const {
    const Material* byRole = nullptr;
    for (const Material& material : materials) {
        if (material.name == name) return material;
        if (material.name == defaultMaterial(role)) byRole = &material;
    }
    assert(byRole && "a role without a material");
    return *byRole;
}

const Soil* Catalogue::findSoil(std::string_view name) const {
    for (const Soil& soil : soils)
        if (soil.name == name) return &soil;
    return nullptr;
}

const Soil& Catalogue::soilOf(const Plan& plan) const {
    const Soil* soil = findSoil(plan.ground.soil);
    if (!soil) soil = findSoil(material("", Role::NativeSoil).soil);
    assert(soil && "native soil without a soil");
    return *soil;
}

const char* defaultMaterial(Role role) {
    switch (role) {
        case Role::Units:
            return "concrete unit";
        case Role::Underlayment:
            return "underlayment panel";
        case Role::Bedding:
            return "sand";
        case Role::Base:
            return "base stone";
        case Role::Geotextile:
            return "geotextile";
        case Role::Slab:
            return "concrete";
        case Role::InfillStone:
            return "infill stone";
        case Role::ProtectiveSand:
            return "protective sand";
        case Role::Fill:
            return "fill";
        case Role::Backfill:
            return "backfill";
        case Role::NativeSoil:
            return "native soil";
    }
    assert(false && "a role outside the list");
    return "";
}

Catalogue loadCatalogue() {
    // What is embedded never changes: it is read once.
    static const Catalogue embedded{readAsset<Limit>("limits.toml", "limit", limitOf),
                                    readAsset<Material>("materials.toml", "material", materialOf),
                                    readAsset<Soil>("materials.toml", "soil", soilFrom),
                                    readAsset<CautionText>("cautions.toml", "caution", cautionOf),
                                    textOf(assetDocument("cautions.toml"), "closing")};
    return embedded;
}

Catalogue loadCatalogue(const Plan& plan) {
    Catalogue catalogue = loadCatalogue();
    for (const LimitOverride& own : plan.limits) {
        for (Limit& limit : catalogue.limits) {
            if (limit.rule != own.rule) continue;
            limit.value = own.value;
            limit.reason = own.reason;
        }
    }
    return catalogue;
}

}  // namespace underfoot
