#include "command/cut_line.h"

#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "command/exit_code.h"
#include "command/places.h"
#include "measure/length.h"
#include "plan/plan.h"

namespace underfoot::command {

namespace {

std::vector<glm::dvec2> toLocal(const Model& model, const std::vector<glm::dvec2>& line) {
    std::vector<glm::dvec2> local;
    local.reserve(line.size());
    for (const glm::dvec2& place : line) local.push_back(model.toLocal(place));
    return local;
}

const NamedCut* findCut(const Plan& plan, const std::string& name, std::string& names) {
    for (const NamedCut& cut : plan.cuts) {
        if (cut.name == name) return &cut;
        names += (names.empty() ? "" : ", ") + cut.name;
    }
    return nullptr;
}

Opened<ChosenCut> atStation(const Model& model, const std::string& text) {
    const auto station = readStation(text, model.plan);
    if (!station) return tl::unexpected(badUsage(station.error()));
    return ChosenCut{cutAtStation(model, *station),
                     "Section at station " + formatStation(*station, model.plan.show)};
}

Opened<ChosenCut> alongLine(const Model& model, const std::string& text) {
    const auto line = readLine(text, model.plan);
    if (!line) return tl::unexpected(badUsage(line.error()));
    return ChosenCut{cut(model, toLocal(model, *line)), "Section along a line"};
}

Opened<ChosenCut> named(const Model& model, const std::string& name) {
    std::string names;
    const NamedCut* found = findCut(model.plan, name, names);
    if (found == nullptr) {
        const std::string there = names.empty() ? "The plan has no cuts." : "Its cuts are: " + names + ".";
        return tl::unexpected(badUsage(fmt::format("The plan has no cut \"{}\". {}", name, there)));
    }
    return ChosenCut{cut(model, toLocal(model, found->along)), "Section " + found->name};
}

Opened<ChosenCut> read(const Model& model, const CutChoice& choice) {
    if (!choice.station.empty()) return atStation(model, choice.station);
    if (!choice.along.empty()) return alongLine(model, choice.along);
    if (!choice.cut.empty()) return named(model, choice.cut);
    if (!model.plan.cuts.empty()) return named(model, model.plan.cuts.front().name);
    return tl::unexpected(
        badUsage("The plan names no cut: say where to cut with --station, or with --along and two places."));
}

}  // namespace

void addCutOptions(Verb& verb, CutChoice& choice) {
    Option station =
        verb.addOption("--station", choice.station, "Cut straight across the baseline at this station");
    Option along = verb.addOption("--along", choice.along, "Cut along a line: \"X,Y X,Y …\" in plan");
    Option cut = verb.addOption("--cut", choice.cut, "A cut that the plan names");
    station.excludes(along).excludes(cut);
    along.excludes(cut);
}

Opened<ChosenCut> chooseCut(const Model& model, const CutChoice& choice) {
    auto chosen = read(model, choice);
    if (chosen && chosen->section.intervals.empty())
        return tl::unexpected(
            nothingThere(chosen->title + " lies outside the plan: there is nothing to cut."));
    return chosen;
}

}  // namespace underfoot::command
