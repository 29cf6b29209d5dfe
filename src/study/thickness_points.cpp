// Thickness at many points: where there are more of them than cells, every cell is first made ready to answer
// in a few dozen instructions; where there are fewer, they are looked up in an order of their own. A point
// that lies within a few grid steps of an edge goes to the exact tests in either case.

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include <glm/vec2.hpp>

#include "ground/grid.h"
#include "model/model.h"
#include "study/index.h"
#include "study/prefetch.h"
#include "study/thickness.h"
#include "study/walk.h"

namespace underfoot {
namespace {

constexpr double absent = std::numeric_limits<double>::quiet_NaN();

double many(size_t count) {
    return static_cast<double>(count);
}

// False for what is no number as well.
bool insideBox(const Model& model, glm::dvec2 p) {
    const glm::dvec2 low = model.site.low, high = model.site.high;
    return p.x >= low.x && p.y >= low.y && p.x <= high.x && p.y <= high.y;
}

// ---------------------------------------------------------------- where to look from

// Squares of the plan, each with a cell at or near it.
class CellHints {
  public:
    CellHints(const Model& model, double squares) : low_(model.site.low) {
        const glm::dvec2 size = model.site.high - low_;
        const double side = std::max(std::sqrt(std::max(size.x * size.y, 1e-12) / squares), 1e-6);
        // However long and narrow the site, no more squares along it than there are in all.
        const auto dense = [&](double extent) {
            return std::min(1 / side, squares / std::max(extent, 1e-6));
        };
        perMetre_ = {dense(size.x), dense(size.y)};
        columns_ = static_cast<int>(size.x * perMetre_.x) + 1;
        rows_ = static_cast<int>(size.y * perMetre_.y) + 1;
        cells_.resize(index(columns_) * index(rows_), -1);
    }

    // For a place inside the box of the model.
    int of(glm::dvec2 p) const { return cells_[squareOf(p)]; }

    // From the middles of the cells: quick, and near enough where squares are not much smaller than cells.
    void takeMiddles(const Model& model) {
        for (size_t c = 0; c < model.cells.size(); ++c) {
            const Cell& cell = model.cells[c];
            const glm::dvec2 sum = model.at(cell, 0) + model.at(cell, 1) + model.at(cell, 2);
            cells_[squareOf(sum * (1.0 / 3))] = static_cast<int>(c);
        }
        int last = 0;
        for (int& cell : cells_) last = cell = cell < 0 ? last : cell;
    }

    // From square to square, row by row back and forth: `onward(middle, from)` tells the cell at a place,
    // looking from another.
    template <class Onward>
    void walk(Onward onward) {
        int cell = 0;
        for (int row = 0; row < rows_; ++row)
            for (int i = 0; i < columns_; ++i) {
                const int column = row % 2 == 0 ? i : columns_ - 1 - i;
                cell = onward(low_ + glm::dvec2(column + 0.5, row + 0.5) / perMetre_, cell);
                cells_[index(row * columns_ + column)] = cell;
            }
    }

  private:
    size_t squareOf(glm::dvec2 p) const {
        const int column = std::clamp(static_cast<int>((p.x - low_.x) * perMetre_.x), 0, columns_ - 1);
        const int row = std::clamp(static_cast<int>((p.y - low_.y) * perMetre_.y), 0, rows_ - 1);
        return index(row * columns_ + column);
    }

    glm::dvec2 low_{0, 0}, perMetre_{1, 1};
    int columns_ = 1, rows_ = 1;
    std::vector<int> cells_;
};

// ---------------------------------------------------------------- layers

// One layer of a column, its lifts together: they follow each other, so that its thickness is the height of
// its first interface less that of its last.
struct LayerBand {
    size_t layer = 0;
    int first = 0, last = 0;
};
using Bands = std::vector<LayerBand>;

// By column.
std::vector<Bands> layerBands(const Model& model) {
    std::vector<Bands> bands;
    for (const Column& column : model.columns) {
        Bands& all = bands.emplace_back();
        for (int e = 0; e < static_cast<int>(column.entries.size()); ++e) {
            const size_t layer = index(column.entries[index(e)].layer);
            if (all.empty() || all.back().layer != layer) all.push_back({layer, e, e});
            all.back().last = e + 1;
        }
    }
    return bands;
}

// The thickness of every layer over every cell: at corner 0, and what is added by the shares of corners 1
// and 2.
class LayerPlanes {
  public:
    explicit LayerPlanes(const Model& model)
        : layers_(model.layers.size()), planes_(model.cells.size() * 3 * layers_, absent) {
        const std::vector<Bands> bands = layerBands(model);
        double* at = planes_.data();
        for (const Cell& cell : model.cells) {
            const double *a = model.stack(cell, 0), *b = model.stack(cell, 1), *c = model.stack(cell, 2);
            for (const LayerBand& band : bands[index(cell.column)]) {
                const double thickness = a[band.first] - a[band.last];
                at[band.layer] = thickness;
                at[layers_ + band.layer] = b[band.first] - b[band.last] - thickness;
                at[2 * layers_ + band.layer] = c[band.first] - c[band.last] - thickness;
            }
            at += 3 * layers_;
        }
    }

