#pragma once
// A sound plan that uses every key of the format, and edits of it.

#include <string>
#include <string_view>

#include <gtest/gtest.h>

#include "plan/read_plan.h"

namespace underfoot::test {

inline constexpr double foot = 0.3048, inch = 0.0254;

inline constexpr std::string_view soundPlan = R"(title = "Trial court"
unit = "ft"
show = "ft-in 1/16"
datum = "Door sill is 100 ft"

[baseline]
from = [0, 0]
to = [26, 0]
start = 0
positive = "left"

[finish]
at = [0, 0]
level = "99 ft 8 in"
fall = "1/4 in/ft"
cross_fall = 0

[finishes.upper]
join = "ridge"
planes = [ { at = [0, 0], level = 100, fall = "2 %" }, { at = { s = 13, o = 0 }, level = 100, fall = "1 %", cross_fall = "1:96" } ]

[finishes.spot]
spots = [ { at = [0, 0], level = 100 }, { at = [26, 0], level = 100 }, { at = [0, 20], level = 99.5 } ]

[[build_up]]
name = "panels on sand"
layers = [
  { name = "units", role = "units", thickness = "2 in", material = "concrete unit" },
  { name = "panels", role = "underlayment", thickness = "3/4 in" },
  { name = "sand", role = "bedding", thickness = "1/2 in", least = "1/4 in", greatest = "1 in", beyond = "6 in", take_up = true },
  { name = "fabric", role = "geotextile", thickness = "1/16 in", beyond = "6 in", corners = "round" },
  { name = "fill", role = "fill", lift = "4 in" },
]

[[build_up]]
name = "slab"
layers = [ { name = "plate", role = "slab", thickness = "4 in" } ]

[[area]]
name = "court"
build_up = "panels on sand"
outline = [
  [0, 0],
  [26, 0],
  { s = 26, o = 14 },
  { through = [20, 18], to = [14, 20] },
  [0, 20],
]
openings = [ { circle = { centre = [8, 9], diameter = "4 ft" } }, [[3, 3], [4, 3], [4, 4], [3, 4]] ]
finish = "upper"
around = ["hearth"]
against_wall = [1]
units = { pattern = "running", sizes = [["24 in", "24 in"]], joint = "1/16 in", shift = "1/2", angle = 30, start = [0, 0], chamfer = "1/8 in",
  borders = [ { edges = [2, 3], size = ["12 in", "6 in"], course = "sailor" } ] }
edging = [ { edges = [2, 3], height = "1 3/4 in", thickness = "5/16 in", top = "1/2 in", spikes = { length = "10 in", diameter = "3/8 in", spacing = "12 in", on_curves = "8 in" } } ]

[[area]]
name = "hearth"
build_up = "slab"
polygon = { centre = [18, 8], sides = 6, across_flats = "6 ft", turn = 30 }

[ground]
strip = "4 in"
extend = "nearest"
fill_lifts = "level"
fill_lift = "4 in"
side_slope = "1:2"
shoulder = "6 in"
thin_to = "2 mm"
shots = [
  [0, 0, 99.5],
  { n = "7", at = { s = 4, o = 10 }, height = 98.2, note = "fence post" },
  [26, 20, 98.5],
]
rod = { benchmark = 100, backsight = 4.32, shots = [ [10, 5, 5.5] ] }
string = { from = [0, 18], from_height = 99, to = [20, 18], to_height = 98, shots = [ [10, 18, "6 in"] ] }

[[measured_top]]
layer = "fill"
thin_to = "1/16 in"
shots = [
  [1, 1, 99.2],
  [20, 1, 99.3],
  [1, 18, 99.1],
]

[[pipe]]
name = "rainwater drain"
diameter = "4 in"
points = [ { at = [4, 0.5], invert = 98.2 }, { at = [17, 11], invert = 97.75 } ]

[[fixed]]
kind = "slab"
name = "garage slab"
outline = [[30, 0], [40, 0], [40, 10], [30, 10]]
top = "100 ft"
bottom = "99 ft"

[[limit]]
rule = "bedding.least"
value = "1/4 in"
reason = "Panel maker's sheet asks for no more."

[[cut]]
name = "A"
station = 12

[[cut]]
name = "B"
along = [[0, 5], [26, 5]]
)";

/// The sound plan with `old` (which must be there) replaced once by `fresh`.
inline std::string edited(std::string_view old, std::string_view fresh,
                          std::string text = std::string(soundPlan)) {
    const size_t at = text.find(old);
    EXPECT_NE(at, std::string::npos) << "the sound plan has no " << old;
    if (at != std::string::npos) text.replace(at, old.size(), fresh);
    return text;
}

inline Checked<Plan> readText(std::string_view text, const std::filesystem::path& folder = "nowhere") {
    return readPlanText(text, "trial.toml", folder);
}

inline std::string all(const Diagnostics& faults) {
    std::string text;
    for (const Diagnostic& fault : faults) text += formatDiagnostic(fault) + "\n";
    return text;
}

inline Plan sound(std::string_view text, const std::filesystem::path& folder = "nowhere") {
    auto plan = readText(text, folder);
    EXPECT_TRUE(plan) << (plan ? "" : all(plan.error()));
    return plan ? std::move(*plan) : Plan{};
}

inline int lineOf(std::string_view text, std::string_view mark) {
    const size_t at = text.find(mark);
    EXPECT_NE(at, std::string_view::npos) << mark;
    int line = 1;
    for (size_t i = 0; i < at && i < text.size(); ++i)
        if (text[i] == '\n') ++line;
    return line;
}

}  // namespace underfoot::test
