#include "study/takeoff.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <functional>
#include <map>
#include <numbers>
#include <optional>
#include <set>
#include <tuple>
#include <utility>

#include <fmt/format.h>

#include "measure/length.h"
#include "measure/mass.h"
#include "measure/side_by_side.h"
#include "study/earthwork.h"
#include "study/index.h"
#include "study/nesting_offcuts.h"
#include "study/takeoff_words.h"
#include "study/volumes.h"

namespace underfoot {
namespace {

/// A volume or area that rounding alone has left.
constexpr double nothing = 1e-9;
/// Sizes that agree to this are one size. Metres.
constexpr double sameSize = 1e-6;

bool isBulk(Role role) {
    return role == Role::Fill || role == Role::Backfill || role == Role::Base || role == Role::Bedding ||
           role == Role::Slab || role == Role::InfillStone || role == Role::ProtectiveSand;
}

/// A layer as it lies in one area, inside the outline.
struct LayerInArea {
    double planArea = 0;
    double volume = 0;
};

class Builder {
  public:
    Builder(const Model& model, const Catalogue& catalogue)
        : model_(model), catalogue_(catalogue), words_(model.plan.show), volumes_(volumes(model)) {}

    Takeoff build() {
        layOut();
        addCarriers();
        addBulk();
        addFabrics();
        addPanels();
        addUnits();
        addUnitsNotLaid();
        addJointSand();
        addEdging();
        addSpikes();
        nameApart();
        for (TakeoffRow& row : out_.rows) finish(row);
        addTotals();
        addNotes();
        return std::move(out_);
    }

  private:
    // ------------------------------------------------------------ helpers

    const ModelLayer& layerOf(LayerId layer) const { return model_.layers[index(layer)]; }
    const Material& materialOf(LayerId layer) const {
        return catalogue_.material(layerOf(layer).material, layerOf(layer).role);
    }

    std::vector<std::string> areasOf(LayerId layer) const {
        std::set<int> found;
        for (const Column& column : model_.columns)
            for (const ColumnEntry& entry : column.entries)
                if (entry.layer == layer && column.area >= 0) found.insert(column.area);
        std::vector<std::string> names;
        names.reserve(found.size());
        for (const int area : found) names.push_back(model_.plan.areas[index(area)].name);
        return names;
    }

    static void addOnce(std::vector<std::string>& names, const std::string& name) {
        if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
    }

    TakeoffRow& newRow(const Material& material) {
        TakeoffRow& row = out_.rows.emplace_back();
        row.item = row.material = material.name;
        row.title = material.title;
        setWaste(row, catalogue_.supplyOf(material.name).wasteRule);
        return row;
    }

    void setWaste(TakeoffRow& row, const std::string& rule) {
        row.wasteRule = rule;
        row.waste = rule.empty() ? 0 : catalogue_.limit(rule).value;
    }

    static Explanation& explain(TakeoffRow& row, const char* of, std::string rule) {
        return row.why.emplace_back(Explanation{of, std::move(rule), {}});
    }

    // ------------------------------------------------------------ bulk goods

