#pragma once
// Plan polygons cut by a leg of a section's line, and a grid of buckets to find units near a line. Internal
// to study.

#include <span>
#include <utility>
#include <vector>

#include "model/model.h"
#include "study/walk.h"

namespace underfoot {

/// The lengths of a leg inside a polygon, in order, clipped to the leg. By the rule of the walk: a side along
/// the line counts as inside when the polygon lies to its left.
void spansInside(std::span<const glm::dvec2> corners, const Leg& leg,
                 std::vector<std::pair<double, double>>& spans);

/// Units sorted into square buckets by the middle of their boxes.
class UnitBuckets {
  public:
    explicit UnitBuckets(const Model& model);
    /// Every unit that a leg may touch, each once, in no useful order.
    void around(const Leg& leg, std::vector<int>& units) const;

  private:
    struct Entry {
        glm::dvec2 middle{0, 0};
        double reach = 0;  // half the diagonal of its box
        int unit = -1;
    };
    void nearInRange(const Leg& leg, int column, double low, double high, std::vector<int>& units) const;
    int columnAt(double x) const;
    int rowAt(double y) const;

    glm::dvec2 low_{0, 0};
    double step_ = 1;
    double greatestReach_ = 0;
    int columns_ = 0, rows_ = 0;
    std::vector<int> first_;  // of each bucket in entries_, one more at the end
    std::vector<Entry> entries_;
};

}  // namespace underfoot
