// section: the cut along a line, as a table, a drawing or data.

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "command/command_line.h"
#include "command/cut_line.h"
#include "command/exit_code.h"
#include "command/places.h"
#include "command/session.h"
#include "command/table.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "command/verbs.h"
#include "ground/tolerance.h"
#include "measure/diagnostic.h"
#include "measure/length.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/csv.h"
#include "share/json.h"
#include "share/section_drawing.h"
#include "study/section.h"

namespace underfoot::command {

namespace {

struct SectionOptions {
    std::string plan;
    CutChoice where;
    std::string every;
    std::string svg, pdf;
    std::string csv;
    std::string scale;
    double heights = 0;
    bool json = false;
};

/// A place on the section as its reader counts it: the offset on a cut at a station, else the distance from
/// the line's start.
std::string placeText(const Model& model, const Section& section, double distance) {
    const double shown = section.station ? model.stationOffset(section.at(distance)).y : distance;
    return formatLength(shown, model.plan.show);
}

std::string extremesTable(const Model& model, const Section& section) {
    const LengthFormat& show = model.plan.show;
    Table table({"Layer", "Thinnest", "at", "Thickest", "at", "Cut face"});
    for (const Extremes& one : extremes(model, section)) {
        const ModelLayer& layer = model.layers[static_cast<size_t>(one.layer)];
        if (layer.role == Role::NativeSoil) continue;
        const std::string least = formatThickness(one.least, show),
                          greatest = formatThickness(one.greatest, show);
        const bool even = least == greatest;
        table.add({layer.name, least, even ? "" : placeText(model, section, one.leastAt), greatest,
                   even ? "" : placeText(model, section, one.greatestAt), formatArea(one.area, show)});
    }
    return table.text();
}

/// Thickness of a layer in a stack, its lifts together; empty where it is absent.
std::string thicknessIn(const std::vector<LayerAt>& stack, LayerId layer, const LengthFormat& show) {
    double sum = 0;
    bool there = false;
    for (const LayerAt& one : stack) {
        if (one.layer != layer) continue;
        sum += one.thickness();
        there = true;
    }
    return there ? formatThickness(sum, show) : "";
}

std::vector<LayerId> layersCut(const Model& model, const Section& section) {
    std::vector<LayerId> layers;
    for (const Extremes& one : extremes(model, section))
        if (model.layers[static_cast<size_t>(one.layer)].role != Role::NativeSoil)
            layers.push_back(one.layer);
    return layers;
}

constexpr double rowSlack = 1e-9;  // metres: a last row that rounding moved past the end still counts

/// Distance of the first row: on a cut at a station rows stand on whole multiples of the step from the
/// baseline.
double firstRow(const Model& model, const Section& section, double step) {
    if (!section.station) return 0;
    const double start = model.stationOffset(section.at(0)).y;
    return std::ceil((start - rowSlack) / step) * step - start;
}

std::string everyTable(const Model& model, const Section& section, double step) {
    const LengthFormat& show = model.plan.show;
    const auto layers = layersCut(model, section);
    std::vector<std::string> heads = {section.station ? "Offset" : "Along", "Surface"};
    for (const LayerId layer : layers) heads.push_back(model.layers[static_cast<size_t>(layer)].name);
    Table table(heads);
    const double first = firstRow(model, section, step);
    for (long i = 0; first + static_cast<double>(i) * step <= section.length + rowSlack; ++i) {
        const double distance = std::clamp(first + static_cast<double>(i) * step, 0.0, section.length);
        // On an edge between two cells the farther one is meant, even where rounding falls short of it.
        const auto stack =
            stackAt(model, section, std::min(distance + 2 * tolerance::samePlanPoint, section.length));
        if (stack.empty()) continue;
        std::vector<std::string> row = {placeText(model, section, distance),
                                        formatLength(stack.front().top, show)};
        for (const LayerId layer : layers) row.push_back(thicknessIn(stack, layer, show));
        table.add(std::move(row));
    }
    return table.text();
}

std::string headline(const Model& model, const ChosenCut& chosen) {
    return fmt::format("{}\n{}, {} long\n\n", model.plan.title, chosen.title,
                       formatLength(chosen.section.length, model.plan.show));
}

Opened<double> readStep(const Model& model, const ChosenCut& chosen, const std::string& text) {
    constexpr double mostRows = 10000;
    const auto step = readLength(text, model.plan);
    if (!step) return tl::unexpected(badUsage(step.error()));
    if (*step <= 0 || chosen.section.length / *step > mostRows)
        return tl::unexpected(
            badUsage(fmt::format("--every {} gives no table: give a length above 0 that fits the section at "
                                 "most 10000 times.",
                                 text)));
    return *step;
}

ExitCode printSection(const Model& model, const ChosenCut& chosen, const SectionOptions& options) {
    if (options.json) {
        print(sectionJson(model, chosen.section, chosen.title));
        return ExitCode::Fine;
    }
    std::string out = headline(model, chosen) + extremesTable(model, chosen.section);
    if (!options.every.empty()) {
        const auto step = readStep(model, chosen, options.every);
        if (!step) return step.error();
        out += '\n' + everyTable(model, chosen.section, *step);
    }
    print(out);
    return ExitCode::Fine;
}

Opened<SectionSheetOptions> toSheet(const ChosenCut& chosen, const SectionOptions& options) {
    SectionSheetOptions sheet;
    sheet.name = chosen.title;
    sheet.scale = 0;
    sheet.exaggeration = options.heights;
    if (options.scale.empty()) return sheet;
    const auto scale = readScale(options.scale);
    if (!scale) return tl::unexpected(badUsage(scale.error()));
    sheet.scale = *scale;
    return sheet;
}

ExitCode writeDrawing(const Model& model, const ChosenCut& chosen, const SectionOptions& options) {
    const auto sheet = toSheet(chosen, options);
    if (!sheet) return sheet.error();
    const Catalogue catalogue = loadCatalogue(model.plan);
    for (const auto& [file, draw] :
         {std::pair(options.svg, &sectionSvg), std::pair(options.pdf, &sectionPdf)}) {
        if (file.empty()) continue;
        const auto drawing = draw(chosen.section, model, catalogue, *sheet);
        if (!drawing) return nothingThere(formatDiagnostic(drawing.error()));
        if (const ExitCode code = writeAnswer(file, *drawing); code != ExitCode::Fine) return code;
    }
    return ExitCode::Fine;
}

ExitCode section(const SectionOptions& options) {
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    const auto chosen = chooseCut(*model, options.where);
    if (!chosen) return chosen.error();
    if (!options.svg.empty() || !options.pdf.empty()) {
        const ExitCode code = writeDrawing(*model, *chosen, options);
        if (code != ExitCode::Fine) return code;
    }
    const ExitCode code = writeIfAsked(options.csv, [&] { return sectionCsv(*model, chosen->section); });
    if (code != ExitCode::Fine) return code;
    return printSection(*model, *chosen, options);
}

}  // namespace

void addSection(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto options =
        addVerb<SectionOptions>(line, chosen, "section", "Cuts the layers along a line and measures the cut",
                                "underfoot section scenes/courtyard.toml --station 14", section, verb);
    addCutOptions(verb, options->where);
    verb.addOption("--every", options->every, "List the layers at every such length along the cut");
    verb.addOption("--svg", options->svg, "Write the drawing to this file");
    verb.addOption("--pdf", options->pdf, "The same as a PDF, to print to scale");
    verb.addOption("--csv", options->csv, "Write the corners of the cut faces to this file");
    verb.addOption("--scale", options->scale,
                   "Scale of the drawing, 1:20 for example; else the largest usual one that fits");
    verb.addOption("--heights", options->heights,
                   "Draw heights so many times larger; else as the layers need")
        .within(1.0, 20.0);
    verb.addFlag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