    /// Sold by mass or by the volume it has lying loose.
    void setBulkSale(const Material& material, TakeoffRow& row) {
        const Supply supply = catalogue_.supplyOf(material.name);
        row.loosening = looseningOf(catalogue_, material).looseForCompacted;
        row.density = material.densityCompacted;
        row.step = supply.step > 0 ? supply.step : 1;
        row.carried = supply.carried;
        row.bulk = material.boughtBy != "bag";
        const bool byVolume =
            material.boughtBy.starts_with("cubic") || (material.boughtBy == "bag" && supply.bagVolume > 0);
        row.basis = byVolume ? SaleBasis::LooseVolume : SaleBasis::Mass;
        if (material.boughtBy == "ton") row.unit = SaleUnit::ShortTon, row.saleSize = kilogramsPerShortTon;
        if (material.boughtBy == "tonne") row.unit = SaleUnit::Tonne, row.saleSize = 1000;
        if (material.boughtBy == "cubic yard")
            row.unit = SaleUnit::CubicYard, row.saleSize = cubicMetresPerCubicYard;
        if (material.boughtBy == "cubic metre") row.unit = SaleUnit::CubicMetre, row.saleSize = 1;
        if (material.boughtBy == "bag") {
            row.unit = SaleUnit::Bag;
            row.saleSize = byVolume ? supply.bagVolume : supply.bagMass;
            row.step = 1;
        }
        assert(row.saleSize > 0 && "a material without the size it is sold in");
        row.massEach = byVolume ? row.saleSize * row.density / row.loosening : row.saleSize;
        row.volumeEach = byVolume ? row.saleSize : row.saleSize * row.loosening / row.density;
    }

    void addBulk() {
        std::map<std::string, size_t> rowOf;
        for (auto layer = volumes_.layers.rbegin(); layer != volumes_.layers.rend(); ++layer) {
            const ModelLayer& of = layerOf(layer->layer);
            if (!isBulk(of.role) || layer->volume <= nothing) continue;
            const Material& material = materialOf(layer->layer);
            const auto [found, isNew] = rowOf.emplace(material.name, out_.rows.size());
            if (isNew) setBulkSale(material, newRow(material));
            TakeoffRow& row = out_.rows[found->second];
            if (isNew)
                explain(
                    row, "in place",
                    "The volume of its layers, summed over the model; what runs beyond the edge is in it.");
            row.inPlace += layer->volume;
            row.planArea += layer->planArea;
            row.layers.push_back(of.name);
            for (const std::string& area : areasOf(layer->layer)) addOnce(row.areas, area);
            row.why[0].inputs.push_back(
                words_.volume("layer " + of.name, layer->volume, "The plan's layers"));
        }
        takeFromTheDig(rowOf);
    }

    /// Fill and backfill that come from what is dug are not bought.
    void takeFromTheDig(const std::map<std::string, size_t>& rowOf) {
        std::map<std::string, double> earth, hauled;
        for (const LayerVolume& layer : volumes_.layers) {
            const Role role = layerOf(layer.layer).role;
            if (role == Role::Fill || role == Role::Backfill)
                earth[materialOf(layer.layer).name] += layer.volume;
        }
        for (const HauledIn& one : balance_.hauledIn) hauled[one.material] += one.compacted;
        for (const auto& [material, volume] : earth) {
            const auto row = rowOf.find(material);
            if (row != rowOf.end()) out_.rows[row->second].onHand = std::max(0.0, volume - hauled[material]);
        }
    }

    // ------------------------------------------------------------ fabric and panels

    const LayerVolume* volumeOf(Role role, size_t& next) const {
        for (; next < volumes_.layers.size(); ++next)
            if (layerOf(volumes_.layers[next].layer).role == role && volumes_.layers[next].volume > nothing)
                return &volumes_.layers[next++];
        return nullptr;
    }

    TakeoffRow& newFaceRow(const LayerVolume& layer) {
        TakeoffRow& row = newRow(materialOf(layer.layer));
        row.measure = Measure::Area;
        row.inPlace = row.planArea = layer.planArea;
        row.layers = {layerOf(layer.layer).name};
        row.areas = areasOf(layer.layer);
        row.density = materialOf(layer.layer).densityCompacted * layer.volume / layer.planArea;
        explain(row, "in place", "The layer's area in plan; what runs beyond the edge is in it.")
            .inputs.push_back(words_.area("layer " + row.layers[0], row.inPlace, "The plan's layers"));
        return row;
    }

    // ------------------------------------------------------------ layouts

