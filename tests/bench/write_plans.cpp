// Plan files with point files beside them, for measuring whole processes: bench_plans FOLDER SHOTS MEASURED
// writes FOLDER/plan.toml over SHOTS ground shots; MEASURED 1: the tops of two layers are shot
// too, and no file is taken for a scan.

#include <fmt/format.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "bench/big_plan.h"
#include "plan/plan.h"

namespace underfoot::bench {
namespace {

std::string outlineText(const Ring& ring) {
    std::string text = fmt::format("[{}, {}]", ring.start.x, ring.start.y);
    for (size_t i = 0; i + 1 < ring.edges.size(); ++i)
        text += fmt::format(", [{}, {}]", ring.edges[i].to.x, ring.edges[i].to.y);
    return "[" + text + "]";
}

std::string layerText(const Layer& layer) {
    std::string text = fmt::format("  {{ name = \"{}\", role = \"{}\"", layer.name, roleName(layer.role));
    if (layer.thickness > 0) text += fmt::format(", thickness = {}", layer.thickness);
    if (layer.beyond > 0) text += fmt::format(", beyond = {}", layer.beyond);
    if (layer.takesUp) text += ", take_up = true";
    return text + " },\n";
}

void write(const std::filesystem::path& file, const std::string& text) {
    std::ofstream(file, std::ios::binary) << text;
}

std::string filesText(const std::string& name) {
    return fmt::format("extend = \"nearest\"\nfiles = [ {{ path = \"{}\", order = \"PNEZD\" }} ]\n\n", name);
}

void writePlan(const Plan& plan, const std::filesystem::path& folder) {
    std::string text = "title = \"Bench\"\nunit = \"m\"\nshow = \"m\"\n\n";
    text += fmt::format("[finish]\nat = [0, 0]\nlevel = 0\nfall = \"{} %\"\n\n", 100 * fallAway);
    text += "[[build_up]]\nname = \"seven\"\nlayers = [\n";
    for (const Layer& layer : plan.buildUps[0].layers) text += layerText(layer);
    text += "]\n\n";
    for (const Area& area : plan.areas) {
        text += fmt::format("[[area]]\nname = \"{}\"\nbuild_up = \"seven\"\noutline = {}\n", area.name,
                            outlineText(area.outline));
        if (!area.openings.empty())
            text += fmt::format("openings = [ {{ outline = {} }} ]\n", outlineText(area.openings[0]));
        text += '\n';
    }
    text += fmt::format("[ground]\nstrip = {}\n", plan.ground.strip) + filesText("ground.csv");
    write(folder / "ground.csv", pointFileText(plan.ground.shots));
    for (size_t i = 0; i < plan.measuredTops.size(); ++i) {
        const std::string name = fmt::format("top-{}.csv", i);
        text +=
            fmt::format("[[measured_top]]\nlayer = \"{}\"\n", plan.measuredTops[i].layer) + filesText(name);
        write(folder / name, pointFileText(plan.measuredTops[i].shots));
    }
    if (!plan.measuredTops.empty())
        text += "[[limit]]\nrule = \"scan.points\"\nvalue = 10000000\nreason = \"Every shot counts here.\"\n";
    write(folder / "plan.toml", text);
}

}  // namespace
}  // namespace underfoot::bench

int main(int argc, char** argv) {
    if (argc != 4) {
        fmt::print(stderr, "bench_plans FOLDER SHOTS MEASURED\n");
        return EXIT_FAILURE;
    }
    std::filesystem::create_directories(argv[1]);
    underfoot::Plan plan = underfoot::bench::shotsPlan(std::atoi(argv[2]));
    if (std::atoi(argv[3]) == 0) plan.measuredTops.clear();
    underfoot::bench::writePlan(plan, argv[1]);
    return EXIT_SUCCESS;
}
