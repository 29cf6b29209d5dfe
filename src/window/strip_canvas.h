#pragma once
// The canvas that drawings use, on the window: hatches are clipped to their shapes. Private to this folder.

#include <span>
#include <string_view>
#include <vector>

#include <glm/vec2.hpp>

#include "share/drawing.h"
#include "window/layout.h"
#include "window/pen.h"
#include "window/slabs.h"

namespace underfoot {

/// Millimetres of a drawing become window pixels at 96 to the inch and the window's scale. `box` is clipped
/// to.
class StripCanvas : public Canvas {
  public:
    /// `mirrored`: x counts from the box's right side to the left; words stay readable.
    StripCanvas(Pen& pen, const Box& box, bool mirrored) : pen_(pen), box_(box), mirrored_(mirrored) {}

    static constexpr double pixelsPerMillimetre = 96 / 25.4;

    void beginGroup(std::string_view) override {}
    void endGroup() override {}
    void line(glm::dvec2 from, glm::dvec2 to, const Stroke& stroke) override;
    void polyline(std::span<const glm::dvec2> points, const Stroke& stroke) override;
    void polygon(std::span<const glm::dvec2> corners, const Fill& fill, const Stroke* stroke) override;
    void circle(glm::dvec2 centre, double radius, const Fill& fill, const Stroke* stroke) override;
    void text(glm::dvec2 at, std::string_view words, const TextStyle& style) override;

  private:
    double millimetre() const { return pen_.units(pixelsPerMillimetre); }
    glm::dvec2 place(glm::dvec2 paper) const;
    std::vector<glm::dvec2> places(std::span<const glm::dvec2> points) const;
    void strokeAlong(const std::vector<glm::dvec2>& points, const Stroke& stroke, bool closed);
    Pen& pen_;
    Box box_;
    bool mirrored_;
};

/// Lays a hatch over a shape given in window pixels. The tiles are anchored at `anchor`, so that shapes of
/// one hatch meet without a step.
void drawHatch(Pen& pen, const Slabs& shape, const Box& within, std::string_view hatch, const Colour& colour,
               glm::dvec2 anchor);

}  // namespace underfoot
