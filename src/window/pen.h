#pragma once
// Drawing on the window: lines, shapes and type, in window pixels. Private to this folder.

#include <array>
#include <functional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

// IWYU pragma: no_include <imgui.h>
#include <imgui/imgui.h>  // IWYU pragma: export
#include <glm/vec2.hpp>

#include "share/drawing.h"
#include "window/layout.h"
#include "window/slabs.h"

namespace underfoot {

/// Sizes of type at 100 %: 13, 15, 20; larger ones for the client view.
enum class TypeSize { Label, LabelStrong, Body, BodyStrong, Head, ClientLabel, ClientStrong, ClientHead };
inline constexpr size_t faces = 8;

/// Inter at every size, for one scale. Figures are made equally wide.
struct Fonts {
    struct Pair {
        ImFont* main = nullptr;
        ImFont* fraction = nullptr;  ///< smaller, figures only
    };
    std::array<Pair, faces> byFace;
    const Pair& of(TypeSize face) const { return byFace[static_cast<size_t>(face)]; }
};
/// Adds the fonts to the atlas and builds it. `scale` is pixels of the frame buffer per unit of drawing.
Fonts addFonts(ImFontAtlas& atlas, double scale);

class Pen {
  public:
    /// A line of words and where it stands, as it is put down.
    using Note = std::function<void(const Box&, std::string_view, bool clipped)>;
    Pen(ImDrawList& list, const Fonts& fonts, double scale, double fontScale, Note note)
        : list_(list), fonts_(fonts), scale_(scale), fontScale_(fontScale), note_(std::move(note)) {}

    double units(double n) const { return n * scale_; }
    double width(std::string_view words, TypeSize face) const;
    /// Height of a line of wrapped text.
    double lineHeight(TypeSize face) const;
    /// `at.y` is the middle of the capitals.
    void text(glm::dvec2 at, std::string_view words, TypeSize face, const Colour& colour,
              Anchor anchor = Anchor::Start);
    /// The same with a rim of `paper`, for words over the scene.
    void textOver(glm::dvec2 at, std::string_view words, TypeSize face, const Colour& colour,
                  const Colour& paper, Anchor anchor = Anchor::Start);
    /// Words broken into lines no wider than `wide`; `top` is the top of the first. Returns the height. Draws
    /// nothing with `measureOnly`.
    double wrapped(glm::dvec2 top, double wide, std::string_view words, TypeSize face, const Colour& colour,
                   bool measureOnly = false);
    /// The words, cut short with an ellipsis where they are wider than `wide`.
    std::string shortened(std::string_view words, TypeSize face, double wide) const;

    void line(glm::dvec2 a, glm::dvec2 b, const Colour& colour, double thick = 1);
    void polyline(const std::vector<glm::dvec2>& points, const Colour& colour, double thick = 1,
                  bool closed = false);
    void fill(const Box& box, const Colour& colour, double round = 0);
    void outline(const Box& box, const Colour& colour, double thick = 1, double round = 0);
    void disc(glm::dvec2 centre, double radius, const Colour& colour);
    void ring(glm::dvec2 centre, double radius, const Colour& colour, double thick = 1);
    void quad(glm::dvec2 a, glm::dvec2 b, glm::dvec2 c, glm::dvec2 d, const Colour& colour);
    void triangle(glm::dvec2 a, glm::dvec2 b, glm::dvec2 c, const Colour& colour);
    /// Any simple polygon.
    void polygon(std::span<const glm::dvec2> corners, const Colour& colour);
    void fill(const Slabs& slabs, const Colour& colour);
    /// For parts: words and the pointer are kept inside the box.
    void clip(const Box& box);
    void endClip();
    /// For lists that are not the part's own: drawing only.
    void clipOwn(const Box& box);
    void endClipOwn();
    ImDrawList& list() { return list_; }

  private:
    void note(glm::dvec2 at, std::string_view words, TypeSize face, Anchor anchor) const;
    void put(glm::dvec2 at, std::string_view words, TypeSize face, const Colour& colour, Anchor anchor);
    void runs(glm::dvec2 base, std::string_view words, TypeSize face, const Colour& colour);
    ImDrawList& list_;
    const Fonts& fonts_;
    double scale_;
    double fontScale_;  ///< window pixels per pixel the fonts were made for
    Note note_;
    int clips_ = 0;
};

/// What the pointer does to a part of the window.
struct Touch {
    bool over = false;
    bool pressed = false;   ///< went down here
    bool held = false;      ///< went down here and is still down
    bool released = false;  ///< went up again
    bool clicked = false;   ///< went up over the part
};
/// The part takes the pointer; of overlapping parts the one that asked first.
Touch touch(const char* id, const Box& box);

}  // namespace underfoot
