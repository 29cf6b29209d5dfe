#include "view/gl.h"

#include <cassert>
#include <cstddef>
#include <string_view>
#include <utility>

#include <fmt/format.h>
#include <glm/gtc/type_ptr.hpp>
#include <tl/expected.hpp>

#include "view/embedded.h"

namespace underfoot {

namespace {

/// Where textures are filled, so that none is pushed off the unit it is read from. 3.3 has 16 at least.
constexpr GLenum spareUnit = GL_TEXTURE15;

Result<GLuint> compile(GLenum stage, const std::vector<const char*>& files, const std::string& defines) {
    std::string text = (stage == GL_COMPUTE_SHADER ? "#version 430 core\n" : "#version 330 core\n") + defines;
    for (const char* file : files) {
        const std::string_view part = view_assets::embedded(file);
        assert(!part.empty());
        text.append(part).append("\n");
    }
    const GLuint shader = glCreateShader(stage);
    const char* start = text.c_str();
    glShaderSource(shader, 1, &start, nullptr);
    glCompileShader(shader);
    GLint good = 0;
    glGetShaderiv(shader, GL_COMPILE_STATUS, &good);
    if (good) return shader;
    char log[2000] = "";
    glGetShaderInfoLog(shader, sizeof log, nullptr, log);
    glDeleteShader(shader);
    return tl::unexpected(Diagnostic{{},
                                     fmt::format("The graphics driver refused {}: {}", files.back(), log),
                                     "Update the driver, or set LIBGL_ALWAYS_SOFTWARE=1."});
}

}  // namespace

Result<Program> Program::make(const std::vector<const char*>& vertexFiles,
                              const std::vector<const char*>& fragmentFiles, const std::string& defines) {
    const Result<GLuint> vertex = compile(GL_VERTEX_SHADER, vertexFiles, defines);
    if (!vertex) return tl::unexpected(vertex.error());
    const Result<GLuint> fragment = compile(GL_FRAGMENT_SHADER, fragmentFiles, defines);
    if (!fragment) {
        glDeleteShader(*vertex);
        return tl::unexpected(fragment.error());
    }
    Program program;
    program.id_ = glCreateProgram();
    glAttachShader(program.id_, *vertex);
    glAttachShader(program.id_, *fragment);
    return linked(std::move(program), {*vertex, *fragment}, fragmentFiles.back());
}

Result<Program> Program::compute(const std::vector<const char*>& files, const std::string& defines) {
    const Result<GLuint> stage = compile(GL_COMPUTE_SHADER, files, defines);
    if (!stage) return tl::unexpected(stage.error());
    Program program;
    program.id_ = glCreateProgram();
    glAttachShader(program.id_, *stage);
    return linked(std::move(program), {*stage}, files.back());
}

Result<Program> Program::linked(Program program, const std::vector<GLuint>& stages, const char* file) {
    glLinkProgram(program.id_);
    for (GLuint stage : stages) glDeleteShader(stage);
    GLint good = 0;
    glGetProgramiv(program.id_, GL_LINK_STATUS, &good);
    if (good) return program;
    char log[2000] = "";
    glGetProgramInfoLog(program.id_, sizeof log, nullptr, log);
    return tl::unexpected(Diagnostic{{},
                                     fmt::format("The graphics driver could not link {}: {}", file, log),
                                     "Update the driver, or set LIBGL_ALWAYS_SOFTWARE=1."});
}

Program::~Program() {
    if (id_) glDeleteProgram(id_);
}
Program::Program(Program&& other) noexcept
    : id_(std::exchange(other.id_, 0)), places_(std::move(other.places_)) {}
Program& Program::operator=(Program&& other) noexcept {
    std::swap(id_, other.id_);
    std::swap(places_, other.places_);
    return *this;
}

GLint Program::place(const char* name) {
    const auto found = places_.find(name);
    if (found != places_.end()) return found->second;
    return places_[name] = glGetUniformLocation(id_, name);
}
void Program::set(const char* name, const glm::dvec2& v) {
    glUniform2fv(place(name), 1, glm::value_ptr(glm::vec2(v)));
}
void Program::set(const char* name, const glm::dvec3& v) {
    glUniform3fv(place(name), 1, glm::value_ptr(glm::vec3(v)));
}
void Program::set(const char* name, const glm::dvec4& v) {
    glUniform4fv(place(name), 1, glm::value_ptr(glm::vec4(v)));
}
void Program::set(const char* name, const glm::dmat3& m) {
    glUniformMatrix3fv(place(name), 1, GL_FALSE, glm::value_ptr(glm::mat3(m)));
}
void Program::set(const char* name, const glm::dmat4& m) {
    glUniformMatrix4fv(place(name), 1, GL_FALSE, glm::value_ptr(glm::mat4(m)));
}

Mesh::~Mesh() {
    if (buffer_) glDeleteBuffers(1, &buffer_);
    if (corners_) glDeleteBuffers(1, &corners_);
    if (array_) glDeleteVertexArrays(1, &array_);
}
Mesh::Mesh(Mesh&& other) noexcept
    : array_(std::exchange(other.array_, 0)),
      buffer_(std::exchange(other.buffer_, 0)),
      corners_(std::exchange(other.corners_, 0)),
      count_(std::exchange(other.count_, 0)),
      bytes_(std::exchange(other.bytes_, 0)),
      held_(std::exchange(other.held_, 0)) {}
Mesh& Mesh::operator=(Mesh&& other) noexcept {
    std::swap(array_, other.array_);
    std::swap(buffer_, other.buffer_);
    std::swap(corners_, other.corners_);
    std::swap(count_, other.count_);
    std::swap(bytes_, other.bytes_);
    std::swap(held_, other.held_);
    return *this;
}

void Mesh::fill(const Vertices& vertices) {
    count_ = static_cast<GLsizei>(vertices.size());
    bytes_ = 0;
    if (corners_) glDeleteBuffers(1, &corners_);
    corners_ = 0;
    if (count_ == 0) return;
    if (!array_) {
        glGenVertexArrays(1, &array_);
        glGenBuffers(1, &buffer_);
    }
    glBindVertexArray(array_);
    glBindBuffer(GL_ARRAY_BUFFER, buffer_);
    bytes_ = bytesOf(vertices);
    const auto size = static_cast<GLsizeiptr>(bytes_);
    if (size == held_) {
        glBufferSubData(GL_ARRAY_BUFFER, 0, size, vertices.data());
        glBindVertexArray(0);
        return;
    }
    glBufferData(GL_ARRAY_BUFFER, size, vertices.data(), GL_STATIC_DRAW);
    held_ = size;
    const auto offset = [](size_t bytes) { return reinterpret_cast<const void*>(bytes); };
    glVertexAttribPointer(0, 3, GL_FLOAT, GL_FALSE, sizeof(Vertex), offset(offsetof(Vertex, x)));
    glVertexAttribPointer(1, 4, GL_BYTE, GL_TRUE, sizeof(Vertex), offset(offsetof(Vertex, nx)));
    glVertexAttribPointer(2, 2, GL_FLOAT, GL_FALSE, sizeof(Vertex), offset(offsetof(Vertex, depth)));
    glVertexAttribIPointer(3, 4, GL_UNSIGNED_BYTE, sizeof(Vertex), offset(offsetof(Vertex, kind)));
    for (GLuint i = 0; i < 4; ++i) glEnableVertexAttribArray(i);
    glBindVertexArray(0);
}

void Mesh::fill(const SharedTriangles& triangles) {
    fill(triangles.vertices);
    if (count_ == 0) return;
    count_ = static_cast<GLsizei>(triangles.corners.size());
    bytes_ = bytesOf(triangles);
    if (!corners_) glGenBuffers(1, &corners_);
    glBindVertexArray(array_);
    glBindBuffer(GL_ELEMENT_ARRAY_BUFFER, corners_);
    glBufferData(GL_ELEMENT_ARRAY_BUFFER,
                 static_cast<GLsizeiptr>(triangles.corners.size() * sizeof(uint32_t)),
                 triangles.corners.data(), GL_STATIC_DRAW);
    glBindVertexArray(0);
}

void Mesh::replace(const Vertices& vertices, size_t first, size_t last) {
    glBindBuffer(GL_ARRAY_BUFFER, buffer_);
    glBufferSubData(GL_ARRAY_BUFFER, static_cast<GLintptr>(first * sizeof(Vertex)),
                    static_cast<GLsizeiptr>((last - first) * sizeof(Vertex)), &vertices[first]);
}

void Mesh::draw() const {
    if (count_ == 0) return;
    glBindVertexArray(array_);
    if (corners_)
        glDrawElements(GL_TRIANGLES, count_, GL_UNSIGNED_INT, nullptr);
    else
        glDrawArrays(GL_TRIANGLES, 0, count_);
}

TextureBuffer::~TextureBuffer() {
    if (texture_) glDeleteTextures(1, &texture_);
    if (buffer_) glDeleteBuffers(1, &buffer_);
}

void TextureBuffer::fill(const void* data, size_t bytes, GLenum format) {
    if (!buffer_) {
        glGenBuffers(1, &buffer_);
        glGenTextures(1, &texture_);
    }
    glBindBuffer(GL_TEXTURE_BUFFER, buffer_);
    glBufferData(GL_TEXTURE_BUFFER, static_cast<GLsizeiptr>(bytes), data, GL_DYNAMIC_DRAW);
    glActiveTexture(spareUnit);
    glBindTexture(GL_TEXTURE_BUFFER, texture_);
    glTexBuffer(GL_TEXTURE_BUFFER, format, buffer_);
}

void TextureBuffer::bind(int unit) const {
    bindTexture(unit, texture_, GL_TEXTURE_BUFFER);
}

StorageBuffer::~StorageBuffer() {
    if (buffer_) glDeleteBuffers(1, &buffer_);
}

void StorageBuffer::fill(const void* data, size_t bytes) {
    if (!buffer_) glGenBuffers(1, &buffer_);
    glBindBuffer(GL_SHADER_STORAGE_BUFFER, buffer_);
    glBufferData(GL_SHADER_STORAGE_BUFFER, static_cast<GLsizeiptr>(bytes), data, GL_DYNAMIC_DRAW);
}

VertexArray::~VertexArray() {
    if (array_) glDeleteVertexArrays(1, &array_);
}

void VertexArray::bind() {
    if (!array_) glGenVertexArrays(1, &array_);
    glBindVertexArray(array_);
}

Target::Target(Target&& other) noexcept {
    *this = std::move(other);
}
Target& Target::operator=(Target&& other) noexcept {
    std::swap(id_, other.id_);
    std::swap(depth_, other.depth_);
    std::swap(colours_, other.colours_);
    std::swap(width_, other.width_);
    std::swap(height_, other.height_);
    std::swap(samples_, other.samples_);
    return *this;
}

Target::~Target() {
    clear();
}

void Target::clear() {
    if (!id_) return;
    glDeleteFramebuffers(1, &id_);
    glDeleteTextures(static_cast<GLsizei>(colours_.size()), colours_.data());
    if (depth_) glDeleteTextures(1, &depth_);
    id_ = depth_ = 0;
    colours_.clear();
}

namespace {

GLuint makeTexture(int width, int height, GLenum format, GLint filter, int samples) {
    GLuint id = 0;
    glGenTextures(1, &id);
    glActiveTexture(spareUnit);
    if (samples > 1) {
        glBindTexture(GL_TEXTURE_2D_MULTISAMPLE, id);
        glTexImage2DMultisample(GL_TEXTURE_2D_MULTISAMPLE, samples, format, width, height, GL_TRUE);
        return id;
    }
    glBindTexture(GL_TEXTURE_2D, id);
    const bool depth = format == GL_DEPTH_COMPONENT24, whole = format == GL_RG32UI;
    glTexImage2D(GL_TEXTURE_2D, 0, static_cast<GLint>(format), width, height, 0,
                 depth   ? GL_DEPTH_COMPONENT
                 : whole ? GL_RG_INTEGER
                         : GL_RGBA,
                 depth || whole ? GL_UNSIGNED_INT : GL_UNSIGNED_BYTE, nullptr);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, filter);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, filter);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
    return id;
}

}  // namespace

