#pragma once
// Meshes that follow heights moved on cells that stay, without being made anew. No OpenGL.

#include <array>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>
#include <glm/vec4.hpp>

#include "model/model.h"
#include "model/solid.h"
#include "study/section.h"
#include "view/mesh.h"

namespace underfoot {

/// By post: not 0 where it has moved.
struct MovedPosts {
    MovedPosts(const Model& model, std::span<const int> moved);
    explicit MovedPosts(const Model& model) : flags(model.posts.size(), 1) {}  ///< all
    bool has(uint32_t post) const { return flags[post] != 0; }
    std::vector<uint8_t> flags;
};

/// The triangles of a layer's solid that make up one mesh, each corner with the height it hangs on.
class MovingMesh {
  public:
    /// `from`: the solid's triangle behind each of the mesh's, in order. `lowered`: how far the mesh lies
    /// below the solid, metres.
    MovingMesh(const Model& model, const Solid& solid, Vertices vertices, const std::vector<uint32_t>& from,
               double lowered);

    /// What following came to: runs of vertices that are others, first and past the last, and how low and
    /// high they reach.
    struct Change {
        std::vector<std::pair<size_t, size_t>> runs;
        double lowest = 0, highest = 0;
    };
    /// Sets what stands on moved posts, of the vertices from `first` to before `last` (whole triangles).
    /// Other threads may do so with others at the same time.
    Change follow(const Model& model, const MovedPosts& moved, size_t first, size_t last);
    Change follow(const Model& model, const MovedPosts& moved) {
        return follow(model, moved, 0, vertices_.size());
    }
    const Vertices& vertices() const { return vertices_; }

  private:
    struct Hold {
        uint32_t height = 0;  ///< into Model::heights
        uint32_t post = 0;    ///< whose height it is
        uint32_t own = 0;     ///< the post of the triangle's own cell: its first height is the surface
        uint32_t down = 0;    ///< entries of the layer below a top; else 0
    };
    Hold holdOf(const Model& model, const Solid& solid, size_t triangle, size_t corner) const;
    void setTriangle(const Model& model, size_t first, Change& change);

    Vertices vertices_;
    std::vector<Hold> holds_;
    std::vector<std::pair<int, int>> entries_;  ///< of the layer, by column: first and past the last
    double lowered_ = 0;
};

/// Lets many meshes follow, shared out between threads. By mesh, the changes of its parts in order.
std::vector<std::vector<MovingMesh::Change>> followAll(std::span<MovingMesh* const> meshes,
                                                       const Model& model, const MovedPosts& moved);

/// Units, edging and spikes on moved heights: each moves by the plane that the cell under it moved by, units
/// with the top of their layer, edging with the designed finish. Exact for a unit within one cell.
/// A rider is a unit by its index, then edging, then spikes.
class Riders {
  public:
    /// Notes the heights that the riders of `model` stand on.
    explicit Riders(const Model& model);
    Riders() = default;

    static int ofEdging(const Model& model, size_t piece);
    static int ofSpike(const Model& model, size_t spike);

    /// Finds for each rider which of planes() it moves by, or -1.
    const std::vector<int>& seat(const Model& model);
    /// Works out how far each cell has moved since. `model` has the same cells as the first.
    void follow(const Model& model);
    /// Rise at the local origin in z, its gradient in x and y.
    const std::vector<glm::vec4>& planes() const { return planes_; }
    /// Moves the units and edging of a section that was cut through moved stacks.
    void move(const Model& model, Section& section) const;

  private:
    struct Stand {
        int cell = -1;
        int entry = 0;  ///< the units' own; where there are none, the uppermost
        std::array<double, 3> top{}, finish{};
    };
    int standNear(const Model& model, glm::dvec2 place, int area, int& hint) const;
    double rise(int rider, glm::dvec2 place) const;

    std::vector<Stand> stands_;
    std::vector<int> standOf_;  ///< by cell, -1: none
    std::vector<int> planeOf_;
    std::vector<glm::vec4> planes_;
};

}  // namespace underfoot
