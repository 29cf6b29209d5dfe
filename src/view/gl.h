#pragma once
// Owners of OpenGL objects, for this folder's .cpp files only.

#include <cstdint>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include <epoxy/gl.h>  // IWYU pragma: export
#include <glm/mat3x3.hpp>
#include <glm/mat4x4.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>
#include <glm/vec4.hpp>

#include "measure/diagnostic.h"
#include "view/mesh.h"

namespace underfoot {

/// A linked program. The stages are joined from files of shaders/, in order, after the version line and
/// `defines` ("#define …" lines).
class Program {
  public:
    Program() = default;
    static Result<Program> make(const std::vector<const char*>& vertexFiles,
                                const std::vector<const char*>& fragmentFiles,
                                const std::string& defines = {});
    /// Of one compute stage; needs OpenGL 4.3.
    static Result<Program> compute(const std::vector<const char*>& files, const std::string& defines = {});
    ~Program();
    Program(Program&& other) noexcept;
    Program& operator=(Program&& other) noexcept;
    Program(const Program&) = delete;
    Program& operator=(const Program&) = delete;

    bool empty() const { return id_ == 0; }
    void use() const { glUseProgram(id_); }
    void set(const char* name, int value) { glUniform1i(place(name), value); }
    void set(const char* name, double value) { glUniform1f(place(name), static_cast<float>(value)); }
    void set(const char* name, const glm::ivec2& v) { glUniform2i(place(name), v.x, v.y); }
    void set(const char* name, const glm::dvec2& v);
    void set(const char* name, const glm::dvec3& v);
    void set(const char* name, const glm::dvec4& v);
    void set(const char* name, const glm::dmat3& m);
    void set(const char* name, const glm::dmat4& m);

  private:
    static Result<Program> linked(Program program, const std::vector<GLuint>& stages, const char* file);
    GLint place(const char* name);
    GLuint id_ = 0;
    std::unordered_map<std::string, GLint> places_;
};

/// Vertices on the card, with the layout of `Vertex`.
class Mesh {
  public:
    Mesh() = default;
    ~Mesh();
    Mesh(Mesh&& other) noexcept;
    Mesh& operator=(Mesh&& other) noexcept;
    Mesh(const Mesh&) = delete;
    Mesh& operator=(const Mesh&) = delete;

    void fill(const Vertices& vertices);
    void fill(const SharedTriangles& triangles);
    /// Replaces a run of the vertices it was filled with.
    void replace(const Vertices& vertices, size_t first, size_t last);
    bool empty() const { return count_ == 0; }
    size_t bytes() const { return bytes_; }
    static size_t bytesOf(const Vertices& vertices) { return vertices.size() * sizeof(Vertex); }
    static size_t bytesOf(const SharedTriangles& triangles) {
        return bytesOf(triangles.vertices) + triangles.corners.size() * sizeof(uint32_t);
    }
    void draw() const;

  private:
    GLuint array_ = 0, buffer_ = 0, corners_ = 0;
    GLsizei count_ = 0;
    size_t bytes_ = 0;
    GLsizeiptr held_ = 0;  ///< bytes of the vertex buffer
};

/// Numbers that a shader reads by index.
class TextureBuffer {
  public:
    TextureBuffer() = default;
    ~TextureBuffer();
    TextureBuffer(const TextureBuffer&) = delete;
    TextureBuffer& operator=(const TextureBuffer&) = delete;

    /// `format`: GL_RG32F and the like, as the bytes lie. `bytes` is not 0.
    void fill(const void* data, size_t bytes, GLenum format);
    void bind(int unit) const;

  private:
    GLuint buffer_ = 0, texture_ = 0;
};

/// Records that a compute stage reads by index, as their bytes lie. Needs OpenGL 4.3.
class StorageBuffer {
  public:
    StorageBuffer() = default;
    ~StorageBuffer();
    StorageBuffer(StorageBuffer&& other) noexcept : buffer_(std::exchange(other.buffer_, 0)) {}
    StorageBuffer& operator=(StorageBuffer&& other) noexcept {
        std::swap(buffer_, other.buffer_);
        return *this;
    }

    void fill(const void* data, size_t bytes);
    void bind(unsigned binding) const { glBindBufferBase(GL_SHADER_STORAGE_BUFFER, binding, buffer_); }

  private:
    GLuint buffer_ = 0;
};

/// A vertex array without vertices, for triangles that the vertex stage makes up.
class VertexArray {
  public:
    VertexArray() = default;
    ~VertexArray();
    VertexArray(VertexArray&& other) noexcept : array_(std::exchange(other.array_, 0)) {}
    VertexArray& operator=(VertexArray&& other) noexcept {
        std::swap(array_, other.array_);
        return *this;
    }
    void bind();

  private:
    GLuint array_ = 0;
};

/// A frame buffer with the textures it draws into. `formats` are colour formats in order of attachment.
class Target {
  public:
    Target() = default;
    ~Target();
    Target(Target&& other) noexcept;
    Target& operator=(Target&& other) noexcept;
    Target(const Target&) = delete;
    Target& operator=(const Target&) = delete;

    /// Makes it anew when size or samples differ. Of more than one sample its textures are
    /// GL_TEXTURE_2D_MULTISAMPLE.
    void resize(int width, int height, const std::vector<GLenum>& formats, bool depth,
                bool compareDepth = false, int samples = 1);
    void bind() const;
    GLuint id() const { return id_; }
    GLuint colour(size_t i) const { return colours_[i]; }
    GLuint depth() const { return depth_; }

  private:
    void clear();
    GLuint id_ = 0, depth_ = 0;
    std::vector<GLuint> colours_;
    int width_ = 0, height_ = 0, samples_ = 1;
};

void bindTexture(int unit, GLuint texture, GLenum kind = GL_TEXTURE_2D);

}  // namespace underfoot
