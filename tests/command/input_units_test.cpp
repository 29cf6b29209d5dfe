// The unit that a plan's numbers count in is the writer's own affair: the same patio written in feet, inches
// and millimetres gives the same answers, word for word.

#include <gtest/gtest.h>

#include <string>

#include "command/run_underfoot.h"

namespace underfoot::test {
namespace {

/// The plan below with each number that stands in "@…@" feet written in the unit. Feet with at most four
/// decimals are exact in all of them: 1 ft = 12 in = 304.8 mm.
constexpr const char* plan = R"(title = "Written in many units"
show = "ft-in 1/16"
[baseline]
from = [@0@, @0@]
to = [@16@, @0@]
[finish]
at = [@0@, @0@]
level = @100@
fall = "1/4 in/ft"
[[build_up]]
name = "stone base"
layers = [
  { name = "units", role = "units", thickness = @0.1875@ },
  { name = "bedding", role = "bedding", thickness = @0.0833@, take_up = true },
  { name = "base", role = "base", thickness = @0.3333@, beyond = @0.5@, lift = @0.3333@ },
  { name = "fabric", role = "geotextile", thickness = @0.0052@, beyond = @0.5@ },
  { name = "fill", role = "fill", lift = @0.3333@ },
]
[[area]]
name = "walk"
build_up = "stone base"
outline = [ [@0@, @0@], [@16@, @0@], [@16@, @8@], [@10.5@, @11.25@], [@0@, @8@] ]
against_wall = [1]
units = { pattern = "running", sizes = [[@0.6667@, @0.3333@]], joint = @0.0104@, shift = "1/2" }
edging = [ { edges = [2, 5], height = @0.1458@, thickness = @0.026@, top = @0.0417@, spikes = { spacing = @1@ } } ]
[ground]
strip = @0.3333@
side_slope = "1:2"
soil = "clay"
shots = [ [@-4@, @-4@, @99.5@], [@20@, @-4@, @99.25@], [@20@, @15@, @97.5@], [@-4@, @15@, @99.75@], [@8@, @5@, @98.9@] ]
[[measured_top]]
layer = "base"
shots = [ [@1@, @1@, @99.7@], [@15@, @1@, @99.71@], [@15@, @7@, @99.58@], [@1@, @7@, @99.57@], [@8@, @4@, @99.66@] ]
[[pipe]]
name = "drain"
diameter = @0.3333@
points = [ { at = [@2@, @1@], invert = @98@ }, { at = [@20@, @12@], invert = @97.5@ } ]
[[fixed]]
kind = "wall"
name = "pier"
rectangle = { corner = [@5@, @10.5@], size = [@1@, @1@] }
top = @102@
bottom = @98.75@
[[fire]]
name = "bowl"
circle = { centre = [@12@, @6@], diameter = @2@ }
[[sill]]
name = "door"
at = [@4@, @0@]
height = @100.4@
[[variant]]
name = "deep"
layers = [ { layer = "base", thickness = @0.5@ } ]
raise = @-0.0833@
[[cut]]
name = "A"
station = @7.5@
)";

struct Unit {
    const char* name;
    double inFeet;  ///< how many make a foot
};

std::string planIn(const Unit& unit) {
    std::string text = std::string("unit = \"") + unit.name + "\"\n";
    bool number = false;
    for (const std::string& line : linesOf(plan)) {
        for (size_t from = 0; from <= line.size();) {
            const size_t to = std::min(line.find('@', from), line.size());
            const std::string part = line.substr(from, to - from);
            char written[32] = "";
            if (number) std::snprintf(written, sizeof written, "%.8g", std::stod(part) * unit.inFeet);
            text += number ? written : part;
            number = to < line.size() && !number;
            from = to + 1;
        }
        text += '\n';
    }
    return text;
}

TEST(InputUnits, ChangeNoAnswer) {
    const Folder folder;
    writeText(folder / "ft.toml", planIn({"ft", 1}));
    for (const char* verb :
         {"check", "volumes", "earthwork --every 4ft", "stakes --grid 4ft", "placed", "water", "units",
          "takeoff --why all", "takeoff", "compare --raise 1in --balance", "cautions", "section --cut A",
          "thickness --at 8ft,4ft"}) {
        const std::string words = std::string(verb).substr(0, std::string(verb).find(' '));
        const std::string rest = std::string(verb).substr(words.size());
        const Ran feet = underfoot(words + " ft.toml" + rest, folder.path());
        ASSERT_LE(feet.code, 1) << feet.err;
        ASSERT_GT(feet.out.size(), 100u) << verb;
        for (const Unit& unit : {Unit{"in", 12}, Unit{"mm", 304.8}}) {
            writeText(folder / "other.toml", planIn(unit));
            const Ran other = underfoot(words + " other.toml" + rest, folder.path());
            EXPECT_EQ(other.out, feet.out) << verb << " in " << unit.name << '\n' << other.err;
        }
    }
}

}  // namespace
}  // namespace underfoot::test
