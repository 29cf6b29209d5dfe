#pragma once
// A polygon as upright slabs between its corners' x: for filling it, and for asking quickly what lies inside.

#include <span>
#include <vector>

#include <glm/vec2.hpp>

namespace underfoot {

/// Inside by the even-odd rule. Sides that stand upright bound slabs and belong to none.
class Slabs {
  public:
    explicit Slabs(std::span<const glm::dvec2> corners);

    /// A quadrilateral with upright left and right sides; lower and upper count along y.
    struct Piece {
        double left = 0, right = 0;
        double lowLeft = 0, lowRight = 0;
        double highLeft = 0, highRight = 0;
    };
    const std::vector<Piece>& pieces() const { return pieces_; }
    bool holds(glm::dvec2 p) const;
    glm::dvec2 low() const { return low_; }
    glm::dvec2 high() const { return high_; }

  private:
    std::vector<Piece> pieces_;    // by left side
    std::vector<size_t> firstOf_;  // first piece of each slab, and one past the last
    std::vector<double> xs_;       // the slabs' sides
    glm::dvec2 low_{0, 0}, high_{0, 0};
};

}  // namespace underfoot
