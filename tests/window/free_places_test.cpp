#include "window/free_places.h"

#include <array>
#include <vector>

#include <gtest/gtest.h>
#include <glm/vec2.hpp>

namespace underfoot {
namespace {

std::vector<Box> boxesOf(const std::array<Box, 4>& boxes) {
    return {boxes.begin(), boxes.end()};
}

// A place with 6 pixels round it and words of 40 by 14, 4 pixels off: over it from y = 100 - 6 - 4 - 14 = 76
// to 90 and x = 80 to 120; right of it from x = 110 to 150.
const Box place{{94, 94}, {106, 106}};
const std::vector<Box> round = boxesOf(boxesRound(place, {100, 100}, {40, 14}, 4));

TEST(FreePlaces, WordsStandOverAPlaceWhereNothingElseDoes) {
    const auto box = FreePlaces().take(round);
    ASSERT_TRUE(box);
    EXPECT_EQ(box->low, glm::dvec2(80, 76));
    EXPECT_EQ(box->high, glm::dvec2(120, 90));
}

TEST(FreePlaces, WordsStandBesideALineThatRunsUp) {
    FreePlaces places;
    places.addLine({100, 0}, {100, 200});
    const auto box = places.take(round);
    ASSERT_TRUE(box);
    EXPECT_EQ(box->low, glm::dvec2(110, 93));
}

TEST(FreePlaces, WhereLinesRunAllOverThoseWithTheFewestAreRunOver) {
    FreePlaces places;
    for (const double x : {85.0, 100.0, 115.0, 130.0}) places.addLine({x, 0}, {x, 200});
    places.addLine({60, 100}, {90, 100});
    // Over and under: three lines; right: two, at 115 and 130; left, x = 50 to 90: one upright and the level.
    const auto box = places.take(round);
    ASSERT_TRUE(box);
    EXPECT_EQ(box->low, glm::dvec2(110, 93));
}

TEST(FreePlaces, NoWordsStandOverOthers) {
    FreePlaces places;
    for (int i = 0; i < 4; ++i) EXPECT_TRUE(places.take(round)) << i;
    EXPECT_FALSE(places.take(round));
}

// A ring of attention about the place reaches 12 pixels up: what would stand over it goes beside it.
TEST(FreePlaces, NothingIsWrittenOverWhatIsTaken) {
    FreePlaces places({{{80, 88}, {108, 112}}});
    const auto box = places.take(round);
    ASSERT_TRUE(box);
    EXPECT_EQ(box->low, glm::dvec2(110, 93));
}

}  // namespace
}  // namespace underfoot
