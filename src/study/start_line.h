#pragma once
// Where to start a pattern so that it leaves the fewest slivers and cuts. The field is laid again with its
// pattern moved along and across the rows, and turned where asked; nothing else of the model is built anew.
//
// Better is, in this order: fewer slivers (pieces below cut_unit.least_width or cut_unit.least_part), fewer
// cut pieces, a larger smallest part. Borders do not move and are not counted.
//
// Where every side of the field runs along the rows or square to them, cuts change only where a joint passes
// a side: the places at these shifts, at those where a piece cut by one side passes a limit, and between them
// are tried, so no shift has fewer cuts at as few slivers among pieces cut by one side. A piece in a corner
// depends on both shifts at once: for it the places tried are samples. Else, and where that makes more than a
// limited number of tries, shifts stand on a grid of 1/24 of the repeat and are refined by halving; a better
// one may lie between.

#include <string>

#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "model/layout.h"
#include "model/model.h"
#include "plan/catalogue.h"

namespace underfoot {

struct LaidNumbers {
    int whole = 0;
    int cut = 0;
    int slivers = 0;
    double smallestPart = 1;  ///< of a whole unit; 1 where nothing is cut
    double narrowest = 0;     ///< least width of a cut piece; 0 where nothing is cut
};

struct StartLineWish {
    bool symmetrical =
        false;            ///< the same cuts at opposite sides of the field's box along and across the rows
    double turn = 0;      ///< angles up to so much to either side of the plan's are tried, radians
    double turnStep = 0;  ///< radians; needed where turn > 0
};

struct StartLine {
    glm::dvec2 start{0, 0};  ///< in plan: what `start` of the plan's units says
    double angle = 0;        ///< radians: what `angle` of the plan's units says
    /// Of the pattern along its rows, as `angle` has them, and to their left; least of all that lay the same.
    glm::dvec2 shift{0, 0};
    LaidNumbers before, after;
    bool exact = false;    ///< every shift along either axis that matters was tried, in all pairs
    double step = 0;       ///< what the shift was refined to where not exact
    int tried = 0;         ///< ways to lay the field
    std::string planText;  ///< `start = [1.25, 0], angle = "3"`: for the plan's units, numbers in its unit
};

/// Where nothing is cut nothing is tried and `planText` is empty. The numbers of `after` are those of the
/// plan with `planText` in it. A sentence where the area has no field of units, or its pattern has no mirror
/// line and symmetry is asked for.
tl::expected<StartLine, std::string> startLine(const Model& model, const Catalogue& catalogue, int area,
                                               const StartLineWish& wish);

/// What a layout's pieces come to.
LaidNumbers laidNumbers(const UnitPlan& laid, const Catalogue& catalogue);

}  // namespace underfoot
