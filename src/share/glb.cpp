#include "share/glb.h"

#include <algorithm>
#include <bit>
#include <cassert>
#include <cmath>
#include <cstring>
#include <deque>
#include <limits>
#include <nlohmann/json.hpp>
#include <string_view>

namespace underfoot {
namespace {

using Json = nlohmann::ordered_json;

constexpr int floatType = 5126, shortType = 5123, intType = 5125;
constexpr int vertexTarget = 34962, indexTarget = 34963;
constexpr size_t greatestBytes = size_t{1} << 31;

std::string_view bytesOf(const auto& values) {
    return {reinterpret_cast<const char*>(values.data()), values.size() * sizeof(values[0])};
}

size_t padded(size_t length) {
    return (length + 3) & ~size_t{3};
}

/// The pieces of the binary chunk, in order, kept by reference until the file is put together.
class Binary {
  public:
    size_t add(std::string_view bytes) {
        const size_t at = length_;
        pieces_.push_back(bytes);
        length_ += padded(bytes.size());
        return at;
    }
    std::string_view keep(std::string bytes) { return kept_.emplace_back(std::move(bytes)); }
    size_t length() const { return length_; }
    const std::vector<std::string_view>& pieces() const { return pieces_; }

  private:
    std::vector<std::string_view> pieces_;
    std::deque<std::string> kept_;
    size_t length_ = 0;
};

class Writer {
  public:
    explicit Writer(const GlbScene& scene) : scene_(scene) {}

    Result<std::string> write() {
        for (const GlbMesh& mesh : scene_.meshes)
            for (const GlbPrimitive& primitive : mesh.primitives)
                if (!std::all_of(primitive.vertices.begin(), primitive.vertices.end(),
                                 [](float f) { return std::isfinite(f); }))
                    return tl::unexpected(Diagnostic{{},
                                                     "A corner of \"" + mesh.name + "\" is not a number.",
                                                     "Check the heights that this part is built from."});
        addMeshes();
        addMaterials();
        addImages();
        addNodes();
        addAnimation();
        return finish();
    }

  private:
    void use(const char* extension) {
        if (std::find(extensions_.begin(), extensions_.end(), extension) == extensions_.end())
            extensions_.emplace_back(extension);
    }

    int addView(std::string_view bytes, int target, size_t stride) {
        Json view{{"buffer", 0}, {"byteOffset", binary_.add(bytes)}, {"byteLength", bytes.size()}};
        if (stride != 0) view["byteStride"] = stride;
        if (target != 0) view["target"] = target;
        views_.push_back(std::move(view));
        return static_cast<int>(views_.size()) - 1;
    }

    int addAccessor(int view, size_t offset, int component, size_t count, const char* type) {
        Json accessor{{"bufferView", view},
                      {"byteOffset", offset},
                      {"componentType", component},
                      {"count", count},
                      {"type", type}};
        accessors_.push_back(std::move(accessor));
        return static_cast<int>(accessors_.size()) - 1;
    }

    /// Bounds must be those of the very floats that are written.
    void addBounds(int accessor, const std::vector<float>& values, size_t step, size_t parts) {
        std::vector<float> low(parts, std::numeric_limits<float>::max()),
            high(parts, std::numeric_limits<float>::lowest());
        for (size_t at = 0; at + parts <= values.size(); at += step)
            for (size_t i = 0; i < parts; ++i) {
                low[i] = std::min(low[i], values[at + i]);
                high[i] = std::max(high[i], values[at + i]);
            }
        accessors_[static_cast<size_t>(accessor)]["min"] = low;
        accessors_[static_cast<size_t>(accessor)]["max"] = high;
    }

    int addIndices(const GlbPrimitive& primitive) {
        // The greatest 16-bit index is kept free: it is a mark in some drawing interfaces.
        if (primitive.vertexCount() > 65535)
            return addAccessor(addView(bytesOf(primitive.indices), indexTarget, 0), 0, intType,
                               primitive.indices.size(), "SCALAR");
        std::string narrow(primitive.indices.size() * 2, '\0');
        for (size_t i = 0; i < primitive.indices.size(); ++i) {
            const auto index = static_cast<uint16_t>(primitive.indices[i]);
            std::memcpy(narrow.data() + 2 * i, &index, 2);
        }
        return addAccessor(addView(binary_.keep(std::move(narrow)), indexTarget, 0), 0, shortType,
                           primitive.indices.size(), "SCALAR");
    }

