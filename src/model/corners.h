#pragma once
// Corners that meet become one point, so that the solids of neighbouring layers and cells share them.

#include "model/model.h"

namespace underfoot {

/// Fills Model::points and Model::pointOf from the heights: at each plan vertex, heights within
/// tolerance::sameHeight are one point; heights are set to their point's. Points are numbered vertex by
/// vertex, rising. Where two cells' interfaces still change order between the ends of an edge too short to be
/// split, the nearer pair of heights is made one.
/// True when that was done anywhere: heights then lie elsewhere than they were solved.
bool weldCorners(Model& model);

}  // namespace underfoot
