#include <glm/geometric.hpp>

#include "hand.h"
#include "plan/read_plan.h"
#include "share/takeoff_tables.h"
#include "study/earthwork.h"
#include "study/end_areas.h"
#include "study/search_finish.h"
#include "study/stakes.h"
#include "study/start_line.h"
#include "study/units.h"
#include "study/water.h"
#include "window/heights.h"
#include "window/page_layout.h"

namespace underfoot {
namespace {

using test::Hand;

const Loaded& courtyard() {
    static const Loaded loaded = [] {
        std::vector<std::filesystem::path> files;
        return loadPlan(
            std::filesystem::path(UNDERFOOT_SOURCE_DIR) / "scenes/courtyard.toml", [](Stage) {}, files);
    }();
    return loaded;
}

/// Slabs on sand over a slope, of which a search is soon through.
Loaded smallPatio() {
    const auto plan = readPlanText(R"(
unit = "m"
show = "m"
finish = { at = [0, 0], level = 10, fall = "2 %" }
area = [{ name = "patio", build_up = "slabs", rectangle = { corner = [0, 0], size = [2, 1.5] },
          units = { pattern = "running", sizes = [["600 mm", "600 mm"]], joint = "3 mm", shift = "1/2" } }]
build_up = [{ name = "slabs", layers = [
  { name = "units", role = "units", thickness = "50 mm" },
  { name = "bedding", role = "bedding", thickness = "25 mm", take_up = true },
  { name = "base", role = "base", thickness = "100 mm" },
  { name = "fill", role = "fill", lift = "100 mm" } ] }]
ground = { cut_as_fill = true, soil = "common earth", shots = [ [-1, -1, 9.9], [3, -1, 9.9], [3, 3, 9.7], [-1, 3, 9.7] ] }
)",
                                   "small.toml", {});
    EXPECT_TRUE(plan);
    Loaded loaded = courtyard();
    loaded.model = std::make_shared<const Model>(buildModel(*plan).value());
    return loaded;
}

/// A hand on the courtyard, with whatever is asked answered at once.
class Asking : public Hand {
  public:
    explicit Asking(double scale = 1) : Hand(courtyard(), 1280 * scale, 800 * scale, scale) {}
    explicit Asking(Loaded loaded) : Hand(std::move(loaded)) {}
    void answer() {
        while (std::exchange(state.answer.wanted, false)) {
            receiveTold(state, tell(askOf(state)));
            frame();
            frame();
        }
    }
    /// By its name in the line of questions.
    void open(const std::string& name) {
        for (const Interface::Words& one : words())
            if (one.text == name && state.frame.questions.holds(one.box.middle())) {
                click(one.box.middle());
                break;
            }
        answer();
        moveTo({5, 5});
        EXPECT_EQ(questionName(state.answer.open), name);
    }
    std::string area(double value) const { return formatArea(value, show()); }
    std::string volume(double value) const { return formatVolume(value, show()); }
    std::string thick(double value) const { return formatThickness(value, show()); }
    const LengthFormat& show() const { return state.model->plan.show; }
};

TEST(Pages, WhatToBuyShowsEachItemsAmountAndTheTotal) {
    Asking hand;
    hand.open("What to buy");
    const Takeoff all = takeoff(*hand.state.model, hand.state.catalogue);
    ASSERT_TRUE(all.total);
    EXPECT_TRUE(hand.shows(saleText(all.rows[1].bought, all.rows[1].unit)));
    const auto panels = std::find_if(all.rows.begin(), all.rows.end(),
                                     [](const TakeoffRow& row) { return row.item == "underlayment panel"; });
    ASSERT_NE(panels, all.rows.end());
    EXPECT_TRUE(hand.shows(panels->title)) << "whole, though there is little room";
    EXPECT_TRUE(hand.shows(formatMoney(*panels->cost)));
    EXPECT_TRUE(hand.showsStart("Total: " + formatMoney(*all.total) + " US dollars."));
}

TEST(Pages, OneQuestionIsOpenInTheFindingsPlaceAndEscapeClosesIt) {
    Asking hand;
    EXPECT_TRUE(hand.shows("To look at"));
    hand.open("What to dig");
    EXPECT_EQ(hand.state.answer.open, Question::Earthwork);
    EXPECT_FALSE(hand.shows("To look at"));
    EXPECT_FALSE(lookOf(hand.state, 0).cut) << "a page speaks of the whole site";
    hand.open("Water");
    EXPECT_EQ(hand.state.answer.open, Question::Water);
    pressKey(hand.state, Key::Five, false, 0);
    EXPECT_EQ(hand.state.answer.open, Question::Units);
    pressKey(hand.state, Key::Escape, false, 0);
    hand.frame();
    EXPECT_TRUE(hand.shows("To look at"));
    EXPECT_TRUE(lookOf(hand.state, 0).cut) << "cut open as before";
}

TEST(Pages, EarthworkHasTheStudysNumbersAndALiftShowsItsPlaces) {
    Asking hand;
    hand.open("What to dig");
    const EarthBalance balance = earthBalance(*hand.state.model, hand.state.catalogue);
    EXPECT_TRUE(hand.shows(hand.volume(balance.cut.inPlace)));
    EXPECT_TRUE(hand.shows(hand.volume(balance.fill)));
    hand.scroll({1000, 400}, -8);
    const std::vector<LiftToPlace> lifts = liftsToPlace(*hand.state.model, hand.state.catalogue);
    ASSERT_EQ(lifts.size(), 6U);
    hand.click(hand.find("fill, lift 3 of 5"));
    ASSERT_EQ(lifts[2].places.size(), 2U);
    EXPECT_TRUE(hand.showsStart("lowest at station"));
    EXPECT_TRUE(hand.shows(hand.volume(lifts[2].places[1].volume)));
    EXPECT_TRUE(hand.shows(hand.area(lifts[2].planArea))) << "a column without room is told below the row";
    const PageMark* mark = markAt(hand.state.answer, hand.state.answer.chosen);
    ASSERT_TRUE(mark);
    EXPECT_EQ(mark->rings.front(), lifts[2].places.front().outline.front());
    EXPECT_EQ(hand.state.place, lifts[2].places.front().at);
    const auto areas = endAreas(*hand.state.model, 10 * metresPerFoot);
    ASSERT_TRUE(areas);
    hand.scroll({1000, 400}, 60);
    hand.click(hand.find("end areas every 5' 0\""));
    hand.answer();
    hand.scroll({1000, 400}, -60);
    EXPECT_TRUE(hand.shows(hand.volume(areas->byEndAreas.fill)));
}

TEST(Pages, StringsTakeAnotherSetAndKeepTheDesign) {
    Asking hand;
    hand.open("Strings");
    // By the design 7 1/4 in of units, panels, sand and base lie over 1/16 in of fabric, wherever it was
    // shot.
    EXPECT_TRUE(hand.shows("court, corner 6"));
    EXPECT_TRUE(hand.shows("7 5/16\"") || hand.shows("7 5/16\u2033"));
    hand.click(hand.find("Grid"));
    hand.answer();
    EXPECT_EQ(hand.state.answer.options.setOut, SetOut::Grid);
    const auto points = gridPoints(*hand.state.model, 5 * metresPerFoot);
    ASSERT_TRUE(points);
    EXPECT_EQ(hand.state.answer.told->page.parts()[1].table.rows.size(),
              stakes(*hand.state.model, *points).size());
    hand.click(hand.find("string at the finish"));
    hand.answer();
    EXPECT_NEAR(hand.state.answer.options.above, 4 * 0.0254, 1e-12);
    hand.click(hand.find("Sides"));
    hand.answer();
    // Six straight sides of the court, four of the strip; along the first, in plan 24.5 ft long, it is level.
    const auto& parts = hand.state.answer.told->page.parts();
    EXPECT_EQ(std::count_if(parts.begin(), parts.end(),
                            [](const PagePart& part) { return part.text.starts_with("String from"); }),
              10);
    EXPECT_TRUE(hand.showsStart("String from station 0+01.50"));
    hand.click(hand.find("Rails"));
    hand.answer();
    const auto rails = screedRails(*hand.state.model, 8 * metresPerFoot);
    ASSERT_TRUE(rails);
    EXPECT_TRUE(hand.shows("court, " + std::to_string(rails->rails.back().number)));
    EXPECT_TRUE(hand.shows(formatLength(rails->rails.front().length, hand.show())));
}

TEST(Pages, PlacedMarksTheWorstPlaceUnderTheStraightedge) {
    // A dip of 20 mm in the middle of a base shot level at its corners.
    Plan plan = courtyard().model->plan;
    plan.areas.erase(plan.areas.begin() + 1, plan.areas.end());
    plan.areas[0].units.reset();
    std::vector<Shot>& shots = plan.measuredTops[0].shots;
    shots.clear();
    for (const glm::dvec2 at : {glm::dvec2{1, -1}, {9, -1}, {9, 8}, {0, 8}, {4, 2}}) {
        const double design = plan.finishes[0].planes[0].level - at.y / 48 - 0.0826;
        shots.push_back({"", at, at.x == 4 ? design - 0.02 : design, "", {}});
    }
    Loaded loaded = courtyard();
    loaded.model = std::make_shared<const Model>(buildModel(plan).value());
    Asking hand(std::move(loaded));
    hand.open("As placed");
    const auto& parts = hand.state.answer.told->page.parts();
    const auto gap = std::find_if(parts.begin(), parts.end(),
                                  [](const PagePart& part) { return part.text.starts_with("Greatest gap"); });
    ASSERT_NE(gap, parts.end());
    EXPECT_TRUE(gap->mark.always);
    ASSERT_EQ(gap->mark.points.size(), 1U);
    EXPECT_NEAR(glm::length(gap->mark.points[0] + hand.state.model->site.origin - glm::dvec2{4, 2}), 0, 0.01);
    EXPECT_TRUE(hand.showsStart("Lowest " + hand.thick(0.02) + " low at station"));
}

TEST(Pages, WaterIsFollowedFromThePlaceUnderAttention) {
    Asking hand;
    hand.open("Water");
    const WaterReport report = waterReport(*hand.state.model, hand.state.catalogue, WaterOn::Finish);
    EXPECT_TRUE(hand.shows(hand.area(report.edges.front().catchment)));
    attend(hand.state, glm::dvec2{14, 5} * metresPerFoot - hand.state.model->site.origin);
    EXPECT_TRUE(hand.state.answer.old);
    hand.answer();
    EXPECT_FALSE(hand.state.answer.old);
    hand.scroll({1000, 400}, -30);
    EXPECT_TRUE(hand.showsStart("From 0+14.0, 5' 0\" out"));
    hand.click(hand.find("Ground"));
    hand.answer();
    EXPECT_EQ(hand.state.answer.options.waterOn, WaterOn::Ground);
}

TEST(Pages, UnitsAreCountedAndACutOneIsShown) {
    Asking hand;
    hand.open("Units");
    const UnitsReport report = unitsReport(*hand.state.model, hand.state.catalogue);
    EXPECT_TRUE(hand.shows(std::to_string(report.counts[0].whole)));
    EXPECT_TRUE(hand.shows(std::to_string(report.counts[0].bought())));
    pressKey(hand.state, Key::Down, false, 0);
    pressKey(hand.state, Key::Down, false, 0);
    hand.frame();
    const PageMark* mark = markAt(hand.state.answer, hand.state.answer.chosen);
    ASSERT_TRUE(mark);
    const UnitPiece& unit = hand.state.model->units[static_cast<size_t>(report.counts[0].cut[0].unit)];
    EXPECT_EQ(mark->rings.front().size(), static_cast<size_t>(unit.corners));
    pressKey(hand.state, Key::Copy, false, 0);
    EXPECT_TRUE(hand.state.answer.copyWanted);
    EXPECT_TRUE(hand.state.answer.told->csv.starts_with("area,unit_length_m,"));
}

TEST(Pages, ABetterStartIsLookedForWhenItIsAskedFor) {
    Asking hand(smallPatio());
    hand.open("Units");
    EXPECT_FALSE(hand.showsStart("Start line of"));
    hand.click(hand.find("Look for a better start"));
    hand.answer();
    const auto line = startLine(*hand.state.model, hand.state.catalogue, 0, {});
    ASSERT_TRUE(line);
    EXPECT_TRUE(hand.showsStart("Start line of \"patio\" (" + std::to_string(line->tried) + " ways tried)"));
    const auto& parts = hand.state.answer.told->page.parts();
    EXPECT_TRUE(std::any_of(parts.begin(), parts.end(), [&](const PagePart& part) {
        return part.text.find(line->planText) != std::string::npos;
    }));
    hand.click(hand.find("the same cuts at opposite sides"));
    hand.answer();
    EXPECT_TRUE(hand.state.answer.options.symmetrical);
    hand.click(hand.find("Look for a better start"));
    hand.answer();
    EXPECT_FALSE(hand.shows("the same cuts at opposite sides"));
}

TEST(Pages, ARowOfWhatToBuyTellsWhereItsNumbersComeFrom) {
    Asking hand;
    hand.open("What to buy");
    EXPECT_TRUE(hand.shows("Choose a row to ask where its numbers come from."));
    hand.click(hand.find("Base stone"));
    hand.click(hand.find("Where its numbers come from"));
    hand.answer();
    const Takeoff all = takeoff(*hand.state.model, hand.state.catalogue);
    const auto row = std::find_if(all.rows.begin(), all.rows.end(),
                                  [](const TakeoffRow& one) { return one.title == "Base stone"; });
    ASSERT_NE(row, all.rows.end());
    EXPECT_TRUE(hand.showsStart("In place: "));
    EXPECT_TRUE(hand.shows(row->why.front().inputs.front().name));
    EXPECT_FALSE(hand.shows("Geotextile"));
    hand.click(hand.find("All that is bought"));
    hand.answer();
    EXPECT_TRUE(hand.shows("Geotextile"));
    // Closed and opened again it is the list that is shown.
    hand.click(hand.find("Base stone"));
    hand.click(hand.find("Where its numbers come from"));
    hand.answer();
    hand.open("Units");
    hand.open("What to buy");
    EXPECT_TRUE(hand.shows("Geotextile"));
}

TEST(Pages, CompareLooksForABalanceAndForTheLeastFall) {
    Asking hand(smallPatio());
    hand.open("Compare");
    hand.click(hand.find("Balance cut and fill"));
    hand.answer();
    const Plan& plan = hand.state.model->plan;
    const auto balance = balanceCutAndFill(plan, hand.state.catalogue,
                                           raiseBounds(buildModel(plan).value(), hand.state.catalogue, {}));
    ASSERT_TRUE(balance && balance->found);
    const auto told = [&](const std::string& words) {
        const auto& parts = hand.state.answer.told->page.parts();
        return std::any_of(parts.begin(), parts.end(), [&](const PagePart& part) {
            return part.text.find(words) != std::string::npos ||
                   std::any_of(part.table.heads.begin(), part.table.heads.end(),
                               [&](const std::string& head) { return head == words; });
        });
    };
    EXPECT_TRUE(told("balanced"));
    EXPECT_TRUE(told(balance->why));
    hand.click(hand.find("Look for the least fall"));
    hand.answer();
    const auto fall = leastFall(plan, hand.state.catalogue);
    ASSERT_TRUE(fall && fall->found);
    EXPECT_TRUE(told("least fall"));
    EXPECT_TRUE(told(fall->why));
}

TEST(Pages, CompareSetsTheWhatIfBesideThePlan) {
    Asking hand;
    raiseFinish(hand.state, 0, metresPerInch);
    Plan raised = hand.state.model->plan;
    applyEdits(hand.state.moveWanted->edits, raised);
    Moved moved;
    moved.model = std::make_shared<const Model>(buildModel(raised).value());
    moved.findings.emplace();
    moved.number = hand.state.moves;
    receiveMoved(hand.state, moved);
    hand.open("Compare");
    EXPECT_TRUE(hand.shows("as planned"));
    EXPECT_TRUE(hand.shows("as shown"));
    raised.measuredTops.clear();
    const EarthBalance balance = earthBalance(buildModel(raised).value(), hand.state.catalogue);
    EXPECT_TRUE(hand.showsStart(hand.volume(balance.cut.inPlace)));
}

TEST(Pages, AnOldAnswerStaysUntilTheNewOneComesAndALateOneIsNotTaken) {
    Asking hand;
    hand.open("What to dig");
    const Ask late = askOf(hand.state);
    replaceModel(hand.state, hand.state.model);
    hand.frame();
    EXPECT_TRUE(hand.state.answer.old);
    EXPECT_TRUE(hand.shows("cut below that"));
    EXPECT_TRUE(hand.shows("working it out anew"));
    receiveTold(hand.state, tell(late));
    EXPECT_TRUE(hand.state.answer.old);
    hand.answer();
    EXPECT_FALSE(hand.state.answer.old);
}

TEST(Pages, NoWordsOverlapOrLeaveTheWindow) {
    for (const double scale : {1.0, 2.0}) {
        Asking hand(scale);
        for (const Question question : questions) {
            if (scale == 1 && question != Question::Strings && question != Question::Cautions) continue;
            openQuestion(hand.state, question, 0);
            hand.answer();
            stepRow(hand.state, 1);
            hand.moveTo({5, 5});
            const auto& words = hand.words();
            const Box& page = hand.state.frame.page;
            for (size_t i = 0; i < words.size(); ++i) {
                EXPECT_TRUE(words[i].clipped || words[i].box.low.x >= 0) << words[i].text;
                EXPECT_LE(words[i].box.high.x, 1280 * scale - 8) << words[i].text;
                EXPECT_TRUE(!page.overlaps(words[i].box) || words[i].box.low.x >= page.low.x)
                    << words[i].text;
                for (size_t k = i + 1; k < words.size(); ++k)
                    EXPECT_FALSE(words[i].clipped == words[k].clipped && words[i].box.overlaps(words[k].box))
                        << questionName(question) << ": " << words[i].text << " on " << words[k].text;
            }
        }
    }
}

// At 900 pixels the last two questions had no room, and a long title ran on under "Peel".
TEST(Pages, InASmallWindowAllQuestionsCanBeAskedAndTheTitleEndsBeforeTheSliders) {
    Loaded loaded = courtyard();
    auto named = std::make_shared<Model>(*loaded.model);
    named->plan.title = "Courtyard behind the old row house with the long garden wall";
    loaded.model = std::move(named);
    Hand hand(std::move(loaded), 900, 600);
    for (const Question question : questions) EXPECT_TRUE(hand.shows(questionName(question)));
    const auto& words = hand.words();
    const auto title = std::find_if(words.begin(), words.end(),
                                    [](const auto& one) { return one.text.starts_with("Courtyard"); });
    ASSERT_NE(title, words.end());
    EXPECT_GT(hand.find("Peel").x, title->box.high.x + 20);
}

// With motion off, "Section A" stood over the drawing of B until the pointer moved again.
TEST(Interface, AFrameInWhichTheHandActedIsFollowedByAnother) {
    Asking hand;
    hand.moveTo(hand.find("B"));
    hand.press();
    EXPECT_TRUE(hand.interface_.restless());
    hand.frame();
    EXPECT_FALSE(hand.interface_.restless());
    hand.events.left = false;
    hand.frame();
    ASSERT_EQ(hand.state.cut.name, "B");
    EXPECT_TRUE(hand.interface_.restless());
}

// The model stood under its own labels and the findings.
TEST(Interface, AnotherCutAndItsOtherSideAreFitted) {
    Asking hand;
    for (const char* words : {"B", "Other side", "Cut open"}) {
        hand.click(hand.find(words));
        Camera fitted = hand.state.camera.to;
        fitView(hand.state, 0);
        EXPECT_NEAR(hand.state.camera.to.distance, fitted.distance, 1e-9) << words;
        EXPECT_NEAR(glm::length(hand.state.camera.to.target - fitted.target), 0, 1e-9) << words;
    }
}

// The stake of two corners has no room in its row: chosen, it stands whole under it.
TEST(Pages, AChosenRowSaysInFullWhatItHadToShorten) {
    Asking hand;
    hand.open("Strings");
    stepRow(hand.state, 1);
    hand.moveTo({5, 5});
    EXPECT_TRUE(hand.shows("court, corner 1; stone strip, corner 2"));
}

// On the outline nothing but native soil was shown under the area's name, and no finish.
TEST(Pages, AtAStakeTheLayersOfItsAreaAreShown) {
    Asking hand;
    hand.open("Strings");
    stepRow(hand.state, 1);
    ASSERT_TRUE(hand.state.place);
    const auto rows = columnRows(hand.state, *hand.state.place);
    ASSERT_GT(rows.size(), 4U);
    EXPECT_EQ(rows[0].title, "Units");
    EXPECT_NEAR(rows[0].thickness, 2 * 0.0254, 1e-9);
    EXPECT_TRUE(finishAt(*hand.state.model, *hand.state.place));
}

// All strips ended at "station 0+02…".
TEST(Pages, NoColumnOfWordsIsCutShortInEveryRow) {
    Asking hand;
    hand.open("What to buy");
    hand.state.answer.scroll = 1e6;
    hand.moveTo({5, 5});
    int cut = 0;
    for (const auto& one : hand.words())
        cut += one.text.starts_with("station") && one.text.ends_with("\u2026") ? 1 : 0;
    EXPECT_EQ(cut, 0);
    EXPECT_TRUE(hand.showsStart("station 0+"));
}

TEST(PageColumns, DetailsGoFirstThenTheRightmost) {
    PageTable table{{"No.", "Ground", "Cut", "Stake"}, 3, {1}, {}};
    table.add({"1", "99", "C", "corner"});
    const std::vector<double> wide{20, 50, 40, 100};
    const auto indices = [&](double room) {
        std::vector<size_t> out;
        for (const PageColumn& column : columnsThatFit(table, wide, 10, {60, 60, 60, 60}, room))
            out.push_back(column.index);
        return out;
    };
    EXPECT_EQ(indices(240), (std::vector<size_t>{0, 1, 2, 3}));  // 210 and three gaps of 10
    EXPECT_EQ(indices(239), (std::vector<size_t>{0, 2, 3}));
    EXPECT_EQ(indices(140), (std::vector<size_t>{0, 2, 3}));  // the stake's name cut short to 60
    EXPECT_EQ(indices(139), (std::vector<size_t>{0, 2}));
    EXPECT_EQ(indices(5), (std::vector<size_t>{0}));
}

}  // namespace
}  // namespace underfoot