    const double* of(int cell) const { return planes_.data() + index(cell) * 3 * layers_; }
    void soon(int cell) const {
        for (size_t k = 0; k < 3 * layers_; k += 8) wantedSoon(of(cell) + k);
    }
    // Two at a time: the compiler makes one instruction of both.
    void write(int cell, double ofB, double ofC, double* row) const {
        const double *at = of(cell), *perB = at + layers_, *perC = perB + layers_;
        size_t l = 0;
        for (; l + 2 <= layers_; l += 2) {
            const double one = at[l] + ofB * perB[l] + ofC * perC[l],
                         two = at[l + 1] + ofB * perB[l + 1] + ofC * perC[l + 1];
            row[l] = one, row[l + 1] = two;
        }
        if (l < layers_) row[l] = at[l] + ofB * perB[l] + ofC * perC[l];
    }

  private:
    size_t layers_;
    std::vector<double> planes_;
};

// ---------------------------------------------------------------- more points than cells

// A cell in as few numbers as finding needs: the shares of corners 1 and 2 at p are `ofB` and `ofC` times p -
// at.
struct FlatCell {
    glm::dvec2 at{0, 0};
    glm::dvec2 ofB{0, 0}, ofC{0, 0};
    // A share above it is inside for certain and one below its negative outside, as in clearCellAt().
    float doubt = 0;
    std::array<int, 3> next{-1, -1, -1};
};
static_assert(sizeof(FlatCell) == 64);

FlatCell flattened(const Model& model, const Cell& cell) {
    const glm::dvec2 a = model.at(cell, 0), b = model.at(cell, 1) - a, c = model.at(cell, 2) - a, bc = c - b;
    const double whole = b.x * c.y - b.y * c.x;
    const double longest = std::max(
        {std::abs(b.x) + std::abs(b.y), std::abs(c.x) + std::abs(c.y), std::abs(bc.x) + std::abs(bc.y)});
    // The factor covers the rounding to float.
    const double doubt = 4.001 * gridStep * longest / whole;
    return {a,
            {c.y / whole, -c.x / whole},
            {-b.y / whole, b.x / whole},
            static_cast<float>(doubt),
            cell.neighbour};
}

class FlatReader {
  public:
    FlatReader(const Model& model, size_t points)
        : model_(model),
          planes_(model),
          hints_(model, std::clamp(many(points) / 5, 1.5 * many(model.cells.size()),
                                   32 * many(model.cells.size()))) {
        cells_.reserve(model.cells.size());
        for (const Cell& cell : model.cells) cells_.push_back(flattened(model, cell));
        hints_.walk([this](glm::dvec2 middle, int from) { return find(middle, from).reached; });
    }

    // Block by block: while memory is fetched for one point, the others go on.
    void read(std::span<const glm::dvec2> points, double* table) const {
        const size_t layers = model_.layers.size();
        constexpr size_t block = 32;
        for (size_t first = 0; first < points.size(); first += block)
            readBlock<block>(points.subspan(first, std::min(block, points.size() - first)),
                             table + first * layers);
    }

  private:
    struct Found {
        int cell = -1;     // -1: only the exact tests can tell, or there is none
        int reached = -1;  // the cell that the walk came to
        double ofB = 0, ofC = 0;
    };
    static constexpr int mostSteps = 64;

    Found find(glm::dvec2 p, int from) const {
        for (int step = 0; step < mostSteps; ++step) {
            const FlatCell& cell = cells_[index(from)];
            const glm::dvec2 away = p - cell.at;
            const double ofB = cell.ofB.x * away.x + cell.ofB.y * away.y;
            const double ofC = cell.ofC.x * away.x + cell.ofC.y * away.y;
            const double ofA = 1 - ofB - ofC, doubt = static_cast<double>(cell.doubt);
            const double ofBC = std::min(ofB, ofC), least = std::min(ofBC, ofA);
            if (least > doubt) return {from, from, ofB, ofC};
            if (!(least < -doubt)) break;
            const int onward = cell.next[ofA < ofBC ? 0 : ofB < ofC ? 1 : 2];
            if (onward < 0) break;
            from = onward;
        }
        return {-1, from, 0, 0};
    }