    Json primitiveJson(const GlbPrimitive& primitive) {
        const size_t stride = primitive.floatsPerVertex() * sizeof(float), count = primitive.vertexCount();
        const int view = addView(bytesOf(primitive.vertices), vertexTarget, stride);
        Json attributes;
        const int positions = addAccessor(view, 0, floatType, count, "VEC3");
        addBounds(positions, primitive.vertices, primitive.floatsPerVertex(), 3);
        attributes["POSITION"] = positions;
        size_t offset = 3 * sizeof(float);
        if (!primitive.lines) {
            attributes["NORMAL"] = addAccessor(view, offset, floatType, count, "VEC3");
            offset += 3 * sizeof(float);
        }
        for (int set = 0; set < primitive.sets; ++set, offset += 2 * sizeof(float))
            attributes["TEXCOORD_" + std::to_string(set)] =
                addAccessor(view, offset, floatType, count, "VEC2");
        Json out{
            {"attributes", attributes}, {"indices", addIndices(primitive)}, {"material", primitive.material}};
        if (primitive.lines) out["mode"] = 1;
        if (primitive.variantMaterial >= 0) {
            use("KHR_materials_variants");
            out["extensions"]["KHR_materials_variants"]["mappings"] = {
                {{"material", primitive.material}, {"variants", {0}}},
                {{"material", primitive.variantMaterial}, {"variants", {1}}}};
        }
        return out;
    }

    void addMeshes() {
        for (const GlbMesh& mesh : scene_.meshes) {
            Json primitives = Json::array();
            for (const GlbPrimitive& primitive : mesh.primitives)
                primitives.push_back(primitiveJson(primitive));
            meshes_.push_back({{"name", mesh.name}, {"primitives", primitives}});
        }
    }

    static Json extrasJson(const GlbExtras& extras) {
        Json out = Json::object();
        for (const auto& [key, value] : extras)
            std::visit([&out, &k = key](const auto& v) { out[k] = v; }, value);
        return out;
    }

    void addMaterials() {
        for (const GlbMaterial& material : scene_.materials) {
            Json surface{{"baseColorFactor", material.colour},
                         {"metallicFactor", 0.0},
                         {"roughnessFactor", material.roughness}};
            if (material.image >= 0) {
                surface["baseColorTexture"]["index"] = material.image;
                if (material.coordinates != 0) surface["baseColorTexture"]["texCoord"] = material.coordinates;
            }
            Json out{{"name", material.name}, {"pbrMetallicRoughness", surface}};
            if (material.colour[3] < 1) out["alphaMode"] = "BLEND";
            if (material.unlit) {
                use("KHR_materials_unlit");
                out["extensions"]["KHR_materials_unlit"] = Json::object();
            }
            if (!material.extras.empty()) out["extras"] = extrasJson(material.extras);
            materials_.push_back(out);
        }
    }

    void addImages() {
        constexpr int linear = 9729, linearMipmapLinear = 9987, clamp = 33071, repeat = 10497;
        std::vector<bool> samplers;  // by repeats
        for (const GlbImage& image : scene_.images) {
            images_.push_back(
                {{"name", image.name}, {"mimeType", "image/png"}, {"bufferView", addView(image.png, 0, 0)}});
            auto found = std::find(samplers.begin(), samplers.end(), image.repeats);
            if (found == samplers.end()) {
                const int wrap = image.repeats ? repeat : clamp;
                samplers_.push_back({{"magFilter", linear},
                                     {"minFilter", image.repeats ? linearMipmapLinear : linear},
                                     {"wrapS", wrap},
                                     {"wrapT", wrap}});
                found = samplers.insert(samplers.end(), image.repeats);
            }
            textures_.push_back({{"sampler", found - samplers.begin()}, {"source", images_.size() - 1}});
        }
    }

    void addNodes() {
        for (const GlbNode& node : scene_.nodes) {
            Json out{{"name", node.name}};
            if (node.mesh >= 0) out["mesh"] = node.mesh;
            if (!node.children.empty()) out["children"] = node.children;
            if (!node.extras.empty()) out["extras"] = extrasJson(node.extras);
            nodes_.push_back(out);
        }
    }

