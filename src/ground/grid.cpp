#include "ground/grid.h"

#include "ground/plan_distance.h"

namespace underfoot {
namespace {

__extension__ typedef __int128 Int128;
__extension__ typedef unsigned __int128 UInt128;

int signOf(Int128 value) {
    return value > 0 ? 1 : value < 0 ? -1 : 0;
}

// Two's complement of 256 bits, as much of it as a sum of products needs.
struct Wide {
    Int128 high = 0;
    UInt128 low = 0;
};

Wide negated(Wide a) {
    const UInt128 low = ~a.low + 1;
    const UInt128 high = ~static_cast<UInt128>(a.high) + (low == 0 ? 1 : 0);
    return {static_cast<Int128>(high), low};
}

Wide sum(Wide a, Wide b) {
    const UInt128 low = a.low + b.low;
    const UInt128 high = static_cast<UInt128>(a.high) + static_cast<UInt128>(b.high) + (low < a.low ? 1 : 0);
    return {static_cast<Int128>(high), low};
}

Wide productOf(UInt128 a, UInt128 b) {
    constexpr UInt128 mask = ~uint64_t{0};
    const UInt128 a0 = a & mask, a1 = a >> 64;
    const UInt128 b0 = b & mask, b1 = b >> 64;
    const UInt128 low = a0 * b0;
    const UInt128 middle = a1 * b0 + (low >> 64);
    const UInt128 carry = a0 * b1 + (middle & mask);
    const UInt128 high = a1 * b1 + (middle >> 64) + (carry >> 64);
    return {static_cast<Int128>(high), (carry << 64) | (low & mask)};
}

Wide product(Int128 a, Int128 b) {
    const Wide size = productOf(static_cast<UInt128>(a < 0 ? -a : a), static_cast<UInt128>(b < 0 ? -b : b));
    return (a < 0) == (b < 0) ? size : negated(size);
}

struct Offset {
    int64_t x, y;
};

Int128 cross(Offset a, Offset b) {
    return Int128{a.x} * b.y - Int128{a.y} * b.x;
}
Int128 lift(Offset a) {
    return Int128{a.x} * a.x + Int128{a.y} * a.y;
}

// Offsets have 43 bits and a sign, so lifts and crosses stay below 2^88 and the sum of products below 2^178.
int exactInCircle(Offset a, Offset b, Offset c) {
    const Wide det =
        sum(sum(product(lift(a), cross(b, c)), product(lift(b), cross(c, a))), product(lift(c), cross(a, b)));
    if (det.high != 0) return signOf(det.high);
    return det.low == 0 ? 0 : 1;
}

Offset offset(GridPoint from, GridPoint to) {
    return {to.x - from.x, to.y - from.y};
}

}  // namespace

int exactly::inCircle(GridPoint a, GridPoint b, GridPoint c, GridPoint d) {
    return exactInCircle(offset(d, a), offset(d, b), offset(d, c));
}

bool isCloser(GridPoint q, GridPoint p, GridPoint r) {
    return lift(offset(q, p)) < lift(offset(q, r));
}

bool isAhead(GridPoint a, GridPoint b, GridPoint c) {
    const Offset ab = offset(a, b), ac = offset(a, c);
    return Int128{ab.x} * ac.x + Int128{ab.y} * ac.y > 0;
}

GridPoint crossingPoint(GridPoint a, GridPoint b, GridPoint c, GridPoint d) {
    const Offset ab = offset(a, b), cd = offset(c, d);
    const double share = static_cast<double>(cross(offset(c, a), ab)) / static_cast<double>(cross(cd, ab));
    return {c.x + std::llround(share * static_cast<double>(cd.x)),
            c.y + std::llround(share * static_cast<double>(cd.y))};
}

}  // namespace underfoot
