#pragma once
// A section as a drawing: what is drawn and where, on any canvas.
//
// Two levels. `drawSectionBody` draws the cut itself through a frame that says where distances and heights
// stand; a window or a picture brings its own frame. `drawSectionSheet` draws a whole sheet to a stated
// scale: the cut, names with leaders in a column beside it, levels, slopes, least and greatest thickness, an
// axis of offsets or stations, a scale bar and a title.

#include <string>
#include <vector>

#include "plan/catalogue.h"
#include "share/drawing.h"
#include "study/section.h"

namespace underfoot {

/// Where a section stands on the paper.
struct SectionFrame {
    glm::dvec2 origin{0, 0};  ///< paper place of `distance` and `height`, mm
    double distance = 0;      ///< metres along the section
    double height = 0;        ///< metres, in the plan's datum
    double perMetre = 50;     ///< mm of paper to a metre along the section: 50 is 1:20
    double exaggeration = 1;  ///< heights are drawn this many times larger
    double from = 0, to = 0;  ///< the part of the section that is drawn
    double floor = 0;         ///< height where the native soil is cut off
    double ceiling = 0;       ///< height where fixed things are cut off

    glm::dvec2 place(double d, double z) const {
        return {origin.x + (d - distance) * perMetre, origin.y - (z - height) * perMetre * exaggeration};
    }
};

struct SectionStyle {
    Paper paper;
    double faceBrightening = 0.10;  ///< how far cut faces are mixed with white
    bool unitJoints = true;         ///< units one by one; else their layer as one
    bool existingGround = true;
    bool liftLines = true;
};

/// The part of a section worth drawing: what carries layers, and `margin` metres to either side; the whole
/// section where nothing does. Empty (from == to) for a section without intervals.
struct SectionExtent {
    double from = 0, to = 0;
    double insideFrom = 0, insideTo = 0;  ///< the part inside the outlines
    double highest = 0;                   ///< of surface and existing ground
    double lowestFormation = 0;           ///< of the native soil's top
    double depth = 0;                     ///< greatest from surface to native soil inside the outlines
};
SectionExtent sectionExtent(const Model& model, const Section& section, double margin = 0.6);

/// Draws faces with fill and hatch, joints, pipes, edging, fixed things and the lines between them.
void drawSectionBody(const Section& section, const Model& model, const Catalogue& catalogue,
                     const SectionFrame& frame, const SectionStyle& style, Canvas& canvas);

struct SectionSheetOptions {
    std::string title;  ///< heading; empty: the plan's title
    std::string name;   ///< which section; empty: "Section at station 0+14.3" or "Section"
    double scale =
        20;  ///< 1 : scale along the section; 0: the largest usual one that keeps the drawing within 190 mm
    double exaggeration =
        0;  ///< of heights; 0: the smallest whole number up to 5 that makes the build-up 38 mm high
    SectionStyle style;
    bool paperColour = true;  ///< else the page stays white (clear)
};

/// A sheet's size and how its section is placed, before anything is drawn.
struct SectionSheet {
    double width = 0, height = 0;  ///< mm
    double scale = 20, exaggeration = 1;
    SectionFrame frame;
    SectionExtent extent;
    std::string title, name;
    std::string scaleWords;  ///< "Scale 1:20. Heights drawn 3 times larger."
};
SectionSheet layOutSection(const Section& section, const Model& model, const SectionSheetOptions& options);

void drawSectionSheet(const Section& section, const Model& model, const Catalogue& catalogue,
                      const SectionSheet& sheet, const SectionSheetOptions& options, Canvas& canvas);

/// The sheet as an SVG file to scale. Error: the section meets no part of the model.
Result<std::string> sectionSvg(const Section& section, const Model& model, const Catalogue& catalogue,
                               const SectionSheetOptions& options = {});

/// The same as a PDF on white paper: on A4 where the plan shows metres, else US letter, larger only where the
/// drawing is.
Result<std::string> sectionPdf(const Section& section, const Model& model, const Catalogue& catalogue,
                               const SectionSheetOptions& options = {});

/// A layer by its own name, with a capital.
std::string layerHeading(const Model& model, LayerId layer);

}  // namespace underfoot