    /// What takes longest, side by side.
    void layOut() {
        std::vector<std::function<void()>> work;
        for (const LayerVolume& layer : volumes_.layers) {
            if (layer.volume <= nothing) continue;
            const Supply supply = catalogue_.supplyOf(materialOf(layer.layer).name);
            if (layerOf(layer.layer).role == Role::Underlayment && supply.panel.length > 0)
                work.push_back(
                    [this, id = layer.layer, panel = supply.panel, &layout = panels_[layer.layer]] {
                        layout = layPanels(model_, id, panel, catalogue_.limit("saw.kerf").value);
                    });
            if (layerOf(layer.layer).role == Role::Geotextile && isWideEnough(supply.roll))
                work.push_back([this, id = layer.layer, roll = supply.roll, &layout = fabrics_[layer.layer]] {
                    layout = layFabric(model_, id, roll, catalogue_.limit("geotextile.overlap").value);
                });
        }
        work.push_back([this] { out_.units = unitsReport(model_, catalogue_); });
        work.push_back([this] { balance_ = earthBalance(model_, catalogue_); });
        sideBySide(work.size(), [&](size_t i) { work[i](); });
    }

    bool isWideEnough(const UnitSize& roll) const {
        return catalogue_.limit("geotextile.overlap").value <= roll.width / 2;
    }

    void addFabrics() {
        size_t next = 0;
        while (const LayerVolume* layer = volumeOf(Role::Geotextile, next)) {
            TakeoffRow& row = newFaceRow(*layer);
            const UnitSize roll = catalogue_.supplyOf(row.material).roll;
            const Limit& overlap = catalogue_.limit("geotextile.overlap");
            row.unit = SaleUnit::Roll;
            row.saleSize = roll.length * roll.width;
            row.massEach = row.saleSize * row.density;
            if (!isWideEnough(roll)) {
                out_.notes.push_back(fmt::format(
                    "Rolls {} wide are too narrow for an overlap of {}: their number is by area alone.",
                    formatLength(roll.width, model_.plan.show),
                    formatLength(overlap.value, model_.plan.show)));
                continue;
            }
            const FabricLayout& layout = fabrics_.at(layer->layer);
            row.laidOut = layout.rolls;
            Explanation& why = explain(row, "laid out",
                                       fmt::format("Strips side by side over all of the fabric, the way that "
                                                   "needs the fewest rolls, then the fewest strips. {}",
                                                   overlap.sentence));
            why.inputs = {words_.length("width of a roll", roll.width, supplySource(row.material)),
                          words_.length("length of a roll", roll.length, supplySource(row.material)),
                          words_.thickness("overlap", overlap.value, words_.source(overlap)),
                          words_.bare("strips", static_cast<double>(layout.strips.size()), "The layout"),
                          words_.length("length of all strips", layout.length, "The layout"),
                          words_.bare("rolls", layout.rolls, "The layout")};
            out_.fabrics.push_back(layout);
        }
    }

    std::string supplySource(const std::string& material) const {
        const std::string source = catalogue_.supplyOf(material).source;
        return source.empty() ? "Common practice, no source" : source;
    }

    void addPanels() {
        size_t next = 0;
        while (const LayerVolume* layer = volumeOf(Role::Underlayment, next)) {
            TakeoffRow& row = newFaceRow(*layer);
            const UnitSize panel = catalogue_.supplyOf(row.material).panel;
            if (panel.length <= 0) {
                soldByArea(row);
                continue;
            }
            const PanelLayout& layout = panels_.at(layer->layer);
            row.unit = SaleUnit::Piece;
            row.saleSize = panel.length * panel.width;
            row.massEach = row.saleSize * row.density;
            row.laidOut = layout.bought();
            explain(
                row, "laid out",
                "Courses with their joints half a panel apart, cut to the outline; offcuts are used again.")
                .inputs = {words_.length("length of a panel", panel.length, supplySource(row.material)),
                           words_.length("width of a panel", panel.width, supplySource(row.material)),
                           words_.bare("whole", layout.whole, "The layout"),
                           words_.bare("cut pieces", layout.cut, "The layout"),
                           words_.bare("panels they are cut from", layout.sawnFrom, "The layout")};
            out_.panels.push_back(layout);
        }
    }

