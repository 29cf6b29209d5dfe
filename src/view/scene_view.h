#pragma once
// The model in 3D: what is shown of it, drawn with OpenGL 3.3 into any frame buffer. No OpenGL types here.
//
// Everything that a look does to the solids (peeling, lifting apart, cutting open) is applied alike to the
// picture, to pick() and to the annotations, so the three agree.

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "study/section.h"
#include "view/camera.h"

namespace underfoot {

enum class Theme { Light, Dark };
/// Dragging: one sample, hard shadow, no contact darkening. Full: soft shadow and contact darkening. Fine: as
/// Full with edges and ink lines smoothed over four samples a pixel, for pictures and for a view at rest on a
/// fast card. Where the driver has no four samples, Fine is Full.
enum class Quality { Dragging, Full, Fine };

/// Cut open by the upright plane along a line (local). First and last leg go on to the rim of the model. What
/// lies on one side is taken away; the faces are the model's own section, capped layer by layer. A line that
/// crosses itself takes away every second region.
struct CutLook {
    std::vector<glm::dvec2> line;
    bool removeLeft = true;
    friend bool operator==(const CutLook&, const CutLook&) = default;
};

/// One layer coloured by its thickness; what lies above it is taken off. Without a wanted range here the one
/// of its build-up counts; with none at all the whole field is pale.
struct ThicknessLook {
    LayerId layer = -1;
    std::optional<double> least;
    std::optional<double> greatest;
    friend bool operator==(const ThicknessLook&, const ThicknessLook&) = default;
};

struct Look {
    Theme theme = Theme::Light;
    Quality quality = Quality::Full;
    /// 0 to peelSteps(model): layers taken back from the top, each a step farther than the one below it, so
    /// that every one stays in sight; the steps share out what the cut leaves. Parts of a step are allowed
    /// (for moving between steps).
    double peel = 0;
    double liftApart = 0;         ///< 0 together, 1 fully apart
    std::vector<uint8_t> hidden;  ///< by LayerId; not 0: hidden. Shorter than the layers: the rest is shown
    bool edging = true;
    bool fixedThings = true;
    bool pipes = true;
    bool grain = true;
    std::optional<CutLook> cut;
    std::optional<ThicknessLook> thickness;
    LayerId highlightLayer = -1;               ///< the others step back
    int highlightUnit = -1;                    ///< index into Model::units
    std::optional<glm::dvec2> highlightPlace;  ///< local: ringed on whatever is seen there
    double highlightRadius = 0.25;             ///< of the ring, metres

    bool shows(LayerId layer) const {
        return static_cast<size_t>(layer) >= hidden.size() || hidden[static_cast<size_t>(layer)] == 0;
    }
};

/// Order of the layers from the top, by LayerId: 0 is on top; of two layers that meet in a column the upper
/// one has the lower rank. The native soil has the highest.
std::vector<int> layerRanks(const Model& model);
/// The greatest value of Look::peel: every rank but the native soil's.
int peelSteps(const Model& model);
/// How far liftApart raises a layer, metres.
double layerRise(const Model& model, const Look& look, LayerId layer);
/// The box of all that is shown.
Bounds shownBounds(const Model& model, const Look& look);
/// A cut along the line that takes away the side the camera stands on.
CutLook cutToward(const std::vector<glm::dvec2>& line, const Camera& camera);
/// A three-quarter view turned so that the cut's face is seen well: nearer to square on it than to along it,
/// with the house side still toward the back. Not yet fitted.
Camera facingCut(const Model& model, const CutLook& cut);
/// A cut straight across the model at a station, or along the baseline at an offset, open toward the camera.
CutLook cutAcross(const Model& model, double station, const Camera& camera);
CutLook cutAlong(const Model& model, double offset, const Camera& camera);

struct Hit {
    double distance = 0;        ///< from the ray's start
    glm::dvec3 place{0, 0, 0};  ///< in the picture's space
    glm::dvec2 at{0, 0};        ///< local plan place
    double height = 0;          ///< in the plan's datum, without the lift
    LayerId layer = -1;         ///< -1: edging or a fixed thing
    int unit = -1;
    int edging = -1;
    int fixedThing = -1;
    bool capFace = false;  ///< on the face of the cut or of a peeled step
};
/// The first thing the ray meets, under the look. Uses the model's section along the ray: no buffers.
std::optional<Hit> pick(const Model& model, const Look& look, const Ray& ray);

/// pick() for many rays: keeps the model, prepared for cutting. Gives the same answers.
class Picker {
  public:
    explicit Picker(std::shared_ptr<const Model> model);
    std::optional<Hit> pick(const Look& look, const Ray& ray) const;

