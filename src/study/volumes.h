#pragma once
// Volumes read from the stack: exact sums of prisms over cells. A prism over a triangle of plan area A whose
// thickness is t0, t1, t2 at the corners and straight between them holds A (t0 + t1 + t2) / 3.

#include <memory>
#include <span>
#include <vector>

#include "model/model.h"

namespace underfoot {

struct LiftVolume {
    int lift = 0;
    double volume = 0;
    double planArea = 0;  ///< of the cells where the lift has any thickness
};

struct LayerVolume {
    LayerId layer = -1;
    double volume = 0;              ///< everywhere, what runs beyond included
    double insideVolume = 0;        ///< inside the outlines
    double planArea = 0;            ///< of the cells where it has any thickness
    std::vector<LiftVolume> lifts;  ///< lowest first
};

struct Volumes {
    std::vector<LayerVolume> layers;  ///< in the model's order of layers, native soil left out
    double strip = 0;                 ///< sod and topsoil taken off, in place
    double cut = 0;                   ///< stripped ground above the native soil that stays, in place
    double fill = 0;                  ///< all fill, side slopes included, compacted
    double finishArea = 0;            ///< plan area inside the outlines
};
Volumes volumes(const Model& model);

/// Volumes of a model whose heights move while its cells stay: only what moved is counted again.
class MovingVolumes {
  public:
    explicit MovingVolumes(const Model& model);
    MovingVolumes(MovingVolumes&&) noexcept;
    MovingVolumes& operator=(MovingVolumes&&) noexcept;
    ~MovingVolumes();

    /// The same cells; `posts` names all posts that have other heights or facts than the last time. Sums are
    /// those counted from nothing up to rounding. Valid until the next call.
    const Volumes& move(const Model& model, std::span<const int> posts);

  private:
    friend Volumes volumes(const Model& model);
    class Sums;
    struct Kept;
    std::unique_ptr<Kept> kept_;
};

}  // namespace underfoot
