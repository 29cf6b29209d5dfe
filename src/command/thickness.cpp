// thickness: the layers at one place, or one layer over the plan.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "command/command_line.h"
#include "command/exit_code.h"
#include "command/places.h"
#include "command/session.h"
#include "command/table.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "command/verbs.h"
#include "ground/tolerance.h"
#include "measure/length.h"
#include "model/model.h"
#include "plan/plan.h"
#include "share/csv.h"
#include "share/json.h"
#include "share/page.h"
#include "study/section.h"
#include "study/thickness.h"

namespace underfoot::command {

namespace {

struct ThicknessOptions {
    std::string plan;
    std::string at;
    std::string xy;
    std::string field;
    std::string csv;
    bool json = false;
};

std::string wantedText(const ColumnEntry& entry, const LengthFormat& show) {
    if (entry.least && entry.greatest)
        return fmt::format("{} to {}", formatThickness(*entry.least, show),
                           formatThickness(*entry.greatest, show));
    if (entry.least) return "at least " + formatThickness(*entry.least, show);
    if (entry.greatest) return "at most " + formatThickness(*entry.greatest, show);
    return entry.wanted > 0 ? formatThickness(entry.wanted, show) : "";
}

Opened<glm::dvec2> readPlace(const Model& model, const ThicknessOptions& options) {
    const auto place =
        options.at.empty() ? readXY(options.xy, model.plan) : readStationOffset(options.at, model.plan);
    if (!place) return tl::unexpected(badUsage(place.error()));
    return model.toLocal(*place);
}

std::string stackTable(const Model& model, const std::vector<LayerAt>& stack, const Cell& cell) {
    const LengthFormat& show = model.plan.show;
    Table table({"Layer", "Top", "Bottom", "Thickness", "Wanted"}, 4);
    for (const LayerAt& one : stack) {
        const ColumnEntry& entry = model.columnOf(cell).entries[static_cast<size_t>(one.entry)];
        if (entry.lifts > 1 && one.thickness() <= tolerance::zeroThickness) continue;
        const bool soil = one.layer == model.nativeSoil;
        table.add({liftTitle(model, one.layer, one.lift, entry.lifts), formatLength(one.top, show),
                   soil ? "" : formatLength(one.bottom, show),
                   soil ? "" : formatThickness(one.thickness(), show), soil ? "" : wantedText(entry, show)});
    }
    return table.text();
}

std::string placeAnswer(const Model& model, glm::dvec2 place, const std::vector<LayerAt>& stack, int cell) {
    return fmt::format("{}\nAt {}\n\n", model.plan.title, stationPlace(model, place)) +
           stackTable(model, stack, model.cells[static_cast<size_t>(cell)]);
}

ExitCode atPlace(const Model& model, const ThicknessOptions& options) {
    const auto place = readPlace(model, options);
    if (!place) return place.error();
    const glm::dvec2 inside = intoArea(model, *place);
    const int cell = cellAt(model, inside);
    if (cell < 0) return nothingThere("That place lies outside the plan.");
    const auto stack = stackAtPoint(model, inside);
    const ExitCode code = writeIfAsked(options.csv, [&] { return stackCsv(model, stack); });
    if (code != ExitCode::Fine) return code;
    print(options.json ? stackJson(model, *place, stack) : placeAnswer(model, *place, stack, cell));
    return ExitCode::Fine;
}

std::string rangeText(const ThicknessField& field, const LengthFormat& show) {
    if (!field.wantedLeast && !field.wantedGreatest) return "";
    std::string out;
    if (field.wantedLeast)
        out += fmt::format("Wanted at least {}: {} is thinner, {} lacking.\n",
                           formatThickness(*field.wantedLeast, show), formatArea(field.areaUnder, show),
                           volumeOrTrace(field.volumeLacking, show));
    if (field.wantedGreatest)
        out += fmt::format("Wanted at most {}: {} is thicker, {} too much.\n",
                           formatThickness(*field.wantedGreatest, show), formatArea(field.areaOver, show),
                           volumeOrTrace(field.volumeOver, show));
    return out;
}

std::string patchTable(const Model& model, const ThicknessField& field) {
    const LengthFormat& show = model.plan.show;
    Table table({"Patch", "Worst", "Station", "Offset", "Area", "Volume"});
    for (const Patch& patch : field.patches) {
        const glm::dvec2 so = model.stationOffset(patch.worst);
        table.add({patch.thin ? "thin" : "thick", formatThickness(patch.worstThickness, show),
                   formatStation(so.x, show), formatLength(so.y, show), formatArea(patch.area, show),
                   volumeOrTrace(patch.volume, show)});
    }
    return table.empty() ? "" : '\n' + table.text();
}

std::string fieldText(const Model& model, const ThicknessField& field) {
    const LengthFormat& show = model.plan.show;
    return fmt::format("{}\n{} over {}\n\nThinnest {} at {}.\nThickest {} at {}.\nMean {}, {} in all.\n{}",
                       model.plan.title, model.layers[static_cast<size_t>(field.layer)].name,
                       formatArea(field.planArea, show), formatThickness(field.least, show),
                       stationPlace(model, field.leastAt), formatThickness(field.greatest, show),
                       stationPlace(model, field.greatestAt), formatThickness(field.mean, show),
                       formatVolume(field.volume, show), rangeText(field, show)) +
           patchTable(model, field);
}

ExitCode overPlan(const Model& model, const ThicknessOptions& options) {
    const auto layer = openLayer(model, options.field);
    if (!layer) return layer.error();
    const auto field = thicknessField(model, *layer);
    if (field.planArea <= 0) return nothingThere("That layer lies nowhere inside the areas.");
    const ExitCode code = writeIfAsked(options.csv, [&] { return thicknessCsv(model, *layer); });
    if (code != ExitCode::Fine) return code;
    print(options.json ? thicknessJson(model, field) : fieldText(model, field));
    return ExitCode::Fine;
}

ExitCode thickness(const ThicknessOptions& options) {
    if (options.at.empty() && options.xy.empty() && options.field.empty())
        return badUsage("Say where with --at STATION,OFFSET or --xy X,Y, or name a layer with --field.");
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    return options.field.empty() ? atPlace(*model, options) : overPlan(*model, options);
}

}  // namespace

void addThickness(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto options = addVerb<ThicknessOptions>(
        line, chosen, "thickness", "Reads the layers at a place, or one layer over the plan",
        "underfoot thickness scenes/courtyard.toml --at 14,9.2", thickness, verb);
    Option at = verb.addOption("--at", options->at, "STATION,OFFSET");
    Option xy = verb.addOption("--xy", options->xy, "X,Y in plan");
    Option field = verb.addOption("--field", options->field, "A layer, over all areas");
    at.excludes(xy).excludes(field);
    xy.excludes(field);
    verb.addOption("--csv", options->csv, "Write the layers, or the field's corners, to this file too");
    verb.addFlag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
