#include "window/heights.h"

#include <filesystem>
#include <fstream>
#include <iterator>

#include "hand.h"
#include "plan/read_plan.h"

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
    dropRaise(state, 0);
    EXPECT_EQ(state.findings.size(), before);
}

TEST(Heights, KeysMoveTheFinishAndEscapeTakesItBack) {
    WindowState state;
    receive(state, reading(std::string(court)), 0);
    EXPECT_TRUE(pressKey(state, Key::PageDown, true, 0));
    ASSERT_TRUE(state.raise);
    EXPECT_NEAR(state.raise->by, -0.008, 1e-12);
    EXPECT_NEAR(state.moveWanted->edits[0].value, 9.992, 1e-12);
    EXPECT_TRUE(pressKey(state, Key::Escape, false, 0));
    EXPECT_FALSE(state.raise);
}

TEST(Heights, AnAnswerToAnOlderWishIsNotTakenForTheNewest) {
    WindowState state;
    receive(state, reading(std::string(court)), 0);
    const std::shared_ptr<const Model> planned = state.model;
    raiseFinish(state, 0, 0.01);
    const size_t first = state.moves;
    dropRaise(state, 0);
    Moved late;
    late.model = reading(std::string(court)).model;
    late.findings.emplace();
    late.number = first;
    receiveMoved(state, late);
    EXPECT_EQ(state.model, planned);
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
    static std::string with(std::string text, const std::string& old, const std::string& other) {
        const size_t at = text.find(old);
        EXPECT_NE(at, std::string::npos);
        return text.replace(at, old.size(), other);
    }
    /// Raises by 12 mm and saves; the text that stands there then.
    std::string raised(const std::string& text, double by = 0.012) {
        write(text);
        const auto plan = readPlan(file_);
        EXPECT_TRUE(plan);
        const auto written = writeRaise(file_, *plan, 0, by);
        EXPECT_TRUE(written) << (written ? "" : written.error().what);
        return now();
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
    const auto written = writeRaise(file_, *plan, 0, 0.012);
    ASSERT_FALSE(written);
    EXPECT_NE(written.error().what.find("nothing was saved"), std::string::npos);
    EXPECT_EQ(now(), other);
}

}  // namespace
}  // namespace underfoot
