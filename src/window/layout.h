#pragma once
// Where everything stands in the window. Lengths are window pixels, y down; `scale` is pixels per unit of
// drawing.

#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "study/section.h"
#include "view/camera.h"

namespace underfoot {

struct Box {
    glm::dvec2 low{0, 0};
    glm::dvec2 high{0, 0};
    double width() const { return high.x - low.x; }
    double height() const { return high.y - low.y; }
    glm::dvec2 middle() const { return (low + high) * 0.5; }
    /// The low sides belong to the box, the high ones don't.
    bool holds(glm::dvec2 p) const { return p.x >= low.x && p.y >= low.y && p.x < high.x && p.y < high.y; }
    Box inset(double by) const { return {low + by, high - by}; }
    bool overlaps(const Box& other) const {
        return low.x < other.high.x && other.low.x < high.x && low.y < other.high.y && other.low.y < high.y;
    }
};

/// What the frame holds beside the scene.
struct FrameParts {
    bool clientView = false;
    bool slipsOpen = true;
    bool scaleShown = false;  ///< the thickness scale
    bool pageOpen = false;    ///< the answer to a question, in the findings' place
};

/// The frame. Parts that are not shown have no width. No two of them overlap.
struct WindowFrame {
    double scale = 1;
    double width = 0, height = 0;
    Box title;
    Box controls;
    Box column;     ///< the build-up column
    Box questions;  ///< the line that lists them
    Box slips;      ///< the findings
    Box page;       ///< the answer to a question; then there are no slips
    Box foot;       ///< everything along the foot: plan, station slider, strip
    Box plan;       ///< the little plan, inside the foot
    Box stationSlider;
    Box stripHead;  ///< line of words above the drawing
    Box strip;      ///< the section drawing
    Box thicknessScale;
    Insets scene;  ///< what the parts leave free for the model

    double units(double n) const { return n * scale; }
};
WindowFrame frameOf(double width, double height, double scale, const FrameParts& parts);

/// From the plan to a little plan that stands as the 3D view does: house at the top, the garden below.
struct PlanMap {
    Box box;
    glm::dvec2 middle{0, 0};  ///< local point at the middle of the box
    glm::dvec2 right{1, 0};   ///< plan directions, unit length
    glm::dvec2 down{0, -1};
    double pixelsPerMetre = 1;

    glm::dvec2 toScreen(glm::dvec2 local) const;
    glm::dvec2 toLocal(glm::dvec2 screen) const;
};
/// Fits what was built (all areas and what runs beyond them) with a rim of `rim` pixels.
PlanMap planMap(const Model& model, const Box& box, double rim);

/// Stations from the first to the last that any area reaches; offsets likewise.
struct Reach2 {
    double low = 0, high = 0;
};
Reach2 stationReach(const Model& model);
Reach2 offsetReach(const Model& model);

/// Where a cut's section stands on the strip. Distances run to the right unless `mirrored`.
struct StripMap {
    Box box;
    double from = 0, to = 1;   ///< distances at the left and right sides, after mirroring
    double low = 0, high = 1;  ///< heights at the foot and the head
    double exaggeration = 1;   ///< heights drawn so many times larger than lengths
    bool mirrored = false;     ///< the line runs from right to left, as seen from the open side

    double x(double distance) const;
    double y(double height) const { return box.high.y - (height - low) / (high - low) * box.height(); }
    double distance(double x) const;
    glm::dvec2 point(double at, double height) const { return {x(at), y(height)}; }
    double pixelsPerMetre() const { return box.width() / (to - from); }
};
/// Heights shown run from a little below the lowest formation to a little above the highest surface of what
/// was built, or of the ground where nothing was; the exaggeration is the largest of 1, 1 1/2, 2, 3 … 6 that
/// fits. An empty section gives a map of the box alone.
StripMap stripMap(const Model& model, const Section& section, const Box& box, double rim, bool mirrored);

/// The nearest value that a slider of whole box width stands for, from `low` at the left to `high` at the
/// right.
double sliderValue(const Box& box, double x, double low, double high);
double sliderX(const Box& box, double value, double low, double high);

/// Spreads labels of `height` along a line so that none overlap, each as near to where it wants to be as that
/// allows, all inside low to high where they fit. `wanted` ascends; so does the answer.
std::vector<double> spread(const std::vector<double>& wanted, double height, double low, double high);

}  // namespace underfoot
