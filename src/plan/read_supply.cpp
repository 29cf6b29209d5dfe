// What the plan says of materials, how they are sold, what they cost and what carries them.

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "measure/diagnostic.h"
#include "measure/mass.h"
#include "plan/catalogue.h"
#include "plan/document.h"
#include "plan/parts.h"
#include "plan/plan.h"
#include "plan/reading.h"
#include "plan/words.h"

namespace underfoot {
namespace {

using Parser = tl::expected<double, std::string> (*)(std::string_view);

/// An amount with its unit, in words: "50 lb".
std::optional<double> readAmount(const Fields& fields, std::string_view key, Parser parse) {
    const Value* value = fields.find(key);
    if (!value) return std::nullopt;
    const auto text = readText(fields.reading(), *value, fields.name(key));
    if (!text) return std::nullopt;
    const auto read = parse(*text);
    if (read && *read > 0) return *read;
    fields.reading().report(*value, fields.name(key) + " can't be used.",
                            read ? "Write more than nothing." : read.error());
    return std::nullopt;
}

/// A plain number of more than 0 (or of 0 where `zero` allows it).
std::optional<double> readCount(const Fields& fields, std::string_view key, bool zero, double most) {
    const Value* value = fields.find(key);
    if (!value) return std::nullopt;
    const auto* number = value->as<double>();
    if (number && std::isfinite(*number) && *number <= most && (zero ? *number >= 0 : *number > 0))
        return *number;
    fields.reading().report(
        *value, fields.name(key) + " can't be used.",
        fmt::format("Write a plain number {} 0 and at most {:.0f}.", zero ? "from" : "above", most));
    return std::nullopt;
}

std::optional<UnitSize> readSides(const Fields& fields, const char* key, const Allowed& bounds) {
    const Value* value = fields.find(key);
    if (!value) return std::nullopt;
    const auto pair = readPair(fields.reading(), *value, fields.name(key), bounds);
    if (!pair) return std::nullopt;
    return UnitSize{pair->x, pair->y};
}

/// Complains where no material has that name.
bool isMaterial(Reading& reading, const Fields& fields, const char* key, const std::string& name) {
    if (name.empty()) return false;
    if (reading.catalogue().findMaterial(name)) return true;
    std::vector<std::string> known;
    for (const Material& each : reading.catalogue().materials) known.push_back(each.name);
    reading.report(*fields.find(key), fmt::format("There is no material {}.", inQuotes(name)),
                   suggestion(name, known));
    return false;
}

const std::vector<std::string>& bulkWords() {
    static const std::vector<std::string> words{"ton", "tonne", "cubic yard", "cubic metre", "bag"};
    return words;
}

void readBag(const Fields& fields, MaterialOverride& own) {
    const Value* value = fields.find("bag");
    if (!value) return;
    const auto text = readText(fields.reading(), *value, fields.name("bag"));
    if (!text) return;
    const auto mass = parseMass(*text), volume = parseVolume(*text);
    if (mass && *mass > 0)
        own.bagMass = *mass;
    else if (volume && *volume > 0)
        own.bagVolume = *volume;
    else
        fields.reading().report(*value, fields.name("bag") + " can't be used.",
                                "Write what a bag holds, like \"50 lb\", \"25 kg\" or \"0.5 ft3\".");
}

/// Bulk goods alone may be bought in another way than usual; a bag must have a size.
void checkBoughtBy(Reading& reading, const Fields& fields, const MaterialOverride& own) {
    const Material* material = reading.catalogue().findMaterial(own.material);
    if (own.boughtBy.empty() || !material) return;
    const auto& bulk = bulkWords();
    if (std::find(bulk.begin(), bulk.end(), material->boughtBy) == bulk.end())
        return reading.report(*fields.find("bought_by"),
                              fmt::format("{} is always bought by {}.", material->title, material->boughtBy),
                              "Delete \"bought_by\".");
    const Supply usual = reading.catalogue().supplyOf(own.material);
    if (own.boughtBy == "bag" && !own.bagMass && !own.bagVolume && usual.bagMass <= 0)
        reading.report(*fields.find("bought_by"),
                       fmt::format("{} is bought by bag, but what a bag holds isn't known.", material->title),
                       "Write bag = \"50 lb\" beside it.");
}

void readMaterial(Reading& reading, const Value& value, Plan& plan) {
    const Fields fields(
        reading, value, "a material",
        {"name", "density_loose", "density_compacted", "bought_by", "bag", "roll", "panel", "stock", "step"});
    if (!fields.isTable()) return;
    MaterialOverride own;
    own.place = fields.place();
    own.material = fields.needText("name", "Write name = \"base stone\".");
    if (!isMaterial(reading, fields, "name", own.material)) return;
    own.densityLoose = readAmount(fields, "density_loose", parseDensity);
    own.densityCompacted = readAmount(fields, "density_compacted", parseDensity);
    const Material& usual = *reading.catalogue().findMaterial(own.material);
    if (own.densityCompacted.value_or(usual.densityCompacted) < own.densityLoose.value_or(usual.densityLoose))
        reading.report(*fields.find(own.densityLoose ? "density_loose" : "density_compacted"),
                       fmt::format("{} would weigh less compacted than loose.", usual.title),
                       "Give both densities, the compacted one no less than the loose one.");
    if (fields.find("bought_by")) own.boughtBy = bulkWords()[fields.choice("bought_by", bulkWords(), 0)];
    readBag(fields, own);
    own.roll = readSides(fields, "roll", bounds::boughtSide);
    if (own.roll) std::swap(own.roll->length, own.roll->width);  // written width first, as sellers do
    own.panel = readSides(fields, "panel", bounds::boughtSide);
    own.stock = fields.maybeLength("stock", bounds::boughtSide);
    own.step = readCount(fields, "step", false, 1000);
    checkBoughtBy(reading, fields, own);
    for (const MaterialOverride& other : plan.materials)
        if (other.material == own.material)
            reading.report(fields.value(),
                           fmt::format("There are two [[material]] named {}.", inQuotes(own.material)),
                           "Make one of them.");
    plan.materials.push_back(std::move(own));
}

void readPrice(Reading& reading, const Value& value, Plan& plan) {
    const Fields fields(reading, value, "a price", {"material", "size", "per", "price"});
    if (!fields.isTable()) return;
    Price price;
    price.place = fields.place();
    price.material = fields.needText("material", "Write material = \"base stone\".");
    price.per =
        fields.needText("per", "Write per = \"ton\", \"cubic yard\", \"bag\", \"roll\" or \"piece\".");
    price.size = readSides(fields, "size", bounds::siteLength);
    fields.need("price", "Write price = with what one costs, a plain number.");
    price.amount = readCount(fields, "price", true, 1e9).value_or(0);
    if (isMaterial(reading, fields, "material", price.material)) plan.prices.push_back(std::move(price));
}

bool sameSize(const Price& a, const Price& b) {
    if (a.size.has_value() != b.size.has_value()) return false;
    return !a.size || (a.size->length == b.size->length && a.size->width == b.size->width);
}

/// A price is per the unit that the material is sold by, and stands once.
void checkPrices(Reading& reading, const Plan& plan) {
    const Catalogue catalogue = loadCatalogue(plan);
    for (size_t i = 0; i < plan.prices.size(); ++i) {
        const Price& price = plan.prices[i];
        const Material& material = *catalogue.findMaterial(price.material);
        if (!price.per.empty() && price.per != material.boughtBy)
            reading.report(
                price.place,
                fmt::format("The price of {} is per {}, but it is bought by {}.", material.name,
                            inQuotes(price.per), material.boughtBy),
                fmt::format("Write per = \"{}\", or a [[material]] with bought_by.", material.boughtBy));
        for (size_t k = 0; k < i; ++k)
            if (plan.prices[k].material == price.material && sameSize(plan.prices[k], price))
                reading.report(price.place, fmt::format("{} has two prices.", material.title),
                               "Delete one, or give the size that each is for.");
    }
}

void readCarrier(Reading& reading, const Value& value, Plan& plan) {
    const Fields fields(reading, value, "a carrier", {"kind", "name", "holds", "carries"});
    if (!fields.isTable()) return;
    const std::vector<std::string> kinds{"truck", "barrow"};
    fields.need("kind", "Write kind = \"truck\" or \"barrow\".");
    fields.need("holds", "Write holds = \"5 yd3\": how much it holds, lying loose.");
    fields.need("carries", "Write carries = \"6 ton\": how much it may carry.");
    Carrier carrier;
    carrier.kind = kinds[fields.choice("kind", kinds, 0)];
    carrier.name = fields.needText("name", "Write name = \"small dump truck\".");
    carrier.holds = readAmount(fields, "holds", parseVolume).value_or(1);
    carrier.carries = readAmount(fields, "carries", parseMass).value_or(1);
    carrier.source = fmt::format("The plan, {}, line {}", fields.place().file, fields.place().line);
    for (const Carrier& other : plan.carriers)
        if (other.kind == carrier.kind)
            reading.report(fields.value(),
                           fmt::format("There are two carriers of the kind {}.", inQuotes(carrier.kind)),
                           "Keep the one that comes.");
    plan.carriers.push_back(std::move(carrier));
}

}  // namespace

void readSupplies(Reading& reading, const Value& root, Plan& plan) {
    const size_t before = reading.count();
    for (const Value* table : tablesOf(reading, root, "material")) readMaterial(reading, *table, plan);
    for (const Value* table : tablesOf(reading, root, "carrier")) readCarrier(reading, *table, plan);
    for (const Value* table : tablesOf(reading, root, "price")) readPrice(reading, *table, plan);
    if (const Value* prices = root.find("prices")) {
        const Fields fields(reading, *prices, "the prices", {"currency"});
        plan.currency = fields.needText("currency", "Write currency = \"US dollars\".");
    } else if (!plan.prices.empty()) {
        reading.report(plan.prices.front().place, "The plan has prices, but not the currency they are in.",
                       "Write [prices] with currency = \"US dollars\".");
    }
    if (reading.count() == before && !plan.prices.empty()) checkPrices(reading, plan);
}

}  // namespace underfoot
