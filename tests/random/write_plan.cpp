#include "random/write_plan.h"

#include <iterator>

#include <fmt/format.h>

namespace underfoot::testing {
namespace {

std::string number(double value) {
    return fmt::format("{}", value);
}

std::string point(glm::dvec2 p) {
    return fmt::format("[{}, {}]", number(p.x), number(p.y));
}

std::string ringText(const Ring& ring) {
    std::string text = "[" + point(ring.start);
    for (size_t i = 0; i < ring.edges.size(); ++i) {
        const OutlineEdge& edge = ring.edges[i];
        if (edge.through)
            text += fmt::format(", {{ through = {}, to = {} }}", point(*edge.through), point(edge.to));
        else if (i + 1 < ring.edges.size())
            text += ", " + point(edge.to);
    }
    return text + "]";
}

std::string shotsText(const std::vector<Shot>& shots) {
    std::string text = "shots = [\n";
    for (const Shot& shot : shots)
        text += fmt::format("  [{}, {}, {}],\n", number(shot.at.x), number(shot.at.y), number(shot.height));
    return text + "]\n";
}

const char* extendWord(Extend extend) {
    return extend == Extend::Plane ? "plane" : extend == Extend::Nearest ? "nearest" : "refuse";
}

std::string finishText(const Finish& finish) {
    std::string text = finish.name.empty() ? "\n[finish]\n" : fmt::format("\n[finishes.{}]\n", finish.name);
    if (!finish.spots.empty()) {
        text += "spots = [\n";
        for (const SpotLevel& spot : finish.spots)
            text += fmt::format("  {{ at = {}, level = {} }},\n", point(spot.at), number(spot.level));
        return text + "]\n";
    }
    if (finish.planes.size() > 1)
        text += fmt::format("join = \"{}\"\n", finish.join == PlaneJoin::Ridge ? "ridge" : "valley");
    text += "planes = [\n";
    for (const FinishPlane& plane : finish.planes)
        text += fmt::format("  {{ at = {}, level = {}, fall = {}, cross_fall = {} }},\n", point(plane.at),
                            number(plane.level), number(plane.fall), number(plane.crossFall));
    return text + "]\n";
}

std::string layerText(const Layer& layer) {
    std::string text = fmt::format("  {{ name = \"{}\", role = \"{}\"", layer.name, roleName(layer.role));
    if (layer.role != Role::Fill) {
        text += fmt::format(", thickness = {}", number(layer.thickness));
        if (layer.takesUp) text += ", take_up = true";
    }
    if (layer.beyond != 0) text += fmt::format(", beyond = {}", number(layer.beyond));
    if (layer.corners == CornerStyle::Round) text += ", corners = \"round\"";
    if (layer.lift != 0) text += fmt::format(", lift = {}", number(layer.lift));
    return text + " },\n";
}

std::string buildUpText(const BuildUp& buildUp) {
    std::string text = fmt::format("\n[[build_up]]\nname = \"{}\"\nlayers = [\n", buildUp.name);
    for (const Layer& layer : buildUp.layers) text += layerText(layer);
    return text + "]\n";
}

std::string areaText(const Area& area) {
    std::string text = fmt::format("\n[[area]]\nname = \"{}\"\nbuild_up = \"{}\"\n", area.name, area.buildUp);
    if (!area.finish.empty()) text += fmt::format("finish = \"{}\"\n", area.finish);
    text += "outline = " + ringText(area.outline) + "\n";
    if (!area.openings.empty()) {
        text += "openings = [\n";
        for (const Ring& opening : area.openings) text += "  " + ringText(opening) + ",\n";
        text += "]\n";
    }
    if (!area.around.empty()) {
        text += "around = [";
        for (const std::string& name : area.around) text += fmt::format("\"{}\", ", name);
        text += "]\n";
    }
    if (!area.againstWall.empty()) {
        text += "against_wall = [";
        for (const int edge : area.againstWall) text += fmt::format("{}, ", edge + 1);
        text += "]\n";
    }
    return text;
}

std::string groundText(const Ground& ground) {
    std::string text = fmt::format(
        "\n[ground]\nextend = \"{}\"\nstrip = {}\nfill_lift = {}\nfill_lifts = \"{}\"\nside_slope = {}\n"
        "shoulder = {}\n",
        extendWord(ground.extend), number(ground.strip), number(ground.fillLift),
        ground.fillLifts == FillLifts::Level ? "level" : "parallel", number(ground.sideSlope),
        number(ground.shoulder));
    return ground.shots.empty() ? text : text + shotsText(ground.shots);
}

}  // namespace

std::string planText(const Plan& plan) {
    const Baseline& line = plan.baseline;
    std::string text = fmt::format(
        "title = \"{}\"\nunit = \"m\"\n\n[baseline]\nfrom = {}\nto = {}\nstart = {}\npositive = \"{}\"\n",
        plan.title, point(line.from), point(line.to), number(line.startStation),
        line.offsetLeft ? "left" : "right");
    for (const Finish& finish : plan.finishes) text += finishText(finish);
    for (const BuildUp& buildUp : plan.buildUps) text += buildUpText(buildUp);
    for (const Area& area : plan.areas) text += areaText(area);
    text += groundText(plan.ground);
    for (const MeasuredTop& top : plan.measuredTops)
        text += fmt::format("\n[[measured_top]]\nlayer = \"{}\"\nextend = \"{}\"\n", top.layer,
                            extendWord(top.extend)) +
                shotsText(top.shots);
    return text;
}

}  // namespace underfoot::testing
