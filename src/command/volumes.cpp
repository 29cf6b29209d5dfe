// volumes: what each layer amounts to, and the earth moved.

#include <memory>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <tl/expected.hpp>

#include "command/command_line.h"
#include "command/exit_code.h"
#include "command/session.h"
#include "command/table.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "command/verbs.h"
#include "measure/length.h"
#include "model/model.h"
#include "plan/plan.h"
#include "share/csv.h"
#include "share/json.h"
#include "study/volumes.h"

namespace underfoot::command {

namespace {

struct VolumesOptions {
    std::string plan;
    std::string csv;
    bool json = false;
};

std::string layersTable(const Model& model, const Volumes& all) {
    const LengthFormat& show = model.plan.show;
    Table table({"Layer", "Volume in place", "of it inside", "Plan area", "Mean thickness"});
    for (const LayerVolume& one : all.layers) {
        if (one.planArea <= 0) continue;
        table.add({model.layers[static_cast<size_t>(one.layer)].name, formatVolume(one.volume, show),
                   formatVolume(one.insideVolume, show), formatArea(one.planArea, show),
                   formatThickness(one.volume / one.planArea, show)});
        if (one.lifts.size() < 2) continue;
        for (const LiftVolume& lift : one.lifts)
            table.add({fmt::format("  lift {}", lift.lift + 1), formatVolume(lift.volume, show), "",
                       formatArea(lift.planArea, show), ""});
    }
    return table.text();
}

std::string earthTable(const Model& model, const Volumes& all) {
    const LengthFormat& show = model.plan.show;
    Table table({"Earth", "Volume in place"});
    table.add({"sod and topsoil taken off", formatVolume(all.strip, show)});
    table.add({"cut below that", formatVolume(all.cut, show)});
    table.add({"fill", formatVolume(all.fill, show)});
    return table.text();
}

std::string asText(const Model& model, const Volumes& all) {
    return fmt::format("{}\n{} inside the outlines\n\n", model.plan.title,
                       formatArea(all.finishArea, model.plan.show)) +
           layersTable(model, all) + '\n' + earthTable(model, all);
}

ExitCode volumesOf(const VolumesOptions& options) {
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    const Volumes all = volumes(*model);
    const ExitCode code = writeIfAsked(options.csv, [&] { return volumesCsv(*model, all); });
    if (code != ExitCode::Fine) return code;
    print(options.json ? volumesJson(*model, all) : asText(*model, all));
    return ExitCode::Fine;
}

}  // namespace

void addVolumes(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto options =
        addVerb<VolumesOptions>(line, chosen, "volumes", "Sums up each layer and the earth moved",
                                "underfoot volumes scenes/courtyard.toml", volumesOf, verb);
    verb.addOption("--csv", options->csv, "Write the table to this file too");
    verb.addFlag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
