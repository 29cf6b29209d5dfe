#include "study/takeoff_words.h"

#include <optional>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "measure/mass.h"
#include "study/earthwork.h"

namespace underfoot {
namespace {

std::string supplySource(const Catalogue& catalogue, const TakeoffRow& row) {
    if (row.unit == SaleUnit::ShortTon || row.unit == SaleUnit::Tonne || row.unit == SaleUnit::CubicYard ||
        row.unit == SaleUnit::CubicMetre || row.unit == SaleUnit::SquareMetre ||
        row.unit == SaleUnit::SquareFoot)
        return "By definition";
    if (row.measure == Measure::Area && row.unit == SaleUnit::Piece && row.wasteRule != "waste.panels")
        return "The plan's units";
    const std::string source = catalogue.supplyOf(row.material).source;
    return source.empty() ? "Common practice, no source" : source;
}

std::string densitySource(const Catalogue& catalogue, const TakeoffRow& row) {
    const Material* material = catalogue.findMaterial(row.material);
    if (material && material->densityFromPlan) return "The plan's own density";
    return "Usual for this material (assets/materials.toml)";
}

std::string boughtRule(const TakeoffRow& row) {
    std::string rule = row.onHand > 0 ? "What lies in place less what the dig gives" : "What lies in place";
    if (row.basis == SaleBasis::Mass) rule += ", times its weight when compacted";
    if (row.basis == SaleBasis::LooseVolume) rule += ", times how much larger it lies loose";
    if (row.measure != Measure::Count)
        rule += fmt::format(", divided by what one {} holds", saleWord(row.unit, false));
    if (row.waste > 0) rule += ", with the waste added";
    rule += row.step == 1 ? ", rounded up to a whole number"
                          : fmt::format(", rounded up to a multiple of {:g}", row.step);
    if (row.laidOut > 0) rule += "; no fewer than the layout takes";
    return rule + '.';
}

TakeoffInput saleSizeOf(const TakeoffWords& words, const Catalogue& catalogue, const TakeoffRow& row) {
    const std::string name = "one " + saleWord(row.unit, false), source = supplySource(catalogue, row);
    if (row.basis == SaleBasis::Mass) return words.mass(name, row.saleSize, source);
    if (row.basis == SaleBasis::LooseVolume) return words.volume(name, row.saleSize, source);
    return words.inPlace(name, row, row.saleSize, source);
}

void explainLoads(const TakeoffWords& words, const Takeoff& takeoff, TakeoffRow& row) {
    Explanation why{"loads",
                    "As many as its weight asks for or its volume lying loose, whichever is more; a load is "
                    "of one material.",
                    {}};
    why.inputs.push_back(words.mass("weight", row.mass, "As bought"));
    why.inputs.push_back(words.volume("volume loose", row.bought * row.volumeEach, "As bought"));
    const auto add = [&](const Carrier& carrier, const TakeoffLoads& loads) {
        why.inputs.push_back(words.mass("carried by one " + carrier.kind, carrier.carries, carrier.source));
        why.inputs.push_back(words.volume("held by one " + carrier.kind, carrier.holds, carrier.source));
        why.inputs.push_back(words.bare("loads by " + carrier.kind, loads.loads, carrier.name));
    };
    if (row.truck) add(takeoff.truck, *row.truck);
    if (row.barrow) add(takeoff.barrow, *row.barrow);
    row.why.push_back(std::move(why));
}

}  // namespace

TakeoffInput TakeoffWords::volume(std::string name, double cubicMetres, std::string source) const {
    return {std::move(name), metric_ ? cubicMetres : cubicMetres / cubicMetresPerCubicFoot,
            metric_ ? "m³" : "ft³", std::move(source)};
}
TakeoffInput TakeoffWords::area(std::string name, double squareMetres, std::string source) const {
    return {std::move(name), metric_ ? squareMetres : squareMetres / (metresPerFoot * metresPerFoot),
            metric_ ? "m²" : "ft²", std::move(source)};
}
TakeoffInput TakeoffWords::length(std::string name, double metres, std::string source) const {
    return {std::move(name), metric_ ? metres : metres / metresPerFoot, metric_ ? "m" : "ft",
            std::move(source)};
}
TakeoffInput TakeoffWords::thickness(std::string name, double metres, std::string source) const {
    return {std::move(name), metric_ ? metres * 1000 : metres / metresPerInch, metric_ ? "mm" : "in",
            std::move(source)};
}
TakeoffInput TakeoffWords::mass(std::string name, double kilograms, std::string source) const {
    return {std::move(name), metric_ ? kilograms : kilograms / kilogramsPerPound, metric_ ? "kg" : "lb",
            std::move(source)};
}

TakeoffInput TakeoffWords::inPlace(std::string name, const TakeoffRow& row, double amount,
                                   std::string source) const {
    switch (row.measure) {
        case Measure::Volume:
            return volume(std::move(name), amount, std::move(source));
        case Measure::Area:
            return area(std::move(name), amount, std::move(source));
        case Measure::Length:
            return length(std::move(name), amount, std::move(source));
        case Measure::Count:
            break;
    }
    return bare(std::move(name), amount, std::move(source));
}

TakeoffInput TakeoffWords::density(const TakeoffRow& row, std::string source) const {
    const TakeoffInput one = inPlace("", row, 1, ""), kilograms = mass("", row.density, "");
    return {"weight of one", kilograms.value / one.value,
            one.unit.empty() ? kilograms.unit : kilograms.unit + '/' + one.unit, std::move(source)};
}

std::string TakeoffWords::source(const Limit& limit) const {
    if (limit.reason.empty()) return limit.source;
    const TakeoffInput usual = limit.unit == "m"    ? thickness("", limit.published, "")
                               : limit.unit == "kg" ? mass("", limit.published, "")
                                                    : bare("", limit.published, "");
    return fmt::format("The plan: {} (usual is {:.4g}{}{}: {})", limit.reason, usual.value,
                       usual.unit.empty() ? "" : " ", usual.unit, limit.source);
}

void explainBought(const TakeoffWords& words, const Catalogue& catalogue, const Takeoff& takeoff,
                   TakeoffRow& row) {
    Explanation why{"as bought", boughtRule(row), {words.inPlace("in place", row, row.inPlace, "See above")}};
    if (row.onHand > 0) why.inputs.push_back(words.inPlace("from the dig", row, row.onHand, "See earthwork"));
    if (row.basis == SaleBasis::Mass) why.inputs.push_back(words.density(row, densitySource(catalogue, row)));
    if (row.basis == SaleBasis::LooseVolume)
        why.inputs.push_back(
            words.bare("loose for one compacted", row.loosening,
                       looseningOf(catalogue, *catalogue.findMaterial(row.material)).source));
    if (row.measure != Measure::Count) why.inputs.push_back(saleSizeOf(words, catalogue, row));
    why.inputs.push_back(words.bare("before waste", row.net, "From the values above"));
    if (const Limit* limit = catalogue.findLimit(row.wasteRule))
        why.inputs.push_back(words.bare("waste", row.waste, words.source(*limit)));
    why.inputs.push_back(words.bare("with waste", row.wanted, "From the values above"));
    if (row.laidOut > 0) why.inputs.push_back(words.bare("laid out", row.laidOut, "See above"));
    row.why.push_back(std::move(why));
    TakeoffInput each =
        words.mass("weight of one " + saleWord(row.unit, false), row.massEach,
                   row.basis == SaleBasis::Mass ? "See above" : densitySource(catalogue, row));
    row.why.push_back({"mass",
                       "What is bought, times the weight of one.",
                       {words.bare("bought", row.bought, "See above"), std::move(each)}});
    if (row.bought > 0 && (row.truck || row.barrow)) explainLoads(words, takeoff, row);
}

void explainCost(const Plan& plan, TakeoffRow& row) {
    row.why.push_back(
        {"cost",
         "What is bought, times the price of one.",
         {{"bought", row.bought, "", "See above"},
          {"price of one " + saleWord(row.unit, false), *row.price, plan.currency, "The plan's prices"}}});
}

}  // namespace underfoot
