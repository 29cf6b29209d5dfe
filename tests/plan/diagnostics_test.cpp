// Every fault that a plan can have, each as a named edit of the sound plan: where it is told, what is said,
// what to do.

#include <algorithm>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "plan_text.h"

namespace underfoot {
namespace {

struct Case {
    const char* name;
    const char* old;     ///< what is replaced in the sound plan; "" adds at the end
    const char* fresh;   ///< what stands there instead
    const char* mark;    ///< stands in the line that the fault is told at; "" for the file as a whole
    const char* what;    ///< part of what is said
    const char* remedy;  ///< part of what to do
};

void PrintTo(const Case& c, std::ostream* out) {
    *out << c.name;
}

class PlanFault : public testing::TestWithParam<Case> {};

TEST_P(PlanFault, isTold) {
    const Case& c = GetParam();
    const std::string text = *c.old ? test::edited(c.old, c.fresh) : std::string(test::soundPlan) + c.fresh;
    const auto plan = test::readText(text);
    ASSERT_FALSE(plan) << "the plan was accepted";
    const int line = *c.mark ? test::lineOf(text, c.mark) : 0;
    const bool told = std::any_of(plan.error().begin(), plan.error().end(), [&](const Diagnostic& d) {
        return d.place.file == "trial.toml" && d.place.line == line && (line == 0) == (d.place.column == 0) &&
               d.what.find(c.what) != std::string::npos && d.remedy.find(c.remedy) != std::string::npos;
    });
    EXPECT_TRUE(told) << "wanted line " << line << ": " << c.what << " | " << c.remedy << "\ngot\n"
                      << test::all(plan.error());
    for (const Diagnostic& d : plan.error()) {
        EXPECT_TRUE(d.what.ends_with('.')) << d.what;
        EXPECT_FALSE(d.what.front() >= 'a' && d.what.front() <= 'z') << d.what;
        EXPECT_TRUE(d.remedy.ends_with('.') || d.remedy.ends_with('?')) << d.remedy;
    }
}

constexpr const char* hearth =
    "polygon = { centre = [18, 8], sides = 6, across_flats = \"6 ft\", turn = 30 }";

const Case words[]{
    {"unknownKeyOfThePlan", "title =", "titel =", "titel", "\"titel\" is no key of the plan", "\"title\""},
    {"unknownKeyOfALayer", "take_up = true", "takeup = true", "takeup",
     "\"takeup\" is no key of the layer \"sand\"", "\"take_up\""},
    {"unknownKeyOfAnArea", "against_wall", "against_walls", "against_walls",
     "is no key of the area \"court\"", "\"against_wall\""},
    {"unknownKeyOfAFinish", "cross_fall = 0", "crossfall = 0", "crossfall", "is no key of the finish",
     "\"cross_fall\""},
    {"unknownKeyOfTheGround", "side_slope", "slope_side", "slope_side", "is no key of the ground",
     "Known are"},
    {"unknownKeyOfASpike", "on_curves", "on_curve", "on_curve", "is no key of the spikes", "\"on_curves\""},
    {"unknownRole", "\"bedding\"", "\"beding\"", "beding", "\"beding\" is no role", "\"bedding\""},
    {"roleThatIsNeverWritten", "\"bedding\"", "\"native soil\"", "native soil", "never written", "by itself"},
    {"missingRole", "role = \"bedding\", ", "", "\"sand\"", "\"role\" of the layer \"sand\" is missing",
     "Write role"},
    {"unknownPattern", "\"running\"", "\"runing\"", "runing", "can't be \"runing\"", "\"running\""},
    {"unknownRule", "\"bedding.least\"", "\"beding.least\"", "beding.least", "no rule \"beding.least\"",
     "\"bedding.least\""},
    {"unknownBuildUp", "build_up = \"panels on sand\"", "build_up = \"panels on snad\"", "[[area]]",
     "\"panels on snad\", which is not there", "\"panels on sand\""},
    {"unknownFinish", "finish = \"upper\"", "finish = \"uper\"", "[[area]]",
     "the finish \"uper\", which is not there", "\"upper\""},
    {"unknownAreaAround", "around = [\"hearth\"]", "around = [\"heart\"]", "[[area]]",
     "around \"heart\", which is not there", "\"hearth\""},
    {"unknownLayerMeasured", "layer = \"fill\"", "layer = \"fil\"", "[[measured_top]]",
     "the layer \"fil\", which no build-up has", "\"fill\""},
    {"unknownMaterial", "\"concrete unit\"", "\"concrete units\"", "concrete units",
     "no material \"concrete units\"", "\"concrete unit\""},
    {"unknownUnit", "unit = \"ft\"", "unit = \"feet\"", "feet", "can't be \"feet\"", "\"ft\""},
    {"unknownWayToShow", "\"ft-in 1/16\"", "\"ft-in 1/12\"", "1/12", "can't be \"ft-in 1/12\"", "ft-in 1/"},
    {"unknownCorners", "\"round\"", "\"rounded\"", "rounded", "can't be \"rounded\"", "\"round\""},
    {"unknownCourse", "\"sailor\"", "\"saylor\"", "saylor", "can't be \"saylor\"", "\"sailor\""},
    {"unknownExtend", "\"nearest\"", "\"near\"", "\"near\"", "can't be \"near\"", "\"nearest\""},
    {"unknownKind", "kind = \"slab\"", "kind = \"shed\"", "shed", "can't be \"shed\"", "\"slab\""},
    {"unknownJoin", "\"ridge\"", "\"rigde\"", "rigde", "can't be \"rigde\"", "\"ridge\""},
    {"missingUnit", "unit = \"ft\"\n", "", "title", "\"unit\" of the plan is missing", "Write unit"},
    {"areaCalledAll", "name = \"hearth\"", "name = \"all\"", "[[area]]\nname = \"all\"",
     "stands for all areas", "another name"},
    {"areaAroundItself", "around = [\"hearth\"]", "around = [\"court\"]", "[[area]]", "around itself",
     "Delete"},
    {"areasAroundEachOther", "build_up = \"slab\"", "build_up = \"slab\"\naround = [\"court\"]",
     "[[area]]\nname = \"hearth\"", "around each other", "outer"},
    {"threeAreasAroundEachOther", hearth,
     "circle = { centre = [18, 8], diameter = 2 }\naround = [\"pit\"]\n[[area]]\nname = \"pit\"\nbuild_up = "
     "\"slab\"\naround = [\"court\"]\ncircle = { centre = [18, 8], diameter = 1 }",
     "[[area]]", "The areas \"court\", \"hearth\" and \"pit\" lie around each other in a ring", "innermost"},
    {"singleBrackets", "[[pipe]]", "[pipe]", "[pipe]", "two brackets", "[[pipe]]"},
};

const Case values[]{
    {"lengthThatCannotBeRead", "thickness = \"3/4 in\"", "thickness = \"3/4 inn\"", "3/4 inn",
     "can't be read as a length", "3/8 in"},
    {"lengthWithAComma", "\"3/4 in\"", "\"0,75 in\"", "0,75", "comma", "3/8 in"},
    {"fractionWithoutUnit", "\"3/4 in\"", "\"3/4\"", "\"3/4\"", "needs its unit", "plain number is in ft"},
    {"lengthThatIsAList", "\"3/4 in\"", "[1]", "thickness = [1]", "must be a length, not a list",
     "Write it like"},
    {"slopeThatCannotBeRead", "fall = \"1/4 in/ft\"", "fall = \"1/4\"", "fall = \"1/4\"",
     "can't be read as a slope", "1/4 in/ft"},
    {"percentWithoutItsSign", "fall = \"1/4 in/ft\"", "fall = 2", "fall = 2", "200 %", "\"2 %\""},
    {"slopeTooSteep", "fall = \"1/4 in/ft\"", "fall = \"80 %\"", "80 %", "at most 50 %", "Check"},
    {"sideSlopeOfNothing", "side_slope = \"1:2\"", "side_slope = 0", "side_slope", "more than 0 %", "Check"},
    {"textThatIsANumber", "title = \"Trial court\"", "title = 3", "title", "must be a text, not a number",
     "quote marks"},
    {"flagThatIsAText", "take_up = true", "take_up = \"yes\"", "take_up", "must be true or false, not a text",
     "true or false"},
    {"shiftThatCannotBeRead", "shift = \"1/2\"", "shift = \"half\"", "half", "can't be read as a number",
     "1/2"},
    {"angleThatCannotBeRead", "turn = 30", "turn = \"a third\"", "a third", "as an angle", "degrees"},
    {"notANumber", "level = 100, fall = \"2 %\"", "level = nan, fall = \"2 %\"", "nan",
     "not a number that can be used", "plain number"},
    {"infinite", "[26, 0],", "[inf, 0],", "[inf", "not a number that can be used", "plain number"},
    {"infiniteSlope", "cross_fall = 0", "cross_fall = inf", "inf", "not a number that can be used",
     "plain number"},
    {"datesAreNoValues", "title = \"Trial court\"", "title = 2026-01-01", "title", "not a date",
     "quote marks"},
    {"negativeThickness", "\"3/4 in\"", "\"-3/4 in\"", "-3/4", "must be more than 0\"", "Check"},
    {"noThickness", "\"3/4 in\"", "0", "thickness = 0 ", "must be more than 0\"", "Check"},
    {"missingThickness", ", thickness = \"3/4 in\"", "", "\"panels\", role",
     "\"thickness\" of the layer \"panels\" is missing", "Write thickness"},
    {"thicknessOverThreeMetres", "\"3/4 in\"", "\"12 ft\"", "12 ft", "at most 9' 10",
     "Check the number and its unit"},
    {"unitOverFiveMetres", "[\"24 in\", \"24 in\"]", "[24, 2]", "[24, 2]", "at most 16' 4", "Check"},
    {"unitOfNoWidth", "[\"24 in\", \"24 in\"]", "[2, 0]", "[2, 0]", "more than 0\"", "Check"},
    {"leastAboveGreatest", "least = \"1/4 in\"", "least = \"2 in\"", "2 in\", greatest",
     "least thickness of the layer \"sand\" is more than its greatest", "Swap"},
    {"thicknessOutsideItsRange", "thickness = \"1/2 in\", least", "thickness = \"2 in\", least", "\"sand\"",
     "outside its own least and greatest", "Mend"},
    {"fillWithAThickness", "role = \"fill\", lift", "role = \"fill\", thickness = 1, lift", "role = \"fill\"",
     "Fill has no thickness of its own", "Delete"},
    {"negativeLimit", "value = \"1/4 in\"", "value = \"-1/4 in\"", "-1/4", "at least 0\"", "Check"},
    {"limitWithoutAReason", "reason = \"Panel maker's sheet asks for no more.\"", "", "[[limit]]",
     "\"reason\" of a limit is missing", "local code"},
    {"limitWithoutAValue", "value = \"1/4 in\"", "", "[[limit]]", "\"value\" of a limit is missing",
     "Write value"},
    {"heightBeyondTheEarth", "level = \"99 ft 8 in\"", "level = \"99 mm 8 in\"", "99 mm 8 in",
     "can't be read", "Write it like"},
    {"tooHigh", "level = \"99 ft 8 in\"", "level = 99000", "99000", "at most", "unit"},
};

const Case outlines[]{
    {"outlineThatCrossesItself", hearth, "outline = [[15, 5], [20, 9], [20, 5], [15, 9]]", "outline = [[15",
     "crosses or touches itself at x 17' 6\", y 7' 0\": edges 1 and 3", "order of the corners"},
    {"cornerOnAnotherSide", hearth, "outline = [[15, 5], [20, 5], [20, 9], [17, 5], [15, 9]]",
     "outline = [[15", "crosses or touches itself at x 17' 0\", y 5' 0\"", "order"},
    {"arcThatCrossesASide", hearth,
     "outline = [[15, 5], {through = [17, 10], to = [19, 5]}, [19, 12], [15, 12]]", "outline = [[15",
     "crosses or touches itself", "order"},
    {"fewerThanThreeCorners", hearth, "outline = [[15, 5], [20, 9]]", "outline = [[15",
     "fewer than three corners", "at least three"},
    {"noCorners", hearth, "outline = []", "outline = []", "fewer than three corners", "at least three"},
    {"openOutlineOfTwoWays", hearth, "outline = [[15, 5], [20, 9], [15, 5]]", "outline = [[15",
     "fewer than three corners", "at least three"},
    {"cornersInLine", hearth, "outline = [[15, 5], [16, 5], [17, 5]]", "outline = [[15",
     "crosses or touches itself", "order"},
    {"cornerTwice", hearth, "outline = [[15, 5], [15, 5], [20, 5], [20, 9]]", "outline = [[15",
     "stands on the one before it, at x 15' 0\"", "Delete"},
    {"arcThatStartsTheOutline", hearth, "outline = [{through = [1, 1], to = [2, 0]}, [3, 5], [1, 5]]",
     "outline = [{", "starts with an arc", "Start it with a corner"},
    {"arcThatIsStraight", hearth, "outline = [[15, 5], {through = [16, 5], to = [17, 5]}, [17, 9]]",
     "outline = [[15", "lies on the straight line of its ends", "straight edge"},
    {"arcBackToItsStart", hearth, "outline = [[15, 5], {through = [16, 6], to = [15, 5]}, [17, 9], [15, 9]]",
     "outline = [[15", "stands on the one before it", "full circle"},
    {"arcWithoutItsEnd", hearth, "outline = [[15, 5], {through = [16, 6]}, [17, 9]]", "outline = [[15",
     "\"to\" of an arc", "through"},
    {"pointOfThree", hearth, "outline = [[15, 5, 1], [16, 6], [17, 9]]", "outline = [[15",
     "must be a point, not a list of 3", "[x, y]"},
    {"stationWithoutItsOffset", hearth, "outline = [{ s = 4 }, [16, 6], [17, 9]]", "outline = [{", "\"o\" of",
     "offset"},
    {"noOutline", hearth, "", "[[area]]\nname = \"hearth\"", "The area \"hearth\" has no outline.",
     "rectangle"},
    {"twoOutlines", hearth,
     "circle = { centre = [1, 1], diameter = 1 }\nrectangle = { corner = [0, 0], size = [1, 1] }",
     "[[area]]\nname = \"hearth\"", "more than one outline", "one of"},
    {"polygonOfTwoSides", "sides = 6", "sides = 2", "sides = 2", "whole number from 3 to 360", "sides = 6"},
    {"rectangleOfNoWidth", hearth, "rectangle = { corner = [0, 0], size = [1, 0] }", "rectangle",
     "more than 0\"", "Check"},
    {"planOverOneKilometre", hearth, "rectangle = { corner = [0, 0], size = [3000, 4000] }", "rectangle",
     "at most 3280' 10", "unit"},
    {"outlineOverOneKilometre", hearth, "outline = [[0, 0], [3300, 0], [0, 10]]", "outline = [[0, 0], [3300",
     "more than 1 km", "unit"},
    {"areaFarFromTheOthers", "centre = [18, 8]", "centre = [18000, 8]", "[[area]]\nname = \"hearth\"",
     "more than 1 km from the area \"court\"", "one point"},
    {"edgeThatDoesNotExist", "against_wall = [1]", "against_wall = [6]", "against_wall",
     "names edge 6, and the outline has 5 edges", "from 1"},
    {"edgeZero", "against_wall = [1]", "against_wall = [0]", "against_wall", "names edge 0", "from 1"},
    {"edgeThatIsNotWhole", "against_wall = [1]", "against_wall = [1.5]", "against_wall",
     "must be whole numbers", "from 1"},
    {"edgeOfABorder", "edges = [2, 3], size", "edges = [2, 9], size", "edges = [2, 9]", "names edge 9",
     "from 1"},
    {"edgeOfAnEdging", "edges = [2, 3], height", "edges = [-1], height", "edges = [-1]", "names edge -1",
     "from 1"},
    {"openingThatCrossesItself", "[[3, 3], [4, 3], [4, 4], [3, 4]]", "[[3, 3], [4, 4], [4, 3], [3, 4]]",
     "openings", "an opening of the area \"court\" crosses", "order"},
    {"openingOutsideItsArea", "[[3, 3], [4, 3], [4, 4], [3, 4]]", "[[33, 3], [34, 3], [34, 4], [33, 4]]",
     "openings", "An opening of the area \"court\" reaches past its outline", "inside"},
    {"openingAcrossASide", "[[3, 3], [4, 3], [4, 4], [3, 4]]", "[[3, -1], [4, -1], [4, 4], [3, 4]]",
     "openings", "reaches past its outline, at x 3' 0\", y -1' 0\"", "Move the opening inside"},
    {"openingRoundItsArea", "[[3, 3], [4, 3], [4, 4], [3, 4]]", "[[-3, -3], [44, -3], [44, 44], [-3, 44]]",
     "openings", "reaches past its outline", "Move the opening inside"},
    {"baselineOfNoLength", "to = [26, 0]\nstart", "to = [0, 0]\nstart", "[baseline]", "one place", "Mend"},
    {"cutOfOnePoint", "along = [[0, 5], [26, 5]]", "along = [[0, 5]]", "along = [[0, 5]]",
     "fewer than two points", "along"},
    {"cutWithoutALine", "station = 12", "", "[[cut]]", "has no line", "station = 12"},
    {"cutOfTwoLines", "station = 12", "station = 12\nalong = [[0, 5], [1, 5]]", "[[cut]]",
     "more than one line", "station = 12"},
    {"pipeOfOnePoint", ", { at = [17, 11], invert = 97.75 }", "", "[[pipe]]", "fewer than two points",
     "two ends"},
    {"fixedThingUpsideDown", "top = \"100 ft\"", "top = \"98 ft\"", "top = \"98 ft\"", "not above its bottom",
     "Swap"},
};

const Case layers[]{
    {"buildUpThatNoAreaUses", "",
     "\n[[build_up]]\nname = \"spare\"\nlayers = [ { role = \"slab\", thickness = \"4 in\" } ]\n",
     "[[build_up]]\nname = \"spare\"", "No area has the build-up \"spare\"", "delete it"},
    {"buildUpWithoutLayers", "layers = [ { name = \"plate\", role = \"slab\", thickness = \"4 in\" } ]",
     "layers = []", "layers = []", "has no layers", "top first"},
    {"twoTakeUps", "role = \"underlayment\", thickness = \"3/4 in\"",
     "role = \"underlayment\", thickness = \"3/4 in\", take_up = true", "name = \"sand\"",
     "both \"panels\" (line 29) and \"sand\" take up", "take_up in one"},
    {"twoFills", "{ name = \"fill\", role = \"fill\", lift = \"4 in\" },",
     "{ name = \"fill\", role = \"fill\" }, { name = \"more\", role = \"fill\" },", "name = \"more\"",
     "both \"fill\" (line 32) and \"more\" are fill", "Keep one"},
    {"oneNameTwoRoles", "name = \"plate\", role = \"slab\"", "name = \"sand\", role = \"slab\"",
     "name = \"sand\", role = \"slab\"", "\"sand\" is slab here and bedding in line 30", "another name"},
    {"layerTwice", "name = \"panels\"", "name = \"units\"", "role = \"underlayment\"",
     "a second layer \"units\"; the first is in line 28", "own name"},
    {"buildUpTwice", "name = \"slab\"\nlayers", "name = \"panels on sand\"\nlayers",
     "[[build_up]]\nname = \"panels on sand\"\nlayers = [ {", "a second build-up", "own name"},
    {"areaTwice", "name = \"hearth\"", "name = \"court\"", "[[area]]\nname = \"court\"\nbuild_up = \"slab\"",
     "a second area \"court\"", "own name"},
    {"cutTwice", "name = \"B\"", "name = \"A\"", "[[cut]]\nname = \"A\"\nalong", "a second cut \"A\"",
     "own name"},
    {"measuredTwice", "",
     "\n[[measured_top]]\nlayer = \"fill\"\nshots = [[0, 0, 99], [1, 0, 99], [0, 1, 99]]\n",
     "[[measured_top]]\nlayer = \"fill\"\nshots = [[0", "a second measured top of \"fill\"", "delete one"},
    {"limitTwice", "", "\n[[limit]]\nrule = \"bedding.least\"\nvalue = \"1 in\"\nreason = \"again\"\n",
     "[[limit]]\nrule = \"bedding.least\"\nvalue = \"1 in\"", "a second limit for \"bedding.least\"",
     "delete one"},
    {"unitsWithoutALayerOfUnits", hearth,
     "circle = { centre = [18, 8], diameter = 3 }\nunits = { sizes = [[1, 1]] }", "units = { sizes = [[1",
     "no layer of units", "role = \"units\""},
    {"unitsWithoutASize", "sizes = [[\"24 in\", \"24 in\"]], ", "", "units = {", "\"sizes\" of", "24 in"},
    {"repeatWithoutItsCell", "\"running\"", "\"repeat\"", "\"repeat\"", "\"step\" of", "cell that repeats"},
    {"noFinish", "[finish]\n", "[finishes.other]\n", "[[area]]\nname = \"hearth\"",
     "own finish, and there is none", "[finish]"},
    {"finishInTwoWays", "cross_fall = 0", "spots = []", "[finish]", "more than one way", "Keep one"},
    {"finishWithoutALevel", "level = \"99 ft 8 in\"", "", "[finish]", "\"level\" of the finish is missing",
     "Write level"},
    {"planesThatDoNotSayHowTheyJoin", "join = \"ridge\"", "", "[finishes.upper]",
     "does not say how they join", "ridge"},
};

const Case shots[]{
    {"fewerThanThreeShots", "  [20, 1, 99.3],\n  [1, 18, 99.1],\n", "", "[[measured_top]]",
     "There are 1 shots of the measured top of \"fill\"", "Add shots"},
    {"shotsInLine", "[1, 18, 99.1]", "[39, 1, 99.1]", "[[measured_top]]", "lie in one line", "side"},
    {"twoHeightsAtOnePlace", "[20, 1, 99.3],", "[20, 1, 99.3],\n  [20, 1, 99.4],", "[20, 1, 99.4]",
     "one place (x 20' 0\", y 1' 0\") with different heights: 99' 3 5/8\" in line 83", "Keep the right one"},
    {"twoSpotLevelsAtOnePlace", "{ at = [0, 20], level = 99.5 } ]",
     "{ at = [0, 20], level = 99.5 }, { at = [0, 20], level = 99 } ]", "spots =", "different heights",
     "Keep"},
    {"spotLevelsInLine", "{ at = [0, 20], level = 99.5 }", "{ at = [10, 0], level = 99.5 }",
     "[finishes.spot]", "one line", "side"},
    {"shotOfTwoNumbers", "[20, 1, 99.3]", "[20, 1]", "[20, 1]", "is a list of 2", "[x, y, height]"},
    {"shotWithoutAHeight", "height = 98.2, ", "", "n = \"7\"",
     "\"height\" of a shot of the ground is missing", "Write height"},
    {"shotFarAway", "[26, 20, 98.5]", "[26, 2000000, 98.5]", "2000000", "more than 1 km from the areas",
     "unit"},
    {"shotBesideItsString", "[10, 18, \"6 in\"]", "[10, 12, \"6 in\"]", "[10, 12",
     "lies 6' 0\" beside its string", "right under"},
    {"shotPastItsString", "[10, 18, \"6 in\"]", "[30, 18, \"6 in\"]", "[30, 18", "past the end of its string",
     "ends of the string"},
    {"stringOfNoLength", "to = [20, 18]", "to = [0, 18]", "to = [0, 18]", "stand at one place", "Mend"},
    {"rodWithoutABenchmark", "benchmark = 100, ", "", "rod = {", "\"benchmark\" of the rod readings",
     "height of the mark"},
    {"pointFileMissing", "rod = {", "files = [ { path = \"none.csv\", order = \"PNEZD\" } ]\nrod = {",
     "files = [", "\"none.csv\": There is no such file", "Check its name"},
    {"pointFileWithoutItsOrder", "rod = {", "files = [ { path = \"none.csv\" } ]\nrod = {", "files = [",
     "\"order\" of a point file of the ground is missing", "nothing in the file says which"},
    {"pointFileInAnUnknownOrder", "rod = {",
     "files = [ { path = \"none.csv\", order = \"PNZED\" } ]\nrod = {", "files = [", "can't be \"PNZED\"",
     "\"PNEZD\""},
};

const Case forms[]{
    {"braceNotClosed", "thickness = \"3/4 in\" },", "thickness = \"3/4 in\",", "name = \"sand\"", "",
     "The { of line 29, column 3, is still open here"},
    {"bracketNotClosed", "  [20, 1, 99.3],", "  [20, 1, 99.3,", "[[pipe]]", "", "The [ of line"},
    {"commaMissingInAList", "  [20, 1, 99.3],", "  [20, 1, 99.3]", "[1, 18", "comma or the closing ]",
     "The [ of line 81"},
    {"commaMissingInATable", "fall = \"2 %\" }", "fall = \"2 %\" cross_fall = 0 }",
     "planes =", "comma or the closing }", "Add it"},
    {"quoteNotClosed", "title = \"Trial court\"", "title = \"Trial court", "title", "A text is not closed",
     "quote mark"},
    {"quotesMissing", "title = \"Trial court\"", "title = Trial court", "title", "", "quote marks"},
    {"lengthWithoutQuotes", "diameter = \"4 in\"\n", "diameter = 4 in\n", "diameter = 4 in", "",
     "quote marks"},
    {"equalsMissing", "title = \"Trial court\"", "title \"Trial court\"", "title", "no = after this key",
     "key = value"},
    {"valueMissing", "title = \"Trial court\"", "title =", "title", "no value after the =", "delete the key"},
    {"keyTwice", "title = \"Trial court\"", "title = \"Trial court\"\ntitle = \"b\"", "title = \"b\"",
     "written twice", "Keep one"},
    {"headingTwice", "", "\n[ground]\nstrip = 1\n", "[ground]\nstrip = 1", "stands in the file twice",
     "Join"},
    {"headingNotClosed", "[[pipe]]", "[[pipe]", "[[pipe]", "heading in brackets is not closed", "[[name]]"},
    {"headingWithoutAName", "[[pipe]]", "[, ]", "[, ]", "", "Write"},
    {"curlyQuotes", "title = \"Trial court\"", "title = “Trial court”", "title", "curly quote mark",
     "plain one"},
    {"umlautInAKey", "title = ", "türe = ", "türe", "keys and numbers can't have", "quote marks"},
    {"strayLine", "title = \"Trial court\"", "= = =", "= = =", "neither a key nor a heading", "key = value"},
    {"badEscape", "title = \"Trial court\"", "title = \"a\\qb\"", "title", "backslash", "'...'"},
    {"fileEndsInAList", "along = [[0, 5], [26, 5]]\n", "along = [[0, 5], [26, 5]", "along = [[0",
     "A list is not closed", "Add the closing ]"},
};

std::string nameOf(const testing::TestParamInfo<Case>& info) {
    return info.param.name;
}
INSTANTIATE_TEST_SUITE_P(Words, PlanFault, testing::ValuesIn(words), nameOf);
INSTANTIATE_TEST_SUITE_P(Values, PlanFault, testing::ValuesIn(values), nameOf);
INSTANTIATE_TEST_SUITE_P(Outlines, PlanFault, testing::ValuesIn(outlines), nameOf);
INSTANTIATE_TEST_SUITE_P(Layers, PlanFault, testing::ValuesIn(layers), nameOf);
INSTANTIATE_TEST_SUITE_P(Shots, PlanFault, testing::ValuesIn(shots), nameOf);
INSTANTIATE_TEST_SUITE_P(Forms, PlanFault, testing::ValuesIn(forms), nameOf);

TEST(PlanFaults, manyAreToldInOneRunInTheOrderOfTheFile) {
    std::string text = test::edited("title =", "titel =");
    text = test::edited("\"3/4 in\"", "\"3/4 inn\"", text);
    text = test::edited("\"running\"", "\"runing\"", text);
    text = test::edited("against_wall = [1]", "against_wall = [9]", text);
    text = test::edited("rule = \"bedding.least\"", "rule = \"bedding.last\"", text);
    text = test::edited("layer = \"fill\"", "layer = \"fell\"", text);
    const auto plan = test::readText(text);
    ASSERT_FALSE(plan);
    ASSERT_EQ(plan.error().size(), 6u) << test::all(plan.error());
    for (size_t i = 1; i < plan.error().size(); ++i)
        EXPECT_LT(plan.error()[i - 1].place.line, plan.error()[i].place.line);
}

TEST(PlanFaults, oneSlipIsToldOnce) {
    // A build-up's layer that can't be judged does not bring a train of other faults with it.
    const auto plan = test::readText(test::edited("role = \"bedding\"", "role = \"bed\""));
    ASSERT_FALSE(plan);
    EXPECT_EQ(plan.error().size(), 1u) << test::all(plan.error());
}

TEST(PlanFaults, areToldAtTheirColumn) {
    const auto plan = test::readText(test::edited("thickness = \"3/4 in\"", "thickness = \"3/4 inn\""));
    ASSERT_FALSE(plan);
    // `  { name = "panels", role = "underlayment", thickness = "3/4 inn"`: the value starts in column 57.
    EXPECT_EQ(plan.error()[0].place.column, 57);
}

TEST(PlanFaults, anEmptyPlanSaysWhatItLacks) {
    const auto plan = test::readText("");
    ASSERT_FALSE(plan);
    const std::string told = test::all(plan.error());
    EXPECT_NE(told.find("no areas"), std::string::npos);
    EXPECT_NE(told.find("no build-ups"), std::string::npos);
    EXPECT_NE(told.find("\"unit\""), std::string::npos);
}

TEST(PlanFaults, twoTakeUpsAreFineWithAMeasuredTopBetweenThem) {
    // Panels take up between finish and the measured top of the sand; the sand between that and what lies
    // under it.
    std::string text = test::edited("role = \"underlayment\", thickness = \"3/4 in\"",
                                    "role = \"underlayment\", thickness = \"3/4 in\", take_up = true");
    EXPECT_FALSE(test::readText(text));
    text = test::edited("layer = \"fill\"", "layer = \"sand\"", text);
    EXPECT_TRUE(test::readText(text));
    // A top below both leaves them between two known surfaces.
    EXPECT_FALSE(test::readText(test::edited("layer = \"sand\"", "layer = \"fabric\"", text)));
}

TEST(PlanFaults, sameHeightTwiceIsNoFault) {
    EXPECT_TRUE(test::readText(test::edited("[20, 1, 99.3],", "[20, 1, 99.3],\n  [20, 1, 99.3],")));
}

TEST(PlanFaults, arcsMayMeetTheirOwnChordsEnds) {
    EXPECT_TRUE(test::readText(test::edited(
        hearth,
        "outline = [[16, 8], { through = [18, 10], to = [20, 8] }, { through = [18, 6], to = [16, 8] }]")));
}

TEST(PlanFaults, openingsMayTouchTheOutline) {
    const std::string shaped = test::edited(hearth,
                                            "outline = [[10, 4], [20, 4], [20, 9], { through = [18, 11], to "
                                            "= [16, 9] }, [10, 9]]\nopenings = [ OPEN ]");
    // In a corner; along part of a side; along the whole arc, written the other way round; round part of the
    // arc by chords of its own; in every case with a side on the line.
    for (const char* opening :
         {"[[10, 4], [11, 4], [11, 5], [10, 5]]", "[[12, 4], [13, 4], [13, 6], [12, 6]]",
          "[[16, 9], { through = [18, 11], to = [20, 9] }]",
          "[[18, 10], [19.41421356, 10.41421356], { through = [18, 11], to = [16.58578644, 10.41421356] }]"})
        EXPECT_TRUE(test::readText(test::edited("OPEN", opening, shaped))) << opening;
}

TEST(PlanFaults, openingsAcrossANotchAreToldThoughTheirCornersLieInside) {
    // A U from x 10 to 20 with a notch from x 14 to 15.1, y 5 up: the bar's corners, and the middles of its
    // long sides at x 15.5, lie in the arms of the U.
    const std::string shaped = test::edited(
        hearth,
        "outline = [[10, 4], [20, 4], [20, 9], [15.1, 9], [15.1, 5], [14, 5], [14, 9], [10, 9]]\n"
        "openings = [ [[12, 7], [19, 7], [19, 8], [12, 8]] ]");
    const auto plan = test::readText(shaped);
    ASSERT_FALSE(plan);
    // Half way over the notch: x 14.55 is 14' 6.6".
    EXPECT_NE(test::all(plan.error()).find("reaches past its outline, at x 14' 6 5/8\", y 7' 0\""),
              std::string::npos)
        << test::all(plan.error());
}

TEST(PlanFaults, manyAreasAroundEachOtherAreToldInOneSentenceAndQuickly) {
    // Five thousand areas, each around the next, the last around the first.
    constexpr int count = 5000;
    std::string text(test::soundPlan);
    for (int i = 0; i < count; ++i)
        text += fmt::format(
            "\n[[area]]\nname = \"r{}\"\nbuild_up = \"slab\"\naround = [\"r{}\"]\n"
            "rectangle = {{ corner = [0, 0], size = [1, 1] }}\n",
            i, (i + 1) % count);
    const auto plan = test::readText(text);
    ASSERT_FALSE(plan);
    EXPECT_NE(test::all(plan.error()).find("and 4994 more lie around each other in a ring."),
              std::string::npos);
}

TEST(PlanFaults, outlinesOfTooManyCornersAreRefused) {
    // A comb of 40,000 teeth, sound otherwise.
    std::string corners = "outline = [";
    for (int i = 0; i < 40000; ++i) corners += fmt::format("[{:.3f}, {}], ", 15 + i * 0.001, i % 2 ? 9 : 6);
    const auto plan = test::readText(test::edited(hearth, corners + "[60, 5], [15, 5]]"));
    ASSERT_FALSE(plan);
    EXPECT_NE(test::all(plan.error()).find("40002 corners and chords; at most 10000"), std::string::npos);
}

TEST(PlanFaults, thousandsAreCountedNotKept) {
    std::string rows;
    for (int i = 0; i < 5000; ++i) rows += "[1, 2], ";
    const auto plan = test::readText(test::edited("  [20, 1, 99.3],", rows));
    ASSERT_FALSE(plan);
    EXPECT_LE(plan.error().size(), 501u);
    EXPECT_NE(plan.error().back().what.find("4500 more"), std::string::npos) << plan.error().back().what;
}

}  // namespace
}  // namespace underfoot
