// The exported file read by tinygltf, a reader nobody here wrote: it opens without error or warning, and what
// it finds is what the model holds.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#define TINYGLTF_NO_STB_IMAGE
#define TINYGLTF_NO_STB_IMAGE_WRITE
#define TINYGLTF_NO_EXTERNAL_IMAGE
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wconversion"
#pragma GCC diagnostic ignored "-Wsign-conversion"
#pragma GCC diagnostic ignored "-Wshadow"
#include <tiny_gltf.h>
#pragma GCC diagnostic pop

#include "model/solid.h"
#include "plan/read_plan.h"
#include "share/gltf.h"

namespace underfoot {
namespace {

// Pictures stay bytes: that they are there and say what they are is enough here.
bool keepBytes(tinygltf::Image* image, const int, std::string*, std::string*, int, int,
               const unsigned char* bytes, int size, void*) {
    image->image.assign(bytes, bytes + size);
    return size > 0;
}

tinygltf::Model readBack(const std::string& bytes) {
    tinygltf::TinyGLTF reader;
    reader.SetImageLoader(keepBytes, nullptr);
    tinygltf::Model file;
    std::string errors, warnings;
    EXPECT_TRUE(reader.LoadBinaryFromMemory(&file, &errors, &warnings,
                                            reinterpret_cast<const unsigned char*>(bytes.data()),
                                            static_cast<unsigned>(bytes.size())));
    EXPECT_EQ(errors, "");
    EXPECT_EQ(warnings, "");
    return file;
}

class ReadBack : public ::testing::TestWithParam<const char*> {};

TEST_P(ReadBack, EveryLayerIsThereInMetresWithYUp) {
    const auto plan = readPlan(std::string(UNDERFOOT_SOURCE_DIR) + "/scenes/" + GetParam());
    ASSERT_TRUE(plan);
    const auto model = buildModel(*plan);
    ASSERT_TRUE(model);
    const auto bytes = gltfBytes(*model, loadCatalogue(model->plan));
    ASSERT_TRUE(bytes);
    const tinygltf::Model file = readBack(*bytes);
    for (size_t i = 0; i < model->layers.size(); ++i) {
        const LayerId layer = static_cast<LayerId>(i);
        if (layer == model->nativeSoil || model->layers[i].role == Role::Units) continue;
        const Solid solid = layerSolid(*model, layer);
        if (solid.triangles.empty()) continue;
        double low = 1e300, high = -1e300;
        for (const auto& t : solid.triangles)
            for (int p : t) {
                low = std::min(low, model->points[static_cast<size_t>(p)].z);
                high = std::max(high, model->points[static_cast<size_t>(p)].z);
            }
        const auto node = std::find_if(file.nodes.begin(), file.nodes.end(), [&](const tinygltf::Node& n) {
            return n.name == model->layers[i].name && n.mesh >= 0;
        });
        ASSERT_NE(node, file.nodes.end()) << model->layers[i].name;
        const tinygltf::Primitive& primitive = file.meshes[static_cast<size_t>(node->mesh)].primitives[0];
        const tinygltf::Accessor& position =
            file.accessors[static_cast<size_t>(primitive.attributes.at("POSITION"))];
        // Height is y. Floats near the origin keep a hundredth of a millimetre.
        EXPECT_NEAR(position.maxValues[1] - position.minValues[1], high - low, 1e-5) << model->layers[i].name;
        EXPECT_FALSE(file.materials[static_cast<size_t>(primitive.material)].doubleSided);
        EXPECT_EQ(file.materials[static_cast<size_t>(primitive.material)].pbrMetallicRoughness.metallicFactor,
                  0);
    }
    ASSERT_EQ(file.animations.size(), 1u);
    EXPECT_TRUE(file.extensionsRequired.empty());
}

INSTANTIATE_TEST_SUITE_P(Scenes, ReadBack,
                         ::testing::Values("courtyard.toml", "terrace.toml", "seat.toml", "first-plan.toml"),
                         [](const auto& scene) {
                             std::string name = scene.param;
                             name = name.substr(0, name.find('.'));
                             std::replace(name.begin(), name.end(), '-', '_');
                             return name;
                         });

}  // namespace
}  // namespace underfoot
