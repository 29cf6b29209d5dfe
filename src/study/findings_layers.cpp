// Thickness of layers against what is wanted, and the finish as built against the finish as designed.

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "ground/tolerance.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "study/finding_tools.h"
#include "study/findings.h"
#include "study/index.h"
#include "study/patches.h"
#include "study/thickness.h"

namespace underfoot {

namespace {

// ---------------------------------------------------------------- what is wanted

// What an area's columns say of a layer.
struct LayerInArea {
    bool present = false;
    bool underPanels = false;
    double wanted = 0;
    std::optional<double> least, greatest;
};

LayerInArea layerInArea(const FindingWriter& writer, LayerId layer, int area) {
    const Model& model = writer.model;
    LayerInArea found;
    for (const int c : writer.columnsOf(area)) {
        const Column& column = model.columns[index(c)];
        double wanted = 0;
        bool here = false, panels = false;
        for (const ColumnEntry& entry : column.entries) {
            if (model.layers[index(entry.layer)].role == Role::Underlayment) panels = true;
            if (entry.layer != layer) continue;
            if (!found.present) found.least = entry.least, found.greatest = entry.greatest;
            found.present = here = true;
            wanted += entry.wanted;
        }
        if (!here) continue;
        found.wanted = std::max(found.wanted, wanted);
        found.underPanels = found.underPanels || panels;
    }
    return found;
}

std::optional<WantedBound> limitBound(const FindingWriter& writer, const char* rule, double from = 0) {
    const Limit* limit = writer.catalogue.findLimit(rule);
    if (!limit) return std::nullopt;
    return WantedBound{from + limit->value, limit->rule, writer.sourceOf(*limit)};
}

// A base designed thick enough is held to the tolerance of its design; one designed too thin to the least of
// all.
std::optional<WantedBound> leastBase(const FindingWriter& writer, double wanted) {
    const Limit* least = writer.catalogue.findLimit("base.least.patio");
    const Limit* under = writer.catalogue.findLimit("base.under");
    if (wanted > 0 && under && (!least || wanted >= least->value - tolerance::lengthCompare)) {
        return WantedBound{wanted - under->value, under->rule, writer.sourceOf(*under)};
    }
    return limitBound(writer, "base.least.patio");
}

void limitsByRole(const FindingWriter& writer, Role role, const LayerInArea& layer, WantedRange& range) {
    if (role == Role::Bedding) {
        range.least = limitBound(writer, layer.underPanels ? "bedding.under_panels.least" : "bedding.least");
        range.greatest =
            limitBound(writer, layer.underPanels ? "bedding.under_panels.greatest" : "bedding.greatest");
    } else if (role == Role::Base) {
        range.least = leastBase(writer, layer.wanted);
        if (layer.wanted > 0) range.greatest = limitBound(writer, "base.over", layer.wanted);
    }
}

// The build-up's own bound keeps the key and the document of the rule that it stands in for.
void preferOwn(const FindingWriter& writer, int area, const std::optional<double>& own, const char* word,
               const char* key, std::optional<WantedBound>& bound) {
    if (!own) return;
    std::string source =
        fmt::format("build-up \"{}\" of the plan: {} {}", writer.model.plan.areas[index(area)].buildUp, word,
                    writer.thickness(*own));
    if (bound) source += fmt::format("; else {} ({})", writer.thickness(bound->value), bound->source);
    bound = WantedBound{*own, bound ? bound->rule : key, std::move(source)};
}

}  // namespace

WantedRange wantedRange(const FindingWriter& writer, LayerId layer, int area) {
    WantedRange range;
    const LayerInArea found = layerInArea(writer, layer, area);
    range.present = found.present;
    if (!found.present) return range;
    limitsByRole(writer, writer.model.layers[index(layer)].role, found, range);
    preferOwn(writer, area, found.least, "at least", "layer.least", range.least);
    preferOwn(writer, area, found.greatest, "at most", "layer.greatest", range.greatest);
    return range;
}

namespace {

ThicknessField fieldOf(const FindingWriter& writer, LayerId layer, int area, const WantedRange& range) {
    const auto value = [](const std::optional<WantedBound>& b) {
        return b ? std::optional<double>(b->value) : std::nullopt;
    };
    return thicknessField(writer.model, layer, area, writer.cellsOf(area), value(range.least),
                          value(range.greatest));
}

}  // namespace

ThicknessField wantedField(const Model& model, const Catalogue& catalogue, LayerId layer, int area) {
    const AreaParts parts(model);
    std::vector<Finding> unused;
    const FindingWriter writer(model, catalogue, parts, unused);
    return fieldOf(writer, layer, area, wantedRange(writer, layer, area));
}

// ---------------------------------------------------------------- layers thin and thick

namespace {

std::string remedyFor(const FindingWriter& writer, Role role, const Patch& patch) {
    const std::string by = writer.amount(patch.past);
    if (role == Role::Bedding) {
        return patch.thin
                   ? fmt::format("Lower what the bed lies on by {0} here, or raise the strings by {0}.", by)
                   : fmt::format(
                         "Bring the base up by {} here with base material; never make it up with sand.", by);
    }
    if (role == Role::Base) {
        return patch.thin
                   ? fmt::format("Dig {0} deeper here and fill with base, or raise the base's top by {0}.",
                                 by)
                   : fmt::format("Trim the base by {} here, and see that the bed above keeps its thickness.",
                                 by);
    }
    return patch.thin ? fmt::format("Make up {} here before the next layer goes on.", by)
                      : fmt::format("Take off {} here before the next layer goes on.", by);
}

void writeLayer(FindingWriter& writer, LayerId layer, int area, const WantedRange& range,
                const ThicknessField& field) {
    const Role role = writer.model.layers[index(layer)].role;
    const bool bed = role == Role::Bedding;
    for (size_t p = 0; p < field.patches.size(); ++p) {
        const Patch& patch = field.patches[p];
        const FindingKind kind = patch.thin ? (bed ? FindingKind::BeddingThin : FindingKind::LayerThin)
                                            : (bed ? FindingKind::BeddingThick : FindingKind::LayerThick);
        const WantedBound& bound = patch.thin ? *range.least : *range.greatest;
        Finding& finding = writer.add(kind, area, patch.worst);
        finding.layer = layer;
        finding.patch = static_cast<int>(p);
        finding.measured = patch.worstThickness;
        finding.wanted = bound.value;
        finding.rule = bound.rule;
        finding.source = bound.source;
        finding.what = fmt::format("{} {} by {} {}: {}, wanted at {} {}.", writer.layerTitle(layer),
                                   patch.thin ? "short" : "over", writer.amount(patch.past),
                                   writer.where(patch.worst), writer.thickness(patch.worstThickness),
                                   patch.thin ? "least" : "most", writer.thickness(bound.value));
        finding.remedy = remedyFor(writer, role, patch);
    }
}

}  // namespace

void findLayerThickness(FindingWriter& writer) {
    const Model& model = writer.model;
    for (int area = 0; area < static_cast<int>(model.plan.areas.size()); ++area) {
        for (LayerId layer = 0; layer < static_cast<LayerId>(model.layers.size()); ++layer) {
            if (layer == model.nativeSoil) continue;
            const WantedRange range = wantedRange(writer, layer, area);
            if (!range.least && !range.greatest) continue;
            const ThicknessField field = fieldOf(writer, layer, area, range);
            writeLayer(writer, layer, area, range, field);
        }
    }
}

// ---------------------------------------------------------------- finish

namespace {

// A cell whose surface was pushed up: what takes up between the strings and the courses below has run out.
bool pushedUp(const Model& model, const Cell& cell) {
    const Column& column = model.columnOf(cell);
    for (int e = 0; e < column.formation; ++e) {
        if (!column.entries[index(e)].takesUp) continue;
        double most = 0;
        for (int c = 0; c < 3; ++c) most = std::max(most, model.thickness(cell, c, e));
        if (most <= 2 * tolerance::zeroThickness) return true;
    }
    return false;
}

// The three ways a finish can leave its design, each held to its own limit.
struct FinishFields {
    std::vector<FieldCell> proud, high, low;
};

void addPast(std::vector<FieldCell>& field, int cell, const std::array<double, 3>& over, double sign,
             double limit) {
    FieldCell part{cell, {}, {}};
    bool any = false;
    for (size_t c = 0; c < 3; ++c) {
        part.value[c] = over[c];
        part.excess[c] = sign * over[c] - limit;
        any = any || part.excess[c] > 0;
    }
    if (any) field.push_back(part);
}

FinishFields finishFields(const Model& model, std::span<const int> cells, double proud, double deviation) {
    FinishFields fields;
    for (const int cellIndex : cells) {
        const Cell& cell = model.cells[index(cellIndex)];
        std::array<double, 3> over{};
        for (int c = 0; c < 3; ++c)
            over[static_cast<size_t>(c)] = model.height(cell, c, 0) - model.factsAt(cell, c).designFinish;
        if (!std::all_of(over.begin(), over.end(), [](double d) { return std::isfinite(d); })) continue;
        if (pushedUp(model, cell)) {
            addPast(fields.proud, cellIndex, over, 1, proud);
        } else {
            addPast(fields.high, cellIndex, over, 1, deviation);
        }
        addPast(fields.low, cellIndex, over, -1, deviation);
    }
    return fields;
}

void writeProud(FindingWriter& writer, int area, const std::vector<FieldCell>& field, const Limit& limit) {
    for (const FieldPatch& patch : fieldPatches(writer.model, field)) {
        Finding& finding = writer.add(FindingKind::StandsProud, area, patch.worst);
        writer.setRule(finding, limit);
        finding.measured = patch.worstValue;
        const std::string by = writer.amount(patch.worstValue);
        finding.what = fmt::format("Stands {} proud of the strings {}: no bed is left there.", by,
                                   writer.where(patch.worst));
        finding.remedy =
            fmt::format("Lower the base here, or raise the strings, by {} and the bed's thickness.", by);
    }
}

void writeDeviation(FindingWriter& writer, int area, const std::vector<FieldCell>& field, const Limit& limit,
                    bool high) {
    for (const FieldPatch& patch : fieldPatches(writer.model, field)) {
        Finding& finding = writer.add(FindingKind::FinishDeviates, area, patch.worst);
        writer.setRule(finding, limit);
        finding.measured = patch.worstValue;
        const std::string by = writer.amount(std::abs(patch.worstValue));
        finding.what =
            fmt::format("Finish {} by {} {}.", high ? "high" : "low", by, writer.where(patch.worst));
        finding.remedy = fmt::format(
            "{} the base by {} here, or set the screed rails to the strings so that the bed takes it up.",
            high ? "Lower" : "Raise", by);
    }
}

}  // namespace

void findFinishDeviations(FindingWriter& writer) {
    const Limit* proud = writer.catalogue.findLimit("proud");
    const Limit* deviation = writer.catalogue.findLimit("finish.deviation");
    if (!proud || !deviation) return;
    for (int area = 0; area < static_cast<int>(writer.model.plan.areas.size()); ++area) {
        const FinishFields fields =
            finishFields(writer.model, writer.cellsOf(area), proud->value, deviation->value);
        writeProud(writer, area, fields.proud, *proud);
        writeDeviation(writer, area, fields.high, *deviation, true);
        writeDeviation(writer, area, fields.low, *deviation, false);
    }
}

}  // namespace underfoot
