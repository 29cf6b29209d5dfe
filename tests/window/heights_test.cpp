#include "window/heights.h"

#include <filesystem>
#include <fstream>
#include <iterator>

#include "hand.h"
#include "plan/read_plan.h"
#include "study/thickness.h"
#include "window/shots.h"

namespace underfoot {
namespace {

namespace fs = std::filesystem;
using test::Hand;

// The base was shot at 9.920; units of 50 mm under a finish of 10.000 leave 30 mm of sand.
constexpr const char* court = R"(title = "Court"   # by the gate
unit = "m"
show = "m"
baseline = { from = [0, 0], to = [4, 0], positive = "left" }
[finish]
at = [0, 0]
level = "10.000 m"   # the door sill is 10.15
fall = "0 %"
[[build_up]]
name = "on sand"
layers = [
  { name = "units", role = "units", thickness = 0.05 },
  { name = "sand", role = "bedding", thickness = 0.03, take_up = true },
  { name = "base", role = "base", thickness = 0.10 },
]
[[area]]
name = "court"
build_up = "on sand"
rectangle = { corner = [0, 0], size = [4, 3] }
[[measured_top]]
layer = "base"
shots = [ [0, 0, 9.92], [4, 0, 9.92], [4, 3, 9.92], [0, 3, 9.92] ]
)";

std::string with(std::string text, const std::string& old, const std::string& other) {
    const size_t at = text.find(old);
    EXPECT_NE(at, std::string::npos) << old;
    return text.replace(at, old.size(), other);
}

/// The court with a fifth shot of the base in its middle, numbered, in an odd place of the text.
std::string courtWithMiddle() {
    return with(
        court, "[0, 3, 9.92] ]",
        "[0, 3, 9.92],\n  { n = 5, at = [2, 1.5], height = 9.9200, note = \"damp\" },  # by the drain\n]");
}
constexpr Movable middleShot{Movable::Of::MeasuredShot, 0, 4};

Loaded reading(const Plan& plan) {
    Loaded loaded;
    loaded.model = std::make_shared<const Model>(buildModel(plan).value());
    loaded.catalogue = loadCatalogue(loaded.model->plan);
    loaded.findings = findings(*loaded.model, loaded.catalogue);
    return loaded;
}
Loaded reading(const std::string& text) {
    return reading(readPlanText(text, "court.toml", ".").value());
}

/// What the thread beside the window does.
class Mover {
  public:
    explicit Mover(const WindowState& state) : rebuilder_(Rebuilder::of(state.model->plan).value()) {}
    void follow(WindowState& state) {
        if (!state.moveWanted) return;
        const MoveWanted wanted = std::move(*state.moveWanted);
        state.moveWanted.reset();
        Moved moved;
        moved.number = wanted.number;
        const auto kept = rebuilder_.move(wanted.edits);
        if (kept && wanted.settle) (void)rebuilder_.settle();
        if (kept) {
            moved.model = std::make_shared<const Model>(rebuilder_.model());
            moved.findings = findings(*moved.model, state.catalogue);
        } else {
            moved.faults = kept.error();
        }
        receiveMoved(state, std::move(moved));
    }

