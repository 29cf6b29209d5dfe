#include "share/glb.h"

#include <algorithm>
#include <bit>
#include <cassert>
#include <cstring>
#include <deque>
#include <limits>
#include <numeric>
#include <optional>
#include <span>
#include <string_view>
#include <utility>

#include <nlohmann/json.hpp>
#include <tl/expected.hpp>

#if defined(__SSE2__)
#include <emmintrin.h>
#endif

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

/// Bytes that follow each other, by reference until they are put together or written.
class Pieces {
  public:
    /// Filled up to a whole number of words.
    size_t add(std::string_view bytes) {
        const size_t at = length_, missing = padded(bytes.size()) - bytes.size();
        pieces_.push_back(bytes);
        if (missing > 0) pieces_.push_back(keep(std::string(missing, '\0')));
        length_ += bytes.size() + missing;
        return at;
    }
    std::string_view keep(std::string bytes) { return kept_.emplace_back(std::move(bytes)); }
    void putFirst(std::string_view bytes) {
        pieces_.insert(pieces_.begin(), bytes);
        length_ += bytes.size();
    }
    size_t length() const { return length_; }
    const std::vector<std::string_view>& all() const { return pieces_; }

  private:
    std::vector<std::string_view> pieces_;
    std::deque<std::string> kept_;
    size_t length_ = 0;
};

struct Bounds {
    std::array<float, 3> low, high;
};

/// The same with the number of floats to a vertex known.
template <size_t step>
class BoundsFinder {
  public:
    static std::optional<Bounds> of(std::span<const float> values) {
        BoundsFinder finder;
        values = values.first(values.size() - values.size() % step);
        values = finder.takeFours(values);
        finder.takeEach(values);
        for (const float zero : finder.zeros_)
            if (zero != 0) return std::nullopt;
        return finder.out_;
    }

  private:
    BoundsFinder() {
        out_.low.fill(std::numeric_limits<float>::max());
        out_.high.fill(std::numeric_limits<float>::lowest());
    }

    void takeEach(std::span<const float> values) {
        for (size_t at = 0; at < values.size(); at += step) {
            for (size_t i = 0; i < 3; ++i) take(i, values[at + i], values[at + i]);
            for (size_t i = 0; i < step; ++i) zeros_[0] += values[at + i] * 0;  // no longer 0 if not finite
        }
    }
    void take(size_t part, float low, float high) {
        out_.low[part] = std::min(out_.low[part], low);
        out_.high[part] = std::max(out_.high[part], high);
    }

#if defined(__SSE2__)
    /// Four floats at a time; after so many fours a vertex begins where a four does. What is left over.
    static constexpr size_t fours = std::lcm(step, size_t{4}) / 4;

    std::span<const float> takeFours(std::span<const float> values) {
        return takeFours(values, std::make_index_sequence<fours>());
    }
    struct Four {
        __m128 low, high, zeros;
    };
    template <size_t... k>
    std::span<const float> takeFours(std::span<const float> values, std::index_sequence<k...>) {
        if (values.size() < 4 * fours) return values;
        const float* at = values.data();
        const auto begin = [](__m128 first) { return Four{first, first, _mm_setzero_ps()}; };
        std::array<Four, fours> found{begin(_mm_loadu_ps(at + 4 * k))...};
        const size_t rounds = values.size() / (4 * fours);
        for (size_t round = 0; round < rounds; ++round, at += 4 * fours)
            (takeFour<k>(_mm_loadu_ps(at + 4 * k), found[k]), ...);
        (keepFour<k>(found[k]), ...);
        return values.subspan(rounds * 4 * fours);
    }

    /// Which part of a vertex a float of the k-th four is.
    static constexpr size_t partOf(size_t k, size_t lane) {
        return (4 * k + lane) % step;
    }
    static constexpr bool holdsPlace(size_t k) {
        return partOf(k, 0) < 3 || partOf(k, 1) < 3 || partOf(k, 2) < 3 || partOf(k, 3) < 3;
    }