void Target::resize(int width, int height, const std::vector<GLenum>& formats, bool depth, bool compareDepth,
                    int samples) {
    if (id_ && width == width_ && height == height_ && samples == samples_) return;
    clear();
    samples_ = samples;
    const GLenum kind = samples > 1 ? GL_TEXTURE_2D_MULTISAMPLE : GL_TEXTURE_2D;
    width_ = width;
    height_ = height;
    glGenFramebuffers(1, &id_);
    glBindFramebuffer(GL_FRAMEBUFFER, id_);
    std::vector<GLenum> drawn;
    for (size_t i = 0; i < formats.size(); ++i) {
        colours_.push_back(makeTexture(width, height, formats[i], GL_NEAREST, samples));
        drawn.push_back(GL_COLOR_ATTACHMENT0 + static_cast<GLenum>(i));
        glFramebufferTexture2D(GL_FRAMEBUFFER, drawn.back(), kind, colours_.back(), 0);
    }
    if (depth) {
        depth_ =
            makeTexture(width, height, GL_DEPTH_COMPONENT24, compareDepth ? GL_LINEAR : GL_NEAREST, samples);
        if (compareDepth) glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_COMPARE_MODE, GL_COMPARE_REF_TO_TEXTURE);
        glFramebufferTexture2D(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, kind, depth_, 0);
    }
    if (drawn.empty()) {
        glDrawBuffer(GL_NONE);
        glReadBuffer(GL_NONE);
    } else {
        glDrawBuffers(static_cast<GLsizei>(drawn.size()), drawn.data());
    }
    assert(glCheckFramebufferStatus(GL_FRAMEBUFFER) == GL_FRAMEBUFFER_COMPLETE);
}

void Target::bind() const {
    glBindFramebuffer(GL_FRAMEBUFFER, id_);
    glViewport(0, 0, width_, height_);
}

void bindTexture(int unit, GLuint texture, GLenum kind) {
    glActiveTexture(GL_TEXTURE0 + static_cast<GLenum>(unit));
    glBindTexture(kind, texture);
}

}  // namespace underfoot
