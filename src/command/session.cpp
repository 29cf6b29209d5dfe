#include "command/session.h"

#include <cstdio>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "command/terminal.h"
#include "measure/diagnostic.h"
#include "plan/read_plan.h"
#include "share/write_file.h"

namespace underfoot::command {

namespace {

ExitCode complainOf(const Diagnostics& diagnostics) {
    for (const Diagnostic& diagnostic : diagnostics)
        std::fprintf(stderr, "%s\n", formatDiagnostic(diagnostic).c_str());
    return ExitCode::PlanWrong;
}

}  // namespace

Opened<Plan> openPlan(const std::filesystem::path& planFile) {
    const Progress progress("Reading the plan");
    auto plan = readPlan(planFile);
    if (!plan) return tl::unexpected(complainOf(plan.error()));
    return std::move(*plan);
}

Opened<Model> openModel(Plan plan) {
    const Progress progress("Building the layers");
    auto model = buildModel(std::move(plan));
    if (!model) return tl::unexpected(complainOf(model.error()));
    return std::move(*model);
}

Opened<Model> openModel(const std::filesystem::path& planFile) {
    auto plan = openPlan(planFile);
    if (!plan) return tl::unexpected(plan.error());
    return openModel(std::move(*plan));
}

Opened<LayerId> openLayer(const Model& model, std::string_view name) {
    std::string names;
    for (size_t i = 0; i < model.layers.size(); ++i) {
        if (model.layers[i].name == name) return static_cast<LayerId>(i);
        if (model.layers[i].role == Role::NativeSoil) continue;
        names += (names.empty() ? "" : ", ") + model.layers[i].name;
    }
    return tl::unexpected(
        badUsage(fmt::format("The plan has no layer \"{}\". Its layers are: {}.", name, names)));
}

ExitCode badUsage(std::string_view sentence) {
    complain(sentence);
    return ExitCode::BadUsage;
}

ExitCode nothingThere(std::string_view sentence) {
    complain(sentence);
    return ExitCode::NothingThere;
}

ExitCode writeAnswer(const std::filesystem::path& file, std::string_view bytes) {
    const auto written = writeFile(file, bytes);
    if (written) return ExitCode::Fine;
    complain(formatDiagnostic(written.error()));
    return ExitCode::CannotWrite;
}

ExitCode writeIfAsked(const std::string& file, const std::function<std::string()>& bytes) {
    return file.empty() ? ExitCode::Fine : writeAnswer(file, bytes());
}

}  // namespace underfoot::command
