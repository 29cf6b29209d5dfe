#pragma once
// A model whose heights are moved while its cells stay: what a dragged level, thickness or shot needs.

#include <memory>
#include <span>
#include <vector>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "plan/plan.h"

namespace underfoot {

/// One height of a plan, and what it becomes.
struct HeightEdit {
    enum class Of {
        FinishLevel,    ///< list: the finish; item: its plane, or spot where it has spots
        FinishFall,     ///< list: the finish; item: its plane
        GroundShot,     ///< item: the shot
        MeasuredShot,   ///< list: the measured top; item: its shot
        LayerThickness  ///< list: the build-up; item: its layer, not fill
    };
    Of of = Of::FinishLevel;
    int list = 0;
    int item = 0;
    double value = 0;
};

/// Puts edits into a plan (asserts that it has what they name).
void applyEdits(std::span<const HeightEdit> edits, Plan& plan);

class Rebuilder {
  public:
    /// The model of a plan, as buildModel makes it, and faults as it reports them.
    static Checked<Rebuilder> of(const Plan& plan);
    Rebuilder(Rebuilder&&) noexcept;
    Rebuilder& operator=(Rebuilder&&) noexcept;
    ~Rebuilder();

    enum class Kept {
        Cells,   ///< heights were moved on the cells there are
        Nothing  ///< everything was built anew: layers got another number of lifts, a surface with a step or
                 ///< another number of side slopes
    };
    /// Moves heights. On kept cells every stack is exact at its post. Between posts it is as well, but for
    /// the cells that a zero line or a joint of the finish has moved into: there layers run out at the old
    /// line's corners. `settle` lays all lines where they now belong. Nothing is changed where faults come
    /// back.
    Checked<Kept> move(std::span<const HeightEdit> edits);
    /// Builds anew what `move` left on old cells; nothing to do after Kept::Nothing.
    Checked<Kept> settle();

    /// The model. After `move`: its stacks (heights, facts, columns) alone are up to date.
    const Model& stacks() const;
    /// The model with all that follows from the stacks: points, units and edging.
    const Model& model();
    /// Posts whose heights or facts the last `move` changed, when it kept the cells.
    const std::vector<int>& movedPosts() const;

  private:
    struct Workshop;
    explicit Rebuilder(std::unique_ptr<Workshop> workshop);
    std::unique_ptr<Workshop> workshop_;
};

}  // namespace underfoot