    // ------------------------------------------------------------ units

    void addUnits() {
        std::map<std::tuple<std::string, long, long, long>, size_t> rowOf;
        std::set<size_t> cut;
        for (const UnitCount& count : out_.units.counts) {
            const Material& material = materialOf(count.layer);
            const auto key =
                std::tuple{material.name, std::lround(count.length / sameSize),
                           std::lround(count.width / sameSize), std::lround(count.thickness / sameSize)};
            const auto [found, isNew] = rowOf.emplace(key, out_.rows.size());
            if (isNew) addUnitRow(material, count);
            TakeoffRow& row = out_.rows[found->second];
            row.inPlace += count.laidArea;
            row.laidOut += count.bought();
            if (!count.cut.empty()) cut.insert(found->second);
            const std::string& area = model_.plan.areas[index(count.area)].name;
            addOnce(row.areas, area);
            addOnce(row.layers, layerOf(count.layer).name);
            row.why[0].inputs.push_back(words_.area("area " + area + (count.border ? ", border" : ""),
                                                    count.laidArea, "The pattern as laid out"));
            row.why[1].inputs.push_back(
                words_.bare("whole in " + area, count.whole, "The pattern as laid out"));
            if (count.cut.empty()) continue;
            row.why[1].inputs.push_back(words_.bare(
                "cut pieces in " + area, static_cast<double>(count.cut.size()), "The pattern as laid out"));
            row.why[1].inputs.push_back(
                words_.bare("units they are sawn from", count.nesting.units, "The nesting of the units"));
        }
        for (const auto& [key, at] : rowOf) {
            setWaste(out_.rows[at], cut.contains(at) ? "waste.cut" : "waste.uncut");
            out_.rows[at].planArea = out_.rows[at].inPlace;
        }
    }

    void addUnitRow(const Material& material, const UnitCount& count) {
        TakeoffRow& row = newRow(material);
        const LengthFormat& show = model_.plan.show;
        const std::string size =
            fmt::format("{} x {}", formatThickness(count.length, show), formatThickness(count.width, show));
        row.item += ' ' + size;
        row.title += ' ' + size;
        row.measure = Measure::Area;
        row.unit = SaleUnit::Piece;
        row.saleSize = count.length * count.width;
        row.density = count.weight / row.saleSize;
        row.massEach = count.weight;
        row.face = {count.length, count.width};
        row.thickness = count.thickness;
        explain(row, "in place", "The faces of the units laid, whole and cut.");
        explain(row, "laid out", "Whole units, and those that the cut pieces are sawn from.");
    }

    std::map<std::pair<LayerId, int>, LayerInArea> unitLayersInAreas() const {
        std::map<std::pair<LayerId, int>, LayerInArea> found;
        for (size_t c = 0; c < model_.cells.size(); ++c) {
            const Cell& cell = model_.cells[c];
            const Column& column = model_.columnOf(cell);
            if (column.area < 0 || column.beyond) continue;
            for (int e = 0; e < static_cast<int>(column.entries.size()); ++e) {
                const LayerId layer = column.entries[index(e)].layer;
                if (layerOf(layer).role != Role::Units) continue;
                LayerInArea& sum = found[{layer, column.area}];
                sum.planArea += model_.cellAreas[c];
                for (int i = 0; i < 3; ++i)
                    sum.volume += model_.thickness(cell, i, e) * model_.cellAreas[c] / 3;
            }
        }
        return found;
    }

    void soldByArea(TakeoffRow& row) {
        row.unit = words_.metric() ? SaleUnit::SquareMetre : SaleUnit::SquareFoot;
        row.saleSize = words_.metric() ? 1 : metresPerFoot * metresPerFoot;
        row.massEach = row.density * row.saleSize;
    }

