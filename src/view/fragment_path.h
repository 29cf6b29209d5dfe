#pragma once
// A frame drawn by vertex and fragment stages alone: what OpenGL 3.3 has, and the only way to several samples
// a pixel and to a layer coloured by its thickness. For this folder's .cpp files only.

#include <array>
#include <map>
#include <set>
#include <vector>

#include "measure/diagnostic.h"
#include "view/frame.h"
#include "view/gl.h"
#include "view/scene_buffers.h"

namespace underfoot {

class FragmentPath {
  public:
    static Result<FragmentPath> make();

    /// All but the shadows, which `shadowMap` has already.
    void draw(const Frame& frame, const SceneBuffers& buffers, GLuint shadowMap, int x, int y,
              unsigned frameBuffer, PassTimer& timer);

  private:
    /// Grain, hatch, face of a cut, coloured by thickness, cut by a region, taps of the shadow.
    using Kind = std::array<int, 6>;
    static Result<Program> layerProgram(const Kind& kind);
    Program& programFor(const Frame& frame, const SceneBuffers& buffers, const Batch& batch, int grain);
    void drawPaper(const Frame& frame, const SceneBuffers& buffers);
    void drawScene(const Frame& frame, const SceneBuffers& buffers, GLuint shadowMap);
    Program& screenProgram(std::array<Program, 2>& programs, const std::vector<const char*>& files,
                           const Frame& frame);
    void drawContact(const Frame& frame);
    void compose(const Frame& frame, int x, int y, unsigned frameBuffer);

    std::map<Kind, Program> layer_;
    std::set<Kind> readied_;  ///< whose values for the frame are set
    Program evenOut_;
    std::array<Program, 2> contact_, compose_;  ///< for 1 and 4 samples of a pixel
    Mesh paper_;
    Target scene_, contactMap_, evenedMap_;
    VertexArray noVertices_;
};

}  // namespace underfoot