    template <size_t block>
    void readBlock(std::span<const glm::dvec2> points, double* row) const {
        std::array<int, block> near{};
        std::array<Found, block> found;
        for (size_t i = 0; i < points.size(); ++i) {
            near[i] = insideBox(model_, points[i]) ? hints_.of(points[i]) : -1;
            if (near[i] >= 0) wantedSoon(&cells_[index(near[i])]);
        }
        for (size_t i = 0; i < points.size(); ++i) {
            found[i] = near[i] < 0 ? Found{} : find(points[i], near[i]);
            if (found[i].cell >= 0) planes_.soon(found[i].cell);
        }
        for (size_t i = 0; i < points.size(); ++i, row += model_.layers.size())
            if (found[i].cell >= 0)
                planes_.write(found[i].cell, found[i].ofB, found[i].ofC, row);
            else
                readExactly(points[i], near[i], row);
    }

    void readExactly(glm::dvec2 p, int near, double* row) const {
        const auto exact = near < 0 ? std::nullopt : pointInCell(model_, p, near);
        if (exact)
            planes_.write(exact->cell, exact->share[1], exact->share[2], row);
        else
            std::fill(row, row + model_.layers.size(), absent);
    }

    const Model& model_;
    LayerPlanes planes_;
    CellHints hints_;
    std::vector<FlatCell> cells_;
};

// ---------------------------------------------------------------- fewer

// The points in an order in which each lies near the one before: strips eight square buckets wide, across and
// back again, so that what was read a while ago is still at hand.
std::vector<int> nearbyOrder(const Model& model, std::span<const glm::dvec2> points) {
    const glm::dvec2 size = model.site.high - model.site.low;
    constexpr double perBucket = 4.0;
    constexpr size_t strip = 8;
    const double step =
        std::max(std::sqrt(std::max(size.x * size.y, 1e-12) * perBucket / many(points.size())), 1e-6);
    const double perStep = 1 / step;
    const auto axis = [](double extent, double s) {
        return static_cast<size_t>(std::min(extent / s, 4095.0)) + 1;
    };
    const size_t columns = axis(size.x, step), rows = axis(size.y, step);
    const auto bucketOf = [&](glm::dvec2 p) {
        const auto clampTo = [](double v, size_t n) {
            return v > 0 ? static_cast<size_t>(std::min(v, static_cast<double>(n - 1))) : size_t{0};
        };
        const size_t row = clampTo((p.y - model.site.low.y) * perStep, rows);
        const size_t column = clampTo((p.x - model.site.low.x) * perStep, columns);
        const size_t across = row % strip;
        return (row / strip * columns + column) * strip + (column % 2 == 0 ? across : strip - 1 - across);
    };
    std::vector<int> first(columns * (rows + strip) + 1, 0);
    std::vector<int> bucket(points.size());
    for (size_t i = 0; i < points.size(); ++i) {
        bucket[i] = static_cast<int>(bucketOf(points[i]));
        ++first[index(bucket[i]) + 1];
    }
    for (size_t b = 1; b < first.size(); ++b) first[b] += first[b - 1];
    std::vector<int> order(points.size());
    for (size_t i = 0; i < points.size(); ++i) order[index(first[index(bucket[i])]++)] = static_cast<int>(i);
    return order;
}

// The points of a block walk together, all by one step at a time: none waits for the memory that another has
// asked for, and no branch hangs on where a point lies.
class BlockReader {
  public:
    BlockReader(const Model& model, std::span<const glm::dvec2> points, double* table)
        : model_(model),
          points_(points),
          table_(table),
          doubt_(4 * gridStep *
                 (model.site.high.x - model.site.low.x + model.site.high.y - model.site.low.y)),
          bands_(layerBands(model)),
          order_(nearbyOrder(model, points)) {
        // A walk from the point before is cheaper for a few than a look at every cell.
        if (points.size() * 16 < model.cells.size()) return;
        hints_.emplace(model, many(model.cells.size()));
        hints_->takeMiddles(model);
    }

    void run() {
        for (size_t first = 0; first < order_.size(); first += block) {
            which_ = std::span(order_).subspan(first, std::min(block, order_.size() - first));
            for (size_t i = first + block; i < std::min(first + 2 * block, order_.size()); ++i)
                wantedSoon(&points_[index(order_[i])]);
            start();
            for (int step = 0; hints_ && step < mostSteps && walking_ > 0; ++step) walk();
            askForStacks();
            write();
        }
    }

  private:
    static constexpr size_t block = 64;
    static constexpr int mostSteps = 24;
    struct Walker {
        glm::dvec2 at{0, 0};
        int cell = -1;
        bool clear = false;
        double ofB = 0, ofC = 0, whole = 1;  // doubled areas
    };
    const Cell& cellOf(const Walker& walker) const { return model_.cells[index(walker.cell)]; }
    double* rowOf(size_t i) const { return table_ + index(which_[i]) * model_.layers.size(); }

