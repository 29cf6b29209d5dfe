#pragma once
// Outlines: corners and arcs as written, or one of the ready shapes.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "plan/document.h"
#include "plan/plan.h"
#include "plan/reading.h"

namespace underfoot {

/// A ring as read, counter-clockwise. `reversed` says that it was written clockwise: edge i as written (from
/// 0) is then edge n - 1 - i of the ring.
struct ReadRing {
    Ring ring;
    bool reversed = false;

    int edgeAsWritten(int written) const {
        return reversed ? static_cast<int>(ring.edges.size()) - 1 - written : written;
    }
};

/// The keys that a table with an outline takes: outline, rectangle, circle, polygon.
/// Reads the one that is there. Reports none, more than one, and everything wrong with it: too few corners, a
/// corner on the one before, an arc that is none, an outline that crosses or touches itself (and where).
std::optional<ReadRing> readShape(const Fields& fields);

/// A list of corners and arcs.
std::optional<ReadRing> readOutline(Reading& reading, const Value& value, const std::string& what);

/// Numbers of outline edges, from 1 as written, as indices into the ring's edges. `ring` may be missing: then
/// only the form is checked.
std::vector<int> readEdgeNumbers(const Fields& fields, std::string_view key,
                                 const std::optional<ReadRing>& ring);

/// Greatest distance of the chords that outlines are checked with from their arcs.
inline constexpr double checkSagitta = 2e-4;

}  // namespace underfoot
