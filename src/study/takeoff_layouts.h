#pragma once
// What is laid out to be counted: strips of fabric, panels in courses, lengths of edging. Plans are local.

#include <array>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "plan/plan.h"

namespace underfoot {

/// A piece of fabric cut from a roll, as wide as the roll.
struct FabricStrip {
    std::array<glm::dvec2, 4> corner{};  ///< turning left; the first side runs along the roll
    double length = 0;
    int roll = 0;  ///< that it is cut from
};

/// Strips of one layer of fabric side by side over all of it (it runs beyond the edge), each lapping the next
/// by `overlap`, along its length too where a strip is longer than a roll. Each connected place is laid along
/// the direction that needs the fewest rolls, of these the fewest strips, then the least fabric: of the
/// baseline, square to it, and the longest sides of the place. A strip goes from the first to the last place
/// it must cover, and is parted where nothing lies under it for more than the overlap. Rolls are cut longest
/// strip first.
struct FabricLayout {
    LayerId layer = -1;
    UnitSize roll;
    double overlap = 0;
    double area = 0;  ///< of the fabric itself, in plan
    std::vector<FabricStrip> strips;
    double length = 0;  ///< of all strips
    int rolls = 0;
};
/// `overlap` below the roll's width.
FabricLayout layFabric(const Model& model, LayerId layer, const UnitSize& roll, double overlap);

/// Panels of one layer in courses along or square to the baseline, joints staggered by half a panel, from the
/// first corner of the area, cut to the layer's outline; the way round that takes fewer. Offcuts are used
/// again as study/nesting_offcuts.h does.
struct PanelLayout {
    LayerId layer = -1;
    UnitSize panel;
    double area = 0;
    bool alongBaseline = true;  ///< the courses, in the first connected place
    int whole = 0;
    int cut = 0;
    int sawnFrom = 0;  ///< whole panels that the cut pieces come from
    std::vector<std::vector<glm::dvec2>> pieces;

    int bought() const { return whole + sawnFrom; }
};
PanelLayout layPanels(const Model& model, LayerId layer, const UnitSize& panel, double kerf);

/// Edging in one go, round bends up to the sharpest it is led round.
struct EdgingRun {
    int area = -1;
    int edging = 0;
    double length = 0;   ///< along its longer face
    double section = 0;  ///< height x thickness
    bool closed = false;
    int joints = 0;  ///< between lengths of stock; one where a closed run meets itself
};
std::vector<EdgingRun> edgingRuns(const Model& model, double stock, double bend);

/// How many lengths of stock hold these, each cut taking the kerf: whole lengths first, rests longest first
/// into what is left of the others.
int stockLengths(const std::vector<double>& lengths, double stock, double kerf);

}  // namespace underfoot