  private:
    std::shared_ptr<const Model> model_;
    Cutter cutter_;
};

/// A layer's label: a dot on it, a leader of two straight pieces (`dot` to `bend` to `end`), text beside
/// `end`. Pixels, y down.
struct Label {
    LayerId layer = -1;
    std::string name;       ///< "Bedding sand"
    std::string thickness;  ///< at the dot
    glm::dvec2 dot{0, 0};
    glm::dvec2 bend{0, 0};
    glm::dvec2 end{0, 0};
    bool rightColumn = true;  ///< text stands to the right of `end`; else to its left, ending there
};

/// A step of the thickness scale: where it lies from 0 (bottom) to 1 (top) and what it reads.
struct ScaleTick {
    double at = 0;
    std::string text;
    bool bound = false;  ///< a bound of the wanted range
};
struct ThicknessScale {
    std::string title;
    double least = 0, greatest = 0;  ///< of the scale, metres
    std::optional<double> wantedLeast, wantedGreatest;
    double step = 0;  ///< between ticks, and between contour lines
    std::vector<ScaleTick> ticks;
};
/// A number that stands on the thickness field.
struct FieldNumber {
    glm::dvec2 at{0, 0};
    std::string text;
    bool worst = false;  ///< the worst place of a patch out of the wanted range; else on a contour
};

struct Annotations {
    std::vector<Label> labels;  ///< top to bottom within each column
    std::vector<FieldNumber> numbers;
    std::optional<ThicknessScale> scale;
};
/// What of the layers is seen in a pixel (y down), and above which local plan place; layer -1: another thing.
struct SeenPlace {
    LayerId layer = -1;
    glm::dvec2 at{0, 0};
};
using SeenAt = std::function<std::optional<SeenPlace>(glm::dvec2 pixel)>;
/// Labels for what is in sight, with `lineHeight` pixels for each, in the right inset, or in the left one
/// when only that is wide enough (60 pixels). Only where a layer's dot can be seen. Under a thickness look:
/// numbers and scale instead. Without `seen`, pick() tells what is.
Annotations annotate(const Model& model, const Camera& camera, const Look& look, double width, double height,
                     const Insets& insets, double lineHeight, const SeenAt& seen = {});
/// Colour of a thickness (sRGB, 0 to 1) under a scale: what the field and its scale are painted with.
glm::dvec3 thicknessColour(const ThicknessScale& scale, double thickness);
ThicknessScale thicknessScale(const Model& model, const ThicknessLook& look);

/// sRGB, 0 to 1.
struct ThemeColours {
    glm::dvec3 paper, ink, attention;
};
ThemeColours themeColours(Theme theme);

struct PassTime {
    const char* name = "";
    double milliseconds = 0;
};

/// Where surfaces are painted and lit. Compute, of OpenGL 4.3, is faster by far on a card; the pictures agree
/// within what rounding does to them. Chosen: Compute where the driver offers it, but not on the software
/// rasteriser, to which it is all one.
enum class Shading { Chosen, Fragments, Compute };

/// Draws models. Needs a current OpenGL 3.3 core context from create() to its end, better one of 4.3.
class Renderer {
  public:
    static Result<std::unique_ptr<Renderer>> create(Shading shading = Shading::Chosen);
    virtual ~Renderer() = default;

    /// Takes the model over and rebuilds the buffers of its solids. `catalogue` is copied.
    virtual void setModel(std::shared_ptr<const Model> model, const Catalogue& catalogue) = 0;

    /// What a dragged height needs, in place of setModel: follows heights that were moved on the cells of the
    /// model given to setModel last. `model` is Rebuilder::stacks() after a move that kept the cells, or any
    /// model with the same cells; its points, units and edging are not looked at. `moved` is
    /// Rebuilder::movedPosts(): all posts whose heights changed since the last call of either. So a drag is
    ///     rebuilder.move(edits); renderer.moveHeights(rebuilder.stacks(), rebuilder.movedPosts()); draw(…)
    /// and its end is rebuilder.settle() and setModel with a copy of rebuilder.model(). After a move that
    /// built everything anew (Kept::Nothing): setModel at once.
    /// Units and edging move with the cell under their middle, exactly where they lie in one cell. Where a
    /// layer had no thickness over a whole cell, its solid stays left out there until setModel.
    /// `model` is borrowed: it must stay, as it is, until the next call of either or the renderer's end. The
    /// first call after setModel takes about as long as setModel.
    virtual void moveHeights(const Model& model, std::span<const int> moved) = 0;

    /// Draws into a frame buffer (0: the window's), filling the rectangle with the paper first. x, y from its
    /// lower left, in pixels. Does nothing but the paper without a model. Leaves depth test and blending off,
    /// the frame buffer bound, and the viewport on the rectangle.
    virtual void draw(const Camera& camera, const Look& look, int x, int y, int width, int height,
                      unsigned frameBuffer = 0) = 0;

    /// How long the card took for each pass of the frames drawn from here on; passTimes() waits for the last
    /// one. Empty while nothing is timed.
    virtual void timePasses(bool timed) = 0;
    virtual std::vector<PassTime> passTimes() = 0;

    virtual bool software() const = 0;  ///< no card: draw on demand, Dragging while something moves
    virtual std::string device() const = 0;

  protected:
    Renderer() = default;
    Renderer(const Renderer&) = delete;
    Renderer& operator=(const Renderer&) = delete;
};

}  // namespace underfoot
