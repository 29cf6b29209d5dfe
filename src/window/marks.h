#pragma once
// What the rows of the open page speak of, raised to where the picture has it. Private to this folder.

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "model/model.h"
#include "view/camera.h"
#include "view/scene_view.h"
#include "window/layout.h"
#include "window/window_state.h"

namespace underfoot {

struct Desk;

struct MarkShape {
    PageSpot spot;
    std::vector<std::vector<glm::dvec3>> lines, rings;
    std::vector<glm::dvec3> points, feet;  ///< as many feet as points
    bool stick = false;                    ///< the points stand on their feet
    bool arrow = false;
    bool always = false;
    std::string label;
};

/// The marks of the page, found anew only where page, model or look have changed.
class MarkShapes {
  public:
    const std::vector<MarkShape>& of(const WindowState& state, const Look& look);

  private:
    std::vector<MarkShape> shapes_;
    std::shared_ptr<const Model> model_;
    size_t number_ = 0;
    double lift_ = 0;
    std::vector<uint8_t> hidden_;
};

void drawMarks(Desk& desk, const WindowState& state, const Look& look, const Camera& camera);
/// Their words, beside their lines. `taken`: where nothing may be written over.
void drawMarkLabels(Desk& desk, const WindowState& state, const Look& look, const Camera& camera,
                    std::vector<Box> taken);
void drawMarksOnPlan(Desk& desk, const WindowState& state);
/// True on the side that a straight cut takes away.
bool takenAway(const WindowState& state, glm::dvec2 place);
/// True when a part of the frame stands there.
bool coveredByParts(const WindowFrame& frame, const Box& box);

}  // namespace underfoot