  private:
    Rebuilder rebuilder_;
};

TEST(Heights, DraggingTheFinishUpThickensTheBedUnderIt) {
    Hand hand(reading(std::string(court)));
    Mover mover(hand.state);
    const std::shared_ptr<const Model> planned = hand.state.model;
    ASSERT_TRUE(hand.shows("10.000 m"));
    ASSERT_TRUE(hand.shows("30 mm"));
    // Three pixels a millimetre: 36 up are 12 mm.
    const glm::dvec2 at = hand.find("10.000 m");
    hand.drag(at, at - glm::dvec2{0, 36});
    mover.follow(hand.state);
    hand.frame();
    hand.frame();
    EXPECT_TRUE(hand.shows("10.012 m"));
    EXPECT_TRUE(hand.shows("+12 mm"));
    EXPECT_TRUE(hand.shows("42 mm"));
    EXPECT_EQ(hand.state.model->plan.finishes[0].planes[0].level, 10.012);
    EXPECT_FALSE(hand.state.cameraOwn) << "a drag on the column must not turn the eye";
    hand.click(hand.find("Back"));
    EXPECT_EQ(hand.state.model, planned);
    EXPECT_TRUE(hand.shows("10.000 m"));
    EXPECT_FALSE(hand.shows("Save"));
}

TEST(Heights, FindingsFollowAndTheOpenOneStaysOpen) {
    WindowState state;
    receive(state, reading(std::string(court)), 0);
    Mover mover(state);
    const size_t before = state.findings.size();
    // 60 mm up: 90 mm of sand is too thick by any rule.
    raiseFinish(state, 0, 0.06);
    EXPECT_TRUE(state.raise->waiting);
    mover.follow(state);
    EXPECT_FALSE(state.raise->waiting);
    ASSERT_GT(state.findings.size(), before);
    const auto thick = std::find_if(state.findings.begin(), state.findings.end(),
                                    [](const Finding& f) { return f.kind == FindingKind::BeddingThick; });
    ASSERT_NE(thick, state.findings.end());
    chooseFinding(state, static_cast<int>(thick - state.findings.begin()), 0);
    raiseFinish(state, 0, 0.061);
    mover.follow(state);
    ASSERT_GE(state.openFinding, 0);
    EXPECT_EQ(state.findings[static_cast<size_t>(state.openFinding)].kind, FindingKind::BeddingThick);
    dropRaise(state);
    EXPECT_EQ(state.findings.size(), before);
}

TEST(Heights, KeysMoveTheFinishAndEscapeTakesItBack) {
    WindowState state;
    receive(state, reading(std::string(court)), 0);
    EXPECT_TRUE(pressKey(state, Key::PageDown, true, 0));
    ASSERT_TRUE(state.raise);
    EXPECT_NEAR(raisedBy(state, {}), -0.008, 1e-12);
    EXPECT_NEAR(state.moveWanted->edits[0].value, 9.992, 1e-12);
    EXPECT_TRUE(pressKey(state, Key::Escape, false, 0));
    EXPECT_FALSE(anythingRaised(state));
}

TEST(Heights, AnAnswerToAnOlderWishIsNotTakenForTheNewest) {
    WindowState state;
    receive(state, reading(std::string(court)), 0);
    const std::shared_ptr<const Model> planned = state.model;
    raiseFinish(state, 0, 0.01);
    const size_t first = state.moves;
    dropRaise(state);
    Moved late;
    late.model = reading(std::string(court)).model;
    late.findings.emplace();
    late.number = first;
    receiveMoved(state, late);
    EXPECT_EQ(state.model, planned);
}

/// A window on the court with its shots shown, and whole.
struct ShotsOfCourt : Hand {
    ShotsOfCourt() : Hand(reading(courtWithMiddle())) {
        showCut(state, false);
        showShots(state, true);
        frame();
    }
};

glm::dvec2 pixelOf(const Hand& hand, const Movable& shot) {
    for (const ShotDot& dot : shotDots(hand.state, lookOf(hand.state, 0)))
        if (dot.shot == shot) return cameraAt(hand.state, 0).project(dot.at, 1280, 800).value();
    ADD_FAILURE() << "no such dot";
    return {};
}

double sandAt(const WindowState& state, glm::dvec2 at) {
    for (const LayerAt& layer : stackAtPoint(*state.model, state.model->toLocal(at)))
        if (layer.layer == state.model->findLayer("sand")) return layer.thickness();
    return 0;
}

TEST(Shots, OneIsDraggedUpAndWhatLiesOnItFollows) {
    ShotsOfCourt hand;
    Mover mover(hand.state);
    const Camera eye = hand.state.camera.to;
    const glm::dvec2 dot = pixelOf(hand, middleShot);
    hand.moveTo(dot);
    EXPECT_TRUE(hand.shows("Base shot 5  9.920 m"));
    hand.press();
    hand.moveTo(dot - glm::dvec2{0, 36});
    mover.follow(hand.state);
    hand.release();
    mover.follow(hand.state);
    hand.frame();
    // Three pixels a millimetre: 36 up are 12 mm, which the bed of 30 mm loses over the shot, and half of it
    // half-way to a corner.
    EXPECT_NEAR(shotHeight(hand.state, middleShot), 9.932, 1e-12);
    EXPECT_NEAR(sandAt(hand.state, {2, 1.5}), 0.018, 1e-9);
    EXPECT_NEAR(sandAt(hand.state, {1, 0.75}), 0.024, 1e-9);
    for (const char* words :
         {"Base shot 5, damp", "9.932 m", "+12 mm", "18 mm", "court.toml, line 23 has 9.920 m", "Save"})
        EXPECT_TRUE(hand.shows(words)) << words;
    EXPECT_TRUE(sameCamera(eye, hand.state.camera.to)) << "a drag of a shot must not turn the eye";
    for (const auto& a : hand.words())
        for (const auto& b : hand.words())
            EXPECT_FALSE(&a < &b && !a.clipped && !b.clipped && a.box.overlaps(b.box)) << a.text << b.text;
}

TEST(Shots, ADragIsOneStepToUndoAndDoAgain) {
    ShotsOfCourt hand;
    Mover mover(hand.state);
    const std::shared_ptr<const Model> planned = hand.state.model;
    raiseFinish(hand.state, 0, 0.010);
    const glm::dvec2 dot = pixelOf(hand, middleShot);
    hand.drag(dot, dot + glm::dvec2{0, 9});
    mover.follow(hand.state);
    // Raised strings and a lowered shot: 30 + 10 + 3 mm.
    EXPECT_NEAR(sandAt(hand.state, {2, 1.5}), 0.043, 1e-9);
    EXPECT_TRUE(pressKey(hand.state, Key::Undo, false, 0));
    mover.follow(hand.state);
    EXPECT_NEAR(sandAt(hand.state, {2, 1.5}), 0.040, 1e-9);
    EXPECT_TRUE(pressKey(hand.state, Key::Undo, false, 0));
    EXPECT_EQ(hand.state.model, planned);
    EXPECT_FALSE(pressKey(hand.state, Key::Undo, false, 0));
    for (int i = 0; i < 2; ++i) EXPECT_TRUE(pressKey(hand.state, Key::Redo, false, 0));
    EXPECT_FALSE(pressKey(hand.state, Key::Redo, false, 0));
    mover.follow(hand.state);
    EXPECT_NEAR(sandAt(hand.state, {2, 1.5}), 0.043, 1e-9);
    // All of it back is a step as well; what works beside the window is told of both.
    dropRaise(hand.state);
    EXPECT_EQ(hand.state.model, planned);
    ASSERT_EQ(hand.state.moveWanted->edits.size(), 2U);
    EXPECT_EQ(hand.state.moveWanted->edits[0].value, 10.0);
    EXPECT_EQ(hand.state.moveWanted->edits[1].value, 9.92);
    EXPECT_TRUE(pressKey(hand.state, Key::Undo, false, 0));
    EXPECT_NEAR(raisedBy(hand.state, middleShot), -0.003, 1e-12);
}

TEST(Shots, AHeightIsTypedAsInThePlan) {
    ShotsOfCourt hand;
    Mover mover(hand.state);
    const auto type = [&](const char* text) {
        for (const char* c = text; *c; ++c) typeInto(hand.state, static_cast<unsigned char>(*c));
        hand.frame();
    };
    hand.click(pixelOf(hand, middleShot));
    EXPECT_FALSE(anythingRaised(hand.state)) << "a click chooses, and moves nothing";
    hand.click(hand.find("9.920 m"));
    type("9.9 mq");
    EXPECT_TRUE(hand.shows("A bare number is in m. Enter takes it."));
    EXPECT_TRUE(pressKey(hand.state, Key::Enter, false, 0));
    EXPECT_NE(hand.state.notice.find("not a unit"), std::string::npos);
    // Keys that stand for something else elsewhere are only letters now.
    EXPECT_TRUE(pressKey(hand.state, Key::G, false, 0));
    EXPECT_TRUE(hand.state.shotsShown);
    for (int i = 0; i < 6; ++i) pressKey(hand.state, Key::Backspace, false, 0);
    type("32 ft 7 in");
    EXPECT_TRUE(hand.shows("32 ft 7 in"));
    EXPECT_TRUE(pressKey(hand.state, Key::Enter, false, 0));
    mover.follow(hand.state);
    // 391 in are 9.9314 m, 11.4 mm up: not rounded to steps.
    EXPECT_NEAR(sandAt(hand.state, {2, 1.5}), 0.0186, 1e-9);
    EXPECT_TRUE(pressKey(hand.state, Key::Enter, false, 0));
    type("1");
    EXPECT_TRUE(pressKey(hand.state, Key::Escape, false, 0));
    EXPECT_NEAR(shotHeight(hand.state, middleShot), 9.9314, 1e-12);
    EXPECT_TRUE(pressKey(hand.state, Key::Escape, false, 0));
    EXPECT_FALSE(hand.state.shot);
}

TEST(Shots, StepsLieOnWholeMillimetresAndThePlansOwnHeight) {
    WindowState state;
    receive(state, reading(with(courtWithMiddle(), "9.9200", "9.9204")), 0);
    chooseShot(state, middleShot);
    const auto after = [&](Key key) {
        pressKey(state, key, false, 0);
        return shotHeight(state, middleShot);
    };
    EXPECT_NEAR(after(Key::PageUp), 9.921, 1e-12);
    EXPECT_EQ(after(Key::PageDown), 9.9204);
    EXPECT_NEAR(after(Key::PageDown), 9.919, 1e-12);
    // 0.6 m at most, but for what was typed.
    stepShot(state, middleShot, 9.9204, 5000);
    EXPECT_NEAR(raisedBy(state, middleShot), 0.6, 1e-12);
    raiseBy(state, middleShot, 2);
    EXPECT_NEAR(after(Key::PageDown), 11.919, 1e-12);
}

TEST(Shots, OneFarBehindWhatIsSeenIsNotPicked) {
    ShotsOfCourt hand;
    const auto picked = [&](double elevation) {
        hand.state.camera.to.elevation = elevation;
        return shotNear(hand.state, lookOf(hand.state, 0), cameraAt(hand.state, 0), pixelOf(hand, middleShot),
                        1);
    };
    // 80 mm under the finish: 80 mm / sin 30 degrees = 160 mm behind it, and at 2 degrees 2.3 m.
    EXPECT_EQ(picked(0.5236), middleShot);
    EXPECT_EQ(picked(0.0349), std::nullopt);
}

TEST(Shots, HiddenLayersAndTheSideCutAwayHaveNone) {
    ShotsOfCourt hand;
    const auto dots = [&] { return shotDots(hand.state, lookOf(hand.state, 0)).size(); };
    EXPECT_EQ(dots(), 5U);
    toggleLayer(hand.state, hand.state.model->findLayer("base"));
    EXPECT_EQ(dots(), 0U);
    showAllLayers(hand.state);
    cutAtStationOf(hand.state, 1);
    showCut(hand.state, true);
    // Three of the five stand at stations past 1, two at 0.
    const size_t oneSide = dots();
    cutFromOtherSide(hand.state);
    EXPECT_EQ(oneSide + dots(), 5U);
    EXPECT_EQ(std::max(oneSide, dots()), 3U);
}

TEST(Shots, TheChoiceOutlivesAReadingWhereTheShotStillStands) {
    WindowState state;
    receive(state, reading(courtWithMiddle()), 0);
    showShots(state, true);
    chooseShot(state, middleShot);
    raiseBy(state, middleShot, 0.01);
    receive(state, reading(with(courtWithMiddle(), "9.9200", "9.9300")), 0);
    EXPECT_EQ(state.shot, middleShot);
    EXPECT_FALSE(anythingRaised(state));
    EXPECT_FALSE(undoRaise(state)) << "what was done to another reading is not undone in this one";
    receive(state, reading(std::string(court)), 0);
    EXPECT_FALSE(state.shot);
}

class Saving : public testing::Test {
  protected:
    Saving() {
        // A folder of its own: other tests of this kind run beside it.
        const std::string test = testing::UnitTest::GetInstance()->current_test_info()->name();
        folder_ = fs::path(testing::TempDir()) / ("underfoot-heights-" + test);
        fs::create_directories(folder_);
        file_ = folder_ / "court.toml";
    }
    ~Saving() override { fs::remove_all(folder_); }
    void write(const std::string& text) const { std::ofstream(file_, std::ios::binary) << text; }
    std::string now() const {
        std::ifstream file(file_, std::ios::binary);
        return {std::istreambuf_iterator<char>(file), {}};
    }
    /// Raises by 12 mm and saves; the text that stands there then.
    std::string raised(const std::string& text, double by = 0.012) { return saved(text, {{{}, by}}); }
    std::string saved(const std::string& text, const std::vector<Raised>& all) {
        write(text);
        const auto plan = readPlan(file_);
        EXPECT_TRUE(plan) << (plan ? "" : plan.error().front().what);
        const auto written = writeRaise(file_, *plan, all);
        EXPECT_TRUE(written) << (written ? "" : written.error().what);
        return now();
    }
    /// What is said instead of saving a shot that is raised by 12 mm; the file stays as it is.
    std::string refused(const std::string& text, const Movable& shot, double by = 0.012) {
        write(text);
        const auto plan = readPlan(file_);
        EXPECT_TRUE(plan) << (plan ? "" : plan.error().front().what);
        const auto written = writeRaise(file_, *plan, {{{}, 0.001}, {shot, by}});
        EXPECT_FALSE(written);
        EXPECT_EQ(now(), text);
        return written ? "" : written.error().what + ' ' + written.error().remedy;
    }

