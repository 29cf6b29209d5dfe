#include "share/takeoff_tables.h"

#include <array>
#include <limits>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "plan/plan.h"
#include "share/csv.h"
#include "share/json_words.h"
#include "study/takeoff_layouts.h"

namespace underfoot {
namespace {

using Json = JsonWords::Json;
constexpr double none = std::numeric_limits<double>::quiet_NaN();

const char* measureWord(Measure measure) {
    return measure == Measure::Volume   ? "volume"
           : measure == Measure::Area   ? "area"
           : measure == Measure::Length ? "length"
                                        : "count";
}
const char* basisWord(SaleBasis basis) {
    return basis == SaleBasis::Mass ? "mass" : basis == SaleBasis::LooseVolume ? "loose volume" : "in place";
}

std::string joined(const std::vector<std::string>& names) {
    std::string out;
    for (const std::string& name : names) out += (out.empty() ? "" : "; ") + name;
    return out;
}

std::string loadsText(const std::optional<TakeoffLoads>& loads) {
    return loads ? fmt::format("{}", loads->loads) : "";
}

Json numberOrNull(const std::optional<double>& value) {
    return value ? JsonWords::number(*value) : Json(nullptr);
}
Json loadsOrNull(const std::optional<TakeoffLoads>& loads) {
    return loads ? Json(loads->loads) : Json(nullptr);
}

/// An amount of a row as it is read, with its unit.
Json amountJson(const JsonWords& words, const TakeoffRow& row, double amount) {
    switch (row.measure) {
        case Measure::Volume:
            return words.volume(amount);
        case Measure::Area:
            return words.area(amount);
        case Measure::Length:
            return words.length(amount);
        case Measure::Count:
            break;
    }
    return JsonWords::number(amount);
}

Json whyJson(const TakeoffRow& row) {
    Json out = Json::array();
    for (const Explanation& why : row.why) {
        Json inputs = Json::array();
        for (const TakeoffInput& input : why.inputs)
            inputs.push_back({{"name", input.name},
                              {"value", JsonWords::number(input.value)},
                              {"unit", input.unit},
                              {"text", inputText(input)},
                              {"source", input.source}});
        out.push_back({{"of", why.of}, {"rule", why.rule}, {"inputs", std::move(inputs)}});
    }
    return out;
}

Json rowJson(const JsonWords& words, const TakeoffRow& row) {
    Json out{{"item", row.item},
             {"material", row.material},
             {"title", row.title},
             {"layers", row.layers},
             {"areas", row.areas},
             {"measure", measureWord(row.measure)},
             {"in_place", JsonWords::number(row.inPlace)},
             {"from_dig", JsonWords::number(row.onHand)},
             {"kg_per_in_place", JsonWords::number(row.density)},
             {"loose_per_in_place", JsonWords::number(row.loosening)},
             {"waste", JsonWords::number(row.waste)},
             {"waste_rule", row.wasteRule},
             {"unit_of_sale", saleWord(row.unit, false)},
             {"sold_by", basisWord(row.basis)},
             {"sale_size", JsonWords::number(row.saleSize)},
             {"step", row.step},
             {"laid_out", row.laidOut},
             {"net", JsonWords::number(row.net)},
             {"with_waste", JsonWords::number(row.wanted)},
             {"bought", JsonWords::number(row.bought)},
             {"mass_kg", JsonWords::number(row.mass)},
             {"truck_loads", loadsOrNull(row.truck)},
             {"barrow_loads", loadsOrNull(row.barrow)},
             {"price", numberOrNull(row.price)},
             {"cost", numberOrNull(row.cost)}};
    out["says"] = {{"in_place", amountJson(words, row, row.inPlace)},
                   {"from_dig", amountJson(words, row, row.onHand)},
                   {"buy", saleText(row.bought, row.unit)},
                   {"mass", words.mass(row.mass)}};
    out["why"] = whyJson(row);
    return out;
}

template <class Points>
Json outlineJson(const Model& model, const Points& points) {
    Json out = Json::array();
    for (const glm::dvec2 local : points) {
        const glm::dvec2 p = model.toPlan(local);
        out.push_back({JsonWords::number(p.x), JsonWords::number(p.y)});
    }
    return out;
}

Json fabricJson(const JsonWords& words, const Model& model, const FabricLayout& layout) {
    Json strips = Json::array();
    for (const FabricStrip& strip : layout.strips)
        strips.push_back({{"length", words.length(strip.length)},
                          {"roll", strip.roll + 1},
                          {"from", words.place(strip.corner[0])},
                          {"to", words.place(strip.corner[1])},
                          {"outline", outlineJson(model, strip.corner)}});
    return {{"layer", words.layer(layout.layer)},
            {"roll_width", words.length(layout.roll.width)},
            {"roll_length", words.length(layout.roll.length)},
            {"overlap", words.length(layout.overlap)},
            {"area", words.area(layout.area)},
            {"strips", std::move(strips)},
            {"length", words.length(layout.length)},
            {"rolls", layout.rolls}};
}

Json panelsJson(const JsonWords& words, const Model& model, const PanelLayout& layout) {
    Json pieces = Json::array();
    for (const auto& piece : layout.pieces) pieces.push_back(outlineJson(model, piece));
    return {{"layer", words.layer(layout.layer)},
            {"length", words.length(layout.panel.length)},
            {"width", words.length(layout.panel.width)},
            {"whole", layout.whole},
            {"cut", layout.cut},
            {"cut_from", layout.sawnFrom},
            {"pieces", std::move(pieces)}};
}

Json runJson(const JsonWords& words, const Model& model, const EdgingRun& run) {
    return {{"area", model.plan.areas[static_cast<size_t>(run.area)].name},
            {"length", words.length(run.length)},
            {"joints", run.joints},
            {"closed", run.closed}};
}

Json carrierJson(const JsonWords& words, const Carrier& carrier) {
    return {{"kind", carrier.kind},
            {"name", carrier.name},
            {"holds", words.volume(carrier.holds)},
            {"carries_kg", JsonWords::number(carrier.carries)},
            {"source", carrier.source}};
}

void addLayouts(const JsonWords& words, const Model& model, const Takeoff& takeoff, Json& root) {
    root["fabric"] = Json::array();
    for (const FabricLayout& layout : takeoff.fabrics)
        root["fabric"].push_back(fabricJson(words, model, layout));
    root["panels"] = Json::array();
    for (const PanelLayout& layout : takeoff.panels)
        root["panels"].push_back(panelsJson(words, model, layout));
    root["edging"] = Json::array();
    for (const EdgingRun& run : takeoff.edging) root["edging"].push_back(runJson(words, model, run));
}

}  // namespace

std::string takeoffCsv(const Takeoff& takeoff) {
    CsvTable table({"item",
                    "material",
                    "title",
                    "layers",
                    "areas",
                    "measure",
                    "in_place",
                    "from_dig",
                    "kg_per_in_place",
                    "loose_per_in_place",
                    "waste",
                    "unit_of_sale",
                    "sale_size",
                    "step",
                    "laid_out",
                    "net",
                    "with_waste",
                    "bought",
                    "mass_kg",
                    "truck_loads",
                    "barrow_loads",
                    "price",
                    "cost",
                    "currency"});
    for (const TakeoffRow& row : takeoff.rows)
        table.add({row.item,
                   row.material,
                   row.title,
                   joined(row.layers),
                   joined(row.areas),
                   measureWord(row.measure),
                   csvNumber(row.inPlace),
                   csvNumber(row.onHand),
                   csvNumber(row.density),
                   csvNumber(row.loosening),
                   csvNumber(row.waste),
                   saleWord(row.unit, false),
                   csvNumber(row.saleSize),
                   csvNumber(row.step),
                   fmt::format("{}", row.laidOut),
                   csvNumber(row.net),
                   csvNumber(row.wanted),
                   csvNumber(row.bought),
                   csvNumber(row.mass),
                   loadsText(row.truck),
                   loadsText(row.barrow),
                   csvNumber(row.price.value_or(none)),
                   csvNumber(row.cost.value_or(none)),
                   row.price ? takeoff.currency : ""});
    std::vector<std::string> last(24);
    last[0] = "total";
    if (takeoff.total && !takeoff.notPriced.empty()) last[2] = "Without " + joined(takeoff.notPriced);
    last[18] = csvNumber(takeoff.mass);
    last[22] = csvNumber(takeoff.total.value_or(none));
    last[23] = takeoff.total ? takeoff.currency : "";
    table.add(last);
    return table.text();
}

std::string takeoffJson(const Model& model, const Takeoff& takeoff) {
    const JsonWords words(model);
    Json root = words.answer();
    root["items"] = Json::array();
    for (const TakeoffRow& row : takeoff.rows) root["items"].push_back(rowJson(words, row));
    addLayouts(words, model, takeoff, root);
    root["carriers"] = {carrierJson(words, takeoff.truck), carrierJson(words, takeoff.barrow)};
    root["mass_kg"] = JsonWords::number(takeoff.mass);
    root["pieces_mass_kg"] = JsonWords::number(takeoff.piecesMass);
    root["piece_loads"] = takeoff.pieceLoads;
    root["currency"] = takeoff.currency;
    root["total"] = numberOrNull(takeoff.total);
    root["not_priced"] = takeoff.notPriced;
    root["notes"] = takeoff.notes;
    return JsonWords::text(root);
}

}  // namespace underfoot