    template <size_t k>
    static void takeFour(__m128 values, Four& found) {
        if constexpr (holdsPlace(k)) {
            found.low = _mm_min_ps(values, found.low);
            found.high = _mm_max_ps(values, found.high);
        }
        found.zeros = _mm_add_ps(found.zeros, _mm_mul_ps(values, _mm_setzero_ps()));
    }
    template <size_t k>
    void keepFour(const Four& found) {
        std::array<float, 4> low{}, high{}, zeros{};
        _mm_storeu_ps(low.data(), found.low);
        _mm_storeu_ps(high.data(), found.high);
        _mm_storeu_ps(zeros.data(), found.zeros);
        for (size_t lane = 0; lane < 4; ++lane) {
            if (partOf(k, lane) < 3) take(partOf(k, lane), low[lane], high[lane]);
            zeros_[lane] += zeros[lane];
        }
    }
#else
    std::span<const float> takeFours(std::span<const float> values) {
        return values;
    }
#endif

    Bounds out_;
    std::array<float, 4> zeros_{};
};

/// Bounds of the first three of every `step` numbers; nothing when any of all the numbers is not finite.
std::optional<Bounds> boundsOf(const std::vector<float>& values, size_t step) {
    switch (step) {
        case 3:
            return BoundsFinder<3>::of(values);
        case 6:
            return BoundsFinder<6>::of(values);
        case 8:
            return BoundsFinder<8>::of(values);
        default:
            assert(step == 10);
            return BoundsFinder<10>::of(values);
    }
}

class Writer {
  public:
    explicit Writer(const GlbScene& scene) : scene_(scene) {
        static_assert(std::endian::native == std::endian::little, "glTF holds its numbers lowest byte first");
        assert(!scene.nodes.empty());
    }

