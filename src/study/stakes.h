#pragma once
// Stakes to set out by: at chosen places the string's height, what to cut or fill to the formation, and the
// measure from the string down to each layer; strings between two places; screed rails.
//
// Heights are upright. The finish of a stake is the designed one, which the strings show; the layers' tops
// are those of the model: as shot where a top was measured, as designed else. Places are local.

#include <string>
#include <vector>

#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "measure/length.h"
#include "model/model.h"

namespace underfoot {

/// A place to stake, seen as part of an area: on an outline both sides have stacks of their own.
struct StakePoint {
    std::string name;  ///< "court, corner 2", "cut A at 5' 0""
    glm::dvec2 at{0, 0};
    int area = -1;  ///< whose stack is meant; -1: the area that the place lies in
};
template <class T>
using Sentence = tl::expected<T, std::string>;  ///< or why not, as a sentence

/// Every corner of every area's outline, in the order of the outline (turning left). Arcs have their two
/// ends.
std::vector<StakePoint> cornerPoints(const Model& model);
/// Every corner, and between them a place at every whole `interval` along each edge, arcs included.
Sentence<std::vector<StakePoint>> edgePoints(const Model& model, double interval);
/// Whole multiples of `interval` in station and offset that lie inside the areas, station by station.
Sentence<std::vector<StakePoint>> gridPoints(const Model& model, double interval);
/// Along the plan's cuts (all, or the named one): where a cut enters and leaves an area, and between them at
/// every whole `interval` from where it first meets one.
Sentence<std::vector<StakePoint>> cutPoints(const Model& model, double interval,
                                            const std::string& name = "");

/// A layer, or one lift of it, under a stake.
struct StakeLayer {
    LayerId layer = -1;
    int lift = 0;
    int lifts = 1;
    double top = 0;
    double down = 0;  ///< from the string to its top
};
struct Stake {
    std::string name;
    glm::dvec2 at{0, 0};
    double station = 0, offset = 0;
    int area = -1;
    double ground = 0;     ///< as it is, sod and all
    double formation = 0;  ///< to dig or fill to
    double finish = 0;
    double string = 0;               ///< finish and what the string stands above it
    std::vector<StakeLayer> layers;  ///< top first, down to the formation; those with no thickness left out
    double cut() const { return ground - formation; }   ///< positive: cut; negative: fill
    double down() const { return string - formation; }  ///< from the string to the formation
};
/// Places outside the areas are left out. On an edge between cells of the area the one with the lowest index
/// counts. A place that areas share has one stake where string, ground, formation and every layer that both
/// have stand alike: it is named for all of them ("court, corner 1; strip, corner 2"), belongs to the first
/// and has the layers of all, of the others without what lies uppermost. Else each has its own.
std::vector<Stake> stakes(const Model& model, const std::vector<StakePoint>& points, double above = 0);

/// "C-2.58", "F-2.58": cut or fill in feet to a hundredth, or in metres to a millimetre; "0.00" where that
/// leaves nothing.
std::string cutOrFill(double cut, const LengthFormat& format);

/// The reading of a rod that stands at a height, under a level whose line of sight is at `instrument`.
/// Negative where the place lies above it. With the ground rod, cut is grade rod less ground rod (US Navy,
/// Engineering Aid, NAVEDTRA 14069, fig. 14-36).
inline double rodAt(double instrument, double height) {
    return instrument - height;
}

/// A string from one place to another.
struct StringRun {
    glm::dvec2 from{0, 0}, to{0, 0};
    double length = 0;  ///< in plan
    double fromHeight = 0, toHeight = 0;
    /// How far the end lies below the start: a level string tied at the start is lowered by this at the end.
    double fall() const { return fromHeight - toHeight; }
    /// Where the finish, raised as the string is, lies farthest off the straight string; positive above it.
    double off = 0;
    glm::dvec2 offAt{0, 0};
};
/// Both ends lie inside the areas, or a sentence. Between areas nothing is compared.
Sentence<StringRun> stringRun(const Model& model, glm::dvec2 from, glm::dvec2 to, double above = 0);

/// A rail that a screed board runs on, its top at the bed's wanted top.
struct RailPoint {
    glm::dvec2 at{0, 0};
    double height = 0;
};
struct Rail {
    int area = -1;
    int number = 0;                        ///< within the area, from 1; pieces of one line share it
    std::vector<RailPoint> points;         ///< its ends, and where it bends
    double length = 0;                     ///< in plan
    double bedLeast = 0, bedGreatest = 0;  ///< bed left under it: negative where what lies below is too high
    double wanted = 0;                     ///< of the bed
    /// Laid on what lies below instead, as high as the bed is wanted: the bed is even and the finish is off
    /// its design from this to that, positive above it. wanted - bedGreatest, wanted - bedLeast.
    double finishLow() const { return wanted - bedGreatest; }
    double finishHigh() const { return wanted - bedLeast; }
};
/// What lies between a rail and the next of its area.
struct Bay {
    int area = -1;
    int rail = 0;      ///< and the one after
    double width = 0;  ///< no more than the board
    /// Farthest that the bed's wanted top lies off a straight board between the two, positive above it: a
    /// crown or a valley there wants a rail of its own. 0 where they don't stand side by side.
    double bend = 0;
    glm::dvec2 bendAt{0, 0};
};
struct ScreedRails {
    std::vector<Rail> rails;  ///< area by area, in order
    std::vector<Bay> bays;
};
/// Rails straight out from the baseline (`across`: along it), evenly spaced from one end of each area with a
/// bed to the other so that a board of the given length reaches from rail to rail. A rail of no length, at an
/// end that is a point, is left out. A sentence where the board is no length above 0 or there would be more
/// than 1,000 rails.
Sentence<ScreedRails> screedRails(const Model& model, double board, bool across = false);

}  // namespace underfoot
