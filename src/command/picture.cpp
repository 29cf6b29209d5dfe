// picture: the model in 3D as a PNG, with no window.

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "command/command_line.h"
#include "command/cut_line.h"
#include "command/exit_code.h"
#include "command/places.h"
#include "command/session.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "command/verbs.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "study/section.h"
#include "view/camera.h"
#include "view/scene_view.h"

#ifdef UNDERFOOT_GRAPHICS
#include "view/picture.h"
#endif

namespace underfoot::command {

namespace {

struct PictureChoice {
    std::string plan;
    std::string file;
    std::string from = "three-quarter";
    CutChoice cut;
    double peel = 0;
    double liftApart = 0;
    std::string thickness;
    std::vector<std::string> hidden;
    std::string theme = "light";
    std::string size = "1600x1000";
    bool noLabels = false;
    bool client = false;
};

#ifdef UNDERFOOT_GRAPHICS

constexpr double clientTextScale = 1.5;

/// Layers, cuts and places that the choice names, found in the model.
Opened<PictureOptions> toOptions(const Model& model, const PictureChoice& choice) {
    PictureOptions options;
    const auto size = readSize(choice.size);
    if (!size) return tl::unexpected(badUsage(size.error()));
    options.width = size->x;
    options.height = size->y;
    options.camera = choice.from == "above" ? planView(model) : threeQuarterView(model);
    options.labels = !choice.noLabels;
    if (choice.client) options.textScale = clientTextScale;
    Look& look = options.look;
    look.theme = choice.theme == "dark" ? Theme::Dark : Theme::Light;
    look.quality = Quality::Fine;
    look.peel = choice.peel;
    look.liftApart = choice.liftApart;
    if (choice.cut.given()) {
        const auto cut = chooseCut(model, choice.cut);
        if (!cut) return tl::unexpected(cut.error());
        look.cut = cutToward(cut->section.line, options.camera);
        if (choice.from != "above") options.camera = facingCut(model, *look.cut);
        options.subtitle = cut->title;
    }
    return options;
}

Opened<PictureOptions> withLayers(const Model& model, const PictureChoice& choice, PictureOptions options) {
    if (!choice.thickness.empty()) {
        const auto layer = openLayer(model, choice.thickness);
        if (!layer) return tl::unexpected(layer.error());
        options.look.thickness = ThicknessLook{*layer, {}, {}};
    }
    options.look.hidden.assign(model.layers.size(), 0);
    for (const std::string& name : choice.hidden) {
        const auto layer = openLayer(model, name);
        if (!layer) return tl::unexpected(layer.error());
        options.look.hidden[static_cast<size_t>(*layer)] = 1;
    }
    return options;
}

ExitCode picture(const PictureChoice& choice) {
    if (std::filesystem::path(choice.file).extension() != ".png")
        return badUsage("Pictures are written as PNG: end the file's name in .png.");
    auto model = openModel(choice.plan);
    if (!model) return model.error();
    auto options = toOptions(*model, choice);
    if (options) options = withLayers(*model, choice, std::move(*options));
    if (!options) return options.error();
    const Catalogue catalogue = loadCatalogue(model->plan);
    const Progress progress("Drawing");
    return writeAnswer(choice.file, encodePng(renderPicture(*model, catalogue, *options)));
}

#else

ExitCode picture(const PictureChoice&) {
    complain("This build has no pictures: build it with UNDERFOOT_GRAPHICS on.");
    return ExitCode::NoGraphics;
}

#endif

}  // namespace

void addPicture(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto choice = addVerb<PictureChoice>(
        line, chosen, "picture", "Draws the layers in 3D into a PNG, without a window",
        "underfoot picture scenes/courtyard.toml out/courtyard.png --cut A", picture, verb);
    verb.addOption("OUT.png", choice->file, "The picture's file").required();
    addCutOptions(verb, choice->cut);
    verb.addOption("--from", choice->from, "Where to look from: three-quarter or above")
        .oneOf({"three-quarter", "above"})
        .showDefault();
    verb.addOption("--peel", choice->peel, "Layers to take back from the top, stepwise").within(0.0, 100.0);
    verb.addOption("--lift-apart", choice->liftApart, "Lift the layers apart: 0 together to 1 fully")
        .within(0.0, 1.0);
    verb.addOption("--thickness", choice->thickness, "Colour this layer by its thickness");
    verb.addOption("--hide", choice->hidden, "A layer to leave out; may be given again").repeated();
    verb.addOption("--theme", choice->theme, "light or dark").oneOf({"light", "dark"});
    verb.addOption("--size", choice->size, "WIDTHxHEIGHT in pixels").showDefault();
    verb.addFlag("--no-labels", choice->noLabels, "Leave the labels out");
    verb.addFlag("--client", choice->client, "Larger words, for showing to a client");
}

}  // namespace underfoot::command
