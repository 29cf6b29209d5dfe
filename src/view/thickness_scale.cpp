#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <glm/vec3.hpp>

#include "measure/length.h"
#include "measure/words.h"
#include "model/model.h"
#include "plan/plan.h"
#include "study/thickness.h"
#include "view/scene_view.h"

namespace underfoot {

namespace {

/// Steps that people count in, in metres, for a way of showing lengths.
std::vector<double> niceSteps(const LengthFormat& format) {
    std::vector<double> steps;
    if (format.style == LengthStyle::FeetInches) {
        for (double inches : {1.0 / 16, 1.0 / 8, 0.25, 0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0})
            if (inches >= 1.0 / format.denominator) steps.push_back(inches * metresPerInch);
        return steps;
    }
    const double unit = format.style == LengthStyle::DecimalFeet ? 0.01 * metresPerFoot : 0.001;
    for (double times : {1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0}) steps.push_back(times * unit);
    return steps;
}

double stepFor(double span, const LengthFormat& format) {
    constexpr double mostSteps = 7;
    const std::vector<double> steps = niceSteps(format);
    for (double step : steps)
        if (span / step <= mostSteps) return step;
    return steps.back();
}

void addTicks(ThicknessScale& scale, const LengthFormat& format) {
    const double span = scale.greatest - scale.least;
    const auto place = [&](double t) { return (t - scale.least) / span; };
    for (const auto& bound : {scale.wantedLeast, scale.wantedGreatest})
        if (bound && *bound >= scale.least - 1e-9 && *bound <= scale.greatest + 1e-9)
            scale.ticks.push_back({place(*bound), formatThickness(*bound, format), true});
    for (double n = std::ceil(scale.least / scale.step - 1e-6); n * scale.step <= scale.greatest + 1e-9;
         ++n) {
        const double p = place(n * scale.step);
        const bool crowded = std::any_of(scale.ticks.begin(), scale.ticks.end(),
                                         [&](const ScaleTick& tick) { return std::abs(tick.at - p) < 0.06; });
        if (!crowded) scale.ticks.push_back({p, formatThickness(n * scale.step, format), false});
    }
    std::sort(scale.ticks.begin(), scale.ticks.end(),
              [](const ScaleTick& a, const ScaleTick& b) { return a.at < b.at; });
}

glm::dvec3 hex(unsigned rgb) {
    return glm::dvec3(rgb >> 16 & 255u, rgb >> 8 & 255u, rgb & 255u) / 255.0;
}

}  // namespace

ThicknessScale thicknessScale(const Model& model, const ThicknessLook& look) {
    ThicknessScale scale;
    const ThicknessField field = thicknessField(model, look.layer, -1, look.least, look.greatest);
    scale.title = capitalised(model.layers[static_cast<size_t>(look.layer)].name);
    scale.wantedLeast = field.wantedLeast;
    scale.wantedGreatest = field.wantedGreatest;
    double least = field.least, greatest = field.greatest;
    if (field.wantedLeast) least = std::min(least, *field.wantedLeast);
    if (field.wantedGreatest) greatest = std::max(greatest, *field.wantedGreatest);
    if (field.wantedLeast) greatest = std::max(greatest, *field.wantedLeast);
    if (field.wantedGreatest) least = std::min(least, *field.wantedGreatest);
    const LengthFormat& format = model.plan.show;
    scale.step = stepFor(std::max(greatest - least, 1e-4), format);
    scale.least = std::max(0.0, std::floor(least / scale.step + 1e-6) * scale.step);
    scale.greatest = std::max(std::ceil(greatest / scale.step - 1e-6) * scale.step, scale.least + scale.step);
    addTicks(scale, format);
    return scale;
}

glm::dvec3 thicknessColour(const ThicknessScale& scale, double t) {
    const glm::dvec3 pale = hex(0xEFEAE0), shortSide = hex(0x5B2A86), over = hex(0x0E7C6B);
    const auto part = [](double by, double span) {
        return 0.28 + 0.72 * std::clamp(by / std::max(span, 1e-6), 0.0, 1.0);
    };
    if (scale.wantedLeast && t < *scale.wantedLeast) {
        const double p = part(*scale.wantedLeast - t, *scale.wantedLeast - scale.least);
        return pale + (shortSide - pale) * p;
    }
    if (scale.wantedGreatest && t > *scale.wantedGreatest) {
        const double p = part(t - *scale.wantedGreatest, scale.greatest - *scale.wantedGreatest);
        return pale + (over - pale) * p;
    }
    return pale;
}

}  // namespace underfoot
