#pragma once
// All that the window knows, as plain data, and what can be done to it. Nothing here draws. Places are local
// to the model, `now` is in seconds from any start.

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "model/rebuild.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/page.h"
#include "study/findings.h"
#include "study/section.h"
#include "view/camera.h"
#include "view/scene_view.h"
#include "window/glide.h"
#include "window/layout.h"
#include "window/plan_worker.h"
#include "window/questions.h"

namespace underfoot {

/// The cut that strip and scene share.
struct CutState {
    std::vector<glm::dvec2> line;
    std::optional<double> station;  ///< when it runs straight across at one
    std::string name;               ///< of a cut written in the plan; empty for one's own
    bool removeLeft = true;         ///< the side that is taken away in the scene
    bool shown = true;              ///< false: the scene is left whole
    Section section;
};

/// A line being drawn: two ends, in plan.
struct CutSketch {
    bool started = false;
    glm::dvec2 from{0, 0};
    glm::dvec2 to{0, 0};
};

struct CameraGlide {
    Camera from;
    Camera to;
    Glide part{1};
};

/// What can be raised or lowered by hand: a finish as a whole, or one shot.
struct Movable {
    enum class Of { Finish, GroundShot, MeasuredShot };
    Of of = Of::Finish;
    int list = 0;  ///< the finish, or the measured top
    int item = 0;  ///< the shot
    friend bool operator==(const Movable&, const Movable&) = default;
};
struct Raised {
    Movable what;
    double by = 0;  ///< metres above where the plan has it; not 0
    friend bool operator==(const Raised&, const Raised&) = default;
};

/// Heights raised or lowered, not written yet.
struct Raise {
    std::vector<Raised> all;
    bool waiting = false;  ///< model or findings don't show it yet
    bool refused = false;  ///< the layers cannot be built so; the model is the last that could
    size_t shown = 0;      ///< number of the move that the model shows
    std::shared_ptr<const Model> planned;  ///< as the file has it
    std::vector<Finding> plannedFindings;
};
/// What a reading's heights went through.
struct RaiseSteps {
    std::vector<std::vector<Raised>> before, after;  ///< to undo to, the newest last; to do again
    bool inDrag = false;                             ///< the drag's start stands in `before` already
    std::vector<Movable> touched;  ///< all that ever was moved: what is worked on beside the window knows
};
/// A shot's height under the pointer, as the drag began.
struct ShotGrasp {
    double y = 0;  ///< of the pointer
    double height = 0;
};
struct MoveWanted {
    std::vector<HeightEdit> edits;
    size_t number = 0;
    bool settle = false;  ///< lines of cells too, not only heights: at the end of a drag
};

/// Which row of which part of a page.
struct PageSpot {
    int part = -1, row = -1;  ///< row -1: the part's own words
    friend bool operator==(const PageSpot&, const PageSpot&) = default;
};

/// The question that is open, and what is known of its answer.
struct Answer {
    Question open = Question::None;
    AskOptions options;
    std::optional<Told> told;
    bool old = false;     ///< `told` was for another model or other choices
    bool wanted = false;  ///< for whoever answers beside the window; see askOf
    size_t number = 0;    ///< of the newest asking
    PageSpot chosen, pointed;
    bool bringChosen = false;  ///< scroll to the chosen row
    double scroll = 0;
    bool copyWanted = false;  ///< the answer's table, for whoever has a clipboard
    bool copied = false;
    bool cutPutBack = false;  ///< the scene was cut open before: it is again when the page is closed
};

struct WindowState {
    std::shared_ptr<const Model> model;
    std::shared_ptr<const Picker> picker;  ///< of the model
    Catalogue catalogue;
    std::vector<Finding> findings;
    std::vector<std::string> notes;  ///< sentences on what was done to scans
    Stage stage = Stage::Reading;

    Diagnostics faults;      ///< of the newest reading; the model is the last good one
    bool sheetOpen = false;  ///< the sheet with the faults
    std::string notice;      ///< what could not be done; until something else is