    /// The pieces of the file. They stay in what the scene and this writer hold.
    Result<std::span<const std::string_view>> pieces() {
        for (const GlbMesh& mesh : scene_.meshes)
            for (const GlbPrimitive& primitive : mesh.primitives) {
                const auto bounds = boundsOf(primitive.vertices, primitive.floatsPerVertex());
                if (!bounds)
                    return tl::unexpected(Diagnostic{{},
                                                     "A corner of \"" + mesh.name + "\" is not a number.",
                                                     "Check the heights that this part is built from."});
                bounds_.push_back(*bounds);
            }
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

    void addBounds(int accessor, std::span<const float> low, std::span<const float> high) {
        Json& json = accessors_[static_cast<size_t>(accessor)];
        json["min"] = low;
        json["max"] = high;
    }

    int addIndices(const GlbPrimitive& primitive) {
        // The greatest 16-bit index is kept free: it is a mark in some drawing interfaces.
        if (primitive.vertexCount() > 65535)
            return addAccessor(addView(bytesOf(primitive.indices), indexTarget, 0), 0, intType,
                               primitive.indices.size(), "SCALAR");
        std::string narrow(primitive.indices.size() * 2, '\0');
        char* out = narrow.data();
        for (const uint32_t index : primitive.indices) {
            const auto half = static_cast<uint16_t>(index);
            std::memcpy(out, &half, 2);
            out += 2;
        }
        return addAccessor(addView(binary_.keep(std::move(narrow)), indexTarget, 0), 0, shortType,
                           primitive.indices.size(), "SCALAR");
    }

    Json primitiveJson(const GlbPrimitive& primitive, const Bounds& bounds) {
        const size_t stride = primitive.floatsPerVertex() * sizeof(float), count = primitive.vertexCount();
        const int view = addView(bytesOf(primitive.vertices), vertexTarget, stride);
        Json attributes;
        const int positions = addAccessor(view, 0, floatType, count, "VEC3");
        addBounds(positions, bounds.low, bounds.high);
        attributes["POSITION"] = positions;
        size_t offset = 3 * sizeof(float);
        if (!primitive.lines) {
            attributes["NORMAL"] = addAccessor(view, offset, floatType, count, "VEC3");
            offset += 3 * sizeof(float);
        }
        for (int set = 0; set < primitive.sets; ++set, offset += 2 * sizeof(float))
            attributes["TEXCOORD_" + std::to_string(set)] =
                addAccessor(view, offset, floatType, count, "VEC2");
        Json out{{"attributes", std::move(attributes)},
                 {"indices", addIndices(primitive)},
                 {"material", primitive.material}};
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
        auto bounds = bounds_.begin();
        for (const GlbMesh& mesh : scene_.meshes) {
            Json primitives = Json::array();
            for (const GlbPrimitive& primitive : mesh.primitives)
                primitives.push_back(primitiveJson(primitive, *bounds++));
            meshes_.push_back({{"name", mesh.name}, {"primitives", std::move(primitives)}});
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
            Json out{{"name", material.name}, {"pbrMetallicRoughness", std::move(surface)}};
            if (material.colour[3] < 1) out["alphaMode"] = "BLEND";
            if (material.unlit) {
                use("KHR_materials_unlit");
                out["extensions"]["KHR_materials_unlit"] = Json::object();
            }
            if (!material.extras.empty()) out["extras"] = extrasJson(material.extras);
            materials_.push_back(std::move(out));
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
            nodes_.push_back(std::move(out));
        }
    }

    void addAnimation() {
        if (scene_.moves.empty()) return;
        const std::vector<float> times{0.0F, scene_.restSeconds, scene_.arriveSeconds, scene_.endSeconds};
        const int input = addAccessor(addView(binary_.keep(std::string(bytesOf(times))), 0, 0), 0, floatType,
                                      times.size(), "SCALAR");
        addBounds(input, std::span(times).first(1), std::span(times).last(1));
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

    Result<std::span<const std::string_view>> finish() {
        std::string text = rootJson().dump(-1, ' ', false, Json::error_handler_t::replace);
        text.resize(padded(text.size()), ' ');
        const size_t binary = binary_.length();
        const size_t total = 12 + 8 + text.size() + (binary > 0 ? 8 + binary : 0);
        if (total >= greatestBytes)
            return tl::unexpected(Diagnostic{
                {}, "The glTF file would be larger than 2 GiB.", "Leave out the ground or thin the shots."});
        std::string head;
        const auto put = [&head](uint32_t value) { head.append(reinterpret_cast<const char*>(&value), 4); };
        put(0x46546C67);  // "glTF"
        put(2);
        put(static_cast<uint32_t>(total));
        put(static_cast<uint32_t>(text.size()));
        put(0x4E4F534A);  // "JSON"
        head += text;
        if (binary > 0) {
            put(static_cast<uint32_t>(binary));
            put(0x004E4942);  // "BIN"
        }
        binary_.putFirst(binary_.keep(std::move(head)));
        assert(binary_.length() == total);
        return binary_.all();
    }

    const GlbScene& scene_;
    std::vector<Bounds> bounds_;  ///< of every primitive
    Pieces binary_;
    std::vector<std::string> extensions_;
    Json views_ = Json::array(), accessors_ = Json::array(), meshes_ = Json::array(),
         materials_ = Json::array();
    Json images_ = Json::array(), samplers_ = Json::array(), textures_ = Json::array(),
         nodes_ = Json::array();
    Json animations_ = Json::array();
};

}  // namespace

Result<std::string> glbBytes(const GlbScene& scene) {
    Writer writer(scene);
    return writer.pieces().map([](std::span<const std::string_view> pieces) {
        size_t length = 0;
        for (const std::string_view piece : pieces) length += piece.size();
        std::string out;
        out.reserve(length);
        for (const std::string_view piece : pieces) out += piece;
        return out;
    });
}

Result<Written> writeGlb(const GlbScene& scene, const std::filesystem::path& file) {
    Writer writer(scene);
    return writer.pieces().and_then(
        [&](std::span<const std::string_view> pieces) { return writeFile(file, pieces); });
}

}  // namespace underfoot