    void addUnitsNotLaid() {
        std::map<std::string, LayerInArea> sums;
        std::map<std::string, size_t> rowOf;
        for (const auto& [key, sum] : unitLayersInAreas()) {
            const Area& area = model_.plan.areas[index(key.second)];
            if (area.units || sum.planArea <= nothing) continue;
            const Material& material = materialOf(key.first);
            const auto [found, isNew] = rowOf.emplace(material.name, out_.rows.size());
            if (isNew) {
                TakeoffRow& row = newRow(material);
                row.item += " by area";
                row.title += ", not laid out";
                row.measure = Measure::Area;
                setWaste(row, "waste.cut");
                explain(row, "in place", "The plan gives these areas no pattern: their units count by area.");
            }
            TakeoffRow& row = out_.rows[found->second];
            row.inPlace += sum.planArea;
            row.planArea = row.inPlace;
            LayerInArea& all = sums[material.name];
            all.volume += sum.volume;
            row.density = all.volume / row.inPlace * material.densityCompacted;
            soldByArea(row);
            addOnce(row.layers, layerOf(key.first).name);
            addOnce(row.areas, area.name);
            row.why[0].inputs.push_back(words_.area("area " + area.name, sum.planArea, "The plan's outline"));
        }
    }

    void addJointSand() {
        double sum = 0;
        for (const OpenJoints& joint : out_.units.joints) sum += joint.sandToTop;
        if (sum <= nothing) return;
        const Material* material = catalogue_.findMaterial("joint sand");
        assert(material && "no joint sand");
        TakeoffRow& row = newRow(*material);
        setBulkSale(*material, row);
        row.inPlace = sum;
        row.layers = {"joints"};
        Explanation& why =
            explain(row, "in place", "What the units leave open, filled to their top: an upper bound.");
        for (const OpenJoints& joint : out_.units.joints) {
            if (joint.sandToTop <= nothing) continue;
            const std::string& area = model_.plan.areas[index(joint.area)].name;
            row.planArea += joint.openArea;
            addOnce(row.areas, area);
            why.inputs.push_back(
                words_.volume("joints of " + area, joint.sandToTop, "The pattern as laid out"));
        }
    }

    // ------------------------------------------------------------ the edge

    void addEdging() {
        const Supply usual = catalogue_.supplyOf("edging");
        out_.edging = edgingRuns(model_, usual.stock, usual.bend);
        std::map<std::string, std::vector<double>> lengths;
        std::map<std::string, double> sections;
        std::map<std::string, int> joints;
        std::vector<std::string> order;
        for (const EdgingRun& run : out_.edging) {
            const Edging& of = model_.plan.areas[index(run.area)].edgings[index(run.edging)];
            const std::string size = fmt::format("{} x {}", formatThickness(of.height, model_.plan.show),
                                                 formatThickness(of.thickness, model_.plan.show));
            if (lengths[size].empty()) order.push_back(size);
            lengths[size].push_back(run.length);
            sections[size] = of.height * of.thickness;
            joints[size] += run.joints;
            areasOfEdging_[size].insert(model_.plan.areas[index(run.area)].name);
        }
        for (const std::string& size : order)
            addEdgingRow(usual, size, lengths[size], sections[size], joints[size]);
    }