    std::optional<Raise> raise;            ///< changed by window/heights.h only
    RaiseSteps raiseSteps;                 ///< likewise
    std::optional<MoveWanted> moveWanted;  ///< for whoever moves heights beside the window
    size_t moves = 0;                      ///< number of the last one wanted
    bool saveWanted = false;               ///< of `raise`, for whoever writes files

    bool shotsShown = false;             ///< the mode in which shots can be dragged; see window/shots.h
    std::optional<Movable> shot;         ///< chosen: its panel stands open
    std::optional<Movable> pointedShot;  ///< under the pointer
    std::optional<ShotGrasp> grasp;      ///< of the chosen shot
    std::optional<std::string> entry;    ///< the height that is being typed for it

    Reach2 stations;  ///< that the model's areas reach
    PlanMap planMap;  ///< of the little plan

    Theme theme = Theme::Light;
    bool motion = true;
    bool clientView = false;
    bool slipsOpen = true;
    bool helpOpen = false;
    WindowFrame frame;

    CameraGlide camera;
    bool cameraOwn = false;  ///< turned or moved by hand: no longer fitted by itself
    bool quickCard = false;  ///< pictures cost little: layers under the pointer may be brought out
    bool dragging = false;   ///< something moves under the pointer: draw it fast

    CutState cut;
    std::optional<CutSketch> drawing;  ///< the mode in which a drag draws a cut

    Glide peel;                   ///< 0 to 1, of all steps
    Glide lift;                   ///< 0 to 1
    std::vector<uint8_t> hidden;  ///< by LayerId
    LayerId thicknessLayer = -1;  ///< coloured by its thickness
    LayerId pointedLayer = -1;    ///< under the pointer in the column or the strip

