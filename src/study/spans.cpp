#include "study/spans.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "ground/tolerance.h"

namespace underfoot {

void spansInside(std::span<const glm::dvec2> corners, const Leg& leg,
                 std::vector<std::pair<double, double>>& spans) {
    spans.clear();
    if (corners.size() < 3) return;
    Leg::Standing before = leg.standing(corners.back());
    for (size_t i = 0; i < corners.size(); ++i) {
        const Leg::Standing here = leg.standing(corners[i]);
        if (here.left() != before.left()) {
            double ratio = 0;
            const glm::dvec2 last = corners[i == 0 ? corners.size() - 1 : i - 1];
            spans.emplace_back(leg.crossingAt(last, before, corners[i], here, ratio), 0.0);
        }
        before = here;
    }
    // A closed ring changes sides an even number of times: crossings in order are ways in and out by turns.
    std::sort(spans.begin(), spans.end());
    size_t kept = 0;
    for (size_t i = 0; i + 1 < spans.size(); i += 2) {
        const double from = std::clamp(spans[i].first, 0.0, leg.length);
        const double to = std::clamp(spans[i + 1].first, 0.0, leg.length);
        if (to > from) spans[kept++] = {from, to};
    }
    spans.resize(kept);
}

// ---------------------------------------------------------------- buckets

namespace {

struct Box {
    glm::dvec2 low{0, 0}, high{0, 0};
};

Box boxOf(const Model& model, const UnitPiece& unit) {
    const glm::dvec2* corner = model.unitCorners.data() + unit.firstCorner;
    Box box{corner[0], corner[0]};
    for (int i = 1; i < unit.corners; ++i) {
        box.low = {std::min(box.low.x, corner[i].x), std::min(box.low.y, corner[i].y)};
        box.high = {std::max(box.high.x, corner[i].x), std::max(box.high.y, corner[i].y)};
    }
    return box;
}

}  // namespace

UnitBuckets::UnitBuckets(const Model& model) {
    if (model.units.empty()) return;
    std::vector<Entry> entries;
    entries.reserve(model.units.size());
    constexpr double none = std::numeric_limits<double>::infinity();
    Box all{{none, none}, {-none, -none}};
    for (size_t u = 0; u < model.units.size(); ++u) {
        const Box box = boxOf(model, model.units[u]);
        const glm::dvec2 middle = 0.5 * (box.low + box.high), half = 0.5 * (box.high - box.low);
        entries.push_back(
            {middle, half, static_cast<int>(u), model.units[u].firstCorner, model.units[u].corners});
        reach_ = std::max({reach_, half.x, half.y});
        all.low = {std::min(all.low.x, middle.x), std::min(all.low.y, middle.y)};
        all.high = {std::max(all.high.x, middle.x), std::max(all.high.y, middle.y)};
    }
    low_ = all.low;
    const double width = all.high.x - all.low.x, height = all.high.y - all.low.y;
    // About two units a bucket, and never more buckets than twice the units however long and thin the field
    // is.
    const double count = static_cast<double>(entries.size());
    step_ = std::max({std::sqrt(2.0 * width * height / count), std::max(width, height) / count, 1e-3});
    columns_ = static_cast<int>(width / step_) + 1;
    rows_ = static_cast<int>(height / step_) + 1;
    sortIntoBuckets(entries);
    copyCorners(model);
}

void UnitBuckets::sortIntoBuckets(const std::vector<Entry>& entries) {
    const auto bucketOf = [this](const Entry& e) {
        return static_cast<size_t>(columnAt(e.middle.x)) * static_cast<size_t>(rows_) +
               static_cast<size_t>(rowAt(e.middle.y));
    };
    first_.assign(static_cast<size_t>(columns_) * static_cast<size_t>(rows_) + 1, 0);
    for (const Entry& e : entries) ++first_[bucketOf(e) + 1];
    for (size_t b = 1; b < first_.size(); ++b) first_[b] += first_[b - 1];
    entries_.resize(entries.size());
    std::vector<int> fill(first_.begin(), first_.end() - 1);
    for (const Entry& e : entries) entries_[static_cast<size_t>(fill[bucketOf(e)]++)] = e;
}

void UnitBuckets::copyCorners(const Model& model) {
    corners_.reserve(model.unitCorners.size());
    for (Entry& e : entries_) {
        const auto from = model.unitCorners.begin() + e.firstCorner;
        e.firstCorner = static_cast<int>(corners_.size());
        corners_.insert(corners_.end(), from, from + e.corners);
    }
}

int UnitBuckets::columnAt(double x) const {
    return static_cast<int>(std::clamp((x - low_.x) / step_, 0.0, static_cast<double>(columns_ - 1)));
}
int UnitBuckets::rowAt(double y) const {
    return static_cast<int>(std::clamp((y - low_.y) / step_, 0.0, static_cast<double>(rows_ - 1)));
}

void UnitBuckets::inColumn(const Leg& leg, int column, double low, double high,
                           std::vector<Candidate>& found) const {
    const size_t base = static_cast<size_t>(column) * static_cast<size_t>(rows_);
    const int first = first_[base + static_cast<size_t>(rowAt(low))];
    const int last = first_[base + static_cast<size_t>(rowAt(high)) + 1];
    const glm::dvec2 across{std::abs(leg.direction.y), std::abs(leg.direction.x)};
    for (int i = first; i < last; ++i) {
        const Entry& e = entries_[static_cast<size_t>(i)];
        const glm::dvec2 to = e.middle - leg.from;
        const double off = leg.direction.x * to.y - leg.direction.y * to.x;
        if (std::abs(off) > across.x * e.half.x + across.y * e.half.y + tolerance::samePlanPoint) continue;
        found.push_back({e.unit, {corners_.data() + e.firstCorner, static_cast<size_t>(e.corners)}});
    }
}

void UnitBuckets::around(const Leg& leg, std::vector<Candidate>& found) const {
    found.clear();
    if (entries_.empty()) return;
    const double reach = reach_ + tolerance::samePlanPoint;
    const glm::dvec2 a = leg.from.x <= leg.to.x ? leg.from : leg.to,
                     b = leg.from.x <= leg.to.x ? leg.to : leg.from;
    const double right = low_.x + step_ * columns_, top = low_.y + step_ * rows_;
    if (b.x + reach < low_.x || a.x - reach > right) return;
    if (std::max(a.y, b.y) + reach < low_.y || std::min(a.y, b.y) - reach > top) return;
    const double rise = b.x > a.x ? (b.y - a.y) / (b.x - a.x) : 0.0;
    const int lastColumn = columnAt(b.x + reach);
    for (int column = columnAt(a.x - reach); column <= lastColumn; ++column) {
        // The part of the leg within reach of this column of buckets, then its heights grown by the reach.
        const double from = std::clamp(low_.x + step_ * column - reach, a.x, b.x);
        const double to = std::clamp(low_.x + step_ * (column + 1) + reach, a.x, b.x);
        const double y0 = from <= a.x ? a.y : a.y + rise * (from - a.x),
                     y1 = to >= b.x ? b.y : a.y + rise * (to - a.x);
        inColumn(leg, column, std::min(y0, y1) - reach, std::max(y0, y1) + reach, found);
    }
}

}  // namespace underfoot
