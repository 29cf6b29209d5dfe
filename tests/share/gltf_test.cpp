#include "share/gltf.h"
#include "share/gltf_mesh.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <utility>
#include <vector>

#include "hand_model.h"
#include "node.h"
#include "plan/read_plan.h"
#include "share/colour.h"
#include "share/glb.h"
#include "share/grain.h"
#include "share/grain/draw_grain.h"
#include "share/layer_facts.h"
#include "study/volumes.h"

namespace underfoot {
namespace {

using Json = nlohmann::json;

/// The JSON part of a .glb.
Json jsonOf(const std::string& bytes) {
    uint32_t length = 0;
    std::memcpy(&length, bytes.data() + 12, 4);
    return Json::parse(bytes.substr(20, length));
}

const Json* node(const Json& file, const std::string& name) {
    for (const Json& n : file["nodes"])
        if (n["name"] == name) return &n;
    return nullptr;
}

std::string write(const Model& model, const GltfOptions& options = {}) {
    const auto bytes = gltfBytes(model, loadCatalogue(model.plan), options);
    EXPECT_TRUE(bytes) << (bytes ? "" : bytes.error().what);
    return bytes.value_or("");
}

Json measured(const std::string& bytes) {
    const test::PassingFile file("measured.glb", bytes);
    const test::Ran ran = test::script("measure.mjs", file.path());
    EXPECT_EQ(ran.status, 0) << ran.out;
    return Json::parse(ran.out, nullptr, false);
}

void expectValid(const std::string& bytes) {
    const test::PassingFile file("validated.glb", bytes);
    const test::Ran ran = test::script("validate.mjs", file.path());
    EXPECT_EQ(ran.status, 0) << ran.out;
}

Model sceneModel(const std::string& name) {
    const auto plan = readPlan(std::string(UNDERFOOT_SOURCE_DIR "/scenes/") + name);
    EXPECT_TRUE(plan) << formatDiagnostic(plan.error()[0]);
    auto model = buildModel(*plan);
    EXPECT_TRUE(model) << formatDiagnostic(model.error()[0]);
    return *std::move(model);
}

TEST(Gltf, SameModelSameBytes) {
    EXPECT_EQ(write(test::handModel(true)), write(test::handModel(true)));
}

TEST(Gltf, HeaderAndChunksFillTheFile) {
    const std::string bytes = write(test::handModel());
    uint32_t total = 0, text = 0, binary = 0;
    std::memcpy(&total, bytes.data() + 8, 4);
    std::memcpy(&text, bytes.data() + 12, 4);
    std::memcpy(&binary, bytes.data() + 20 + text, 4);
    EXPECT_EQ(bytes.substr(0, 4), "glTF");
    EXPECT_EQ(total, bytes.size());
    EXPECT_EQ(20 + text + 8 + binary, bytes.size());
    EXPECT_EQ(jsonOf(bytes)["buffers"][0]["byteLength"], binary);
}

TEST(Gltf, EveryLayerIsANodeOfItsOwnNameFromTheBottomUp) {
    const Json file = jsonOf(write(test::handModel()));
    std::vector<std::string> names;
    for (const int child : file["nodes"][0]["children"])
        names.push_back(file["nodes"][static_cast<size_t>(child)]["name"]);
    EXPECT_THAT(names, testing::ElementsAre("base", "bedding", "units", "Ground"));
    EXPECT_EQ(file["nodes"][0]["name"], "Patio");
}

// By hand (see hand_model.h): bedding 12 to 30 mm, mean 0.306 / 12 = 25.5 mm.
TEST(Gltf, FactsStandFlatOnTheNodes) {
    const Json file = jsonOf(write(test::handModel()));
    const Json& extras = (*node(file, "bedding"))["extras"];
    EXPECT_NEAR(extras["least_m"].get<double>(), 0.012, 1e-12);
    EXPECT_NEAR(extras["greatest_m"].get<double>(), 0.03, 1e-12);
    EXPECT_NEAR(extras["mean_m"].get<double>(), 0.0255, 1e-12);
    EXPECT_NEAR(extras["volume_m3"].get<double>(), test::beddingVolume, 1e-12);
    EXPECT_NEAR(extras["wanted_m"].get<double>(), 0.03, 1e-12);
    EXPECT_EQ(extras["role"], "bedding");
    for (const Json& n : file["nodes"])
        for (const Json& value : n.value("extras", Json::object())) {
            EXPECT_FALSE(value.is_structured()) << n["name"];
        }
}

TEST(Gltf, ColoursSpanEveryThicknessAndTheWantedRange) {
    const Json file = jsonOf(write(test::handModel()));
    const Json& extras = (*node(file, "bedding"))["extras"];
    // Wanted 20 to 40 mm; half of that range more on either side: 10 to 50 mm, and 12 mm lies inside.
    EXPECT_NEAR(extras["heat_min_m"].get<double>(), 0.01, 1e-12);
    EXPECT_NEAR(extras["heat_max_m"].get<double>(), 0.05, 1e-12);
    EXPECT_FALSE((*node(file, "base"))["extras"].contains("heat_min_m"));
}

TEST(Gltf, NothingMovesForTheFirstQuarterSecond) {
    const std::string bytes = write(test::handModel());
    const Json file = jsonOf(bytes);
    ASSERT_EQ(file["animations"].size(), 1U);
    EXPECT_EQ(file["animations"][0]["name"], "Lift apart");
    for (const Json& channel : file["animations"][0]["channels"])
        EXPECT_EQ(channel["target"]["path"], "translation");
}

TEST(Gltf, NamesAreUniquePlainAsciiAndNeverEmpty) {
    Model model = test::handModel();
    model.layers[0].name = "b\xC3\xA4nke";
    model.layers[1].name = "Patio";
    model.layers[2].name = "";
    const Json file = jsonOf(write(model));
    std::set<std::string> names;
    for (const Json& n : file["nodes"]) EXPECT_TRUE(names.insert(n["name"]).second) << n["name"];
    EXPECT_TRUE(names.contains("b_nke"));
    EXPECT_TRUE(names.contains("Patio 2"));
    EXPECT_TRUE(names.contains("part"));
    EXPECT_EQ((*node(file, "b_nke"))["extras"]["layer"], "b\xC3\xA4nke");
}

TEST(Gltf, HeightThatIsNoNumberIsRefused) {
    Model model = test::handModel();
    model.points[5].z = std::numeric_limits<double>::quiet_NaN();
    const auto bytes = gltfBytes(model, loadCatalogue());
    ASSERT_FALSE(bytes);
    EXPECT_THAT(bytes.error().what, testing::HasSubstr("not a number"));
}

TEST(Gltf, FileHoldsTheSameBytes) {
    const Model model = test::handModel();
    const auto file =
        std::filesystem::path(testing::TempDir()) / ("underfoot-same-" + std::to_string(::getpid()) + ".glb");
    const auto written = writeGltf(model, loadCatalogue(), file);
    ASSERT_TRUE(written);
    std::ifstream in(file, std::ios::binary);
    const std::string content{std::istreambuf_iterator<char>(in), {}};
    std::filesystem::remove(file);
    EXPECT_EQ(content, write(model));
    EXPECT_EQ(written->bytes, content.size());
}

TEST(Gltf, NumberThatIsNotFiniteIsRefusedWhereverItStands) {
    // Vertices of eight floats (position, normal, texture): the bad one stands in each place once.
    for (size_t place = 0; place < 24; ++place)
        for (const float bad : {std::numeric_limits<float>::infinity(), std::nanf("")}) {
            GlbScene scene;
            scene.materials.emplace_back();
            scene.nodes.push_back({"Root", 0, {}, {}});
            GlbPrimitive triangle{std::vector<float>(24, 0.5F), {0, 1, 2}, 1};
            triangle.vertices[place] = bad;
            scene.meshes.push_back({"Broken", {triangle}});
            const auto bytes = glbBytes(scene);
            ASSERT_FALSE(bytes) << place;
            EXPECT_THAT(bytes.error().what, testing::HasSubstr("Broken"));
        }
}

TEST(Gltf, BoundsSpanThePlacesOfEveryKindOfVertexAndNothingElse) {
    // Vertices of 3, 6, 8 and 10 floats, up to nine of them, all at (1, 2, 3) but one that is 7 past that in
    // each part; normals and textures of 100 and -100 are no places.
    for (const auto& [lines, sets] : {std::pair{true, 0}, {false, 0}, {false, 1}, {false, 2}})
        for (size_t count = 1; count <= 9; ++count)
            for (size_t odd = 0; odd < count; ++odd)
                for (const float past : {7.0F, -7.0F}) {
                    GlbPrimitive primitive;
                    primitive.lines = lines;
                    primitive.sets = sets;
                    const size_t floats = primitive.floatsPerVertex();
                    for (size_t i = 0; i < count * floats; ++i) {
                        const size_t part = i % floats;
                        const float place = static_cast<float>(part + 1) + (i / floats == odd ? past : 0.0F);
                        primitive.vertices.push_back(part < 3 ? place : part % 2 == 0 ? 100.0F : -100.0F);
                    }
                    primitive.indices.assign(6, 0);
                    GlbScene scene;
                    scene.materials.emplace_back();
                    scene.nodes.push_back({"Root", 0, {}, {}});
                    scene.meshes.push_back({"Mesh", {primitive}});
                    const Json places = jsonOf(glbBytes(scene).value())["accessors"][0];
                    const double with = static_cast<double>(past), without = count == 1 ? with : 0.0;
                    const double low = std::min(with, without), high = std::max(with, without);
                    EXPECT_EQ(places["min"], Json({1 + low, 2 + low, 3 + low})) << floats << ", " << count;
                    EXPECT_EQ(places["max"], Json({1 + high, 2 + high, 3 + high})) << floats << ", " << odd;
                }
}

// Found when points over one place were first looked for together: 4 lies over 2 at a height of its own.
TEST(Gltf, PointsThatRoundToOnePlaceAreTheFirstOfThem) {
    const std::vector<glm::dvec3> points{{0, 0, 1}, {0, 0, 2}, {1, 0, 1}, {0, 0, 1},
                                         {1, 0, 2}, {0, 0, 4}, {0, 0, 3}, {0, 1e-50, 4 + 1e-9},
                                         {0, 0, 2}, {1, 0, 1}};
    EXPECT_EQ(roundPoints(points, 0).same, (std::vector<int>{0, 1, 2, 0, 4, 5, 6, 5, 1, 2}));
}

TEST(Gltf, NothingToShowIsRefused) {
    GltfOptions options;
    options.layers = {99};
    options.things = false;
    EXPECT_FALSE(gltfBytes(test::handModel(), loadCatalogue(), options));
}

TEST(Gltf, MissingFolderIsReportedAndTextThatIsNotUtf8IsNoFault) {
    Model model = test::handModel();
    model.plan.title = "caf\xE9";
    EXPECT_FALSE(writeGltf(model, loadCatalogue(), "/no/such/folder/x.glb"));
    EXPECT_TRUE(gltfBytes(model, loadCatalogue()));
}

// Heights of a real datum, hundreds of metres up, must not cost sharpness: the origin moves to the finish.
TEST(Gltf, OriginLiesOnThePatioWhateverTheDatum) {
    Model model = test::handModel();
    for (glm::dvec3& p : model.points) p.z += 2000;
    for (double& z : model.heights) z += 2000;
    const Json file = jsonOf(write(model));
    EXPECT_NEAR(file["nodes"][0]["extras"]["origin_height_m"].get<double>(), 2100, 1e-9);
    for (const Json& accessor : file["accessors"])
        if (accessor["type"] == "VEC3" && accessor.contains("max")) {
            EXPECT_LE(accessor["max"][1].get<double>(), 0.01);
        }
}

TEST(GltfOutside, ValidatorHasNothingToSay) {
    NEEDS_NPM();
    expectValid(write(test::handModel(true)));
    for (const int without : {0, 1, 2, 3, 4}) {
        GltfOptions options;
        options.textures = without != 0;
        options.thickness = without != 1;
        options.liftApart = without != 2;
        options.outlines = without != 3;
        options.ground = without != 4;
        SCOPED_TRACE(without);
        expectValid(write(test::handModel(true), options));
    }
}

TEST(GltfOutside, ValidatorCanSayNo) {
    NEEDS_NPM();
    std::string bytes = write(test::handModel());
    const size_t at = bytes.find("\"max\":[");
    bytes[at + 7] = '9';
    const test::PassingFile file("broken.glb", bytes);
    EXPECT_NE(test::script("validate.mjs", file.path()).status, 0);
}

// Volumes worked by hand, measured by another reader. Axes: bounds x 0..4, y up, z -3..0.
TEST(GltfOutside, SolidsAreClosedOutwardAndOfTheRightSize) {
    NEEDS_NPM();
    const Json seen = measured(write(test::handModel(true)));
    const auto volume = [&](const char* name) { return seen["nodes"][name]["volume"].get<double>(); };
    EXPECT_NEAR(volume("bedding"), test::beddingVolume, 1e-6);
    EXPECT_NEAR(volume("base"), test::baseVolume, 1e-6);
    EXPECT_NEAR(volume("units"), 48 * 0.49 * 0.49 * 0.05, 1e-6);
    // Block of 6 m x 5 m from 99.0 to the lawn's plane, on average (y = 1.5) 99.94, less the pit of 12 m² x
    // 0.15 m.
    EXPECT_NEAR(volume("Ground"), 30 * 0.94 - 12 * 0.15, 2e-5);
    for (const auto& [name, entry] : seen["nodes"].items()) {
        if (!entry.contains("openEdges")) continue;
        EXPECT_EQ(entry["openEdges"], 0) << name;
        EXPECT_GT(entry["worstNormal"].get<double>(), 0.999) << name;
    }
    const Json& bedding = seen["nodes"]["bedding"];
    EXPECT_NEAR(bedding["low"][0].get<double>(), 0, 1e-6);
    EXPECT_NEAR(bedding["high"][0].get<double>(), 4, 1e-6);
    EXPECT_NEAR(bedding["low"][2].get<double>(), -3, 1e-6);
    EXPECT_NEAR(bedding["high"][2].get<double>(), 0, 1e-6);
    EXPECT_NEAR(bedding["high"][1].get<double>(), -0.05, 1e-6);  // under the units at the house
    EXPECT_NEAR(bedding["low"][1].get<double>(), -0.14, 1e-6);   // 0.05 + 0.03 + 0.02 * 3
}

TEST(GltfOutside, AnimationRestsThenLiftsInOrder) {
    NEEDS_NPM();
    const Json seen = measured(write(test::handModel()));
    ASSERT_EQ(seen["animations"].size(), 1U);
    std::map<std::string, double> lift;
    for (const Json& channel : seen["animations"][0]["channels"]) {
        EXPECT_FLOAT_EQ(channel["times"][0].get<float>(), 0);
        EXPECT_FLOAT_EQ(channel["times"][1].get<float>(), 0.25F);
        for (size_t i = 0; i < 6; ++i) EXPECT_EQ(channel["values"][i].get<double>(), 0);
        EXPECT_EQ(channel["values"][6].get<double>(), 0);
        lift[channel["node"]] = channel["values"][7].get<double>();
    }
    EXPECT_EQ(lift.size(), 3U);
    EXPECT_LT(lift.at("base"), lift.at("bedding"));
    EXPECT_LT(lift.at("bedding"), lift.at("units"));
}

TEST(GltfOutside, MaterialsAreSingleSidedOpaqueAndNoMetal) {
    NEEDS_NPM();
    const Json seen = measured(write(test::handModel(true)));
    EXPECT_EQ(seen["variants"], 1);
    EXPECT_TRUE(seen["extensionsRequired"].empty());
    int strips = 0;
    for (const Json& material : seen["materials"]) {
        EXPECT_FALSE(material["doubleSided"].get<bool>());
        EXPECT_EQ(material["metallic"], 0);
        const bool through = material["name"].get<std::string>().ends_with("seen through");
        EXPECT_EQ(material["alphaMode"], through ? "BLEND" : "OPAQUE");
        if (material["image"] == Json{256, 4}) {
            ++strips;
            EXPECT_EQ(material["coordinates"], 1);
            EXPECT_TRUE(material["unlit"].get<bool>());
        }
    }
    EXPECT_EQ(strips, 1);
}

// The scenes that come with the program: what another reader measures is what the study says.
class GltfScene : public testing::TestWithParam<const char*> {};

TEST_P(GltfScene, IsValidClosedAndHoldsTheVolumesOfTheTakeoff) {
    NEEDS_NPM();
    const Model model = sceneModel(GetParam());
    const std::string bytes = write(model);
    expectValid(bytes);
    const Json seen = measured(bytes);
    for (const auto& [name, entry] : seen["nodes"].items())
        if (entry.contains("openEdges")) {
            EXPECT_EQ(entry["openEdges"], 0) << name;
        }
    for (const LayerVolume& v : volumes(model).layers) {
        const std::string& name = model.layers[static_cast<size_t>(v.layer)].name;
        if (!seen["nodes"].contains(name) || !seen["nodes"][name].contains("volume")) continue;
        const Json& extras = seen["nodes"][name]["extras"];
        const double wanted =
            extras.contains("units_volume_m3") ? extras["units_volume_m3"].get<double>() : v.volume;
        // Rounding to float moves a corner by at most 2^-22 m at 8 m; over tens of square metres that is some
        // 1e-5 m³.
        EXPECT_NEAR(seen["nodes"][name]["volume"].get<double>(), wanted, 2e-5) << name;
        EXPECT_NEAR(extras["volume_m3"].get<double>(), v.volume, 1e-9) << name;
        if (extras.contains("units_volume_m3")) {
            EXPECT_LE(wanted, v.volume * (1 + 1e-9)) << name;
        }
    }
}
INSTANTIATE_TEST_SUITE_P(All, GltfScene,
                         testing::Values("first-plan.toml", "courtyard.toml", "terrace.toml", "seat.toml"));

TEST(LayerFacts, RanksFollowTheStack) {
    const auto facts = layerFacts(test::handModel());
    EXPECT_EQ(facts[test::soil].rank, 0);
    EXPECT_EQ(facts[test::base].rank, 1);
    EXPECT_EQ(facts[test::units].rank, 3);
    EXPECT_TRUE(facts[test::units].overTakeUp);
    EXPECT_FALSE(facts[test::base].overTakeUp);
}

TEST(Grain, TilesAndIsASmallPowerOfTwo) {
    for (const DrawnGrain& grain : drawGrains()) {
        EXPECT_EQ(grain.pixels.width, 128) << grain.kind;
        EXPECT_LT(grainOf(grain.kind).png.size(), 20'000U) << grain.kind;
        EXPECT_GT(grain.meanLinear, 0.3) << grain.kind;
        // Across the seam neighbours differ no more than inside.
        const auto step = [&](int x0, int x1) {
            double sum = 0;
            for (int y = 0; y < 128; ++y)
                sum += std::abs(grain.pixels.bytes[static_cast<size_t>(y * 128 + x0)] -
                                grain.pixels.bytes[static_cast<size_t>(y * 128 + x1)]);
            return sum / 128;
        };
        double inside = 0;
        for (int x = 0; x + 1 < 128; ++x) inside = std::max(inside, step(x, x + 1));
        EXPECT_LE(step(127, 0), inside + 1) << grain.kind;
    }
}

TEST(Grain, TheProgramHoldsWhatIsDrawn) {
    const auto drawn = drawGrains();
    ASSERT_EQ(allGrains().size(), drawn.size());
    for (const DrawnGrain& grain : drawn) {
        const Grain& held = grainOf(grain.kind);
        EXPECT_EQ(held.kind, grain.kind);
        EXPECT_EQ(held.png, encodePng(grain.pixels)) << grain.kind;
        EXPECT_EQ(held.tile, grain.tile);
        EXPECT_EQ(held.meanLinear, grain.meanLinear);
    }
    EXPECT_NE(grainOf("sand").png, grainOf("stone").png);
    EXPECT_EQ(grainOf("no such grain").kind, "unit");
}

TEST(ThicknessColour, PaleInsideVioletBelowGreenAbove) {
    const ThicknessRange range{0.01, 0.05, 0.02, 0.04, true};
    const ThicknessColours colours = thicknessColours();
    EXPECT_EQ(thicknessColour(0.02, range), colours.wanted);  // the bounds are inside
    EXPECT_EQ(thicknessColour(0.04, range), colours.wanted);
    EXPECT_NE(thicknessColour(0.0199, range), colours.wanted);
    for (size_t i = 0; i < 3; ++i) {
        EXPECT_NEAR(thicknessColour(0.01, range)[i], colours.thin[i], 1e-12);
        EXPECT_NEAR(thicknessColour(0.05, range)[i], colours.thick[i], 1e-12);
    }
    const Pixels strip = thicknessStrip(range);
    EXPECT_EQ(strip.width * strip.height * 3, static_cast<int>(strip.bytes.size()));
    EXPECT_LT(encodePng(strip).size(), 2000U);
}

}  // namespace
}  // namespace underfoot
