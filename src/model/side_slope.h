#pragma once
// Fill that stands above the ground beside it runs out past the lowest layer and down a side slope to
// daylight.

#include <memory>
#include <vector>

#include "model/groundwork.h"
#include "plan/plan.h"

namespace underfoot {

/// The flat pieces of all side slopes: beside every outer edge of what the plots cover, except along walls, a
/// level shoulder and a slope; round every outer corner a wedge of the same slope. Where pieces overlap the
/// highest rules. Arcs are followed within a centimetre. Openings get none: what stands in them holds the
/// fill.
std::vector<SlopeFacet> sideSlopes(const Plan& plan, const Groundwork& work);

/// The same time and again while heights move, and nothing that is seen in plan does: what fill leans on, and
/// where surfaces break along it, is found once.
class SideSlopes {
  public:
    /// Both stay where they are as long as this is used.
    SideSlopes(const Plan& plan, const Groundwork& work);
    SideSlopes(SideSlopes&&) noexcept;
    SideSlopes& operator=(SideSlopes&&) noexcept;
    ~SideSlopes();

    std::vector<SlopeFacet> facets();
    /// Heights of the ground are others than the last time.
    void groundMoved();

  private:
    class Maker;
    std::unique_ptr<Maker> maker_;
};

}  // namespace underfoot
