#include "ground/thin_places.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>
#include <utility>

#include "ground/hilbert.h"
#include "ground/surface.h"
#include "ground/triangulation.h"

namespace underfoot::thinning {
namespace {

/// Squares with fewer places tell nothing of the scatter.
constexpr size_t fewest = 5;
/// Places to a square, on average, that the scatter is told from.
constexpr double enough = 6;

Place placeOfGroup(std::span<const glm::dvec3> scan, std::span<const glm::dvec3> fixed,
                   std::span<const uint32_t> group, GridPoint grid) {
    constexpr double far = std::numeric_limits<double>::infinity();
    Place place{fromGrid(grid), 0, far, -far, group.front() < fixed.size()};
    for (const uint32_t i : group) {
        const double z = i < fixed.size() ? fixed[i].z : scan[i - fixed.size()].z;
        place.lowest = std::min(place.lowest, z);
        place.highest = std::max(place.highest, z);
    }
    place.height = place.fixed ? fixed[group.front()].z : place.lowest + (place.highest - place.lowest) / 2;
    return place;
}

double sideOf(int shift) {
    return std::ldexp(gridStep, shift);
}

// Places lie on the grid: nothing is rounded.
GridPoint gridOf(const Place& place) {
    return {static_cast<int64_t>(place.at.x / gridStep), static_cast<int64_t>(place.at.y / gridStep)};
}

/// Calls with the first and past-the-last index of the places of each square of 2^shift grid steps.
template <class Visit>
void eachSquare(const Places& places, int shift, Visit visit) {
    const auto squareOf = [&](size_t i) {
        const GridPoint p = gridOf(places.list[i]);
        return GridPoint{(p.x - places.low.x) >> shift, (p.y - places.low.y) >> shift};
    };
    const size_t count = places.list.size();
    GridPoint square = squareOf(0);
    for (size_t from = 0; from < count;) {
        size_t to = from + 1;
        GridPoint following = square;
        while (to < count && (following = squareOf(to)) == square) ++to;
        visit(from, to);
        square = following;
        from = to;
    }
}

size_t squaresOf(const Places& places, int shift) {
    size_t count = 0;
    eachSquare(places, shift, [&](size_t, size_t) { ++count; });
    return count;
}

int widestShift(const Places& places, double widest) {
    int shift = places.finestShift;
    while (sideOf(shift + 1) <= widest) ++shift;
    return shift;
}

/// The smallest squares that still hold `wanted` places on average; -1 when the widest do not.
int shiftHolding(const Places& places, double wanted, double widest) {
    int found = -1;
    if (sideOf(places.finestShift) > widest) return found;
    for (int shift = widestShift(places, widest); shift >= places.finestShift; --shift) {
        const auto squares = static_cast<double>(squaresOf(places, shift));
        if (static_cast<double>(places.list.size()) < wanted * squares) break;
        found = shift;
    }
    return found;
}

/// Sums over places, counted from one of them, for the plane that fits best.
class Fit {
  public:
    /// Sums count from a place, so that little is lost to rounding.
    explicit Fit(const Place& from) : at_(from.at), height_(from.height) {}

    void add(const Place& place) {
        const double x = place.at.x - at_.x, y = place.at.y - at_.y, z = place.height - height_;
        n_ += 1, x_ += x, y_ += y, z_ += z;
        xx_ += x * x, xy_ += x * y, yy_ += y * y, xz_ += x * z, yz_ += y * z, zz_ += z * z;
    }

    Place mean() const {
        const double z = height_ + z_ / n_;
        return {snap(at_ + glm::dvec2(x_, y_) / n_), z, z, z, false};
    }

    /// Level at the mean where the places make no plane.
    PlaneHeight plane() const {
        return {at_ + glm::dvec2(x_, y_) / n_, height_ + z_ / n_, gradient().value_or(glm::dvec2(0))};
    }

    /// Sum of squared distances from the plane, over what is free to vary; nothing where there is no plane.
    std::optional<double> variance() const {
        const auto g = gradient();
        if (!g) return std::nullopt;
        const double left = centred(zz_, z_, z_) - g->x * centred(xz_, x_, z_) - g->y * centred(yz_, y_, z_);
        return std::max(0.0, left) / (n_ - 3);
    }

  private:
    double centred(double product, double a, double b) const { return product - a * b / n_; }

