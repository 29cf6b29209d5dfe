#pragma once
// The program's type for cairo, from the bytes in the binary. For this folder's .cpp files only.

#include <memory>
#include <string>

#include <cairo.h>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

namespace underfoot {

struct LetterStyle {
    double size = 15;  ///< pixels
    bool medium = false;
    bool fractions = false;  ///< "7/16" as a real fraction
    glm::dvec3 colour{0, 0, 0};
    double alpha = 1;
};

/// Sets single lines. Fontconfig reads fonts from files only, so the embedded ones lie in the folder for
/// temporary files while this lives.
class Type {
  public:
    static std::unique_ptr<Type> create();
    virtual ~Type() = default;
    /// Width and height of a line.
    virtual glm::dvec2 measure(cairo_t* on, const std::string& text, const LetterStyle& style) const = 0;
    /// Draws with the line's middle at `at`, starting there (align 0), centred (0.5) or ending there (1).
    virtual void draw(cairo_t* on, const std::string& text, glm::dvec2 at, double align,
                      const LetterStyle& style) const = 0;

  protected:
    Type() = default;
    Type(const Type&) = delete;
    Type& operator=(const Type&) = delete;
};

}  // namespace underfoot
