#pragma once
// A frame painted and lit by compute stages: the fragment stage only notes what is seen, in 8 bytes a pixel.
// Some cards have few units that can do the work of fragments, and all can compute. For this folder's .cpp
// files only.

#include <array>
#include <map>
#include <vector>

#include <glm/vec4.hpp>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "view/frame.h"
#include "view/gl.h"
#include "view/scene_buffers.h"

namespace underfoot {

class ComputePath {
  public:
    /// OpenGL 4.3 or later.
    static bool offered();
    static Result<ComputePath> make();

    /// All but the shadows, which `shadowMap` has already. One sample a pixel, no thickness look.
    void draw(const Frame& frame, const SceneBuffers& buffers, GLuint shadowMap, int x, int y,
              unsigned frameBuffer, PassTimer& timer);

  private:
    /// As shade.comp's Mesh.
    struct Paints {
        glm::vec4 baseRise;
        glm::ivec4 coat;
        glm::vec4 fadeTinted;
    };
    void drawThin(const Frame& frame, const SceneBuffers& buffers);
    void drawBatch(const Frame& frame, const SceneBuffers& buffers, const Batch& batch);
    int addPaint(const Frame& frame, const SceneBuffers& buffers, const Batch& batch);
    void layUnits(const Frame& frame, const SceneBuffers& buffers);
    void setThin(Program& program, const Frame& frame) const;
    void contact(const Frame& frame);
    void shade(const Frame& frame, const SceneBuffers& buffers, GLuint shadowMap, int x, int y,
               unsigned frameBuffer);

    std::array<std::array<Program, 2>, 2> thin_;  ///< by sod, by region
    std::array<std::array<bool, 2>, 2> readied_{};
    Program contact_, evenOut_, layUnits_;
    std::array<Program, 2> shade_;   ///< of one tap of the shadow and of nine
    std::vector<Paints> paints_;     ///< by mesh; the first is the paper's
    std::map<LayerId, int> joints_;  ///< which mesh they are
    StorageBuffer paintBuffer_;
    Target scene_, contactMap_, evenedMap_, canvas_;
};

}  // namespace underfoot