    std::optional<glm::dvec2> gradient() const {
        const double xx = centred(xx_, x_, x_), xy = centred(xy_, x_, y_), yy = centred(yy_, y_, y_);
        const double xz = centred(xz_, x_, z_), yz = centred(yz_, y_, z_), turned = xx * yy - xy * xy;
        if (!(turned > 1e-9 * xx * yy)) return std::nullopt;
        return glm::dvec2(xz * yy - yz * xy, yz * xx - xz * xy) / turned;
    }

    glm::dvec2 at_;
    double height_;
    double n_ = 0, x_ = 0, y_ = 0, z_ = 0, xx_ = 0, xy_ = 0, yy_ = 0, xz_ = 0, yz_ = 0, zz_ = 0;
};

using Near = std::vector<const Place*>;

Fit fitOf(const Near& near) {
    Fit fit(*near.front());
    for (const Place* place : near) fit.add(*place);
    return fit;
}

/// The plane that fits near places, without those that lie off it by five times the scatter: a boot that was
/// scanned is no ground. The worse half goes first, since it tilts the plane; where half of all would go, all
/// count.
Fit steadyFit(Near near, double scatter) {
    constexpr double stray = 5;
    const Fit all = fitOf(near);
    const size_t least = near.size() / 2 + 1;
    for (Fit fit = all;; fit = fitOf(near)) {
        const PlaneHeight plane = fit.plane();
        const auto off = [&](const Place* place) {
            return std::fabs(place->height - plane.height(place->at));
        };
        double worst = 0;
        for (const Place* place : near) worst = std::max(worst, off(place));
        if (worst <= stray * scatter) return fit;
        const double most = std::max(stray * scatter, worst / 2);
        std::erase_if(near, [&](const Place* place) { return off(place) > most; });
        if (near.size() < least) return all;
    }
}

/// The place `i` on the plane of those around it on the curve and within 1.5 squares.
Place levelled(const Places& places, size_t i, size_t around, double side, double scatter) {
    const Place& place = places.list[i];
    const size_t from = i - std::min(i, around), to = std::min(places.list.size(), i + around + 1);
    Near near;
    for (size_t k = from; k < to; ++k) {
        const Place& other = places.list[k];
        if (std::hypot(other.at.x - place.at.x, other.at.y - place.at.y) <= 1.5 * side)
            near.push_back(&other);
    }
    if (near.size() < fewest) return place;
    const double z = steadyFit(std::move(near), scatter).plane().height(place.at);
    return {place.at, z, z, z, false};
}

/// Places outside the hull of the means, levelled: between them the hull of the means would go straight on.
void addRim(const Places& places, size_t around, double side, double scatter, std::vector<Place>& means) {
    const std::vector<size_t> hull = hullOf(means);
    std::vector<glm::dvec2> corners;
    corners.reserve(hull.size());
    for (const size_t i : hull) corners.push_back(means[i].at);
    const Triangulation inner = Triangulation::ofPoints(corners);
    if (inner.triangles().empty()) return;
    int hint = -1;
    for (size_t i = 0; i < places.list.size(); ++i) {
        const Location location = inner.locate(places.list[i].at, hint);
        hint = location.triangle;
        if (location.where == Where::Outside && !places.list[i].fixed)
            means.push_back(levelled(places, i, around, side, scatter));
    }
}

void keepCorner(std::vector<size_t>& chain, std::span<const Place> places, size_t i) {
    const auto grid = [&](size_t k) { return gridOf(places[k]); };
    while (chain.size() >= 2 && orientation(grid(chain[chain.size() - 2]), grid(chain.back()), grid(i)) <= 0)
        chain.pop_back();
    chain.push_back(i);
}

/// Of places in eight directions, those farthest out: all within their outline is no corner of the hull.
std::vector<GridPoint> outermost(std::span<const Place> places) {
    constexpr std::array<glm::dvec2, 8> ways{
        {{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}}};
    std::vector<GridPoint> most(ways.size());
    std::array<double, ways.size()> reach{};
    reach.fill(-std::numeric_limits<double>::infinity());
    for (size_t i = 0; i < places.size(); ++i)
        for (size_t k = 0; k < ways.size(); ++k) {
            const double along = places[i].at.x * ways[k].x + places[i].at.y * ways[k].y;
            if (along > reach[k]) reach[k] = along, most[k] = gridOf(places[i]);
        }
    return most;
}

}  // namespace

Places placesOf(std::span<const glm::dvec3> scan, std::span<const glm::dvec3> fixed) {
    std::vector<GridPoint> grid;
    grid.reserve(fixed.size() + scan.size());
    for (const glm::dvec3& p : fixed) grid.push_back(toGrid(glm::dvec2(p)));
    for (const glm::dvec3& p : scan) grid.push_back(toGrid(glm::dvec2(p)));
    const std::vector<uint32_t> order = hilbertOrder(grid);
    Places places;
    places.list.reserve(order.size());
    for (size_t from = 0; from < order.size();) {
        size_t to = from + 1;
        while (to < order.size() && grid[order[to]] == grid[order[from]]) ++to;
        places.list.push_back(placeOfGroup(scan, fixed, {order.data() + from, to - from}, grid[order[from]]));
        from = to;
    }
    const HilbertSquare square = hilbertSquare(grid);
    places.low = square.low;
    places.finestShift = square.shift;
    return places;
}

double scatterOf(const Places& places, double widest) {
    const int shift = shiftHolding(places, enough, widest);
    if (shift < 0) return 0;
    std::vector<double> variances;
    eachSquare(places, shift, [&](size_t from, size_t to) {
        if (to - from < fewest) return;
        Fit fit(places.list[from]);
        for (size_t i = from; i < to; ++i) fit.add(places.list[i]);
        if (const auto variance = fit.variance()) variances.push_back(*variance);
    });
    if (variances.empty()) return 0;
    const auto middle = variances.begin() + static_cast<std::ptrdiff_t>(variances.size() / 2);
    std::nth_element(variances.begin(), middle, variances.end());
    return std::sqrt(*middle);
}

std::vector<Place> averaged(const Places& places, double scatter, double wanted, double widest,
                            double& square) {
    const double needed = (scatter / wanted) * (scatter / wanted);
    int shift = shiftHolding(places, needed, widest);
    if (shift < 0) shift = widestShift(places, widest);
    square = sideOf(shift);
    constexpr double plenty = 64;
    const double held =
        static_cast<double>(places.list.size()) / static_cast<double>(squaresOf(places, shift));
    const auto around = static_cast<size_t>(std::clamp(2 * held, enough, plenty));
    std::vector<Place> means;
    eachSquare(places, shift, [&](size_t from, size_t to) {
        Near near;
        const size_t before = means.size();
        for (size_t i = from; i < to; ++i) {
            const Place& place = places.list[i];
            if (place.fixed)
                means.push_back(place);
            else
                near.push_back(&place);
        }
        if (near.empty()) return;
        const Place mean = steadyFit(std::move(near), scatter).mean();
        const auto same = [&](const Place& kept) { return kept.at == mean.at; };
        if (std::none_of(means.begin() + static_cast<std::ptrdiff_t>(before), means.end(), same))
            means.push_back(mean);
    });
    addRim(places, around, square, scatter, means);
    return means;
}

std::vector<size_t> hullOf(std::span<const Place> places) {
    if (places.size() < 3) return {};
    const std::vector<GridPoint> corners = outermost(places);
    std::vector<size_t> candidates;
    for (size_t i = 0; i < places.size(); ++i) {
        const GridPoint p = gridOf(places[i]);
        bool inside = true;
        for (size_t k = 0; k < corners.size() && inside; ++k)
            inside = corners[k] == corners[(k + 1) % corners.size()] ||
                     orientation(corners[k], corners[(k + 1) % corners.size()], p) > 0;
        if (!inside) candidates.push_back(i);
    }
    std::sort(candidates.begin(), candidates.end(), [&](size_t a, size_t b) {
        const glm::dvec2 p = places[a].at, q = places[b].at;
        return p.x != q.x ? p.x < q.x : p.y < q.y;
    });
    std::vector<size_t> lower, upper;
    for (const size_t i : candidates) keepCorner(lower, places, i);
    for (auto i = candidates.rbegin(); i != candidates.rend(); ++i) keepCorner(upper, places, *i);
    if (lower.size() + upper.size() < 2) return candidates;
    lower.pop_back();
    upper.pop_back();
    lower.insert(lower.end(), upper.begin(), upper.end());
    return lower;
}

}  // namespace underfoot::thinning
