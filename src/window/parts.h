#pragma once
// The parts of the window, each drawn by one function that also reads the pointer. Private to this folder.

#include <functional>
#include <string>

#include "window/marks.h"
#include "window/page_layout.h"
#include "window/palette.h"
#include "window/pen.h"
#include "window/window_state.h"

namespace underfoot {

/// What a part draws with.
struct Desk {
    Pen& pen;    ///< the frame's parts
    Pen& under;  ///< over the scene, below the parts
    Pen& over;   ///< sheets and hints, above everything
    Palette colours;
    double now = 0;
    PageLayout& pages;
    MarkShapes& marks;
    Annotations annotations;  ///< of the scene as it stands

    glm::dvec2 pointer{0, 0};
    double wheel = 0;  ///< set to 0 by who uses it
    bool shift = false;
    std::string hint;  ///< words beside the pointer, for one frame
    /// What the pointer is on in this frame; the state holds what it was on in the frame before.
    std::optional<glm::dvec2> pointed;
    LayerId pointedLayer = -1;
    PageSpot pointedSpot;
    bool again = false;  ///< something moved while it was drawn: one more frame
    Box model;           ///< what the model covers at most
    Box panel;           ///< of the chosen shot; of no width without one
    std::optional<Movable> pointedShot;
    double units(double n) const { return pen.units(n); }
};

void drawTitle(Desk& desk, WindowState& state);
void drawControls(Desk& desk, WindowState& state);
void drawColumn(Desk& desk, WindowState& state);
void drawQuestions(Desk& desk, WindowState& state);
void drawSlips(Desk& desk, WindowState& state);
void drawPage(Desk& desk, WindowState& state);
void drawFoot(Desk& desk, WindowState& state);
void drawPlan(Desk& desk, WindowState& state);
void drawStrip(Desk& desk, WindowState& state);
void drawThicknessScale(Desk& desk, WindowState& state);
void drawShotPanel(Desk& desk, WindowState& state);
void drawShots(Desk& desk, const WindowState& state, const Look& look, const Camera& camera);
/// What the pointer does to shots, right after the scene's own item. True when it is theirs.
bool useShots(Desk& desk, WindowState& state, const Look& look, const Camera& camera, bool over);
void drawScene(Desk& desk, WindowState& state);
void drawSheet(Desk& desk, WindowState& state);
void drawHelp(Desk& desk, WindowState& state);
void drawHint(Desk& desk, const WindowState& state);

/// Words that do something; underlined under the pointer, in ink while `on`. Its middle left is at `at`;
/// returns its width, and sets `clicked`.
double wordButton(Desk& desk, const char* id, glm::dvec2 at, const std::string& words, bool on,
                  bool& clicked);
/// A line with a thumb. Answers the new value (0 to 1) while it is dragged.
std::optional<double> slider(Desk& desk, const char* id, const Box& box, double value, bool& released);
/// A square to click; `draw` draws the sign into it.
bool signButton(Desk& desk, const char* id, const Box& box, const std::string& hint,
                const std::function<void(const Box&, const Colour&)>& draw);
/// Two arrow heads, one up and one down.
void heightSign(Pen& pen, glm::dvec2 middle, const Colour& colour);
/// How far something is raised: "+1/4"".
std::string raisedWords(const Model& model, double by);
/// Save of all that is raised, and back for this; their right end is at `right`.
void raiseButtons(Desk& desk, WindowState& state, const Movable& what, glm::dvec2 right);
/// Pixels of a drag upward in steps of heights: 3 each, 12 with shift.
double dragSteps(const Desk& desk, double pixels);
/// Paper below a part, where the model would show through.
void ground(Desk& desk, const Box& box);
/// Takes the pointer so that nothing below a part gets it.
void cover(const char* id, const Box& box);

Colour layerColour(const WindowState& state, LayerId layer);
const Material& layerMaterial(const WindowState& state, LayerId layer);
/// "0+14.3, 9.2 ft out"
std::string placeWords(const Model& model, glm::dvec2 local);
/// "9.2 ft" or "2.80 m": a distance on the site.
std::string distanceWords(const Model& model, double metres);
/// The amount a finding measured, short, by what its rule counts in.
std::string amountWords(const WindowState& state, const Finding& finding);

}  // namespace underfoot
