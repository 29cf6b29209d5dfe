#include "view/lettering.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <optional>
#include <vector>

#include <cairo.h>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "view/type.h"

namespace underfoot {

namespace {

struct CairoEnd {
    void operator()(cairo_surface_t* s) const { cairo_surface_destroy(s); }
    void operator()(cairo_t* c) const { cairo_destroy(c); }
};
using SurfaceOwner = std::unique_ptr<cairo_surface_t, CairoEnd>;
using ContextOwner = std::unique_ptr<cairo_t, CairoEnd>;

constexpr double barWidth = 16, barHeight = 230;

/// cairo keeps a pixel as one 32-bit number, blue lowest: the same swap there and back.
void swapRedAndBlue(std::vector<uint8_t>& pixels) {
    for (size_t i = 0; i + 3 < pixels.size(); i += 4) {
        uint32_t pixel = static_cast<uint32_t>(pixels[i]) << 16 | static_cast<uint32_t>(pixels[i + 1]) << 8 |
                         pixels[i + 2] | 0xff000000u;
        std::memcpy(&pixels[i], &pixel, 4);
    }
}
void fromCairo(std::vector<uint8_t>& pixels) {
    for (size_t i = 0; i + 3 < pixels.size(); i += 4) {
        uint32_t pixel = 0;
        std::memcpy(&pixel, &pixels[i], 4);
        pixels[i] = static_cast<uint8_t>(pixel >> 16 & 255u);
        pixels[i + 1] = static_cast<uint8_t>(pixel >> 8 & 255u);
        pixels[i + 2] = static_cast<uint8_t>(pixel & 255u);
        pixels[i + 3] = 255;
    }
}

class Draughtsman {
  public:
    Draughtsman(cairo_t* on, const Type& type, const PictureOptions& options)
        : on_(on),
          type_(type),
          options_(options),
          theme_(themeColours(options.look.theme)),
          s_(options.textScale) {}

    void title(const std::string& words) {
        double y = 46 * s_;
        if (!words.empty())
            type_.draw(on_, shortened(words, style(20, true), options_.width - 60 * s_), {40 * s_, y}, 0,
                       style(20, true));
        if (!options_.subtitle.empty())
            type_.draw(on_, options_.subtitle, {40 * s_, y + 27 * s_}, 0, style(15, false, 0.75));
    }

    void label(const Label& label) {
        leader(label, theme_.paper, 3.4 * s_, 0.35);
        leader(label, theme_.ink, 1.15 * s_, 0.9);
        dot(label.dot);
        const double align = label.rightColumn ? 0 : 1;
        const double x = label.end.x + (label.rightColumn ? 8 : -8) * s_;
        const double up = label.thickness.empty() ? 0 : 8.5 * s_;
        const double room = (label.rightColumn ? options_.width - x : x) - 8 * s_;
        type_.draw(on_, shortened(label.name, style(15, true), room), {x, label.end.y - up}, align,
                   style(15, true));
        if (!label.thickness.empty()) {
            LetterStyle number = style(14, false, 0.8);
            number.fractions = true;
            type_.draw(on_, label.thickness, {x, label.end.y + up + 1.5 * s_}, align, number);
        }
    }

    void number(const FieldNumber& number) {
        LetterStyle words = style(13, true);
        words.fractions = true;
        words.colour = number.worst ? themeColours(Theme::Light).attention : themeColours(Theme::Light).ink;
        const glm::dvec2 size = type_.measure(on_, number.text, words);
        ink(themeColours(Theme::Light).paper, 0.82);
        plate(number.at, size + glm::dvec2{10, 2} * s_);
        type_.draw(on_, number.text, number.at, 0.5, words);
    }

    void scale(const ThicknessScale& scale) {
        const double x = 40 * s_, high = barHeight * s_, top = options_.height - 44 * s_ - high;
        const int strips = static_cast<int>(high);
        for (int i = 0; i < strips; ++i) {
            const double t = scale.greatest - (scale.greatest - scale.least) * (i + 0.5) / strips;
            ink(thicknessColour(scale, t), 1);
            cairo_rectangle(on_, x, top + i, barWidth * s_, 1.02);
            cairo_fill(on_);
        }
        hatchShort(scale, x, top, high);
        ink(theme_.ink, 0.9);
        cairo_set_line_width(on_, 1 * s_);
        cairo_rectangle(on_, x, top, barWidth * s_, high);
        cairo_stroke(on_);
        for (const ScaleTick& tick : scale.ticks) drawTick(tick, x, top + high * (1 - tick.at));
        type_.draw(on_, scale.title + " thickness", {x, top - 22 * s_}, 0, style(15, true));
    }

  private:
    LetterStyle style(double size, bool medium, double alpha = 1) const {
        return {size * s_, medium, false, theme_.ink, alpha};
    }
    /// As much of the words as has room, with dots in the place of the rest.
    std::string shortened(std::string words, const LetterStyle& face, double room) const {
        if (type_.measure(on_, words, face).x <= room) return words;
        const auto inside = [](char c) { return (static_cast<unsigned char>(c) & 0xc0u) == 0x80u; };
        do {
            while (!words.empty() && inside(words.back())) words.pop_back();
            if (!words.empty()) words.pop_back();
        } while (!words.empty() && type_.measure(on_, words + "\u2026", face).x > room);
        return words + "\u2026";
    }
    void ink(const glm::dvec3& c, double alpha) { cairo_set_source_rgba(on_, c.x, c.y, c.z, alpha); }

