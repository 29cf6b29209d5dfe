#pragma once
// What stakes, strings and rails read cells with. Internal to study.

#include <array>

#include "study/stakes.h"

namespace underfoot {

/// A cell inside the outlines and the shares of its corners at a place (which may be a hair outside).
struct StakeCell {
    int cell = -1;
    std::array<double, 3> share{};
};
/// The cell of the area (-1: of any) inside the outlines that holds a place, within
/// tolerance::samePlanPoint; the lowest index. cell -1 when there is none. `hint` is kept between calls.
StakeCell stakeCell(const Model& model, glm::dvec2 at, int area, int& hint);
std::array<double, 3> sharesIn(const Model& model, const Cell& cell, glm::dvec2 at);

}  // namespace underfoot
