#pragma once
// Which layers stand on each kind of stand, lift by lift.

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "model/groundwork.h"
#include "model/model.h"
#include "model/stack.h"
#include "plan/plan.h"

namespace underfoot {

/// A layer is compacted in at most so many lifts: more come from a wrong height or unit, never from a patio.
constexpr int mostLifts = 100;

/// Lifts of a layer above fill, at most one more than mostLifts.
int liftsOf(const Layer& layer);

/// Fill over one place.
struct FillSpan {
    double top = 0;
    double crown = 0;  ///< what parallel lifts count down from: the top, above a side slope the formation
                       ///< carried on outward
    double ground = 0;
    double stripped = 0;
};

/// What fill comes to, which decides the number of its lifts.
struct FillFound {
    struct Reach {
        double greatest = 0;  ///< depth below the crown
        double high = -std::numeric_limits<double>::infinity();
    };
    std::vector<Reach> reach;  ///< by LayerId, as far as asked for
    double lowest =
        std::numeric_limits<double>::infinity();  ///< of all surfaces but the native soil's underside
    double datum = std::numeric_limits<double>::infinity();  ///< lowest stripped ground under fill

    /// `onSlope`: outside every foot, where a side slope below the ground is none.
    void add(LayerId fill, bool onSlope, const FillSpan& span);
    /// All that another one was given.
    void add(const FillFound& other);
    void addGround(double stripped) { lowest = std::min(lowest, stripped); }
    double liftDatum() const { return std::isfinite(datum) ? datum : 0; }
    /// How much fill the lifts of a plot count over.
    double depth(const Plot& plot, FillLifts way) const;
    /// Lifts of the fill under a plot; 0 where there is none, at most one more than mostLifts.
    int lifts(const Plot& plot, FillLifts way) const;
};

struct Columns {
    std::vector<Column> columns;
    /// Index into columns, by stand. Under side slopes of several plots: that with the most lifts.
    std::vector<int> ofStand;
    std::vector<int> ofSlope;  ///< by plot: under its side slopes, -1 where it has none
    int plain = -1;            ///< the column of bare ground: the last
};

/// Columns of all stands; side slopes of one plot share one, whichever stand they lie in.
Columns columnsFor(const Groundwork& work, const std::vector<Stand>& stands, const FillFound& fill,
                   FillLifts way);

}  // namespace underfoot
