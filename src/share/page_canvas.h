#pragma once
// Paper that becomes a file: SVG or PDF, from the same drawing.

#include <memory>
#include <optional>
#include <string>

#include <glm/vec2.hpp>

#include "plan/plan.h"
#include "share/drawing.h"

namespace underfoot {

enum class PageFormat { Svg, Pdf };

class PageCanvas : public Canvas {
  public:
    /// The whole file as drawn so far. Every group must have ended.
    virtual std::string file() const = 0;
};

/// What a drawing is put on: nothing larger than itself, or a sheet that it fits on, standing or lying.
enum class Sheet { None, A4, Letter };

/// A4 where the plan shows metres, else US letter.
inline Sheet sheetOf(const Plan& plan) {
    return plan.show.style == LengthStyle::Metres ? Sheet::A4 : Sheet::Letter;
}

/// Of the sheet standing, mm; none for none.
inline std::optional<glm::dvec2> sheetSize(Sheet sheet) {
    if (sheet == Sheet::None) return std::nullopt;
    return sheet == Sheet::A4 ? glm::dvec2{210, 297} : glm::dvec2{215.9, 279.4};
}

/// A drawing of `width` x `height` mm that prints to scale. In a PDF it stands in the middle of the sheet; on
/// none where it doesn't fit.
std::unique_ptr<PageCanvas> openPage(PageFormat format, double width, double height, const std::string& title,
                                     const std::string& description, Sheet sheet = Sheet::None);

}  // namespace underfoot
