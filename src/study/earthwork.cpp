#include "study/earthwork.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "plan/plan.h"
#include "study/volumes.h"

namespace underfoot {

EarthState inPlace(const Soil& soil, double volume) {
    return {volume, volume * soil.loose, volume * soil.compacted};
}
EarthState whenCompacted(const Soil& soil, double volume) {
    return inPlace(soil, volume / soil.compacted);
}

Loosening looseningOf(const Catalogue& catalogue, const Material& material) {
    if (const Soil* soil = catalogue.findSoil(material.soil))
        return {soil->loose / soil->compacted, soil->title + ": " + soil->source};
    return {material.densityCompacted / material.densityLoose,
            material.title + ": its densities loose and compacted"};
}

double EarthBalance::looseIn() const {
    double sum = 0;
    for (const HauledIn& one : hauledIn) sum += one.loose;
    return sum;
}

namespace {

/// A volume that rounding alone has left.
constexpr double noVolume = 1e-9;

const ModelLayer& layerOf(const Model& model, LayerId layer) {
    return model.layers[static_cast<size_t>(layer)];
}

/// Backfill from the topsoil, then from the cut, then from elsewhere.
void takeBackfill(EarthBalance& balance) {
    const double wanted = balance.backfill / balance.soil.compacted;
    balance.stripUsed = std::min(balance.strip.inPlace, wanted);
    balance.cutAsBackfill = std::min(balance.cut.inPlace, wanted - balance.stripUsed);
    const double lacking = (wanted - balance.stripUsed - balance.cutAsBackfill) * balance.soil.compacted;
    if (lacking <= noVolume) return;
    balance.hauledIn.push_back({"backfill", lacking, whenCompacted(balance.soil, lacking).loose,
                                balance.soil.title + ": " + balance.soil.source});
}

void takeFill(const Model& model, const Catalogue& catalogue, const Volumes& all, EarthBalance& balance) {
    const double atHand = balance.cut.inPlace - balance.cutAsBackfill;
    if (balance.cutAsFill) balance.cutUsed = std::min(atHand, balance.fill / balance.soil.compacted);
    const double lacking = balance.fill - balance.cutUsed * balance.soil.compacted;
    if (lacking <= noVolume) return;
    for (const LayerVolume& one : all.layers) {
        const ModelLayer& layer = layerOf(model, one.layer);
        if (layer.role != Role::Fill || one.volume <= noVolume) continue;
        const Material& material = catalogue.material(layer.material, layer.role);
        const Loosening loosening = looseningOf(catalogue, material);
        const double compacted = lacking * (one.volume / balance.fill);
        balance.hauledIn.push_back(
            {material.name, compacted, compacted * loosening.looseForCompacted, loosening.source});
    }
}

/// Where fill is partly of the cut and partly brought, the lifts are told as of the greater part.
void addSpreading(EarthBalance& balance) {
    if (!(balance.cutUsed > noVolume)) return;
    const double cut = balance.soil.loose / balance.soil.compacted;
    for (const HauledIn& one : balance.hauledIn) {
        const double brought = one.loose / one.compacted;
        if (one.material == "backfill" || std::abs(brought - cut) < 0.005) continue;
        const std::string ofCut = "cut", ofBrought = one.material + " that is hauled in";
        const bool most = balance.fillIsMostlyCut();
        balance.assumptions.push_back(fmt::format(
            "The lifts of fill are told as of the {}, which is spread {:.2f} times as thick as it is "
            "compacted: spread the {} {:.2f} times as thick.",
            most ? ofCut : ofBrought, most ? cut : brought, most ? ofBrought : ofCut, most ? brought : cut));
    }
}

void addAssumptions(EarthBalance& balance) {
    auto& say = balance.assumptions;
    const Soil& soil = balance.soil;
    say.push_back(
        balance.soilNamed
            ? fmt::format("The ground is {}, as the plan says.", soil.name)
            : fmt::format("The plan names no soil: the ground is taken as {}. Write soil = \"clay\" "
                          "under [ground] for another.",
                          soil.name));
    say.push_back(
        fmt::format("One volume in place is {:.2f} loose and {:.2f} compacted ({}). Topsoil is "
                    "counted like the soil under it.",
                    soil.loose, soil.compacted, soil.source));
    if (balance.fill > noVolume)
        say.push_back(
            balance.cutAsFill
                ? "The cut is used as fill, as the plan says; topsoil is not."
                : "No cut is used as fill: the plan doesn't say that it may be. Write cut_as_fill = "
                  "true under [ground] where the soil is fit for it.");
    addSpreading(balance);
    if (balance.backfill > noVolume)
        say.push_back("Soil put back beside the edge is taken from the topsoil first, then from the cut.");
    say.push_back("Earth that an opening, a pipe's trench or a wider dig takes besides is not counted.");
}

}  // namespace

EarthBalance earthBalance(const Model& model, const Catalogue& catalogue) {
    const Volumes all = volumes(model);
    EarthBalance balance;
    balance.soil = catalogue.soilOf(model.plan);
    balance.soilNamed = !model.plan.ground.soil.empty();
    balance.cutAsFill = model.plan.ground.cutAsFill;
    const auto something = [](double volume) { return volume > noVolume ? volume : 0; };
    balance.strip = inPlace(balance.soil, something(all.strip));
    balance.cut = inPlace(balance.soil, something(all.cut));
    balance.fill = something(all.fill);
    for (const LayerVolume& one : all.layers)
        if (layerOf(model, one.layer).role == Role::Backfill) balance.backfill += one.volume;
    takeBackfill(balance);
    takeFill(model, catalogue, all, balance);
    balance.stripLeft = inPlace(balance.soil, balance.strip.inPlace - balance.stripUsed);
    balance.cutLeft = inPlace(balance.soil, balance.cut.inPlace - balance.cutAsBackfill - balance.cutUsed);
    addAssumptions(balance);
    return balance;
}

}  // namespace underfoot
