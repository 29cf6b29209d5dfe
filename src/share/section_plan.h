#pragma once
// What a section's sheet says beside the cut itself, and where each saying belongs: decided before anything
// is drawn.

#include <string>
#include <vector>

#include "measure/length.h"
#include "model/model.h"
#include "share/drawing.h"
#include "share/section_drawing.h"
#include "study/section.h"

namespace underfoot {

/// A name beside the drawing with a leader to its layer.
struct SectionLabel {
    LayerId layer = -1;               ///< -1: existing ground or a pipe
    double distance = 0, height = 0;  ///< where the leader ends
    std::string heading;
    std::string detail;
};

/// Something said above the surface: a slope over a straight run of finish, the level of the finish, a
/// layer's least or greatest thickness, the name of a fixed thing.
struct SectionMark {
    enum class Kind { Slope, Level, Least, Greatest, Thing } kind = Kind::Slope;
    double distance = 0;         ///< middle of a slope's run, or the place
    double height = 0;           ///< of the place on the surface or in the layer
    double top = 0, bottom = 0;  ///< of the layer, for least and greatest
    std::string words;
    bool attention = false;          ///< outside the wanted range
    double left = 0, right = 0;      ///< of the words, mm from the start of the extent
    Anchor anchor = Anchor::Middle;  ///< words stand beside their leader: Start is to its right
    int row = 0;                     ///< 0 is the lowest
};

/// Marks of the axis under the drawing.
struct AxisMark {
    double distance = 0;
    std::string words;
};
struct SectionAxis {
    std::string words;  ///< "Offset from the house", "Station", "Distance along the section"
    std::vector<AxisMark> marks;
};

/// One for each layer met in the extent, one for the existing ground where it shows, one for each pipe and
/// fixed thing that is cut; from the top down. `preferred` is the distance at which leaders should end where
/// the layer is there.
std::vector<SectionLabel> sectionLabels(const Section& section, const Model& model,
                                        const SectionExtent& extent, double preferred, double soilShown,
                                        bool existingGround);

/// In rows that do not overlap. `perMetre` mm of paper to a metre.
std::vector<SectionMark> sectionMarks(const Section& section, const Model& model, const SectionExtent& extent,
                                      double perMetre, double size);

SectionAxis sectionAxis(const Section& section, const Model& model, const SectionExtent& extent,
                        double perMetre);

/// A round length for steps at least `least` metres long: 1, 2, 5, 10 … feet, or 0.1, 0.2, 0.5, 1 … metres.
double roundStep(double least, const LengthFormat& format);

/// A round length without needless zeros: "5'", "0.5 m", "0".
std::string roundLength(double metres, const LengthFormat& format);

/// Existing ground and surface at a distance; false outside the intervals.
bool groundAndSurface(const Section& section, const Model& model, double distance, double& ground,
                      double& surface);

}  // namespace underfoot
