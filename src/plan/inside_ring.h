#pragma once
// Whether one closed line of corners lies within another.

#include <optional>
#include <vector>

#include <glm/vec2.hpp>

namespace underfoot {

/// A closed line whose inside is asked for many times. Its sides are kept in level bands, so that a question
/// looks at few of them. The corners need not turn either way; the line must not cross itself.
class InsideRing {
  public:
    explicit InsideRing(std::vector<glm::dvec2> corners);

    bool contains(glm::dvec2 point) const;
    /// A place where the closed line `inner` runs outside, or nothing when all of it lies inside or within
    /// `allowed` of the line. Looked at are the corners of `inner` and the middles of the pieces between its
    /// corners and crossings: no piece that leaves is missed.
    std::optional<glm::dvec2> leaves(const std::vector<glm::dvec2>& inner, double allowed) const;

  private:
    struct Side {
        glm::dvec2 a, b;
    };
    size_t bandOf(double y) const;
    template <class Visit>
    void forSidesBetween(double low, double high, Visit visit) const;
    /// Distance from the line, or `most` where it is farther.
    double distance(glm::dvec2 point, double most) const;
    std::vector<double> crossings(glm::dvec2 from, glm::dvec2 to) const;

    std::vector<Side> sides_;
    std::vector<std::vector<size_t>> bands_;
    double low_ = 0;
    double high_ = 0;
    double perBand_ = 1;
};

}  // namespace underfoot
