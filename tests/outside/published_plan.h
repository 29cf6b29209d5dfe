#pragma once
// Published earthwork as whole plans: the shape that is dug or filled to is the formation of a build-up of
// one layer, 1 ft of base, so that the finish is the published shape 1 ft higher. Lengths in feet. Every side
// of the area stands against a wall, so that nothing but what is published is counted.

#include <string>
#include <string_view>

#include <gtest/gtest.h>

#include "measure/length.h"
#include "model/model.h"
#include "plan/read_plan.h"
#include "study/volumes.h"

namespace underfoot::outside {

inline constexpr double cubicFoot = metresPerFoot * metresPerFoot * metresPerFoot;
inline constexpr double cubicFeetPerCubicYard = 27;

/// The plan's text: area, finish and ground given, the rest the same for all.
inline std::string planText(std::string_view area, int sides, std::string_view finish,
                            std::string_view ground) {
    std::string walls;
    for (int i = 1; i <= sides; ++i) walls += (i > 1 ? ", " : "") + std::to_string(i);
    std::string text = "title = \"Published earthwork\"\nunit = \"ft\"\n";
    text += "baseline = { from = [0, -1000], to = [1, -1000] }\n";
    text += "finish = { " + std::string(finish) + " }\n";
    text += "area = [{ name = \"dig\", build_up = \"base\", " + std::string(area) + ", against_wall = [" +
            walls + "] }]\n";
    text +=
        "[[build_up]]\nname = \"base\"\nlayers = [ { name = \"base\", role = \"base\", thickness = \"1 ft\" "
        "} ]\n";
    text += "[ground]\nextend = \"nearest\"\n" + std::string(ground) + "\n";
    return text;
}

inline Plan mustRead(const std::string& text) {
    auto plan = readPlanText(text, "published.toml", ".");
    if (plan) return *plan;
    for (const Diagnostic& d : plan.error()) ADD_FAILURE() << formatDiagnostic(d) << "\n" << text;
    return {};
}

inline Model mustBuild(const Plan& plan) {
    auto model = buildModel(plan);
    if (!model) {
        for (const Diagnostic& d : model.error()) ADD_FAILURE() << formatDiagnostic(d);
        return {};
    }
    const auto fault = modelFault(*model);
    EXPECT_FALSE(fault.has_value()) << *fault;
    return *std::move(model);
}
inline Model mustBuild(const std::string& text) {
    return mustBuild(mustRead(text));
}

struct Earthwork {
    double cut = 0;   // ft³
    double fill = 0;  // ft³, inside the area
};

inline Earthwork earthworkOf(const Model& model) {
    const Volumes v = volumes(model);
    Earthwork e;
    e.cut = v.cut / cubicFoot;
    for (const LayerVolume& layer : v.layers) {
        if (model.layers[static_cast<size_t>(layer.layer)].role == Role::Fill)
            e.fill += layer.insideVolume / cubicFoot;
    }
    return e;
}

}  // namespace underfoot::outside
