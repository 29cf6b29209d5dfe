#pragma once
// A look worked out against a model: what is taken away where. Shared by the picture, picking and
// annotations.

#include <limits>
#include <utility>
#include <vector>

#include "study/section.h"
#include "view/scene_view.h"

namespace underfoot {

struct Shown {
    std::vector<int> rank;          ///< by LayerId
    std::vector<double> rise;       ///< by LayerId, metres
    std::vector<uint8_t> visible;   ///< by LayerId
    glm::dvec2 peelAlong{1, 0};     ///< a layer is kept where dot(p, peelAlong) <= peelLimit
    std::vector<double> peelLimit;  ///< by LayerId; infinite: not peeled
    double edgingLimit = std::numeric_limits<double>::infinity();  ///< the same for edging and its spikes
    std::vector<glm::dvec2> removed;  ///< plan polygon taken away by the cut (even-odd); empty without one
    std::vector<glm::dvec2> cutLine;  ///< the cut's line, carried on past the rim

    bool cutAway(glm::dvec2 p) const;
    bool peeled(LayerId layer) const;
    bool keeps(LayerId layer, glm::dvec2 p) const;
};

Shown resolve(const Model& model, const Look& look);

/// pick() with the look worked out once and the model prepared for cutting: for many rays.
std::optional<Hit> pick(const Model& model, const Look& look, const Shown& shown, const Cutter& cutter,
                        const Ray& ray);

/// The peel's cut line of a layer, across the whole model, with its taken-off side on the left.
std::vector<glm::dvec2> stepLine(const Model& model, const Shown& shown, LayerId layer);

/// Away from the house, and to the right of one who looks at the house. Unit vectors.
std::pair<glm::dvec2, glm::dvec2> houseFrame(const Baseline& baseline);

}  // namespace underfoot
