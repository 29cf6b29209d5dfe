#pragma once
// A drawing as a PDF file (ISO 32000-1, version 1.4 of the format) that prints to scale.

#include <map>
#include <string>
#include <vector>

#include "share/page_canvas.h"

namespace underfoot {

/// Draws pages of `width` x `height` mm, or of a sheet that these fit on. Hatches are tiling patterns. Text
/// is Helvetica, which every reader has, each line as wide as textWidth says; of other letters than Western
/// Europe's a question mark stands. Same calls, same bytes; nothing depends on the locale or the clock.
class PdfCanvas : public PageCanvas {
  public:
    PdfCanvas(double width, double height, std::string title, std::string description,
              Sheet sheet = Sheet::None);

    /// What is drawn from now on stands on the next page, of the same size.
    void nextPage();

    void beginGroup(std::string_view) override { ++depth_; }
    void endGroup() override { --depth_; }
    void line(glm::dvec2 from, glm::dvec2 to, const Stroke& stroke) override;
    void polyline(std::span<const glm::dvec2> points, const Stroke& stroke) override;
    void polygon(std::span<const glm::dvec2> corners, const Fill& fill, const Stroke* stroke) override;
    void circle(glm::dvec2 centre, double radius, const Fill& fill, const Stroke* stroke) override;
    void text(glm::dvec2 at, std::string_view words, const TextStyle& style) override;
    std::string file() const override;

  private:
    void shape(const std::string& path, const Fill& fill, const Stroke* stroke);
    std::string paint(const Colour& colour, bool strokes);
    std::string strokeState(const Stroke& stroke);
    std::string patternFor(const Fill& fill);

    double width_, height_;    ///< of the page
    glm::dvec2 corner_{0, 0};  ///< of the drawing on it
    std::string title_, description_;
    std::vector<std::string> pages_{""};
    std::vector<std::string> patterns_;  ///< objects, by number
    std::map<std::string, size_t> patternOf_;
    std::map<std::string, size_t> opacities_;
    int depth_ = 0;
};

}  // namespace underfoot
