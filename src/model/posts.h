#pragma once
// The stacks over the overlay's vertices, each solved once for every kind of stand that meets there, and kept
// while lines are added.

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include <glm/vec2.hpp>

#include "ground/surface.h"
#include "model/columns.h"
#include "model/groundwork.h"
#include "model/model.h"
#include "model/overlay.h"
#include "model/stack.h"

namespace underfoot {

/// Posts and vertices are shared out between threads by so many.
inline constexpr size_t manyPosts = 20000;

/// The heights of the surfaces at the overlay's vertices, each looked up once.
class VertexRulers {
  public:
    VertexRulers(const Groundwork& work, const Overlay& overlay);

    /// Rulers of a plot (-1: the ground alone) at a vertex, seen from inside triangle `t` where a surface has
    /// a step. Valid until the next call.
    const RulersOf<double>& at(int plot, int vertex, int t);
    /// On which side of its steps a triangle lies, a bit for every surface that has any.
    uint32_t sideOfSteps(int plot, int t);
    bool groundKnown(int t);
    glm::dvec2 middleOf(int t) const;

    /// Heights already looked up, as `at` gave them; for many threads at once. Only where no surface steps.
    void known(int plot, int vertex, RulersOf<double>& rulers) const;
    bool anySteps() const { return anySteps_; }
    void replace(const Surface* before, const Surface* now);
    /// Looks the heights of a surface up again; `moved` (by vertex) tells where they are others.
    void refresh(const Surface* surface, std::vector<char>& moved);

  private:
    struct Source {
        const Surface* surface = nullptr;
        std::vector<double> heights;  // by vertex, NaN: not asked yet
        std::vector<char> known;
        int hint = -1;
        std::vector<std::optional<Influence>> influences;  // by vertex, once heights were moved
    };
    int sourceOf(const Surface* surface);
    double heightOf(int source, int vertex);
    double heightFrom(int source, int vertex, int t);

    const Groundwork& work_;
    const Overlay& overlay_;
    std::vector<Source> sources_;  // the ground first
    bool anySteps_ = false;
    std::vector<std::vector<int>> sourcesOf_;  // per plot: finish, then as Plot::measured
    RulersOf<double> rulers_;
};

/// Every stack asked for so far.
class PostTable {
  public:
    /// What is decided for a triangle as a whole: all of one stand that agree in it share their stacks.
    struct Seen {
        int stand = -1;
        uint32_t variant = 0;  ///< sides of steps, and whether a slope rises
        int facet = -1;  ///< the side slope that rules, index into its recipe's facets; -1: none lies there
        friend bool operator==(const Seen&, const Seen&) = default;
    };
    /// One stack. Its heights are a run of `count` in heights().
    struct Entry {
        int vertex = -1;
        Seen seen;
        int sameAs = -1;  ///< an entry before it, seen otherwise with the same heights, that stands for it
        int next = -1;    ///< over the same vertex
        int first = -1;
        int count = 0;
        int column = -1;
        Decisions decisions;
        CornerFacts facts;
    };

    PostTable(const Groundwork& work, const Overlay& overlay)
        : work_(work), overlay_(overlay), rulers_(work, overlay) {}

    /// The fill over a vertex as seen from a triangle, its top below the ground where a side slope is: what
    /// the number of lifts is found from.
    FillSpan fillSpan(int t, int vertex);
    /// The plot whose layers or fill stand on a triangle, -1: none.
    int plotOn(int t);

    /// Columns are known now: stacks may be solved. Forgets all stacks solved before.
    void begin(const Columns& columns, const StackSettings& settings);

    /// The stacks at a triangle's corners, as indices into entries().
    std::array<int, 3> postsOf(int t);
    const Entry& entry(int post) const { return entries_[static_cast<size_t>(post)]; }
    size_t size() const { return entries_.size(); }
    const double* heights(const Entry& entry) const { return heights_.data() + entry.first; }
    VertexRulers& rulers() { return rulers_; }
    const VertexRulers& rulers() const { return rulers_; }
    const Recipe& recipe(int stand);

    /// Keeps the given entries alone and numbers them in that order.
    void keep(const std::vector<int>& entries);
    /// Looks heights of surfaces up again that moved; `layers`: what stands where is found anew as well.
    void refresh(const std::vector<const Surface*>& moved, bool layers);
    /// Other columns, with as many entries as before.
    void settle(const Columns& columns, const StackSettings& settings);
    enum class Change : char { None, Moved };
    /// Solves the entries again that stand on moved heights, or all of them, and says by entry what came of
    /// it. Many are shared out between threads.
    /// Gives what the fill of all entries comes to.
    FillFound solveAgain(bool all, std::vector<Change>& changes);

  private:
    static constexpr uint32_t slopeRises = 1;  // the lowest bit of a variant

    Seen seenFrom(int t);
    /// The plot whose layers or fill stand there, -1: none.
    int plotOf(const Entry& entry) const;
    /// The fill at a post whose stack is solved. Its column has fill.
    FillSpan fillSpan(const Entry& entry, StackSolver<PointPlace>& solver) const;
    int rulingOn(int t, const Recipe& recipe) const;
    bool risesOn(int t, const Recipe& recipe, int facet);
    const SlopeFacet* rulingOf(const Seen& seen) const;
    int columnOf(const Seen& seen) const;
    int postAt(int vertex, const Seen& seen, int t);
    void makeRoom();
    int sameBefore(const Entry& entry) const;
    void solve(Entry& entry, const RulersOf<double>& rulers, StackSolver<PointPlace>& solver,
               std::vector<double>& run) const;
    void addFill(const Entry& entry, StackSolver<PointPlace>& solver, FillFound& found) const;
    Change solveAgain(Entry& entry, RulersOf<double>& rulers, StackSolver<PointPlace>& solver,
                      std::vector<double>& run);

    const Groundwork& work_;
    const Overlay& overlay_;
    VertexRulers rulers_;
    std::vector<Recipe> recipes_;  // by stand
    Columns columns_;
    StackSettings settings_;
    std::vector<int> firstAt_;  // by vertex, -1: none
    std::vector<Entry> entries_;
    std::vector<char> movedAt_;  // by vertex
    std::vector<double> heights_;
    StackSolver<PointPlace> solver_;
    std::vector<double> run_;
};

}  // namespace underfoot
