#pragma once
// Finding the cell that holds a place, and heights inside it.

#include <glm/vec2.hpp>

#include "model/model.h"

namespace underfoot {

/// Walks from cell `hint` (or any, for -1) to the one that holds a local point; -1 outside. On an edge: one
/// of its two cells, always the same for the same hint. Exact on the plan grid.
int locateCell(const Model& model, glm::dvec2 point, int hint = -1);

/// Height of interface k of a cell at a point in it (flat over the cell, so also carried on past its edges).
double heightAt(const Model& model, const Cell& cell, int k, glm::dvec2 point);

}  // namespace underfoot
