// compare: designs of one place side by side, the same cut through each, and two searches for a finish.

#include <algorithm>
#include <cmath>
#include <filesystem>
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
#include "measure/diagnostic.h"
#include "measure/length.h"
#include "measure/slope.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/comparison.h"
#include "plan/plan.h"
#include "share/compare_tables.h"
#include "study/compare.h"
#include "study/search_finish.h"
#include "study/section.h"

namespace underfoot::command {

namespace {

struct CompareOptions {
    std::string plan;
    std::vector<std::string> others;
    std::vector<std::string> raises, falls;
    CutChoice where;
    std::string svg, pdf, scale, csv;
    bool balance = false, leastFall = false, json = false;
};

/// The designs with their models, which keep their places.
struct Designs {
    Plan plan;  ///< the first, as designed
    Comparison comparison;
    std::vector<std::string> names;
    std::vector<std::unique_ptr<Model>> models;
    std::vector<std::string> notes;
};

ExitCode add(Designs& designs, const std::string& name, const Plan& plan) {
    auto model = openModel(plan);
    if (!model) return model.error();
    designs.names.push_back(name);
    designs.models.push_back(std::make_unique<Model>(std::move(*model)));
    return ExitCode::Fine;
}

ExitCode addVariant(Designs& designs, const Variant& variant) {
    const auto plan = withVariant(designs.plan, variant, designs.comparison.buildUps);
    if (!plan) return badUsage(formatDiagnostic(plan.error()));
    return add(designs, variant.name, *plan);
}

/// Other plans are named by their files, for their titles may be the same.
ExitCode addOther(Designs& designs, const std::string& file) {
    const auto plan = openPlan(file);
    if (!plan) return plan.error();
    return add(designs, std::filesystem::path(file).stem().string(), asDesigned(*plan));
}

ExitCode addRaised(Designs& designs, const std::string& text) {
    const auto raise = readLength(text, designs.plan);
    if (!raise) return badUsage(raise.error());
    Variant variant;
    variant.raise = *raise;
    variant.name = fmt::format("{} {}", *raise < 0 ? "lowered" : "raised",
                               formatLength(std::abs(*raise), designs.plan.show));
    return addVariant(designs, variant);
}

ExitCode addFalling(Designs& designs, const std::string& text) {
    const auto fall = parseSlope(text);
    if (!fall) return badUsage(fall.error());
    Variant variant;
    variant.fall = *fall;
    variant.name = "fall " + text;
    return addVariant(designs, variant);
}

ExitCode addAll(Designs& designs, const CompareOptions& options) {
    ExitCode code = add(designs, "as planned", designs.plan);
    for (const Variant& variant : designs.comparison.variants)
        if (code == ExitCode::Fine) code = addVariant(designs, variant);
    for (const std::string& file : options.others)
        if (code == ExitCode::Fine) code = addOther(designs, file);
    for (const std::string& text : options.raises)
        if (code == ExitCode::Fine) code = addRaised(designs, text);
    for (const std::string& text : options.falls)
        if (code == ExitCode::Fine) code = addFalling(designs, text);
    return code;
}

ExitCode complainOf(const Diagnostics& faults) {
    for (const Diagnostic& fault : faults) complain(formatDiagnostic(fault));
    return ExitCode::PlanWrong;
}

ExitCode search(Designs& designs, const CompareOptions& options, CompareAnswer& answer) {
    const Catalogue catalogue = loadCatalogue(designs.plan);
    if (options.balance) {
        const auto bounds = raiseBounds(*designs.models[0], catalogue, designs.comparison.sills);
        const auto found = balanceCutAndFill(designs.plan, catalogue, bounds);
        if (!found) return complainOf(found.error());
        answer.balance = *found;
        Variant variant;
        variant.name = "balanced", variant.raise = found->raise;
        if (found->found)
            if (const ExitCode code = addVariant(designs, variant); code != ExitCode::Fine) return code;
    }
    if (!options.leastFall) return ExitCode::Fine;
    const auto found = leastFall(designs.plan, catalogue);
    if (!found) return complainOf(found.error());
    answer.leastFall = *found;
    Variant variant;
    variant.name = "least fall", variant.fall = found->fall;
    return found->found ? addVariant(designs, variant) : ExitCode::Fine;
}

Opened<Designs> open(const CompareOptions& options) {
    const auto plan = openPlan(options.plan);
    if (!plan) return tl::unexpected(plan.error());
    auto comparison = readComparison(*plan);
    if (!comparison) return tl::unexpected(complainOf(comparison.error()));
    Designs designs{asDesigned(*plan), std::move(*comparison), {}, {}, {}};
    if (!plan->measuredTops.empty())
        designs.notes.push_back("Designs are compared: what was measured on placed layers is left out.");
    if (const ExitCode code = addAll(designs, options); code != ExitCode::Fine) return tl::unexpected(code);
    return designs;
}

// ---------------------------------------------------------------- text

std::string asText(const Designs& designs, const CompareAnswer& answer) {
    std::string text = designs.plan.title + "\n\n" + textOf(comparePage(answer, designs.plan));
    if (designs.models.size() == 1)
        text +=
            "\nThere is nothing to compare with: write [[variant]] in the plan, name another plan, or say "
            "--raise, --fall, --balance or --least-fall.\n";
    return text;
}

// ---------------------------------------------------------------- drawing

ExitCode draw(const Designs& designs, const CompareAnswer& answer, const CompareOptions& options) {
    const auto chosen = chooseCut(*designs.models[0], options.where);
    if (!chosen) return chosen.error();
    double scale = 0;
    if (!options.scale.empty()) {
        const auto read = readScale(options.scale);
        if (!read) return badUsage(read.error());
        scale = *read;
    }
    // One line for all: at a station each model would have it from its own edge.
    std::vector<Section> sections;
    for (const auto& model : designs.models) {
        std::vector<glm::dvec2> line;
        for (const glm::dvec2 p : chosen->section.line)
            line.push_back(model->toLocal(designs.models[0]->toPlan(p)));
        sections.push_back(cut(*model, line));
    }
    std::vector<CutDesign> cuts;
    const auto figure = std::find_if(answer.report.figures.begin(), answer.report.figures.end(),
                                     [](const Figure& one) { return one.key == "deepest"; });
    for (size_t d = 0; d < sections.size(); ++d) {
        const std::string depth = figureText(*figure, figure->values[d], designs.plan.show);
        cuts.push_back({designs.names[d], "Deepest dig " + depth, designs.models[d].get(), &sections[d]});
    }
    for (const auto& [file, sheet] :
         {std::pair(options.svg, &compareSvg), std::pair(options.pdf, &comparePdf)}) {
        if (file.empty()) continue;
        const auto drawing = sheet(cuts, designs.plan.title, chosen->title, scale);
        if (!drawing) return nothingThere(formatDiagnostic(drawing.error()));
        if (const ExitCode code = writeAnswer(file, *drawing); code != ExitCode::Fine) return code;
    }
    return ExitCode::Fine;
}

ExitCode compare(const CompareOptions& options) {
    auto designs = open(options);
    if (!designs) return designs.error();
    CompareAnswer answer;
    if (const ExitCode code = search(*designs, options, answer); code != ExitCode::Fine) return code;
    std::vector<Design> all;
    for (size_t d = 0; d < designs->models.size(); ++d)
        all.push_back({designs->names[d], designs->models[d].get()});
    answer.report = compareDesigns(all, designs->comparison.sills);
    answer.notes = designs->notes;
    answer.notes.insert(answer.notes.end(), answer.report.notes.begin(), answer.report.notes.end());
    if (!options.svg.empty() || !options.pdf.empty())
        if (const ExitCode code = draw(*designs, answer, options); code != ExitCode::Fine) return code;
    const ExitCode code = writeIfAsked(options.csv, [&] { return compareCsv(answer); });
    if (code != ExitCode::Fine) return code;
    print(options.json ? compareJson(*designs->models[0], answer) : asText(*designs, answer));
    return ExitCode::Fine;
}

}  // namespace

void addCompare(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto options = addVerb<CompareOptions>(
        line, chosen, "compare",
        "Designs side by side: the plan's variants, other plans, other levels and falls",
        "underfoot compare scenes/courtyard.toml --raise 1in --balance", compare, verb);
    verb.addOption("OTHER", options->others, "Other plans of the same place");
    verb.addOption("--raise", options->raises,
                   "The whole finish raised by so much, or lowered: --raise=-1in; may be said again")
        .repeated();
    verb.addOption("--fall", options->falls, "Another fall of the plan's own finish; may be said again")
        .repeated();
    verb.addFlag("--balance", options->balance, "Look for the finish level at which the cut makes the fill");
    verb.addFlag("--least-fall", options->leastFall, "Look for the least fall that keeps the rules of water");
    addCutOptions(verb, options->where);
    verb.addOption("--svg", options->svg, "Draw the same cut through each design to this file");
    verb.addOption("--pdf", options->pdf, "The same as a PDF, to print to scale");
    verb.addOption("--scale", options->scale, "Scale of the drawing, 1:20 for example");
    verb.addOption("--csv", options->csv, "Write the figures to this file too");
    verb.addFlag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