    std::optional<glm::dvec2> place;    ///< under attention: its stack stands in the column
    std::optional<glm::dvec2> pointed;  ///< under the pointer, in scene, strip or plan
    int openFinding = -1;
    Answer answer;
    double slipsScroll = 0;
    double sheetScroll = 0;
};

/// Takes a reading in. A good one replaces the model; view, cut and hidden layers stay where they still make
/// sense. A bad one leaves the model and opens the sheet.
void receive(WindowState& state, Loaded loaded, double now);

/// Another model of the same plan: eye, cut, place and layers stay.
void replaceModel(WindowState& state, std::shared_ptr<const Model> model);

/// Lays the frame out anew for what it holds now.
void layOutAgain(WindowState& state);
/// Lays the frame out anew for the window's size, and fits the model when nobody has moved it by hand.
void layOut(WindowState& state, double width, double height, double scale);

// The cut
void cutAtStationOf(WindowState& state, double station);
void cutAlongLine(WindowState& state, const std::vector<glm::dvec2>& line, std::string name);
void cutAlongNamed(WindowState& state, const NamedCut& named);
/// Moves the whole cut sideways so that it runs through the place.
void moveCutTo(WindowState& state, glm::dvec2 place);
void cutFromOtherSide(WindowState& state);
void showCut(WindowState& state, bool shown);
/// After a cut was moved: fits what it leaves, when nobody has moved the view by hand.
void settleCut(WindowState& state, double now);
void startDrawing(WindowState& state);
/// One end put down, the other dragged along; squared: to the nearer of along and across the baseline.
void drawFrom(WindowState& state, glm::dvec2 place);
void drawTo(WindowState& state, glm::dvec2 place, bool squared);
/// The line becomes the cut, unless it is shorter than 0.1 m; the mode ends either way.
void finishDrawing(WindowState& state, double now);
/// True when the section should be seen from right to left, as one looks at the open face.
bool stripMirrored(const WindowState& state);

// Layers
void setPeel(WindowState& state, double part, double now);
void setLift(WindowState& state, double part, double now);
void toggleLayer(WindowState& state, LayerId layer);
void showAllLayers(WindowState& state);
void toggleThickness(WindowState& state, LayerId layer, double now);

// Findings
/// Opens one: cuts there, brings the place under attention and flies to it. The open one again: closes it.
void chooseFinding(WindowState& state, int index, double now);

// Questions
/// Opens one in the place of the findings; the open one again, or None: closes it.
void openQuestion(WindowState& state, Question question, double now);
void choose(WindowState& state, const AskOptions& options);
/// Asks anew what is open, because something it stands on has changed; the old answer stays till then.
void askAgain(WindowState& state);
Ask askOf(const WindowState& state);
/// Takes an answer in, unless something newer was asked since.
void receiveTold(WindowState& state, Told told);
/// What a row or sentence of the open page speaks of; null for one that is not there.
const PageMark* markAt(const Answer& answer, PageSpot spot);
/// What the chosen row of what is bought is called; "" where none is chosen.
std::string chosenGoods(const Answer& answer);
/// Chooses a row: its details stand open, its place comes under attention. The chosen one again: none.
void chooseRow(WindowState& state, PageSpot spot);
/// The row after (or before) the chosen one; rows that go with another are passed by.
void stepRow(WindowState& state, int by);

// Attention
void attend(WindowState& state, std::optional<glm::dvec2> place);
/// The place whose stack the column shows: pointed at, else attended, else the middle of the longest run of
/// the cut inside an area, else inside any area. Nothing without a model.
std::optional<glm::dvec2> columnPlace(const WindowState& state);

// Eye
Camera cameraAt(const WindowState& state, double now);
void orbitBy(WindowState& state, glm::dvec2 pixels, double now);
void panBy(WindowState& state, glm::dvec2 pixels, double now);
/// Nearer (factor below 1) or farther, keeping the point where it is in the picture.
void zoomAbout(WindowState& state, glm::dvec3 point, double factor, double now);
void fitView(WindowState& state, double now);
void lookFromAbove(WindowState& state, double now);
void lookThreeQuarter(WindowState& state, double now);

void setClientView(WindowState& state, bool on, double now);
void toggleTheme(WindowState& state);

/// Where a ray meets the model, else the level plane through its highest surface. Nothing when it looks up.
std::optional<glm::dvec3> placeUnder(const WindowState& state, const Look& look, const Ray& ray);

Look lookOf(const WindowState& state, double now);
/// True when both give the same picture, and the same eye.
bool sameLook(const Look& a, const Look& b);
bool sameCamera(const Camera& a, const Camera& b);
bool moving(const WindowState& state, double now);

enum class Key {
    Escape,
    Left,
    Right,
    Up,
    Down,
    PageUp,
    PageDown,
    C,
    D,
    F,
    H,
    L,
    P,
    S,
    T,
    X,
    Q,
    Help,
    Home,
    Copy,
    G,
    Enter,
    Backspace,
    Undo,
    Redo,
    One,
    Two,
    Three,
    Four,
    Five,
    Six,
    Seven,
    Eight  ///< the questions in their order
};
/// Returns false for a key that does nothing now. Left and right move a cut at a station by a tenth of what
/// the plan counts in (a tenth of a foot, 5 cm), ten times that with `much`; page up and page down move the
/// chosen shot, else the finish under attention, by the smallest step, eight times that with `much`; up and
/// down choose rows of the open page. While a height is typed, Enter, Backspace and Escape are its own and
/// all other keys do nothing.
bool pressKey(WindowState& state, Key key, bool much, double now);

/// A layer's name as it is shown: with a capital.
std::string titleOf(const Model& model, LayerId layer);

/// A layer of the column: the lifts of one layer together.
struct ColumnRow {
    LayerId layer = -1;
    std::string title;
    double thickness = 0;
    double wanted = 0;  ///< by design; 0 where it takes up
    std::optional<double> least, greatest;
    bool ground = false;  ///< the native soil: it has no underside to speak of
    bool shown = true;
};
/// The stack at a place, top first, the layers of its build-up that are not there among them with no
/// thickness.
std::vector<ColumnRow> columnRows(const WindowState& state, glm::dvec2 place);
/// Name of the area at a place; empty outside every one.
std::string areaAt(const Model& model, glm::dvec2 place);

}  // namespace underfoot