    void start() {
        walking_ = 0;
        for (size_t i = 0; i < which_.size(); ++i) {
            Walker& walker = walkers_[i];
            walker = {};
            walker.at = points_[index(which_[i])];
            if (!insideBox(model_, walker.at)) continue;
            walker.cell = hints_ ? hints_->of(walker.at) : last_;
            if (walker.cell >= 0) wantedSoon(&cellOf(walker));
            still_[walking_++] = static_cast<uint8_t>(i);
        }
    }

    // As in clearCellAt(), in doubt by the sides of the site rather than those of the cell.
    void walk() {
        for (size_t k = 0; k < walking_; ++k)
            for (const int v : cellOf(walkers_[still_[k]]).vertex) wantedSoon(&model_.vertices[index(v)]);
        const size_t count = walking_;
        walking_ = 0;
        for (size_t k = 0; k < count; ++k) {
            const uint8_t which = still_[k];
            still_[walking_] = which;
            walking_ += static_cast<size_t>(stepped(walkers_[which]));
        }
    }

    bool stepped(Walker& walker) const {
        const Cell& cell = cellOf(walker);
        const glm::dvec2 p = walker.at, a = model_.at(cell, 0) - p, b = model_.at(cell, 1) - p,
                         c = model_.at(cell, 2) - p;
        const double ofA = b.x * c.y - b.y * c.x, ofB = c.x * a.y - c.y * a.x, ofC = a.x * b.y - a.y * b.x;
        const double ofBC = std::min(ofB, ofC), least = std::min(ofA, ofBC);
        const int next = cell.neighbour[ofA < ofBC ? 0 : ofB < ofC ? 1 : 2];
        const bool onward = (least < -doubt_) & (next >= 0);
        walker.ofB = ofB, walker.ofC = ofC, walker.whole = ofA + ofB + ofC;
        walker.clear = least > doubt_;
        walker.cell = onward ? next : walker.cell;
        wantedSoon(&cellOf(walker));
        return onward;
    }

    void askForStacks() const {
        for (size_t i = 0; i < which_.size(); ++i) {
            for (size_t k = 0; k < model_.layers.size(); k += 8) wantedSoon(rowOf(i) + k);
            if (walkers_[i].clear)
                for (const int post : cellOf(walkers_[i]).post) wantedSoon(&model_.posts[index(post)]);
        }
        for (size_t i = 0; i < which_.size(); ++i)
            if (walkers_[i].clear)
                for (int corner = 0; corner < 3; ++corner) {
                    const double* stack = model_.stack(cellOf(walkers_[i]), corner);
                    wantedSoon(stack);
                    wantedSoon(stack + 8);
                }
    }

    void write() {
        for (size_t i = 0; i < which_.size(); ++i) {
            double* row = rowOf(i);
            std::fill(row, row + model_.layers.size(), absent);
            const Walker& walker = walkers_[i];
            if (walker.clear)
                write(walker.cell, walker.ofB / walker.whole, walker.ofC / walker.whole, row);
            else if (const auto exact = pointInCell(model_, walker.at, hints_ ? walker.cell : last_))
                write(exact->cell, exact->share[1], exact->share[2], row);
        }
    }

    void write(int which, double ofB, double ofC, double* row) {
        last_ = which;
        const Cell& cell = model_.cells[index(which)];
        const double *a = model_.stack(cell, 0), *b = model_.stack(cell, 1), *c = model_.stack(cell, 2);
        const auto height = [=](int k) { return a[k] + ofB * (b[k] - a[k]) + ofC * (c[k] - a[k]); };
        double top = height(0);
        for (const LayerBand& band : bands_[index(cell.column)]) {
            const double bottom = height(band.last);
            row[band.layer] = top - bottom;
            top = bottom;
        }
    }

    const Model& model_;
    std::span<const glm::dvec2> points_;
    double* table_;
    double doubt_;
    std::vector<Bands> bands_;
    std::vector<int> order_;
    std::optional<CellHints> hints_;
    int last_ = -1;  // the cell of the point before

    std::span<const int> which_;  // the block's points
    std::array<Walker, block> walkers_;
    std::array<uint8_t, block> still_{};  // those that walk on
    size_t walking_ = 0;
};

}  // namespace

void thicknessAtPoints(const Model& model, std::span<const glm::dvec2> points, std::span<double> table) {
    assert(table.size() == points.size() * model.layers.size());
    if (points.empty()) return;
    if (model.cells.empty())
        std::fill(table.begin(), table.end(), absent);
    else if (points.size() >= model.cells.size())
        FlatReader(model, points.size()).read(points, table.data());
    else
        BlockReader(model, points, table.data()).run();
}

std::vector<double> thicknessAtPoints(const Model& model, std::span<const glm::dvec2> points) {
    std::vector<double> table(points.size() * model.layers.size());
    thicknessAtPoints(model, points, table);
    return table;
}

}  // namespace underfoot
