#pragma once
// A canvas that keeps what was drawn, to be asked afterwards.

#include <optional>
#include <string>
#include <vector>

#include "share/drawing.h"

namespace underfoot {

struct DrawnLine {
    std::vector<glm::dvec2> points;
    Stroke stroke;
    std::string group;
};
struct DrawnShape {
    std::vector<glm::dvec2> corners;  ///< one, the centre, for a circle
    double radius = 0;
    Fill fill;
    std::optional<Stroke> stroke;
    std::string group;
};
struct DrawnText {
    glm::dvec2 at{0, 0};
    std::string words;
    TextStyle style;
    std::string group;

    /// Left, top, right and bottom of a text that is not turned, by textWidth and the em.
    std::array<double, 4> box() const;
};

class RecordingCanvas : public Canvas {
  public:
    void beginGroup(std::string_view name) override { groups_.emplace_back(name); }
    void endGroup() override { groups_.pop_back(); }
    void line(glm::dvec2 from, glm::dvec2 to, const Stroke& stroke) override {
        lines.push_back({{from, to}, stroke, group()});
    }
    void polyline(std::span<const glm::dvec2> points, const Stroke& stroke) override {
        lines.push_back({{points.begin(), points.end()}, stroke, group()});
    }
    void polygon(std::span<const glm::dvec2> corners, const Fill& fill, const Stroke* stroke) override {
        shapes.push_back({{corners.begin(), corners.end()}, 0, fill, kept(stroke), group()});
    }
    void circle(glm::dvec2 centre, double radius, const Fill& fill, const Stroke* stroke) override {
        shapes.push_back({{centre}, radius, fill, kept(stroke), group()});
    }
    void text(glm::dvec2 at, std::string_view words, const TextStyle& style) override {
        texts.push_back({at, std::string(words), style, group()});
    }

    std::vector<DrawnLine> lines;
    std::vector<DrawnShape> shapes;
    std::vector<DrawnText> texts;
    bool balanced() const { return groups_.empty(); }

  private:
    std::string group() const { return groups_.empty() ? "" : groups_.back(); }
    static std::optional<Stroke> kept(const Stroke* stroke) {
        return stroke == nullptr ? std::nullopt : std::optional(*stroke);
    }
    std::vector<std::string> groups_;
};

inline std::array<double, 4> DrawnText::box() const {
    const double width = textWidth(words, style.size, style.strong);
    const double left = style.anchor == Anchor::Start    ? at.x
                        : style.anchor == Anchor::Middle ? at.x - width / 2
                                                         : at.x - width;
    return {left, at.y - 0.75 * style.size, left + width, at.y + 0.2 * style.size};
}

}  // namespace underfoot
