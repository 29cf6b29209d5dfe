#include "plan/catalogue.h"

#include <cassert>
#include <cmath>
#include <cstdlib>
#include <numbers>
#include <optional>
#include <string_view>
#include <utility>

#include <tl/expected.hpp>

#include "measure/diagnostic.h"
#include "measure/length.h"
#include "measure/mass.h"
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

double amountOf(const tl::expected<double, std::string>& read) {
    assert(read && "an embedded amount can't be read");
    return *read;
}

/// The value of a key, or of its metric twin.
const Value* sized(const Value& table, const std::string& key, bool metric) {
    const Value* own = metric ? table.find("metric_" + key) : nullptr;
    return own ? own : table.find(key);
}

UnitSize sizeOf(const Value* pair) {
    if (!pair) return {};
    const auto* list = pair->as<Value::List>();
    assert(list && list->size() == 2);
    const auto side = [](const Value& value) {
        return amountOf(parseLength(*value.as<std::string>(), LengthUnit::Metre));
    };
    return {side((*list)[0]), side((*list)[1])};
}

Supply supplyFrom(const Value& table, bool metric) {
    Supply supply;
    supply.material = textOf(table, "material");
    supply.source = textOf(table, "source");
    if (const Value* bag = sized(table, "bag", metric))
        supply.bagMass = amountOf(parseMass(*bag->as<std::string>()));
    const UnitSize roll = sizeOf(sized(table, "roll", metric));
    supply.roll = {roll.width, roll.length};  // the file names the width first, as sellers do
    supply.panel = sizeOf(sized(table, "panel", metric));
    if (const Value* stock = sized(table, "stock", metric))
        supply.stock = amountOf(parseLength(*stock->as<std::string>(), LengthUnit::Metre));
    if (table.find("bend")) supply.bend = numberOf(table, "bend") * std::numbers::pi / 180;
    if (table.find("step")) supply.step = numberOf(table, "step");
    if (table.find("waste")) supply.wasteRule = textOf(table, "waste");
    if (const Value* carried = table.find("carried")) supply.carried = *carried->as<bool>();
    return supply;
}

Carrier carrierFrom(const Value& table, bool metric) {
    Carrier carrier;
    carrier.kind = textOf(table, "kind");
    carrier.name = textOf(table, "name");
    carrier.source = textOf(table, "source");
    carrier.holds = amountOf(parseVolume(*sized(table, "holds", metric)->as<std::string>()));
    carrier.carries = amountOf(parseMass(*sized(table, "carries", metric)->as<std::string>()));
    return carrier;
}

/// The embedded files. Reading them is most of what a short command does: once, and for both sizes.
struct Assets {
    Value limits = assetDocument("limits.toml"), materials = assetDocument("materials.toml"),
          cautions = assetDocument("cautions.toml"), supply = assetDocument("supply.toml");
};

template <class T, class Convert>
std::vector<T> recordsOf(const Value& document, std::string_view key, Convert convert) {
    const auto* list = member(document, key).as<Value::List>();
    assert(list);
    std::vector<T> records;
    for (const Value& table : *list) records.push_back(convert(table));
    return records;
}

/// The embedded data in the sizes sold in feet or in metres.
Catalogue embeddedCatalogue(bool metric) {
    const auto supply = [metric](const Value& table) { return supplyFrom(table, metric); };
    const auto carrier = [metric](const Value& table) { return carrierFrom(table, metric); };
    static const Assets assets;
    Catalogue catalogue{recordsOf<Limit>(assets.limits, "limit", limitOf),
                        recordsOf<Material>(assets.materials, "material", materialOf),
                        recordsOf<Soil>(assets.materials, "soil", soilFrom),
                        recordsOf<CautionText>(assets.cautions, "caution", cautionOf),
                        textOf(assets.cautions, "closing"),
                        recordsOf<Supply>(assets.supply, "supply", supply),
                        recordsOf<Carrier>(assets.supply, "carrier", carrier)};
    if (!metric) return catalogue;
    for (Material& material : catalogue.materials) {
        if (material.boughtBy == "ton") material.boughtBy = "tonne";
        if (material.boughtBy == "cubic yard") material.boughtBy = "cubic metre";
    }
    return catalogue;
}

const Catalogue& metricCatalogue() {
    static const Catalogue metric = embeddedCatalogue(true);
    return metric;
}

Supply& ownSupply(Catalogue& catalogue, const std::string& material) {
    for (Supply& supply : catalogue.supplies)
        if (supply.material == material) return supply;
    catalogue.supplies.emplace_back().material = material;
    return catalogue.supplies.back();
}

void applySizes(const MaterialOverride& own, Supply& supply) {
    if (own.bagMass || own.bagVolume) {
        supply.bagMass = own.bagMass.value_or(0);
        supply.bagVolume = own.bagVolume.value_or(0);
    }
    if (own.roll) supply.roll = *own.roll;
    if (own.panel) supply.panel = *own.panel;
    if (own.stock) supply.stock = *own.stock;
    if (own.step) supply.step = *own.step;
    if (own.bagMass || own.bagVolume || own.roll || own.panel || own.stock || own.step)
        supply.source = "The plan, " + own.place.file + ", line " + std::to_string(own.place.line);
}

void applyMaterial(const MaterialOverride& own, Catalogue& catalogue) {
    for (Material& material : catalogue.materials) {
        if (material.name != own.material) continue;
        material.densityLoose = own.densityLoose.value_or(material.densityLoose);
        material.densityCompacted = own.densityCompacted.value_or(material.densityCompacted);
        if (own.densityLoose || own.densityCompacted) material.densityFromPlan = true;
        // With both densities given these say how it packs down.
        if (own.densityLoose && own.densityCompacted) material.soil.clear();
        if (!own.boughtBy.empty()) material.boughtBy = own.boughtBy;
    }
    applySizes(own, ownSupply(catalogue, own.material));
}

}  // namespace

const Material* Catalogue::findMaterial(std::string_view name) const {
    for (const Material& material : materials)
        if (material.name == name) return &material;
    return nullptr;
}

Supply Catalogue::supplyOf(std::string_view material) const {
    for (const Supply& supply : supplies)
        if (supply.material == material) return supply;
    return {};
}

const Limit* Catalogue::findLimit(std::string_view rule) const {
    for (const Limit& limit : limits)
        if (limit.rule == rule) return &limit;
    return nullptr;
}

const Limit& Catalogue::limit(std::string_view rule) const {
    const Limit* found = findLimit(rule);
    assert(found && "no such limit");
    return *found;
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
    static const Catalogue embedded = embeddedCatalogue(false);
    return embedded;
}

Catalogue loadCatalogue(const Plan& plan) {
    Catalogue catalogue = plan.show.style == LengthStyle::Metres ? metricCatalogue() : loadCatalogue();
    for (const LimitOverride& own : plan.limits) {
        for (Limit& limit : catalogue.limits) {
            if (limit.rule != own.rule) continue;
            limit.value = own.value;
            limit.reason = own.reason;
        }
    }
    for (const MaterialOverride& own : plan.materials) applyMaterial(own, catalogue);
    for (const Carrier& own : plan.carriers)
        for (Carrier& carrier : catalogue.carriers)
            if (carrier.kind == own.kind) carrier = own;
    return catalogue;
}

}  // namespace underfoot
