#include "study/findings.h"

#include <algorithm>
#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "hand_model.h"
#include "plan/read_plan.h"

namespace underfoot {
namespace {

using hand::gridModel;
using hand::level;
using hand::plane;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

using hand::ft;
using hand::in;

std::vector<Finding> ofKind(const std::vector<Finding>& all, FindingKind kind) {
    std::vector<Finding> some;
    std::copy_if(all.begin(), all.end(), std::back_inserter(some),
                 [kind](const Finding& f) { return f.kind == kind; });
    return some;
}
std::vector<Finding> ofKind(const Model& model, FindingKind kind) {
    return ofKind(findings(model, loadCatalogue()), kind);
}

// 20 x 20 ft, four rectangles each way, sound in every way: finish falling 2 % out from the house along y =
// 0, units 2 1/2 in, bedding 1 in, base 4 in, one grade shot so that the ground counts as shot. What a test
// wants wrong it changes.
struct Sound {
    hand::Grid grid;
    hand::Stack stack;
    double fall = 0.02;

    Sound() {
        grid.columns = grid.rows = 4;
        grid.width = grid.height = 20 * ft;
        stack.column.area = 0;
        stack.column.entries = {hand::entry(0, 2.5 * in), hand::entry(1, in), hand::entry(2, 4 * in)};
        stack.column.entries[1].takesUp = true;
        stack.column.formation = 3;
        stack.interfaces = {below(0), below(2.5 * in), below(3.5 * in), below(7.5 * in)};
        grid.finish = below(0);
    }
    hand::HeightOf below(double depth) const {
        return [this, depth](glm::dvec2 p) { return -depth - fall * p.y; };
    }
    Model model() const {
        Model m = gridModel(grid, hand::patioLayers(), {stack});
        Area area;
        area.name = "patio";
        area.buildUp = "stone base";
        m.plan.areas.push_back(area);
        m.plan.ground.shots.push_back({});
        return m;
    }
};

TEST(Findings, ASoundPatioHasNone) {
    EXPECT_THAT(findings(Sound().model(), loadCatalogue()), IsEmpty());
    EXPECT_THAT(findings(Model{}, loadCatalogue()), IsEmpty());
}

// ---------------------------------------------------------------- layers

TEST(Findings, ARidgeInTheBaseMakesTheBedShort) {
    // The vertex at station 15 ft, offset 10 ft stands 7/16 in too high: bed 9/16 in there, 3/16 in under the
    // least of 3/4 in.
    Sound sound;
    const auto base = sound.below(3.5 * in);
    sound.stack.interfaces[2] = [base](glm::dvec2 p) {
        const bool ridge = std::abs(p.x - 15 * ft) < 1e-6 && std::abs(p.y - 10 * ft) < 1e-6;
        return base(p) + (ridge ? 7.0 / 16 * in : 0.0);
    };
    const Model model = sound.model();
    const auto all = findings(model, loadCatalogue());
    ASSERT_THAT(all, SizeIs(1));
    const Finding& f = all[0];
    EXPECT_EQ(f.kind, FindingKind::BeddingThin);
    EXPECT_EQ(f.area, 0);
    EXPECT_EQ(f.layer, 1);
    EXPECT_NEAR(f.station, 15 * ft, 1e-8);
    EXPECT_NEAR(f.offset, 10 * ft, 1e-8);
    EXPECT_NEAR(f.measured, 9.0 / 16 * in, 1e-12);
    EXPECT_NEAR(f.wanted, 0.75 * in, 1e-15);
    EXPECT_EQ(f.rule, "bedding.least");
    EXPECT_THAT(f.source, HasSubstr("ICPI"));
    EXPECT_EQ(f.what, "Bed short by 3/16\" at 0+15.0, 10.0 ft out: 9/16\", wanted at least 3/4\".");
    EXPECT_EQ(f.remedy, "Lower what the bed lies on by 3/16\" here, or raise the strings by 3/16\".");
    // The patch is the one of the field that is asked the same way.
    const ThicknessField field = wantedField(model, loadCatalogue(), 1, 0);
    ASSERT_EQ(f.patch, 0);
    EXPECT_EQ(field.patches[0].worst, f.at);
}

TEST(Findings, TheBuildUpsOwnRangeStandsBeforeTheLimits) {
    Sound sound;
    sound.stack.column.entries[1].least = 1.25 * in;
    const auto all = findings(sound.model(), loadCatalogue());
    ASSERT_THAT(all, SizeIs(1));
    EXPECT_EQ(all[0].rule, "bedding.least");
    EXPECT_THAT(all[0].source, HasSubstr("build-up \"stone base\" of the plan: at least 1 1/4\""));
    EXPECT_THAT(all[0].source, HasSubstr("ICPI"));
    sound.stack.column.entries[1].least = 0.9 * in;
    EXPECT_THAT(findings(sound.model(), loadCatalogue()), IsEmpty());
}

TEST(Findings, ExactlyAtTheLimitIsNone) {
    Sound sound;
    sound.stack.interfaces[2] = sound.below(3.25 * in);  // bed 3/4 in, base 4 1/4 in
    EXPECT_THAT(findings(sound.model(), loadCatalogue()), IsEmpty());
    sound.stack.interfaces[2] = sound.below(4 * in);  // bed 1 1/2 in, base 3 1/2 in: wanted 4 less 1/2
    EXPECT_THAT(findings(sound.model(), loadCatalogue()), IsEmpty());
    sound.stack.interfaces[2] = sound.below(4.01 * in);
    EXPECT_THAT(ofKind(sound.model(), FindingKind::BeddingThick), SizeIs(1));
    EXPECT_THAT(ofKind(sound.model(), FindingKind::LayerThin), SizeIs(1));
}

TEST(Findings, ABaseDesignedTooThinIsHeldToTheLeast) {
    Sound sound;
    sound.stack.column.entries[2].wanted = 3 * in;
    sound.stack.interfaces[3] = sound.below(6.5 * in);  // base 3 in as designed
    const auto thin = ofKind(sound.model(), FindingKind::LayerThin);
    ASSERT_THAT(thin, SizeIs(1));
    EXPECT_EQ(thin[0].rule, "base.least.patio");
    EXPECT_NEAR(thin[0].wanted, 4 * in, 1e-15);
    EXPECT_THAT(thin[0].what, HasSubstr("Base short by 1\""));
}

TEST(Findings, ABaseTooThickForItsDesign) {
    Sound sound;
    sound.stack.interfaces[3] = sound.below(8.5 * in);  // base 5 in, wanted 4: over by 1, allowed 3/4
    const auto thick = ofKind(sound.model(), FindingKind::LayerThick);
    ASSERT_THAT(thick, SizeIs(1));
    EXPECT_EQ(thick[0].rule, "base.over");
    EXPECT_NEAR(thick[0].wanted, 4.75 * in, 1e-12);
    EXPECT_NEAR(thick[0].station, 10 * ft, 1e-8);  // even all over: at the middle
    EXPECT_NEAR(thick[0].offset, 10 * ft, 1e-8);
}

TEST(Findings, UnderPanelsTheBedHasItsOwnRange) {
    Sound sound;
    std::vector<ModelLayer> layers = {
        {"units", Role::Units, ""}, {"panels", Role::Underlayment, ""}, {"sand", Role::Bedding, ""}};
    sound.stack.column.entries = {hand::entry(0), hand::entry(1), hand::entry(2)};
    sound.stack.interfaces = {sound.below(0), sound.below(2 * in), sound.below(2.75 * in),
                              sound.below(3.25 * in)};
    Model model = gridModel(sound.grid, layers, {sound.stack});
    model.plan.areas.resize(1);
    model.plan.ground.shots.push_back({});
    EXPECT_THAT(findings(model, loadCatalogue()), IsEmpty());  // 1/2 in, where an open bed needs 3/4
    sound.stack.interfaces[3] = sound.below(2.95 * in);
    model = gridModel(sound.grid, layers, {sound.stack});
    model.plan.areas.resize(1);
    model.plan.ground.shots.push_back({});
    const auto thin = findings(model, loadCatalogue());
    ASSERT_THAT(thin, SizeIs(1));
    EXPECT_EQ(thin[0].rule, "bedding.under_panels.least");
}

TEST(Findings, AnOverriddenLimitShowsBothValues) {
    Plan plan;
    plan.limits.push_back({"bedding.least", 1.125 * in, "The maker of the slabs asks for it.", {}});
    const auto all = findings(Sound().model(), loadCatalogue(plan));
    ASSERT_THAT(all, SizeIs(1));
    EXPECT_NEAR(all[0].wanted, 1.125 * in, 1e-15);
    EXPECT_THAT(all[0].source, HasSubstr("the plan's own 1 1/8\" (The maker of the slabs asks for it.)"));
    EXPECT_THAT(all[0].source, HasSubstr("published: 3/4\" (Nominal 1 in: ICPI"));
}

// ---------------------------------------------------------------- finish

TEST(Findings, PushedUpWhereTheBedHasRunOut) {
    // Everything above the base lies 1 in + 1/4 in too high over the strip up to offset 5 ft: no bed, 1/4 in
    // proud.
    Sound sound;
    hand::Stack proud = sound.stack;
    const auto up = [&sound](double depth) { return sound.below(depth - 0.25 * in); };
    proud.interfaces = {up(0), up(2.5 * in), up(2.5 * in), sound.below(7.5 * in)};
    sound.grid.stackOf = [](glm::dvec2 p) { return p.y < 5 * ft ? 1 : 0; };
    Model model = gridModel(sound.grid, hand::patioLayers(), {sound.stack, proud});
    model.plan.areas.resize(1);
    model.plan.ground.shots.push_back({});
    const auto found = ofKind(model, FindingKind::StandsProud);
    ASSERT_THAT(found, SizeIs(1));
    EXPECT_NEAR(found[0].measured, 0.25 * in, 1e-12);
    EXPECT_EQ(found[0].rule, "proud");
    EXPECT_THAT(found[0].what, HasSubstr("Stands 1/4\" proud of the strings"));
    EXPECT_THAT(ofKind(model, FindingKind::FinishDeviates), IsEmpty());
    EXPECT_EQ(findings(model, loadCatalogue())[0].kind, FindingKind::StandsProud);  // worst first
}

TEST(Findings, FinishHighAndLowWithTheBedStillThere) {
    Sound sound;
    sound.grid.finish = sound.below(-0.5 * in);  // designed 1/2 in higher than built; 3/8 in is allowed
    auto found = ofKind(sound.model(), FindingKind::FinishDeviates);
    ASSERT_THAT(found, SizeIs(1));
    EXPECT_NEAR(found[0].measured, -0.5 * in, 1e-12);
    EXPECT_THAT(found[0].what, HasSubstr("Finish low by 1/2\""));
    sound.grid.finish = sound.below(0.5 * in);
    found = ofKind(sound.model(), FindingKind::FinishDeviates);
    ASSERT_THAT(found, SizeIs(1));
    EXPECT_THAT(found[0].what, HasSubstr("Finish high by 1/2\""));
    sound.grid.finish = sound.below(0.375 * in);
    EXPECT_THAT(ofKind(sound.model(), FindingKind::FinishDeviates), IsEmpty());
}

// ---------------------------------------------------------------- slopes

TEST(Findings, SlopesAreComparedUnrounded) {
    // 2 % least, 1:48 most: 1/4 in per ft is exactly 1:48. 0.1 in over 10 ft lies between them.
    Sound sound;
    for (const double sound_fall : {0.02, 1.0 / 48, 0.25 / 12}) {
        sound.fall = sound_fall;
        EXPECT_THAT(findings(sound.model(), loadCatalogue()), IsEmpty()) << sound_fall;
    }
    sound.fall = 0.0199;
    const auto under = ofKind(sound.model(), FindingKind::SlopeUnder);
    ASSERT_THAT(under, SizeIs(1));  // once for the plane, though 32 cells lie on it
    EXPECT_NEAR(under[0].measured, 0.0199, 1e-9);
    EXPECT_EQ(under[0].rule, "slope.least");
    EXPECT_THAT(under[0].what, HasSubstr("\"patio\" falls 1.99 %"));
    EXPECT_THAT(under[0].source, HasSubstr("IRC R401.3"));
    sound.fall = 0.0209;
    const auto over = ofKind(sound.model(), FindingKind::SlopeOver);
    ASSERT_THAT(over, SizeIs(1));
    EXPECT_EQ(over[0].rule, "slope.greatest.cross");
    sound.fall = 0.0501;
    EXPECT_EQ(ofKind(sound.model(), FindingKind::SlopeOver)[0].rule, "slope.greatest.running");
    sound.fall = 0.05;  // 1:20 exactly: still only the cross slope
    EXPECT_EQ(ofKind(sound.model(), FindingKind::SlopeOver)[0].rule, "slope.greatest.cross");
}

TEST(Findings, FallsTowardTheHouse) {
    Sound sound;
    sound.fall = -0.02;
    Model model = sound.model();
    const auto toward = ofKind(model, FindingKind::FallsTowardHouse);
    ASSERT_THAT(toward, SizeIs(1));
    EXPECT_NEAR(toward[0].measured, -0.02, 1e-9);
    EXPECT_THAT(toward[0].what, HasSubstr("falls 2.00 % (0.24 in/ft) toward the house"));
    EXPECT_THAT(ofKind(model, FindingKind::SlopeUnder), IsEmpty());
    // With the house on the other side the same plane falls away from it.
    model.plan.baseline.offsetLeft = false;
    EXPECT_THAT(ofKind(model, FindingKind::FallsTowardHouse), IsEmpty());
}

TEST(Findings, ACrossFallIsNoFallAwayFromTheHouseButDoesFartherOut) {
    Sound sound;
    sound.grid.finish = plane(0, -0.02, 0);
    for (auto& interface : sound.stack.interfaces) {
        const double depth = -interface({0, 0});
        interface = plane(-depth, -0.02, 0);
    }
    Model model = sound.model();
    const auto under = ofKind(model, FindingKind::SlopeUnder);
    ASSERT_THAT(under, SizeIs(1));
    EXPECT_NEAR(under[0].measured, 0, 1e-9);
    EXPECT_THAT(under[0].what, HasSubstr("away from the house"));
    model.plan.baseline.from = {0, -10 * ft};  // the house 10 ft off: no longer within 10 ft
    model.plan.baseline.to = {1, -10 * ft};
    EXPECT_THAT(ofKind(model, FindingKind::SlopeUnder), IsEmpty());
}

TEST(Findings, EachPlaneOfARidgeOnce) {
    Sound sound;
    const auto ridge = [](double depth) {
        return [depth](glm::dvec2 p) { return -depth - 0.01 * std::abs(p.x - 10 * ft); };
    };
    sound.grid.finish = ridge(0);
    sound.stack.interfaces = {ridge(0), ridge(2.5 * in), ridge(3.5 * in), ridge(7.5 * in)};
    EXPECT_THAT(ofKind(sound.model(), FindingKind::SlopeUnder), SizeIs(2));
}

// ---------------------------------------------------------------- parts

Model withCutUnit(double width, double wholeWidth) {
    Model model = Sound().model();
    hand::addUnit(model, {ft, ft}, {ft + width, ft + 0.1}, 0, 2.5 * in);
    model.units[0].whole = false;
    model.units[0].wholeArea = wholeWidth * 0.1;
    return model;
}

TEST(Findings, CutUnitsByPartAndByWidth) {
    EXPECT_THAT(ofKind(withCutUnit(0.1, 0.3), FindingKind::CutUnitSmall), IsEmpty());  // a third exactly
    const auto part = ofKind(withCutUnit(0.09, 0.3), FindingKind::CutUnitSmall);
    ASSERT_THAT(part, SizeIs(1));
    EXPECT_NEAR(part[0].measured, 0.3, 1e-12);
    EXPECT_EQ(part[0].rule, "cut_unit.least_part");
    EXPECT_THAT(part[0].what,
                HasSubstr("Cut unit keeps 30 % of a whole one at 0+01.1, 1.2 ft out; 33 % is the least."));
    const auto narrow =
        ofKind(withCutUnit(0.25 * in, 0.012), FindingKind::CutUnitSmall);  // more than half, but 1/4 in wide
    ASSERT_THAT(narrow, SizeIs(1));
    EXPECT_EQ(narrow[0].rule, "cut_unit.least_width");
    EXPECT_THAT(narrow[0].what, HasSubstr("only 1/4\" wide"));
    EXPECT_THAT(ofKind(withCutUnit(0.375 * in, 0.012), FindingKind::CutUnitSmall), IsEmpty());
}

TEST(Findings, PipeCoverIsLeastWhereTheFinishHasFallen) {
    // Pipe along station 10 ft, level, outside top 11 in below the house side. At offset 20 ft the finish has
    // fallen by 2 % x 20 ft = 4.8 in: 6.2 in of cover.
    Model model = Sound().model();
    BuriedRun run;
    run.name = "drain";
    run.diameter = 4 * in;
    run.points = {{{10 * ft, -5 * ft}, -15 * in}, {{10 * ft, 30 * ft}, -15 * in}};
    model.plan.buriedRuns.push_back(run);
    const auto found = ofKind(model, FindingKind::PipeCoverSmall);
    ASSERT_THAT(found, SizeIs(1));
    EXPECT_NEAR(found[0].measured, 6.2 * in, 1e-8);
    EXPECT_NEAR(found[0].offset, 20 * ft, 1e-8);
    EXPECT_THAT(found[0].what, HasSubstr("Pipe \"drain\" has only 6 3/16\" over it"));
    model.plan.buriedRuns[0].points = {{{10 * ft, -5 * ft}, -21 * in}, {{10 * ft, 30 * ft}, -21 * in}};
    // Top at -17 in: 17 - 4.8 = 12.2 in at least.
    EXPECT_THAT(ofKind(model, FindingKind::PipeCoverSmall), IsEmpty());
    model.plan.buriedRuns[0].points = {{{40 * ft, 0}, 0}, {{40 * ft, 30 * ft}, 0}};  // beside the patio
    EXPECT_THAT(ofKind(model, FindingKind::PipeCoverSmall), IsEmpty());
}

TEST(Findings, EdgingNeedsABaseUnderItsWholeWidth) {
    // Base only up to x = 15 ft; edging pieces of 1 ft along y, one on the base, one half over its end, one
    // past it.
    Sound sound;
    hand::Stack bare = sound.stack;
    bare.interfaces[3] = bare.interfaces[2];  // a base of no thickness is none
    sound.grid.stackOf = [](glm::dvec2 p) { return p.x < 15 * ft ? 0 : 1; };
    Model model = gridModel(sound.grid, hand::patioLayers(), {sound.stack, bare});
    model.plan.areas.resize(1);
    model.plan.areas[0].name = "patio";
    model.plan.ground.shots.push_back({});
    for (const double x : {14 * ft, 15 * ft - 0.01, 16 * ft}) {
        EdgingPiece piece;
        piece.area = 0;
        piece.corner = {glm::dvec2{x, ft}, {x + 0.02, ft}, {x + 0.02, 2 * ft}, {x, 2 * ft}};
        model.edging.push_back(piece);
    }
    const auto found = ofKind(model, FindingKind::EdgingWithoutBase);
    ASSERT_THAT(found, SizeIs(1));
    EXPECT_NEAR(found[0].measured, 2 * ft, 1e-9);
    EXPECT_NEAR(found[0].station, 15 * ft, 1e-9);
    EXPECT_THAT(found[0].what, HasSubstr("2' 0\" of the edging of \"patio\""));
    // A plan that asks for 3 in of base past the edging.
    Plan plan;
    plan.limits.push_back({"edging.base.least", 0.4, "", {}});
    const auto wider = ofKind(findings(model, loadCatalogue(plan)), FindingKind::EdgingWithoutBase);
    ASSERT_THAT(wider, SizeIs(1));
    EXPECT_NEAR(wider[0].measured, 3 * ft, 1e-9);
}

// 6 in past the edge, or its own thickness where that is more.
TEST(Findings, ABaseUnderEdgingRunsPastTheEdgeByItsThickness) {
    Sound sound;
    Model model = gridModel(sound.grid, hand::patioLayers(), {sound.stack});
    model.plan.areas.resize(1);
    model.plan.areas[0].name = "patio";
    model.plan.areas[0].buildUp = "stone";
    model.plan.ground.shots.push_back({});
    Layer base;
    base.name = "base";
    base.role = Role::Base;
    model.plan.buildUps.push_back({"stone", {base}, {}});
    Layer& layer = model.plan.buildUps[0].layers[0];
    const auto shorts = [&](double thickness, double beyond) {
        layer.thickness = thickness, layer.beyond = beyond;
        return ofKind(model, FindingKind::BaseStopsShort);
    };
    EXPECT_THAT(shorts(8 * in, 0), IsEmpty()) << "there is no edging";
    EdgingPiece piece;
    piece.area = 0;
    piece.corner = {glm::dvec2{2 * ft, ft}, {2 * ft + 0.02, ft}, {2 * ft + 0.02, 2 * ft}, {2 * ft, 2 * ft}};
    model.edging.push_back(piece);
    EXPECT_THAT(shorts(4 * in, 6 * in), IsEmpty());
    EXPECT_THAT(shorts(8 * in, 8 * in), IsEmpty());
    const auto thick = shorts(8 * in, 6 * in);
    ASSERT_THAT(thick, SizeIs(1));
    EXPECT_NEAR(thick[0].measured, 6 * in, 1e-9);
    EXPECT_NEAR(thick[0].wanted, 8 * in, 1e-9);
    EXPECT_EQ(thick[0].what,
              "Base of \"patio\" runs 6\" past its edges; under edging it is to run 8\" past them.");
    EXPECT_THAT(thick[0].source, HasSubstr("ICPI"));
    const auto inside = shorts(4 * in, -1 * in);
    ASSERT_THAT(inside, SizeIs(1));
    EXPECT_THAT(inside[0].what, HasSubstr("ends 1\" short of its edges"));
}

TEST(Findings, GroundNotShot) {
    Model model = Sound().model();
    model.groundKnown[3] = model.groundKnown[5] = 0;
    const auto extended = ofKind(model, FindingKind::GroundExtended);
    ASSERT_THAT(extended, SizeIs(1));  // once for the area: two triangles of 25 / 2 ft²
    EXPECT_NEAR(extended[0].measured, 25 * ft * ft, 1e-9);
    model.plan.ground.shots.clear();
    EXPECT_THAT(ofKind(model, FindingKind::GroundExtended), IsEmpty());
    EXPECT_THAT(ofKind(model, FindingKind::GroundAssumed), SizeIs(1));
}

// ---------------------------------------------------------------- the list

TEST(Findings, CutUnitsOfAnAreaAreOneFindingARuleAtTheWorst) {
    // Three pieces of wholes of 0.03 m2: 0.005 (17 %), 0.004 (13 %) and 0.008 (27 %), all under a third.
    Model model = withCutUnit(0.05, 0.3);
    hand::addUnit(model, {0.5 * ft, 2 * ft}, {0.5 * ft + 0.04, 2 * ft + 0.1}, 0, 2.5 * in);
    hand::addUnit(model, {0.5 * ft, ft}, {0.5 * ft + 0.08, ft + 0.1}, 0, 2.5 * in);
    for (UnitPiece& unit : model.units) unit.whole = false, unit.wholeArea = 0.03;
    const auto all = ofKind(model, FindingKind::CutUnitSmall);
    ASSERT_THAT(all, SizeIs(1));
    EXPECT_NEAR(all[0].measured, 0.004 / 0.03, 1e-12);
    EXPECT_NEAR(all[0].offset, 2 * ft + 0.05, 1e-9);
    EXPECT_THAT(all[0].what, HasSubstr("3 cut units keep less than 33 % of a whole one; the least, 13 %,"));
}

TEST(Findings, WorstKindFirstThenByStationAndOffset) {
    // A piece of a third of a whole less a bit at station 1 ft, and a narrow one at half a foot.
    Model model = withCutUnit(0.05, 0.3);
    hand::addUnit(model, {0.5 * ft, 2 * ft}, {0.5 * ft + 0.005, 2 * ft + 0.1}, 0, 2.5 * in);
    for (UnitPiece& unit : model.units) unit.whole = false, unit.wholeArea = 0.03;
    Plan plan;
    plan.limits.push_back({"bedding.least", 1.125 * in, "", {}});
    const auto all = findings(model, loadCatalogue(plan));
    ASSERT_THAT(all, SizeIs(3));
    EXPECT_EQ(all[0].kind, FindingKind::BeddingThin);
    EXPECT_EQ(all[1].rule, "cut_unit.least_width");
    EXPECT_EQ(all[2].rule, "cut_unit.least_part");
    EXPECT_GT(all[2].station, all[1].station);
}

TEST(Findings, EveryKindHasItsOwnName) {
    std::vector<std::string> names;
    for (int k = 0; k <= static_cast<int>(FindingKind::BaseStopsShort); ++k) {
        names.push_back(findingName(static_cast<FindingKind>(k)));
    }
    std::sort(names.begin(), names.end());
    EXPECT_EQ(std::unique(names.begin(), names.end()), names.end());
    EXPECT_STREQ(findingName(FindingKind::BeddingThin), "bedding thin");
}

TEST(Findings, MetresAreWrittenInMetres) {
    Model model = withCutUnit(0.09, 0.3);
    model.plan.show.style = LengthStyle::Metres;
    EXPECT_THAT(ofKind(model, FindingKind::CutUnitSmall)[0].what, HasSubstr("at 0+000.35, 0.35 m out"));
}

}  // namespace
}  // namespace underfoot
