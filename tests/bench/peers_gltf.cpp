// Other writers of .glb files: tinygltf 2.7 and assimp 5.2, from the same vertices and indices.

#include <assimp/mesh.h>
#include <assimp/scene.h>
#include <tiny_gltf.h>

#include <algorithm>
#include <assimp/Exporter.hpp>
#include <cstring>
#include <filesystem>

#include "peers.h"

namespace peers {
namespace {

constexpr size_t floatsPerVertex = 6;

int addView(tinygltf::Model& model, const void* bytes, size_t length, int target) {
    std::vector<unsigned char>& data = model.buffers.front().data;
    tinygltf::BufferView view;
    view.buffer = 0;
    view.byteOffset = data.size();
    view.byteLength = length;
    view.target = target;
    const auto* from = static_cast<const unsigned char*>(bytes);
    data.insert(data.end(), from, from + length);
    model.bufferViews.push_back(view);
    return static_cast<int>(model.bufferViews.size()) - 1;
}

int addAccessor(tinygltf::Model& model, int view, size_t offset, int component, size_t count, int type) {
    tinygltf::Accessor accessor;
    accessor.bufferView = view;
    accessor.byteOffset = offset;
    accessor.componentType = component;
    accessor.count = count;
    accessor.type = type;
    model.accessors.push_back(accessor);
    return static_cast<int>(model.accessors.size()) - 1;
}

void setBounds(tinygltf::Accessor& accessor, std::span<const float> vertices) {
    accessor.minValues.assign(3, vertices[0]);
    accessor.maxValues.assign(3, vertices[0]);
    for (size_t i = 0; i < 3; ++i) accessor.minValues[i] = accessor.maxValues[i] = vertices[i];
    for (size_t v = 0; v < vertices.size(); v += floatsPerVertex)
        for (size_t i = 0; i < 3; ++i) {
            const double value = vertices[v + i];
            accessor.minValues[i] = std::min(accessor.minValues[i], value);
            accessor.maxValues[i] = std::max(accessor.maxValues[i], value);
        }
}

void addShape(tinygltf::Model& model, const Shape& shape) {
    const size_t stride = floatsPerVertex * sizeof(float), count = shape.vertices.size() / floatsPerVertex;
    const int vertices =
        addView(model, shape.vertices.data(), shape.vertices.size_bytes(), TINYGLTF_TARGET_ARRAY_BUFFER);
    model.bufferViews.back().byteStride = stride;
    const int indices = addView(model, shape.indices.data(), shape.indices.size_bytes(),
                                TINYGLTF_TARGET_ELEMENT_ARRAY_BUFFER);
    tinygltf::Primitive primitive;
    primitive.mode = TINYGLTF_MODE_TRIANGLES;
    primitive.material = 0;
    primitive.attributes["POSITION"] =
        addAccessor(model, vertices, 0, TINYGLTF_COMPONENT_TYPE_FLOAT, count, TINYGLTF_TYPE_VEC3);
    setBounds(model.accessors.back(), shape.vertices);
    primitive.attributes["NORMAL"] = addAccessor(model, vertices, 3 * sizeof(float),
                                                 TINYGLTF_COMPONENT_TYPE_FLOAT, count, TINYGLTF_TYPE_VEC3);
    primitive.indices = addAccessor(model, indices, 0, TINYGLTF_COMPONENT_TYPE_UNSIGNED_INT,
                                    shape.indices.size(), TINYGLTF_TYPE_SCALAR);
    tinygltf::Mesh mesh;
    mesh.name = shape.name;
    mesh.primitives.push_back(primitive);
    model.meshes.push_back(mesh);
    tinygltf::Node node;
    node.name = shape.name;
    node.mesh = static_cast<int>(model.meshes.size()) - 1;
    model.nodes.push_back(node);
    model.scenes.front().nodes.push_back(static_cast<int>(model.nodes.size()) - 1);
}

class AssimpWriter final : public SceneWriter {
  public:
    explicit AssimpWriter(std::span<const Shape> shapes) {
        scene_.mRootNode = new aiNode("patio");
        scene_.mNumMaterials = 1;
        scene_.mMaterials = new aiMaterial* [1] { new aiMaterial };
        const auto count = static_cast<unsigned>(shapes.size());
        scene_.mNumMeshes = scene_.mRootNode->mNumMeshes = count;
        scene_.mMeshes = new aiMesh*[count];
        scene_.mRootNode->mMeshes = new unsigned[count];
        for (unsigned i = 0; i < count; ++i) {
            scene_.mMeshes[i] = mesh(shapes[i]);
            scene_.mRootNode->mMeshes[i] = i;
        }
    }
    bool write(const std::string& file) override {
        Assimp::Exporter exporter;
        return exporter.Export(&scene_, "glb2", file) == aiReturn_SUCCESS;
    }

  private:
    static aiMesh* mesh(const Shape& shape) {
        auto* made = new aiMesh;
        made->mName = shape.name;
        made->mPrimitiveTypes = aiPrimitiveType_TRIANGLE;
        made->mNumVertices = static_cast<unsigned>(shape.vertices.size() / floatsPerVertex);
        made->mVertices = new aiVector3D[made->mNumVertices];
        made->mNormals = new aiVector3D[made->mNumVertices];
        for (size_t v = 0; v < made->mNumVertices; ++v) {
            const float* at = &shape.vertices[v * floatsPerVertex];
            made->mVertices[v] = {at[0], at[1], at[2]};
            made->mNormals[v] = {at[3], at[4], at[5]};
        }
        made->mNumFaces = static_cast<unsigned>(shape.indices.size() / 3);
        made->mFaces = new aiFace[made->mNumFaces];
        for (size_t f = 0; f < made->mNumFaces; ++f) {
            made->mFaces[f].mNumIndices = 3;
            made->mFaces[f].mIndices = new unsigned[3];
            std::copy_n(&shape.indices[3 * f], 3, made->mFaces[f].mIndices);
        }
        return made;
    }

    aiScene scene_;
};

}  // namespace

bool tinygltfWrite(std::span<const Shape> shapes, const std::string& file) {
    tinygltf::Model model;
    model.asset.version = "2.0";
    model.buffers.emplace_back();
    model.materials.emplace_back();
    model.scenes.emplace_back();
    model.defaultScene = 0;
    size_t bytes = 0;
    for (const Shape& shape : shapes) bytes += shape.vertices.size_bytes() + shape.indices.size_bytes();
    model.buffers.front().data.reserve(bytes);
    for (const Shape& shape : shapes) addShape(model, shape);
    tinygltf::TinyGLTF writer;
    writer.WriteGltfSceneToFile(&model, file, true, true, false, true);
    // It reports success for a file that it could not write.
    std::error_code fault;
    return std::filesystem::file_size(file, fault) > bytes && !fault;
}

std::unique_ptr<SceneWriter> assimpWriter(std::span<const Shape> shapes) {
    return std::make_unique<AssimpWriter>(shapes);
}

}  // namespace peers
