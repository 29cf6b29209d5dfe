#pragma once
// Plan polygons cut by a leg of a section's line, and a grid of buckets to find units near a line. Internal
// to study.

#include <span>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "study/walk.h"

namespace underfoot {

/// The lengths of a leg inside a polygon, in order, clipped to the leg. By the rule of the walk: a side along
/// the line counts as inside when the polygon lies to its left.
void spansInside(std::span<const glm::dvec2> corners, const Leg& leg,
                 std::vector<std::pair<double, double>>& spans);

/// Units sorted into square buckets by the middle of their boxes, their corners copied in that order.
class UnitBuckets {
  public:
    struct Candidate {
        int unit = -1;
        std::span<const glm::dvec2> corners;
    };

    explicit UnitBuckets(const Model& model);
    /// Every unit that a leg may touch, each once, in no useful order.
    void around(const Leg& leg, std::vector<Candidate>& found) const;

  private:
    struct Entry {
        glm::dvec2 middle{0, 0};
        glm::dvec2 half{0, 0};  // of its box
        int unit = -1;
        int firstCorner = 0;  // in corners_
        int corners = 0;
    };
    void sortIntoBuckets(const std::vector<Entry>& entries);
    void copyCorners(const Model& model);
    void inColumn(const Leg& leg, int column, double low, double high, std::vector<Candidate>& found) const;
    int columnAt(double x) const;
    int rowAt(double y) const;

    glm::dvec2 low_{0, 0};
    double step_ = 1;
    double reach_ = 0;  // greatest half side of a box
    int columns_ = 0, rows_ = 0;
    std::vector<int> first_;  // of each bucket in entries_, one more at the end
    std::vector<Entry> entries_;
    std::vector<glm::dvec2> corners_;
};

}  // namespace underfoot
