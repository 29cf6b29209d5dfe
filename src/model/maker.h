#pragma once
// From the groundwork to a model: zero lines into the overlay, cells, posts and their heights. Keeps what it
// laid out, so that heights can be moved afterwards.

#include <array>
#include <vector>

#include <glm/vec2.hpp>

#include "ground/surface.h"
#include "measure/diagnostic.h"
#include "model/columns.h"
#include "model/groundwork.h"
#include "model/model.h"
#include "model/overlay.h"
#include "model/posts.h"
#include "model/stack.h"
#include "plan/plan.h"

namespace underfoot {

class ModelMaker {
  public:
    /// Both stay where they are as long as the maker is used.
    ModelMaker(const Groundwork& work, Overlay& overlay);

    /// The whole model of the plan that the groundwork was made from; faults where a layer would take more
    /// than mostLifts.
    Checked<Model> make(Plan plan);

    /// What moved in the groundwork since the model was made.
    struct Moved {
        std::vector<const Surface*> surfaces;  ///< heights of their points; or replaced, see replaceSurface
        bool layers = false;                   ///< thicknesses, or strip
        bool facets = false;                   ///< planes of the side slopes
    };
    /// Heights cannot be moved where a surface has a step: on which side of it a cell lies may change.
    bool steps() const { return posts_.rulers().anySteps(); }
    void replaceSurface(const Surface* before, const Surface* now) { posts_.rulers().replace(before, now); }

    /// Whether welding has moved heights of the model since: they are taken from the stacks again next time.
    void moveBack(bool welded) { welded_ = welded_ || welded; }

    /// Solves the stacks anew on the cells of the model that this maker made. `moved` gets the posts with
    /// other heights or facts than before. Points, units and edging are left to follow. False, and the model
    /// is left as it was, where layers would have another number of lifts.
    bool resolve(const Moved& what, Model& model, std::vector<int>& moved);

  private:
    void measureFill();
    void measureSlope(int t, LayerId fill);
    Diagnostics liftFaults() const;
    bool undecided(const std::array<int, 3>& posts) const;
    void addZeroLines();
    void reclassify();
    /// A triangle of the overlay when its stacks were last asked for, and what they were.
    struct Laid {
        std::array<int, 3> vertex{-1, -1, -1};
        int stand = -1;
        std::array<int, 3> post{-1, -1, -1};
        bool fresh = true;  ///< not yet looked at for crossings
    };
    const Laid& laid(int t);
    void layTriangles();
    bool isSeam(int t, size_t edge) const;
    std::vector<glm::dvec2> crossingsAlongEdges();
    bool splitEdges();
    void layCells();
    void layPosts();
    std::vector<int> postsByVertex() const;
    const Stand& standOf(int t) const {
        return overlay_.stands()[static_cast<size_t>(overlay_.standOf()[static_cast<size_t>(t)])];
    }

    void takeOver(const std::vector<int>& moved, Model& model) const;
    bool sameLifts(const Columns& other) const;

    const Groundwork& work_;
    Overlay& overlay_;
    PostTable posts_;
    StackSettings settings_;
    FillFound fill_;
    Columns columns_;
    std::vector<Laid> laid_;  // by triangle
    std::vector<int> order_;  // by post of the model: its entry in posts_, until they are one
    bool welded_ = false;
    bool kept_ = false;  // they are one
    Model model_;        // while it is made
};

}  // namespace underfoot
