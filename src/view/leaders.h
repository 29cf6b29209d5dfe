#pragma once
// Leaders of labels that go outward from the model by the shortest way over it. Places in pixels, y down, the
// labels' column at the right (for one at the left: mirrored by the caller). For this folder's .cpp files
// only.

#include <vector>

#include <glm/vec2.hpp>

namespace underfoot {

inline constexpr double obliqueRun = 0.57735;  ///< across for one up: leaders rise at 60 degrees
inline constexpr double leadersApart = 6;      ///< pixels

/// Where in the frame the model stands, on a coarse grid.
class CoveredGrid {
  public:
    CoveredGrid(int across, int down, double width, double height);
    void cover(int i, int j);
    /// Pixels of the straight line that run over the model, about.
    double over(glm::dvec2 from, glm::dvec2 to) const;
    /// Right of this nothing stands, in the row at `y` and the ones beside it.
    double freeFrom(double y) const;

  private:
    size_t index(int i, int j) const { return static_cast<size_t>(j * across_ + i); }
    int across_, down_;
    double wide_, high_;  ///< of a cell
    std::vector<bool> covered_;
    std::vector<double> freeFrom_;  ///< of each row
};

struct LeaderFrame {
    double columnX = 0;
    double top = 0, bottom = 0;  ///< that labels keep to
    double lineHeight = 1;
};
/// A place that can be pointed at; the greater the score, the better.
struct PointedAt {
    glm::dvec2 dot{0, 0};
    double score = 0;
};
struct Leader {
    size_t thing = 0;  ///< index into `things`
    glm::dvec2 dot{0, 0}, bend{0, 0}, end{0, 0};
};

/// One leader at most for each thing, given from the top down: first at an angle up or down till nothing
/// stands beside it, then level; or level. As little of them runs over the model as that can be, and as few
/// labels as can be stand in another order than `things`: they are chosen in turn, and anew until none gets
/// shorter, from three beginnings of which the best is taken. No two cross.
std::vector<Leader> outwardLeaders(const std::vector<std::vector<PointedAt>>& things,
                                   const CoveredGrid& covered, const LeaderFrame& frame);

}  // namespace underfoot
