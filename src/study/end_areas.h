#pragma once
// Cut and fill by the faces of sections at even stations, as they are worked out on paper, beside what the
// cells hold.
//
// Average end areas: L (A0 + A1) / 2 for each interval. Where the surfaces between two sections are flat the
// face's area runs as a square, and the mean of the ends is too much by 2 L ((A0 + A1) / 2 - Am) / 3, Am the
// face in the middle; on a dig of base b and side slope S that is L S (h1 - h2)² / 6. The prismoidal rule,
// L (A0 + 4 Am + A1) / 6, is exact there; what it leaves comes from surfaces that bend between sections.
//
// A station's face is taken twice where a step lies on it: just before and just after. Cut counts below the
// sod, as in study/volumes.h; fill with its side slopes.

#include <optional>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "model/model.h"

namespace underfoot {

/// Areas (m²) or volumes (m³) of cut and fill.
struct CutFill {
    double cut = 0;
    double fill = 0;
};

struct EndArea {
    double station = 0;
    CutFill before, after;  ///< m², just before the station and just after it; before the first one nothing
};

struct EndInterval {
    double from = 0, to = 0;
    CutFill middle;      ///< m², halfway
    CutFill byEndAreas;  ///< m³
    CutFill byPrismoid;  ///< m³
    CutFill exact;       ///< m³, from the cells
};

struct EndAreas {
    std::vector<EndArea> stations;
    std::vector<EndInterval> intervals;  ///< one fewer
    CutFill byEndAreas, byPrismoid, exact;
    /// Composite Simpson over the given stations; only over an even number of intervals of one length.
    std::optional<CutFill> bySimpson;
    std::string noSimpson;   ///< why there is none, as a sentence
    std::string difference;  ///< how the end areas differ from the exact volumes and why, in sentences
};

/// Stations from `first` to `last`, `interval` apart; the last interval may be shorter. Without `first` or
/// `last`: where the earthwork begins and ends along the baseline. A sentence where the interval is no length
/// above 0, the stations run backward, there is no earthwork, or there would be more than 10,000 intervals.
/// Work: two sections for each station, one for each interval, and the cells once.
tl::expected<EndAreas, std::string> endAreas(const Model& model, double interval,
                                             std::optional<double> first = {},
                                             std::optional<double> last = {});

}  // namespace underfoot
