// view: the interactive window.

#include <algorithm>
#include <filesystem>
#include <iterator>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "command/command_line.h"
#include "command/exit_code.h"
#include "command/places.h"
#include "command/session.h"
#include "command/verb.h"
#include "command/verbs.h"
#include "view/scene_view.h"

#ifdef UNDERFOOT_GRAPHICS
#include "window/window.h"
#endif

namespace underfoot::command {

namespace {

struct ViewChoice {
    std::string plan;
    std::string station;
    std::string at;
    double peel = 0;
    double liftApart = 0;
    std::string thickness;
    std::string ask;
    int row = 0;
    std::string raise;
    bool shots = false;
    std::string theme = "light";
    std::string size = "1280x800";
    double scale = 0;
    bool noMotion = false;
    bool client = false;
    std::string screenshot;
    int frames = 3;
};

/// The questions in the window's order.
constexpr const char* askNames[] = {"dig",   "strings", "placed",  "water",
                                    "units", "buy",     "compare", "cautions"};

#ifdef UNDERFOOT_GRAPHICS

/// The places asked for need the plan's unit and baseline: only then is the plan read here.
Opened<WindowOptions> withPlaces(const ViewChoice& choice, WindowOptions options) {
    if (choice.station.empty() && choice.at.empty() && choice.raise.empty()) return options;
    const auto plan = openPlan(choice.plan);
    if (!plan) return tl::unexpected(plan.error());
    if (!choice.station.empty()) {
        const auto station = readStation(choice.station, *plan);
        if (!station) return tl::unexpected(badUsage(station.error()));
        options.station = *station;
    }
    if (!choice.raise.empty()) {
        const auto raise = readLength(choice.raise, *plan);
        if (!raise) return tl::unexpected(badUsage(raise.error()));
        options.raise = *raise;
    }
    if (!choice.at.empty()) {
        const auto place = readStationOffset(choice.at, *plan);
        if (!place) return tl::unexpected(badUsage(place.error()));
        options.place = *place;
    }
    return options;
}

Opened<WindowOptions> toOptions(const ViewChoice& choice) {
    const auto size = readSize(choice.size);
    if (!size) return tl::unexpected(badUsage(size.error()));
    WindowOptions options;
    options.width = size->x;
    options.height = size->y;
    options.scale = choice.scale;
    options.theme = choice.theme == "dark" ? Theme::Dark : Theme::Light;
    options.motion = !choice.noMotion;
    options.clientView = choice.client;
    options.peel = choice.peel;
    options.liftApart = choice.liftApart;
    options.thicknessLayer = choice.thickness;
    const auto asked = std::find(std::begin(askNames), std::end(askNames), choice.ask);
    if (asked != std::end(askNames)) options.question = static_cast<int>(asked - std::begin(askNames)) + 1;
    options.row = choice.row;
    options.shots = choice.shots;
    options.screenshotFile = choice.screenshot;
    options.frames = choice.frames;
    return withPlaces(choice, std::move(options));
}

ExitCode view(const ViewChoice& choice) {
    const auto options = toOptions(choice);
    if (!options) return options.error();
    return static_cast<ExitCode>(openWindow(choice.plan, *options));
}

#else

ExitCode view(const ViewChoice&) {
    complain("This build has no window: build it with UNDERFOOT_GRAPHICS on.");
    return ExitCode::NoGraphics;
}

#endif

}  // namespace

void addView(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto choice = addVerb<ViewChoice>(line, chosen, "view", "Opens the window on a plan",
                                            "underfoot view scenes/courtyard.toml", view, verb);
    verb.addOption("--station", choice->station, "Cut at this station at first");
    verb.addOption("--at", choice->at, "STATION,OFFSET under attention at first");
    verb.addOption("--peel", choice->peel, "Layers peeled back at first: 0 to 1, all").within(0.0, 1.0);
    verb.addOption("--lift-apart", choice->liftApart, "Layers lifted apart at first: 0 to 1")
        .within(0.0, 1.0);
    verb.addOption("--thickness", choice->thickness, "Colour this layer by its thickness at first");
    Option ask = verb.addOption("--ask", choice->ask, "Question that is open at first")
                     .oneOf({"dig", "strings", "placed", "water", "units", "buy", "compare", "cautions"});
    verb.addOption("--row", choice->row, "Row of its answer to look into at first, from 1").needs(ask);
    verb.addOption("--raise", choice->raise, "Raise the finish by this at first, as a what-if");
    verb.addFlag(
        "--shots", choice->shots,
        "Show the shots at first, to be dragged up and down; --at chooses the nearest, --raise raises it");
    verb.addOption("--theme", choice->theme, "light or dark").oneOf({"light", "dark"});
    verb.addOption("--size", choice->size, "WIDTHxHEIGHT of the window").showDefault();
    verb.addOption("--scale", choice->scale, "Pixels to a unit of drawing; 0 asks the screen")
        .within(0.0, 8.0);
    verb.addFlag("--no-motion", choice->noMotion, "Everything jumps to its place");
    verb.addFlag("--client", choice->client, "Nothing but the model and large labels");
    Option screenshot = verb.addOption("--screenshot", choice->screenshot,
                                       "Write what the window shows to this PNG, then leave");
    verb.addOption("--frames", choice->frames, "Frames to draw before the screenshot")
        .within(1, 1000)
        .needs(screenshot);
}

}  // namespace underfoot::command