    void leader(const Label& label, const glm::dvec3& colour, double width, double alpha) {
        ink(colour, alpha);
        cairo_set_line_width(on_, width);
        cairo_set_line_join(on_, CAIRO_LINE_JOIN_ROUND);
        cairo_move_to(on_, label.dot.x, label.dot.y);
        cairo_line_to(on_, label.bend.x, label.bend.y);
        cairo_line_to(on_, label.end.x, label.end.y);
        cairo_stroke(on_);
    }
    void dot(glm::dvec2 at) {
        ink(theme_.paper, 0.95);
        cairo_arc(on_, at.x, at.y, 4.6 * s_, 0, 6.2832);
        cairo_fill(on_);
        ink(theme_.ink, 1);
        cairo_arc(on_, at.x, at.y, 3.1 * s_, 0, 6.2832);
        cairo_fill(on_);
    }
    void plate(glm::dvec2 middle, glm::dvec2 size) {
        const double r = 0.5 * size.y, x = middle.x - 0.5 * size.x, y = middle.y - 0.5 * size.y;
        cairo_new_sub_path(on_);
        cairo_arc(on_, x + size.x - r, y + r, r, -1.5708, 1.5708);
        cairo_arc(on_, x + r, y + r, r, 1.5708, 4.7124);
        cairo_close_path(on_);
        cairo_fill(on_);
    }
    void hatchShort(const ThicknessScale& scale, double x, double top, double high) {
        if (!scale.wantedLeast || *scale.wantedLeast <= scale.least) return;
        const double part =
            std::min(1.0, (*scale.wantedLeast - scale.least) / (scale.greatest - scale.least));
        cairo_save(on_);
        cairo_rectangle(on_, x, top + high * (1 - part), barWidth * s_, high * part);
        cairo_clip(on_);
        ink(themeColours(Theme::Light).ink, 0.45);
        cairo_set_line_width(on_, 1.2 * s_);
        const int lines = static_cast<int>(std::ceil((high + 30 * s_) / (7 * s_)));
        for (int i = 0; i < lines; ++i) {
            const double y = top + 7 * s_ * i;
            cairo_move_to(on_, x, y);
            cairo_line_to(on_, x + barWidth * s_, y - barWidth * s_);
        }
        cairo_stroke(on_);
        cairo_restore(on_);
    }
    void drawTick(const ScaleTick& tick, double x, double y) {
        ink(theme_.ink, 0.9);
        cairo_set_line_width(on_, (tick.bound ? 2.0 : 1.0) * s_);
        cairo_move_to(on_, x + (tick.bound ? 0 : barWidth - 4) * s_, y);
        cairo_line_to(on_, x + (barWidth + 5) * s_, y);
        cairo_stroke(on_);
        LetterStyle words = style(13, tick.bound);
        words.fractions = true;
        type_.draw(on_, tick.text, {x + (barWidth + 11) * s_, y}, 0, words);
        if (!tick.bound) return;
        const double wide = type_.measure(on_, tick.text, words).x;
        type_.draw(on_, "wanted", {x + (barWidth + 18) * s_ + wide, y}, 0, style(13, false, 0.75));
    }

    cairo_t* on_;
    const Type& type_;
    const PictureOptions& options_;
    ThemeColours theme_;
    double s_;
};

class CairoLettering final : public Lettering {
  public:
    CairoLettering() : type_(Type::create()) {}

    void drawOn(Image& image, const Annotations& annotations, const PictureOptions& options,
                const std::string& title) override {
        swapRedAndBlue(image.rgba);
        {
            const SurfaceOwner surface(cairo_image_surface_create_for_data(
                image.rgba.data(), CAIRO_FORMAT_RGB24, image.width, image.height, 4 * image.width));
            const ContextOwner context(cairo_create(surface.get()));
            Draughtsman hand(context.get(), *type_, options);
            if (options.title) hand.title(title);
            if (options.labels) {
                for (const FieldNumber& number : annotations.numbers) hand.number(number);
                for (const Label& label : annotations.labels) hand.label(label);
                if (annotations.scale) hand.scale(*annotations.scale);
            }
            cairo_surface_flush(surface.get());
        }
        fromCairo(image.rgba);
    }

  private:
    std::unique_ptr<Type> type_;
};

}  // namespace

Insets letteringInsets(const PictureOptions& options) {
    const double s = options.textScale;
    Insets insets{40 * s, 40 * s, 40 * s, 40 * s};
    if (options.title) insets.top = (options.subtitle.empty() ? 76 : 100) * s;
    if (!options.labels) return insets;
    if (options.look.thickness)
        insets.left = std::min(200 * s, 0.3 * options.width);
    else
        insets.right = std::min(250 * s, 0.4 * options.width);
    return insets;
}

std::unique_ptr<Lettering> Lettering::create() {
    return std::make_unique<CairoLettering>();
}

}  // namespace underfoot
