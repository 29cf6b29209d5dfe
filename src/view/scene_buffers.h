#pragma once
// The meshes of a model on the card, each with how it is painted and clipped. For this folder's .cpp files
// only.

#include <map>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "study/section.h"
#include "view/camera.h"
#include "view/gl.h"
#include "view/mesh.h"
#include "view/moving.h"
#include "view/paint.h"
#include "view/scene_view.h"
#include "view/shown.h"

namespace underfoot {

struct Batch : Drawn {
    Mesh mesh;
};

class SceneBuffers {
  public:
    void setModel(std::shared_ptr<const Model> model, const Catalogue& catalogue);
    /// As Renderer::moveHeights.
    void moveHeights(const Model& model, std::span<const int> moved);
    /// Whether a mesh moves by the planes of its riders (shaders/ride.glsl).
    bool rides(const Batch& batch) const {
        return moving_ && !batch.cap && (batch.part == Part::Units || batch.part == Part::Edging);
    }
    void bindRiders(int planeOfRiderUnit, int ridePlanesUnit) const;
    /// Units of one layer that are looked up instead of drawn (shaders/lay_units.comp).
    struct Field {
        Paint paint;
        glm::dvec2 low{0, 0};
        double square = 1;
        glm::ivec2 squares{0, 0};
        StorageBuffer starts, entries, corners;
    };
    /// Makes the faces of cut and steps, when they differ from those of the last call, and the units as near
    /// as the camera sees them in a frame of that many pixels. `lookUp`: those far away are to be looked up
    /// and have no meshes.
    void prepare(const Look& look, const Shown& shown, const Camera& camera, int width, int height,
                 bool lookUp);

    const Model* model() const { return model_; }
    const Catalogue& catalogue() const { return catalogue_; }
    /// Calls `each(batch)` for all that the look shows, what hides most of the rest first.
    template <class Each>
    void eachShown(const Look& look, const Shown& shown, Each each) const {
        for (const TileBatches& tile : tiles_) {
            const Batch& batch = tile.isFar ? tile.far : tile.near;
            if (!(tile.isFar && lookUp_) && tile.inSight && !batch.mesh.empty() &&
                isShown(batch, look, shown))
                each(batch);
        }
        eachBatch(look, shown, [&](const Batch& batch) {
            if (batch.part != Part::Rim || showsRim(batch.layer)) each(batch);
        });
    }
    /// Calls `each(layer, field)` for the shown layers with units to be looked up.
    template <class Each>
    void eachField(const Shown& shown, Each each) const {
        for (const auto& [layer, field] : fields_)
            if (lookUp_ && shown.visible[static_cast<size_t>(layer)] && showsRim(layer)) each(layer, field);
    }
    /// The same for what throws shadows: laid units throw them as one solid, their layer's.
    template <class Each>
    void eachShading(const Look& look, const Shown& shown, Each each) const {
        eachBatch(look, shown, [&](const Batch& batch) {
            if (batch.part != Part::Units) each(batch);
        });
    }
    bool isMarkedUnit(const Batch& batch) const { return !marked_.empty() && &batch == marked_.data(); }
    /// The box of all that is shown; everything's when nothing is.
    Bounds bounds(const Look& look, const Shown& shown) const;

  private:
    /// Units that lie together: each with chamfer and sides, or the tops alone where they are far away.
    struct TileBatches {
        UnitTile tile;
        Batch near, far;
        bool isFar = false;
        bool inSight = true;
    };
    struct MovingBatch {
        size_t batch = 0;  ///< into solids_
        MovingMesh mesh;
    };
    void startMoving();
    void send(const MovingMesh& mesh, const MovingMesh::Change& change, Mesh& into, LayerId layer);
    void followMeasured(const MovedPosts& moved);
    Section sectionAlong(const std::vector<glm::dvec2>& line);
    template <class Each>
    void eachBatch(const Look& look, const Shown& shown, Each each) const {
        for (const std::vector<Batch>* group : {&cutFaces_, &stepFaces_, &measured_, &solids_, &marked_})
            for (const Batch& batch : *group)
                if (!batch.mesh.empty() && isShown(batch, look, shown)) each(batch);
    }
    /// Keeps the mesh's buffers for one of the same size: heights that move leave the number of triangles as
    /// it is.
    void discard(Mesh& mesh);
    void discard(std::vector<Batch>& batches);
    template <class Triangles>
    void fill(Mesh& mesh, const Triangles& triangles);
    bool showsRim(LayerId layer) const;
    void addTiles(LayerId layer);
    void makeTiles(const Shown& shown, const Camera& camera, int width, int height);
    void makeField(LayerId layer);
    bool isShown(const Batch& batch, const Look& look, const Shown& shown) const;
    void add(std::vector<Batch>& to, const Vertices& vertices, const Paint& paint, Part part, LayerId layer);
    void addCaps(std::vector<Batch>& to, const CapMeshes& caps, bool steps);
    void makeCutFaces(const Shown& shown);
    void makeStepFaces(const Shown& shown);
    void makeMeasured(const Look& look);
    void makeMarked(const Look& look);
    Paint layerPaint(LayerId layer) const { return underfoot::layerPaint(*model_, catalogue_, layer); }
    Paint jointPaint(LayerId layer) const { return underfoot::jointPaint(*model_, catalogue_, layer); }
    Paint fixedPaint(FixedKind kind) const { return underfoot::fixedPaint(catalogue_, kind); }
    Paint edgingPaint() const { return underfoot::edgingPaint(*model_, catalogue_); }

    std::shared_ptr<const Model> made_;  ///< what the meshes were made from
    const Model* model_ = nullptr;       ///< the same, or one with the heights of now
    Laid laid_;
    std::optional<Cutter> cutter_;  ///< of model_
    Riders riders_;
    TextureBuffer planeOfRider_, ridePlanes_;
    bool moving_ = false;  ///< since setModel
    std::vector<MovingBatch> movingMeshes_;
    std::optional<MovingMesh> movingMeasured_;
    Catalogue catalogue_;
    std::vector<Batch> solids_, cutFaces_, stepFaces_, measured_, marked_;
    std::vector<TileBatches> tiles_;
    bool lookUp_ = false;
    std::map<LayerId, Field> fields_;
    std::multimap<size_t, Mesh> spare_;  ///< by bytes; from setModel to the next drawing
    std::vector<Bounds> boxes_;          ///< by LayerId, not lifted
    Bounds things_;
    std::vector<glm::dvec2> cutLine_;
    std::vector<double> peelLimit_;
    LayerId measuredLayer_ = -1;
    int markedUnit_ = -1;
};

}  // namespace underfoot
