#pragma once
// What all passes of one frame share, and what they tell their programs of it. For this folder's .cpp files
// only.

#include <vector>

#include <glm/mat4x4.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "view/camera.h"
#include "view/gl.h"
#include "view/paint.h"
#include "view/scene_buffers.h"
#include "view/scene_view.h"
#include "view/shown.h"

namespace underfoot {

struct Settings {
    int samples = 1;
    int shadowSize = 2048;
    int shadowTaps = 9;
    bool contact = true;
};

/// What all passes of one frame share.
struct Frame {
    const Camera& camera;
    const Look& look;
    const Shown& shown;
    Settings settings;
    Bounds box;
    int width = 0, height = 0;
    double nearest = 0.1, farthest = 100;
    glm::dmat4 toClip{1};
    glm::dmat4 toShadow{1};
    glm::dvec3 toSun{0, 0, 1};
    int regionCorners = 0;  ///< of a bent cut; 0: nothing is taken away by a region
};

Frame frameOf(const Camera& camera, const Look& look, const Shown& shown, const Bounds& box, int width,
              int height);

/// Units of textures that stay bound through a frame.
inline constexpr int shadowUnit = 0, regionUnit = 1, planeOfRiderUnit = 4, ridePlanesUnit = 5;
inline constexpr double contactReach = 0.14;  ///< metres that contact darkening looks round a place

/// A straight cut is clipped exactly by a plane; a bent one by its region.
bool isStraight(const Shown& shown);
/// The square of paper that the model lies on: its height and half its side.
double paperHeight(const Bounds& box);
double paperHalf(const Bounds& box);
/// What takes part of a mesh away.
struct Clipping {
    glm::dvec3 straight{0, 0, 1e30};  ///< kept where dot(p, xy) <= z
    glm::dvec3 peel{0, 0, 1e30};
    const std::vector<glm::dvec2>* region = nullptr;  ///< a polygon taken away
};
Clipping clippingOf(const Frame& frame, const Drawn& mesh);
/// For programs with clip.glsl, ride.glsl and region.glsl: the same.
void setClip(Program& program, const Frame& frame, const SceneBuffers& buffers, const Batch& batch);
void setClipUnits(Program& program);
/// For programs with surface.glsl.
void setSurface(Program& program, const Frame& frame, const SceneBuffers& buffers);
/// For programs with view_space.glsl.
void setViewSpace(Program& program, const Frame& frame);
/// How far a mesh goes toward the paper, and toward the colour of attention.
double fadeOf(const Batch& batch, const Look& look);
double tintOf(const Batch& batch, const SceneBuffers& buffers);
/// Of closed solids the sides away from the eye are left out: where they are cut open, faces close them.
void setSides(const Batch& batch);
/// The same, and of meshes in one plane which lies before the others.
void setFaces(const Batch& batch);
void resetFaces();

/// When each pass ends, by the card's clock.
class PassTimer {
  public:
    PassTimer() = default;
    ~PassTimer() { time(false); }
    PassTimer(const PassTimer&) = delete;
    PassTimer& operator=(const PassTimer&) = delete;

    void time(bool timed) {
        if (!queries_.empty()) glDeleteQueries(static_cast<GLsizei>(queries_.size()), queries_.data());
        queries_.clear();
        names_.clear();
        timed_ = timed;
    }
    void start() {
        names_.clear();
        ended("start");
    }
    void ended(const char* pass) {
        if (!timed_) return;
        if (queries_.size() == names_.size()) glGenQueries(1, &queries_.emplace_back());
        glQueryCounter(queries_[names_.size()], GL_TIMESTAMP);
        names_.push_back(pass);
    }
    std::vector<PassTime> times() const {
        std::vector<PassTime> out;
        GLuint64 before = 0;
        for (size_t i = 0; i < names_.size(); ++i) {
            GLuint64 now = 0;
            glGetQueryObjectui64v(queries_[i], GL_QUERY_RESULT, &now);
            if (i > 0) out.push_back({names_[i], static_cast<double>(now - before) * 1e-6});
            before = now;
        }
        return out;
    }

  private:
    bool timed_ = false;
    std::vector<GLuint> queries_;
    std::vector<const char*> names_;
};

}  // namespace underfoot