    void addEdgingRow(const Supply& supply, const std::string& size, const std::vector<double>& lengths,
                      double section, int joints) {
        const Material* material = catalogue_.findMaterial("edging");
        assert(material && supply.stock > 0);
        TakeoffRow& row = newRow(*material);
        row.item += ' ' + size;
        row.title += ' ' + size;
        row.measure = Measure::Length;
        row.layers = {"edging"};
        row.areas.assign(areasOfEdging_[size].begin(), areasOfEdging_[size].end());
        row.saleSize = supply.stock;
        row.density = section * material->densityCompacted;
        row.massEach = row.density * supply.stock;
        const Limit& kerf = catalogue_.limit("saw.kerf");
        row.laidOut = stockLengths(lengths, supply.stock, kerf.value);
        Explanation& why = explain(row, "in place", "Its runs along their longer face, corner to corner.");
        for (const double length : lengths) {
            row.inPlace += length;
            why.inputs.push_back(words_.length("run", length, "The plan's edging"));
        }
        explain(row, "laid out", "Lengths of stock cut to the runs, rests used again; joints butt.").inputs =
            {words_.length("one length", supply.stock, supplySource("edging")),
             words_.thickness("lost to a cut", kerf.value, words_.source(kerf)),
             words_.bare("joints", joints, "The runs"), words_.bare("lengths", row.laidOut, "The runs")};
    }

    void addSpikes() {
        std::map<std::string, size_t> rowOf;
        const Material* material = catalogue_.findMaterial("spikes");
        assert(material);
        for (const Spike& spike : model_.spikes) {
            const std::string size = fmt::format("{} x {}", formatThickness(spike.length, model_.plan.show),
                                                 formatThickness(spike.diameter, model_.plan.show));
            const auto [found, isNew] = rowOf.emplace(size, out_.rows.size());
            if (isNew) {
                TakeoffRow& row = newRow(*material);
                row.item += ' ' + size;
                row.title += ' ' + size;
                row.measure = Measure::Count;
                row.layers = {"edging"};
                const double circle = std::numbers::pi / 4 * spike.diameter * spike.diameter;
                row.density = row.massEach = circle * spike.length * material->densityCompacted;
                explain(row, "in place",
                        "Spikes evenly along each edge, no farther apart than the plan asks.");
            }
            TakeoffRow& row = out_.rows[found->second];
            row.inPlace += 1;
            addOnce(row.areas, model_.plan.areas[index(spike.area)].name);
        }
        for (const auto& [size, at] : rowOf)
            out_.rows[at].why[0].inputs.push_back(
                words_.bare("spikes", out_.rows[at].inPlace, "The plan's edging"));
    }

    // ------------------------------------------------------------ the end of each row

    /// Units of one face and two thicknesses, and two layers of one material that are laid out apart.
    void nameApart() {
        nameApart([&](const TakeoffRow& row) {
            return row.thickness > 0 ? " x " + formatThickness(row.thickness, model_.plan.show) : "";
        });
        nameApart([](const TakeoffRow& row) { return ", " + row.layers[0]; });
    }
    template <class Words>
    void nameApart(Words words) {
        std::map<std::string, int> count;
        for (const TakeoffRow& row : out_.rows) ++count[row.item];
        for (TakeoffRow& row : out_.rows) {
            if (count[row.item] < 2) continue;
            const std::string more = words(row);
            row.item += more;
            row.title += more;
        }
    }

    void addCarriers() {
        for (const Carrier& carrier : catalogue_.carriers)
            (carrier.kind == "truck" ? out_.truck : out_.barrow) = carrier;
        assert(out_.truck.carries > 0 && out_.barrow.carries > 0);
    }

    void setPrice(TakeoffRow& row) const {
        if (row.unit == SaleUnit::SquareFoot || row.unit == SaleUnit::SquareMetre) return;
        for (const Price& price : model_.plan.prices) {
            if (price.material != row.material) continue;
            if (!price.size) {
                if (!row.price) row.price = price.amount;
                continue;
            }
            const auto [least, most] = std::minmax({price.size->length, price.size->width});
            if (std::abs(most - row.face.length) < sameSize && std::abs(least - row.face.width) < sameSize)
                row.price = price.amount;
        }
    }

    void finish(TakeoffRow& row) {
        setPrice(row);
        countBought(out_, row);
        explainBought(words_, catalogue_, out_, row);
        if (row.price) explainCost(model_.plan, row);
    }

