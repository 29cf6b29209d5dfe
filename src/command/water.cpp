// water: how a surface falls, where water stands and where it leaves, and the pipes.

#include "study/water.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "command/places.h"
#include "command/session.h"
#include "command/table.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "measure/slope.h"
#include "share/csv.h"
#include "share/water_tables.h"
#include "study/drains.h"

namespace underfoot::command {

namespace {

struct WaterOptions {
    std::string plan;
    std::string on = "finish";
    std::vector<std::string> drains;
    std::string from;
    std::string csv;
    bool json = false;
};

std::optional<WaterOn> surfaceNamed(const std::string& name) {
    for (const WaterOn which :
         {WaterOn::Finish, WaterOn::DesignedFinish, WaterOn::Formation, WaterOn::Ground})
        if (name == waterOnName(which)) return which;
    if (name == "design") return WaterOn::DesignedFinish;
    return std::nullopt;
}

std::string placeText(const Model& model, glm::dvec2 local) {
    const glm::dvec2 so = model.stationOffset(local);
    return fmt::format("{}, {} out", formatStation(so.x, model.plan.show),
                       formatLength(so.y, model.plan.show));
}

std::string depthText(const Model& model, double metres) {
    const std::string text = formatThickness(metres, model.plan.show);
    return text == formatThickness(0, model.plan.show) ? "a trace" : text;
}

std::string volumeText(const Model& model, double cubicMetres) {
    const std::string text = formatVolume(cubicMetres, model.plan.show);
    return text == formatVolume(0, model.plan.show) ? "a trace" : text;
}

/// "away from the house", "to the right along it (looking out)", …: the nearest of eight.
std::string wayText(const Model& model, glm::dvec2 down) {
    if (down.x == 0 && down.y == 0) return "level";
    const Baseline& baseline = model.plan.baseline;
    const glm::dvec2 out = baseline.at(0, 1) - baseline.at(0, 0),
                     along = baseline.at(1, 0) - baseline.at(0, 0);
    const double away = out.x * down.x + out.y * down.y, up = along.x * down.x + along.y * down.y;
    constexpr double part = 0.3826834323650898;  // sine of 22.5 degrees
    std::string text;
    if (away > part) text = "away from the house";
    if (away < -part) text = "toward the house";
    if (std::abs(up) <= part) return text;
    return text + (text.empty() ? "" : " and ") + (up > 0 ? "up the stations" : "down the stations");
}

std::string saysText(const FlatPiece& piece) {
    std::string text;
    for (const FallVerdict verdict : piece.verdicts)
        text += (text.empty() ? "" : "; ") + std::string(verdictName(verdict));
    return text;
}

std::string piecesTable(const Model& model, const WaterReport& report) {
    constexpr size_t most = 20;
    const bool finish = report.on == WaterOn::Finish || report.on == WaterOn::DesignedFinish;
    Table table({"Area", "Plan area", "Fall", "Middle", "Falls", finish ? "By the rules" : ""}, 3);
    for (size_t i = 0; i < std::min(most, report.pieces.size()); ++i) {
        const FlatPiece& piece = report.pieces[i];
        table.add({piece.area < 0 ? "ground" : model.plan.areas[static_cast<size_t>(piece.area)].name,
                   formatArea(piece.planArea, model.plan.show), formatSlope(piece.slope, model.plan.show),
                   placeText(model, piece.middle), wayText(model, piece.down),
                   finish ? saysText(piece) : ""});
    }
    std::string text = table.text();
    if (report.pieces.size() > most)
        text += fmt::format("  and {} smaller pieces (all of them with --csv or --json)\n",
                            report.pieces.size() - most);
    return text;
}

std::string endText(const WaterEnd& end) {
    switch (end.kind) {
        case WaterEndKind::Leaves:
            return "over the edge";
        case WaterEndKind::House:
            return "against the house";
        case WaterEndKind::Pond:
            return fmt::format("into pond {}", end.index + 1);
        case WaterEndKind::Inlet:
            return fmt::format("into drain {}", end.index + 1);
    }
    return "";
}

std::string pondsText(const Model& model, const WaterReport& report) {
    if (report.ponds.empty()) return "Nothing stands on it.\n";
    constexpr size_t most = 20;
    const LengthFormat& show = model.plan.show;
    double volume = 0;
    for (const Pond& pond : report.ponds) volume += pond.volume;
    std::string text = fmt::format("Water stands in {} {}, {} in all when full:\n", report.ponds.size(),
                                   report.ponds.size() == 1 ? "place" : "places", volumeText(model, volume));
    Table table({"Pond", "Depth", "Plan area", "Holds", "Drains into it", "Deepest at", "Spills at", "Then"},
                5);
    for (size_t i = 0; i < std::min(most, report.ponds.size()); ++i) {
        const Pond& pond = report.ponds[i];
        table.add({fmt::format("{}", i + 1), depthText(model, pond.depth), formatArea(pond.planArea, show),
                   volumeText(model, pond.volume), formatArea(pond.catchment, show),
                   placeText(model, pond.deepest), placeText(model, pond.spill), endText(pond.overflow)});
    }
    text += table.text();
    if (report.ponds.size() > most)
        text += fmt::format("  and {} shallower ones\n", report.ponds.size() - most);
    return text;
}

std::string edgesText(const Model& model, const WaterReport& report) {
    const LengthFormat& show = model.plan.show;
    Table table({"Water leaves over", "Drains there", "Length", "From", "To"}, 3);
    for (const DrainedEdge& edge : report.edges) {
        const std::string house = edge.kind == WaterEndKind::House ? ", against the house" : "";
        table.add({drainedEdgeName(model, edge) + house, formatArea(edge.catchment, show),
                   formatLength(edge.length, show), placeText(model, edge.from), placeText(model, edge.to)});
    }
    for (size_t i = 0; i < report.inlets.size(); ++i)
        table.add({fmt::format("drain {}", i + 1), formatArea(report.inletCatchments[i], show), "",
                   placeText(model, report.inlets[i].at), ""});
    double ponds = 0;
    for (const Pond& pond : report.ponds) ponds += pond.catchment;
    if (ponds > 0) table.add({"ponds, until they spill", formatArea(ponds, show), "", "", ""});
    return table.text();
}

std::string pathText(const Model& model, const FlowPath& path) {
    const auto place = [&](const glm::dvec3& p) {
        return fmt::format("{} ({})", placeText(model, {p.x, p.y}), formatLength(p.z, model.plan.show));
    };
    double length = 0;
    for (size_t i = 1; i < path.points.size(); ++i)
        length +=
            std::hypot(path.points[i].x - path.points[i - 1].x, path.points[i].y - path.points[i - 1].y);
    return fmt::format("From {} water runs {} to {} and goes {}.\n", place(path.points.front()),
                       formatLength(length, model.plan.show), place(path.points.back()), endText(path.end));
}

std::string cutsText(const Model& model, const PipeLeg& leg) {
    std::string text;
    for (const LayerId layer : leg.cuts)
        text += (text.empty() ? "" : ", ") + model.layers[static_cast<size_t>(layer)].name;
    return text.empty() ? "nothing" : text;
}

std::string pipeText(const Model& model, const PipeReport& pipe) {
    const LengthFormat& show = model.plan.show;
    const BuriedRun& run = model.plan.buriedRuns[static_cast<size_t>(pipe.run)];
    std::string text = fmt::format("\nPipe \"{}\": outlet at {}, invert {}.\n", run.name,
                                   placeText(model, pipe.outletAt), formatLength(pipe.outlet, show));
    Table table({"Leg", "Length", "Fall to the outlet", "Least cover", "There", "Cuts into"}, 4);
    for (const PipeLeg& leg : pipe.legs) {
        const double fall = pipe.fromLast ? -leg.fall : leg.fall;
        table.add({fmt::format("{}", leg.leg + 1), formatLength(leg.length, show),
                   fall < 0 ? formatSlope(-fall, show) + " back" : formatSlope(fall, show),
                   leg.leastCover ? formatThickness(*leg.leastCover, show) : "not under the patio",
                   leg.leastCover ? placeText(model, leg.leastCoverAt) : "", cutsText(model, leg)});
    }
    text += table.text();
    const auto reach = std::count_if(pipe.spikes.begin(), pipe.spikes.end(),
                                     [](const SpikeNearPipe& spike) { return spike.clear <= 0; });
    if (reach > 0)
        text += fmt::format("  {} of the edging {} it, the worst at {}.\n",
                            reach == 1 ? "One spike" : fmt::format("{} spikes", reach),
                            reach == 1 ? "reaches" : "reach", placeText(model, pipe.spikes.front().at));
    else
        text += "  No spike of the edging reaches it.\n";
    return text;
}

std::string asText(const Model& model, const WaterAnswer& answer) {
    const WaterReport& report = answer.report;
    std::string text = fmt::format("{}\nWater on the {}, {}\n\n", model.plan.title, waterOnName(report.on),
                                   formatArea(report.planArea, model.plan.show));
    text += piecesTable(model, report) + '\n' + pondsText(model, report) + '\n' + edgesText(model, report);
    text += "  What lies beyond an open edge is taken to be lower; openings let water in.\n";
    if (report.path) text += '\n' + pathText(model, *report.path);
    for (const PipeReport& pipe : answer.pipes) text += pipeText(model, pipe);
    return text;
}

ExitCode water(const WaterOptions& options) {
    const auto which = surfaceNamed(options.on);
    if (!which) return badUsage("--on takes finish, design, formation or ground.");
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    std::vector<glm::dvec2> inlets;
    for (const std::string& text : options.drains) {
        const auto at = readStationOffset(text, model->plan);
        if (!at) return badUsage(at.error());
        inlets.push_back(model->toLocal(*at));
    }
    std::optional<glm::dvec2> from;
    if (!options.from.empty()) {
        const auto at = readStationOffset(options.from, model->plan);
        if (!at) return badUsage(at.error());
        from = model->toLocal(*at);
    }
    WaterAnswer answer{waterReport(*model, loadCatalogue(model->plan), *which, inlets, from),
                       pipeReports(*model)};
    if (answer.report.inlets.size() < inlets.size())
        return nothingThere("A drain was asked for where this surface does not reach.");
    if (from && !answer.report.path)
        return nothingThere("This surface does not reach to where the water was to start.");
    const ExitCode code = writeIfAsked(options.csv, [&] { return waterCsv(*model, answer.report); });
    if (code != ExitCode::Fine) return code;
    print(options.json ? waterJson(*model, answer) : asText(*model, answer));
    return ExitCode::Fine;
}

}  // namespace

void addWater(CLI::App& app, Action& chosen) {
    CLI::App* verb = nullptr;
    const auto options = addVerb<WaterOptions>(
        app, chosen, "water", "How a surface falls, where water stands and leaves, and how the pipes lie",
        "underfoot water scenes/courtyard.toml --from 14,5", water, verb);
    verb->add_option("--on", options->on, "finish (as it comes out), design, formation or ground");
    verb->add_option("--drain", options->drains, "STATION,OFFSET of a drain to try; may be given again");
    verb->add_option("--from", options->from, "STATION,OFFSET: follow the water from there");
    verb->add_option("--csv", options->csv, "Write pieces, ponds and edges to this file too");
    verb->add_flag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
