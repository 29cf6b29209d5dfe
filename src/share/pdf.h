#pragma once
// A drawing as a PDF file (ISO 32000-1) that prints to scale.

#include <memory>
#include <span>
#include <string>
#include <string_view>

#include <glm/vec2.hpp>

#include "share/drawing.h"
#include "share/page_canvas.h"

namespace underfoot {

/// Draws pages of `width` x `height` mm, or of a sheet that these fit on. Hatches are tiling patterns. Text
/// is set in Inter, or what stands for it where it isn't installed, in any script that the system has letters
/// for, no line wider than textWidth says; the letters used are in the file. Same calls, same bytes;
/// nothing depends on the locale or the clock.
class PdfCanvas : public PageCanvas {
  public:
    PdfCanvas(double width, double height, const std::string& title, const std::string& description,
              Sheet sheet = Sheet::None);
    ~PdfCanvas() override;
    PdfCanvas(const PdfCanvas&) = delete;
    PdfCanvas& operator=(const PdfCanvas&) = delete;

    /// What is drawn from now on stands on the next page, of the same size.
    void nextPage();

    void beginGroup(std::string_view) override { ++depth_; }
    void endGroup() override { --depth_; }
    void line(glm::dvec2 from, glm::dvec2 to, const Stroke& stroke) override;
    void polyline(std::span<const glm::dvec2> points, const Stroke& stroke) override;
    void polygon(std::span<const glm::dvec2> corners, const Fill& fill, const Stroke* stroke) override;
    void circle(glm::dvec2 centre, double radius, const Fill& fill, const Stroke* stroke) override;
    void text(glm::dvec2 at, std::string_view words, const TextStyle& style) override;
    /// Ends the file: nothing is drawn after it.
    std::string file() const override;

  private:
    class Paper;
    std::unique_ptr<Paper> paper_;
    int depth_ = 0;
};

}  // namespace underfoot
