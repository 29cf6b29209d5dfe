#pragma once
// Places for words that cover neither each other nor, as far as that can be, lines. Pixels, y down. Private
// to this folder.

#include <array>
#include <optional>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "window/layout.h"

namespace underfoot {

/// Boxes of the size of the words beside another box, level with `at` or over or under it: over, right, left,
/// under.
std::array<Box, 4> boxesRound(const Box& round, glm::dvec2 at, glm::dvec2 words, double gap);

class FreePlaces {
  public:
    /// Nothing may be written over `taken`.
    explicit FreePlaces(std::vector<Box> taken = {}) : taken_(std::move(taken)) {}

    void addLine(glm::dvec2 from, glm::dvec2 to) { lines_.push_back({from, to}); }
    /// The first of the boxes that the fewest lines run through, of those that overlap nothing taken; it is
    /// taken from then on. Nothing where all overlap.
    std::optional<Box> take(const std::vector<Box>& boxes);

  private:
    long linesThrough(const Box& box) const;
    std::vector<Box> taken_;
    std::vector<std::array<glm::dvec2, 2>> lines_;
};

}  // namespace underfoot