    void addAnimation() {
        if (scene_.moves.empty()) return;
        const std::vector<float> times{0.0F, scene_.restSeconds, scene_.arriveSeconds, scene_.endSeconds};
        const int input = addAccessor(addView(binary_.keep(std::string(bytesOf(times))), 0, 0), 0, floatType,
                                      times.size(), "SCALAR");
        addBounds(input, times, 1, 1);
        Json samplers = Json::array(), channels = Json::array();
        for (const GlbMove& move : scene_.moves) {
            std::vector<float> places(6, 0.0F);
            for (int i = 0; i < 2; ++i)
                places.insert(places.end(), move.translation.begin(), move.translation.end());
            const int output = addAccessor(addView(binary_.keep(std::string(bytesOf(places))), 0, 0), 0,
                                           floatType, 4, "VEC3");
            channels.push_back(
                {{"sampler", samplers.size()}, {"target", {{"node", move.node}, {"path", "translation"}}}});
            samplers.push_back({{"input", input}, {"interpolation", "LINEAR"}, {"output", output}});
        }
        animations_.push_back({{"name", scene_.animation}, {"channels", channels}, {"samplers", samplers}});
    }

    Json rootJson() {
        Json root{{"asset", {{"version", "2.0"}, {"generator", "Underfoot"}}}, {"scene", 0}};
        root["scenes"] = Json::array({{{"name", scene_.name}, {"nodes", {0}}}});
        const auto put = [&root](const char* key, Json& value) {
            if (!value.empty()) root[key] = std::move(value);
        };
        put("nodes", nodes_);
        put("meshes", meshes_);
        put("materials", materials_);
        put("textures", textures_);
        put("images", images_);
        put("samplers", samplers_);
        put("animations", animations_);
        put("accessors", accessors_);
        put("bufferViews", views_);
        if (binary_.length() > 0) root["buffers"] = Json::array({{{"byteLength", binary_.length()}}});
        if (!extensions_.empty()) root["extensionsUsed"] = extensions_;
        if (std::find(extensions_.begin(), extensions_.end(), "KHR_materials_variants") != extensions_.end())
            root["extensions"]["KHR_materials_variants"]["variants"] = {{{"name", scene_.variants[0]}},
                                                                        {{"name", scene_.variants[1]}}};
        return root;
    }

    Result<std::string> finish() {
        std::string text = rootJson().dump(-1, ' ', false, Json::error_handler_t::replace);
        text.resize(padded(text.size()), ' ');
        const size_t total = 12 + 8 + text.size() + (binary_.length() > 0 ? 8 + binary_.length() : 0);
        if (total >= greatestBytes)
            return tl::unexpected(Diagnostic{
                {}, "The glTF file would be larger than 2 GiB.", "Leave out the ground or thin the shots."});
        std::string out;
        out.reserve(total);
        const auto put = [&out](uint32_t value) { out.append(reinterpret_cast<const char*>(&value), 4); };
        put(0x46546C67);  // "glTF"
        put(2);
        put(static_cast<uint32_t>(total));
        put(static_cast<uint32_t>(text.size()));
        put(0x4E4F534A);  // "JSON"
        out += text;
        if (binary_.length() > 0) {
            put(static_cast<uint32_t>(binary_.length()));
            put(0x004E4942);  // "BIN"
            for (const std::string_view piece : binary_.pieces()) {
                out.append(piece);
                out.append(padded(piece.size()) - piece.size(), '\0');
            }
        }
        assert(out.size() == total);
        return out;
    }

    const GlbScene& scene_;
    Binary binary_;
    std::vector<std::string> extensions_;
    Json views_ = Json::array(), accessors_ = Json::array(), meshes_ = Json::array(),
         materials_ = Json::array();
    Json images_ = Json::array(), samplers_ = Json::array(), textures_ = Json::array(),
         nodes_ = Json::array();
    Json animations_ = Json::array();
};

}  // namespace

Result<std::string> glbBytes(const GlbScene& scene) {
    static_assert(std::endian::native == std::endian::little, "glTF holds its numbers lowest byte first");
    assert(!scene.nodes.empty());
    return Writer(scene).write();
}

}  // namespace underfoot