    void addTotals() {
        for (const TakeoffRow& row : out_.rows) {
            out_.mass += row.mass;
            if (!row.bulk && row.carried) out_.piecesMass += row.mass;
            if (row.cost) out_.total = out_.total.value_or(0) + *row.cost;
            if (!row.cost && row.bought > 0) out_.notPriced.push_back(row.item);
        }
        out_.pieceLoads = static_cast<int>(roundedUp(out_.piecesMass / out_.truck.carries, 1));
        out_.currency = model_.plan.currency;
    }

    void addNotes() {
        for (const TakeoffRow& row : out_.rows)
            if (!row.carried && row.bought > 0)
                out_.notes.push_back(row.title +
                                     " comes in a vehicle of its own, which no load above counts.");
        if (!model_.plan.buriedRuns.empty())
            out_.notes.push_back("Pipes in the ground and what they lie in are not counted.");
        if (!out_.panels.empty() || !out_.units.counts.empty())
            out_.notes.push_back(
                "Saw blades, tape, primer, sealer and whatever else is not a layer are not counted.");
        if (out_.total)
            out_.notes.push_back(
                "The total holds goods only: no delivery, no taxes, no hire, no labour, and no hauling out.");
    }

    const Model& model_;
    const Catalogue& catalogue_;
    TakeoffWords words_;
    Volumes volumes_;
    EarthBalance balance_;
    std::map<LayerId, FabricLayout> fabrics_;
    std::map<LayerId, PanelLayout> panels_;
    std::map<std::string, std::set<std::string>> areasOfEdging_;
    Takeoff out_;
};

}  // namespace

double roundedUp(double amount, double step) {
    const double steps = amount / step;
    return std::ceil(std::round(steps * 1e5) / 1e5) * step;
}

double TakeoffRow::perInPlace() const {
    return basis == SaleBasis::Mass ? density : basis == SaleBasis::LooseVolume ? loosening : 1;
}

void countBought(const Takeoff& takeoff, TakeoffRow& row) {
    const double missing = std::max(0.0, row.inPlace - row.onHand);
    row.net = missing < 1e-9 ? 0 : missing * row.perInPlace() / row.saleSize;
    row.wanted = row.net * (1 + row.waste);
    row.bought = std::max(roundedUp(row.wanted, row.step), static_cast<double>(row.laidOut));
    row.mass = row.bought * row.massEach;
    const auto loadsOf = [&](const Carrier& carrier) {
        const double byMass = roundedUp(row.mass / carrier.carries, 1);
        const double byVolume = roundedUp(row.bought * row.volumeEach / carrier.holds, 1);
        return TakeoffLoads{carrier.name, static_cast<int>(std::max(byMass, byVolume))};
    };
    row.truck.reset();
    row.barrow.reset();
    if (row.bulk && row.carried) row.truck = loadsOf(takeoff.truck);
    if (row.volumeEach > 0 && row.carried) row.barrow = loadsOf(takeoff.barrow);
    if (row.price) row.cost = row.bought * *row.price;
}

std::string saleWord(SaleUnit unit, bool many) {
    switch (unit) {
        case SaleUnit::ShortTon:
            return many ? "short tons" : "short ton";
        case SaleUnit::Tonne:
            return many ? "tonnes" : "tonne";
        case SaleUnit::CubicYard:
            return "yd³";
        case SaleUnit::CubicMetre:
            return "m³";
        case SaleUnit::Bag:
            return many ? "bags" : "bag";
        case SaleUnit::Roll:
            return many ? "rolls" : "roll";
        case SaleUnit::Piece:
            return many ? "pieces" : "piece";
        case SaleUnit::SquareFoot:
            return "ft²";
        case SaleUnit::SquareMetre:
            return "m²";
    }
    assert(false && "a unit of sale outside the list");
    return "";
}

Takeoff takeoff(const Model& model, const Catalogue& catalogue) {
    return Builder(model, catalogue).build();
}

}  // namespace underfoot
