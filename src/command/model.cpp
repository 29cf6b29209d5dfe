// model: the layers as a .glb file for any 3D program.

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "command/command_line.h"
#include "command/exit_code.h"
#include "command/session.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "command/verbs.h"
#include "measure/diagnostic.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "share/gltf.h"

namespace underfoot::command {

namespace {

struct ModelOptions {
    std::string plan;
    std::string file;
    std::vector<std::string> layers;
    bool noTextures = false;
    bool noGround = false;
};

Opened<GltfOptions> toOptions(const Model& model, const ModelOptions& options) {
    GltfOptions out;
    out.textures = !options.noTextures;
    out.ground = !options.noGround;
    for (const std::string& name : options.layers) {
        const auto layer = openLayer(model, name);
        if (!layer) return tl::unexpected(layer.error());
        out.layers.push_back(*layer);
    }
    return out;
}

ExitCode writeModel(const ModelOptions& options) {
    if (std::filesystem::path(options.file).extension() != ".glb")
        return badUsage("Models are written as binary glTF: end the file's name in .glb.");
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    const auto gltf = toOptions(*model, options);
    if (!gltf) return gltf.error();
    const Progress progress("Writing the model");
    const auto bytes = gltfBytes(*model, loadCatalogue(model->plan), *gltf);
    if (!bytes) return nothingThere(formatDiagnostic(bytes.error()));
    return writeAnswer(options.file, *bytes);
}

}  // namespace

void addModel(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto options =
        addVerb<ModelOptions>(line, chosen, "model", "Writes the layers as a .glb file for any 3D program",
                              "underfoot model scenes/courtyard.toml out/courtyard.glb", writeModel, verb);
    verb.addOption("OUT.glb", options->file, "The model's file").required();
    verb.addOption("--layer", options->layers, "Only this layer; may be given again").repeated();
    verb.addFlag("--no-textures", options->noTextures, "Plain colours: a smaller file");
    verb.addFlag("--no-ground", options->noGround, "Leave the soil around and below out");
}

}  // namespace underfoot::command
