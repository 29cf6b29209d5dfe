#pragma once
// A drawing as an SVG file (W3C, Scalable Vector Graphics 1.1) whose user unit is one millimetre on paper.

#include <map>
#include <span>
#include <string>
#include <string_view>

#include <glm/vec2.hpp>

#include "share/drawing.h"
#include "share/page_canvas.h"

namespace underfoot {

/// Draws into text. The page is `width` x `height` mm: the file's own width and height say so, and its view
/// box counts in millimetres, so that it prints to scale. Hatches are SVG patterns. Text is Inter where that
/// is installed, else the system's plain sans. Same calls, same bytes; the decimal mark is always a point.
class SvgCanvas : public PageCanvas {
  public:
    SvgCanvas(double width, double height, std::string title, std::string description);

    void beginGroup(std::string_view name) override;
    void endGroup() override;
    void line(glm::dvec2 from, glm::dvec2 to, const Stroke& stroke) override;
    void polyline(std::span<const glm::dvec2> points, const Stroke& stroke) override;
    void polygon(std::span<const glm::dvec2> corners, const Fill& fill, const Stroke* stroke) override;
    void circle(glm::dvec2 centre, double radius, const Fill& fill, const Stroke* stroke) override;
    void text(glm::dvec2 at, std::string_view words, const TextStyle& style) override;

    std::string file() const override;

  private:
    std::string patternFor(const Fill& fill);
    void shape(const std::string& element, const Fill& fill, const Stroke* stroke);

    double width_, height_;
    std::string title_, description_;
    std::string body_;
    std::string patterns_;
    std::map<std::string, std::string> patternIds_;
    int depth_ = 1;
};

}  // namespace underfoot
