#pragma once
// Single shots of the ground and of measured tops, shown and moved by hand. Nothing here draws.

#include <optional>
#include <string>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "model/model.h"
#include "plan/plan.h"
#include "view/camera.h"
#include "view/scene_view.h"
#include "window/window_state.h"

namespace underfoot {

/// A shot in the picture: with its layer's lift, at the height that is wanted for it.
struct ShotDot {
    Movable shot;
    LayerId layer = -1;  ///< whose top was shot; the native soil for the ground
    glm::dvec3 at{0, 0, 0};
};
/// The shots that are shown: all but those of hidden layers, of layers that the model does not have, and on
/// the side that a straight cut takes away. Points of scans are no shots.
std::vector<ShotDot> shotDots(const WindowState& state, const Look& look);

/// The shot whose dot is nearest to a pixel, within `reach` pixels. One that lies more than 1.5 m behind what
/// is seen there does not count: that is another thing, not the layers over it.
std::optional<Movable> shotNear(const WindowState& state, const Look& look, const Camera& camera,
                                glm::dvec2 pixel, double reach);

/// "Ground shot 12", "Base shot": with its number where it has one.
std::string shotName(const Plan& plan, const Movable& shot);
/// Where its height was read: "courtyard.toml, line 84".
std::string shotSource(const Plan& plan, const Movable& shot);
/// Its local place.
glm::dvec2 shotPlace(const WindowState& state, const Movable& shot);
/// Its height as it is wanted now.
double shotHeight(const WindowState& state, const Movable& shot);

void showShots(WindowState& state, bool shown);
/// Opens a shot's panel and brings its place under attention; nothing: closes it. A height being typed is
/// given up.
void chooseShot(WindowState& state, std::optional<Movable> shot);
/// The shot nearest to a local place in plan, of any kind; nothing where there is none.
std::optional<Movable> shotAt(const WindowState& state, glm::dvec2 place);
/// The choice stays over a reading where the shot of that index still stands at its place.
void keepShot(WindowState& state, const Model& next);

/// Wants a shot so many of the smallest steps above a height, on whole steps: so it reads as what it is, and
/// the plan's own height is a step of its own. No farther from that than raiseMost.
void stepShot(WindowState& state, const Movable& shot, double from, double steps, bool held = false);

// A height that is typed for the chosen shot.
void startEntry(WindowState& state);
/// A letter, figure or mark of a length; anything else is passed over.
void typeInto(WindowState& state, unsigned letter);
/// Wants what was typed, in the plan's unit where it names none. What cannot be read as a height is told in
/// WindowState::notice and stays to be mended. Nothing typed: the height stays.
void takeEntry(WindowState& state);

}  // namespace underfoot
