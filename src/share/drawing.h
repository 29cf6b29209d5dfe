#pragma once
// Drawing on paper, whatever the paper is: a file, a picture, a window. What is drawn and where is decided
// without knowing which. All places and sizes are millimetres on paper, x to the right, y down from the upper
// left corner.

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <glm/vec2.hpp>

namespace underfoot {

struct Colour {
    double red = 0, green = 0, blue = 0;  ///< sRGB, 0 to 1
    double opacity = 1;
    bool operator==(const Colour&) const = default;
};
/// From "#RRGGBB".
Colour colourOf(std::string_view web, double opacity = 1);
/// `part` of the way from a to b, in sRGB.
Colour mixed(const Colour& a, const Colour& b, double part);
/// Contrast ratio of two opaque colours (W3C, WCAG 2.1, "contrast ratio"): 1 to 21.
double contrastRatio(const Colour& a, const Colour& b);

struct Stroke {
    Colour colour;
    double width = 0.18;
    std::vector<double> dashes;  ///< lengths on and off; empty: unbroken
    bool roundEnds = false;
};

/// Area of one colour, with a hatch over it where `hatch` names one (hatch.h).
struct Fill {
    Colour colour;
    std::string hatch;
    Colour hatchColour;
};

enum class Anchor { Start, Middle, End };

struct TextStyle {
    double size = 2.5;  ///< of the letters' em; 2.5 mm is 7 points
    Colour colour;
    Anchor anchor = Anchor::Start;
    bool strong = false;
    double turn = 0;  ///< radians, clockwise as seen, about the anchor
};

/// A piece of a line of text. Fractions are set as fractions: a raised small numerator, the fraction slash
/// (U+2044) and a small denominator.
struct TextRun {
    enum class Kind { Plain, Numerator, Slash, Denominator } kind = Kind::Plain;
    std::string text;
};
/// Finds "7/16" and the like (digits, a slash, digits, not part of a longer word) and turns straight marks
/// after digits into prime and double prime. The space between a whole number and its fraction becomes a thin
/// one.
std::vector<TextRun> textRuns(std::string_view text);
/// Numerators and denominators against the text around them, and how far a numerator is raised (parts of the
/// em).
inline constexpr double fractionSize = 0.62;
inline constexpr double fractionRaise = 0.30;

/// Width of a line of text set in Inter with tabular figures, from the font's own advance widths, mm. For
/// back ends that cannot measure, and for placing text the same everywhere.
double textWidth(std::string_view text, double size, bool strong = false);

class Canvas {
  public:
    virtual ~Canvas() = default;

    /// What is drawn until the matching end belongs together and has a name.
    virtual void beginGroup(std::string_view name) = 0;
    virtual void endGroup() = 0;
    virtual void line(glm::dvec2 from, glm::dvec2 to, const Stroke& stroke) = 0;
    virtual void polyline(std::span<const glm::dvec2> points, const Stroke& stroke) = 0;
    /// Closed, filled by the non-zero rule; `stroke` may be null.
    virtual void polygon(std::span<const glm::dvec2> corners, const Fill& fill, const Stroke* stroke) = 0;
    virtual void circle(glm::dvec2 centre, double radius, const Fill& fill, const Stroke* stroke) = 0;
    /// `at` is on the base line.
    virtual void text(glm::dvec2 at, std::string_view words, const TextStyle& style) = 0;
};

/// The end of a dimension: a short stroke, oblique to a line that runs along `direction` (unit length).
void dimensionMark(Canvas& canvas, glm::dvec2 at, glm::dvec2 direction, const Stroke& stroke,
                   double length = 2.0);
/// A dimension line from one place to another with a mark at each end.
void dimensionLine(Canvas& canvas, glm::dvec2 from, glm::dvec2 to, const Stroke& stroke, double mark = 2.0);

/// Ink on paper.
struct Paper {
    Colour paper = {0.9608, 0.9490, 0.9216};      // #F5F2EB
    Colour ink = {0.1255, 0.1490, 0.1686};        // #20262B
    Colour quiet = {0.3412, 0.3608, 0.3765};      // #575C60: second-rank words, 6:1 on the paper
    Colour attention = {0.6392, 0.2510, 0.1098};  // #A3401C
};

}  // namespace underfoot
