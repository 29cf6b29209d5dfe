#pragma once
// Designs of one place side by side: what each takes in digging, hauling, carrying and compacting, where its
// finish comes out, and what there is to look at. Every figure is read from the same studies that answer for
// one design; nothing is rounded.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "plan/comparison.h"
#include "study/findings.h"

namespace underfoot {

enum class FigureUnit { Length, Thickness, Volume, Mass, Count, Slope, Money };
enum class Better { Less, More, Neither };

struct Figure {
    std::string key;    ///< "cut"
    std::string title;  ///< "Cut, in place"
    FigureUnit unit = FigureUnit::Volume;
    Better better = Better::Neither;
    std::vector<std::optional<double>> values;  ///< one a design; nothing where it does not come up

    /// To the first design; nothing where either has no value.
    std::optional<double> difference(size_t design) const;
};

struct Design {
    std::string name;
    const Model* model = nullptr;
};

/// A design's findings, and those that the first design does not have: by kind, area and layer.
struct DesignFindings {
    std::vector<Finding> all;
    std::vector<Finding> added;
    std::vector<Finding> gone;  ///< the first design's
};

struct CompareReport {
    std::vector<std::string> names;
    std::vector<Figure> figures;  ///< those that come up in some design
    std::vector<DesignFindings> findings;
    std::vector<std::string> notes;  ///< whole sentences: what a cost leaves out
};

/// Figures: the greatest depth of the dig below the ground; topsoil and cut in place; what is hauled out and
/// in, loose; the volume of each layer as placed, side slopes included; the mass of all that is brought in
/// and carried (layers by their compacted density, without soil put back and without cut used as fill); the
/// heaviest unit, units laid and sawn; lifts to compact; what is bought costs, where the plan names
/// prices (study/takeoff.h; in a row of its own, "cost in EUR", where its currency is not that of the cost
/// before it); the least fall of the designed finish; the deepest
/// pond; how far the finish lies below each sill, and above the top of each fixed slab, at the place of the
/// finish that is nearest in plan; and the number of findings. Limits are those of each design's plan.
CompareReport compareDesigns(std::span<const Design> designs, const std::vector<Sill>& sills);

/// Height of the surface inside the outlines at the place nearest to a local point; of equally near places
/// the highest. Nothing where no cell is inside.
std::optional<double> finishNearest(const Model& model, glm::dvec2 local);

}  // namespace underfoot