    fs::path folder_, file_;
};

TEST_F(Saving, OnlyTheLevelChanges) {
    EXPECT_EQ(raised(court), with(court, "10.000 m", "10.012 m"));
}

TEST_F(Saving, ALevelIsWrittenAsItWas) {
    const std::string quoted = "\"10.000 m\"";
    // 10 m / 0.3048 = 32.8084 ft; 12 mm more is 32.847769 ft.
    EXPECT_EQ(raised(with(court, quoted, "10")), with(court, quoted, "10.012"));
    EXPECT_EQ(raised(with(court, quoted, "'10000 mm'")), with(court, quoted, "'10012.0 mm'"));
    // 32 ft 9 3/4 in is 393.75 in; a sixteenth more is 32 ft 9 13/16 in.
    EXPECT_EQ(raised(with(court, quoted, "\"32 ft 9 3/4 in\""), 0.0254 / 16),
              with(court, quoted, "\"32 ft 9 13/16 in\""));
    EXPECT_EQ(raised(with(court, quoted, "\"32' 9\\\"\""), 0.0254), with(court, quoted, "\"32 ft 10 in\""));
    // A mark before the text and Windows' line ends stay; so do letters past ASCII before it on the line.
    const std::string others =
        "\xEF\xBB\xBF" + with(with(court, "by the gate", "bei der T\u00fcr"), "\n", "\r\n");
    EXPECT_EQ(raised(others), with(others, "10.000 m", "10.012 m"));
}

TEST_F(Saving, SpotsAndPlanesAndNamedFinishesAreAllMoved) {
    const std::string planes =
        with(court, "at = [0, 0]\nlevel = \"10.000 m\"   # the door sill is 10.15\nfall = \"0 %\"",
             "join = \"ridge\"\nplanes = [ { at = [0, 0], level = 10.0, fall = \"1 %\" }, "
             "{ at = [0, 3], level = \"10.1 m\", fall = \"-1 %\" } ]");
    EXPECT_EQ(raised(planes), with(with(planes, "level = 10.0,", "level = 10.012,"), "10.1 m", "10.112 m"));
}

TEST_F(Saving, AFileThatChangedMeanwhileIsLeftAlone) {
    write(court);
    const auto plan = readPlan(file_);
    ASSERT_TRUE(plan);
    const std::string other = with(court, "10.000 m", "10.500 m");
    write(other);
    const auto written = writeRaise(file_, *plan, {{{}, 0.012}});
    ASSERT_FALSE(written);
    EXPECT_NE(written.error().what.find("nothing was saved"), std::string::npos);
    EXPECT_EQ(now(), other);
}

// The whole text but for the three numbers: comments, blanks, order and the other shots stay.
TEST_F(Saving, ShotsAreWrittenWhereTheyStand) {
    const std::string ground =
        courtWithMiddle() +
        "[ground]\nshots = [ [-3, -3, \"9 m\"],[7,-3,9.00],  [7, 6, 9], # a lawn\n\t[-3, 6, 9_000e-3 ] ]\n";
    const Movable first{Movable::Of::GroundShot, 0, 0}, last{Movable::Of::GroundShot, 0, 3};
    const std::string all = saved(ground, {{middleShot, -0.02}, {last, 0.25}, {first, 0.5}, {{}, 0.012}});
    EXPECT_EQ(all,
              with(with(with(with(ground, "9.9200", "9.9000"), "9_000e-3", "9.25"), "\"9 m\"", "\"9.5 m\""),
                   "10.000 m", "10.012 m"));
    // In a plan in feet a shot of 99.392 ft raised by a sixteenth of an inch is 99.397208 ft.
    const std::string feet =
        with(with(courtWithMiddle(), "unit = \"m\"", "unit = \"ft\""), "9.9200", "9.9200");
    EXPECT_EQ(saved(feet, {{middleShot, 0.0254 / 16}}), with(feet, "9.9200", "9.925208"));
}

TEST_F(Saving, AShotOfAPointFileIsRefusedWithItsLine) {
    std::ofstream(folder_ / "base.csv") << "1,0,0,9.92\n2,0,4,9.92\n3,3,4,9.92\n";
    const std::string text =
        with(court, "shots = [ [0, 0, 9.92], [4, 0, 9.92], [4, 3, 9.92], [0, 3, 9.92] ]",
             "shots = [ [0, 3, 9.92] ]\nfiles = [ { path = \"base.csv\", order = \"PNEZD\" } ]");
    EXPECT_EQ(
        refused(text, {Movable::Of::MeasuredShot, 0, 2}),
        "This shot stands in a point file, so nothing was saved. Change the height on line 2 of base.csv to "
        "9.932 m.");
    EXPECT_EQ(saved(text, {{{Movable::Of::MeasuredShot, 0, 0}, 0.012}}),
              with(text, "[0, 3, 9.92]", "[0, 3, 9.932]"));
}

// A rod is read downward from the level, a measure downward from the string: both get smaller under a higher
// shot. 1.28 m - 12 mm = 1.268 m; 80 mm + 12 mm = 92 mm; 3 ft 4 1/2 in less 3/4 in = 3 ft 3 3/4 in.
TEST_F(Saving, RodReadingsAndMeasuresFromAStringGetSmallerAsTheShotIsRaised) {
    const std::string text = with(
        court, "[0, 3, 9.92] ]",
        "[0, 3, 9.92] ]\nrod = [ { benchmark = 10, backsight = 1.2, shots = [ [1, 1, 1.28] ] },  # noon\n"
        "  { benchmark = 10, backsight = \"3 ft 2 in\", shots = [ { at = [2, 1], rod = \"3 ft 4 1/2 in\", "
        "note = \"by the gate\" } ] } ]\n"
        "string = { from = [3, 0], from_height = 10, to = [3, 3], to_height = 10, shots = [ [3, 1, \"80 "
        "mm\"] ] }");
    const Movable onRod{Movable::Of::MeasuredShot, 0, 4}, byTheGate{Movable::Of::MeasuredShot, 0, 5},
        underString{Movable::Of::MeasuredShot, 0, 6};
    EXPECT_EQ(saved(text, {{onRod, 0.012}}), with(text, "1, 1.28]", "1, 1.268]"));
    EXPECT_EQ(saved(text, {{byTheGate, 0.0254 * 0.75}}), with(text, "3 ft 4 1/2 in", "3 ft 3 3/4 in"));
    EXPECT_EQ(saved(text, {{underString, -0.012}}), with(text, "80 mm", "92.0 mm"));
    // Together, and with a shot that stands there as a height.
    EXPECT_EQ(
        saved(text, {{onRod, 0.012}, {underString, -0.012}, {{Movable::Of::MeasuredShot, 0, 0}, 0.005}}),
        with(with(with(text, "1, 1.28]", "1, 1.268]"), "80 mm", "92.0 mm"), "[0, 0, 9.92]", "[0, 0, 9.925]"));
}

// Another backsight moves all that was read with it: the shots are not those that are shown.
TEST_F(Saving, ARodReadAnewFromAnotherBacksightIsNotWrittenOver) {
    const std::string text =
        with(court, "[0, 3, 9.92] ]",
             "[0, 3, 9.92] ]\nrod = [ { benchmark = 10, backsight = 1.2, shots = [ [1, 1, 1.28] ] } ]");
    write(text);
    const auto plan = readPlan(file_);
    ASSERT_TRUE(plan);
    const std::string other = with(text, "backsight = 1.2", "backsight = 1.3");
    write(other);
    EXPECT_FALSE(writeRaise(file_, *plan, {{{Movable::Of::MeasuredShot, 0, 4}, 0.012}}));
    EXPECT_EQ(now(), other);
}

TEST_F(Saving, AShotThatStandsInAnothersPlaceMeanwhileIsNotTakenForIt) {
    write(court);
    const auto plan = readPlan(file_);
    ASSERT_TRUE(plan);
    const std::string other = with(court, "[4, 0, 9.92], [4, 3, 9.92]", "[4, 3, 9.92], [4, 0, 9.92]");
    write(other);
    EXPECT_FALSE(writeRaise(file_, *plan, {{{Movable::Of::MeasuredShot, 0, 1}, 0.012}}));
    EXPECT_EQ(now(), other);
}

}  // namespace
}  // namespace underfoot
