#pragma once
// Triangles to samples, by the processor. Rows count up from the lowest. For this folder's .cpp files only.

#include <array>
#include <cstdint>
#include <cstdlib>
#include <memory>

#include <glm/vec2.hpp>

#include "view/drawn_meshes.h"
#include "view/frame.h"

namespace underfoot {

/// As calloc, never null; asks for large pages, which are sooner there.
void* zeroedMemory(size_t bytes);

/// Numbers that start at 0. Pages that are never written take no memory.
template <class T>
class Plane {
  public:
    Plane() = default;
    explicit Plane(size_t count) : data_(static_cast<T*>(zeroedMemory(count * sizeof(T)))) {}
    T* get() { return data_.get(); }
    const T* get() const { return data_.get(); }
    T& operator[](size_t i) { return data_.get()[i]; }
    const T& operator[](size_t i) const { return data_.get()[i]; }

  private:
    struct Free {
        void operator()(T* data) const { std::free(data); }
    };
    std::unique_ptr<T[], Free> data_;
};

/// What is seen at each of four samples of every pixel. Samples lie in planes of their own, of `stride` a
/// row.
struct Samples {
    Samples(int wide, int high);
    int width, height;
    size_t stride, rows;
    std::array<Plane<float>, 4> nearness;     ///< one over the metres before the eye; 0 where nothing is
    std::array<Plane<uint32_t>, 4> triangle;  ///< its number among all that are drawn, from 1
    std::array<Plane<uint16_t>, 4> mark;      ///< object, then bits as in ink.glsl
    size_t at(int x, int y) const { return static_cast<size_t>(y) * stride + static_cast<size_t>(x); }
};
/// Where in a pixel its samples lie.
inline constexpr glm::vec2 sampleAt[4] = {
    {0.375F, 0.125F}, {0.875F, 0.375F}, {0.125F, 0.625F}, {0.625F, 0.875F}};

/// Nearness to the sun of what it shines on; 0 where nothing is.
struct ShadowPlane {
    explicit ShadowPlane(int side);
    int side;
    size_t stride;
    Plane<float> nearness;
};

/// Draws a mesh whose first triangle has number `first`.
void drawSeen(Samples& into, const DrawnMesh& mesh, uint32_t first, const Frame& frame);
void drawShade(ShadowPlane& into, const DrawnMesh& mesh, const Frame& frame);

}  // namespace underfoot
