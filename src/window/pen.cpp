#include "window/pen.h"

#include <algorithm>
#include <cmath>

#include "view/embedded.h"
#include "window/palette.h"
#include "window/slabs.h"

namespace underfoot {

namespace {

constexpr double capHeight = 0.727;  // of Inter's em

struct FaceSpec {
    double size;
    bool strong;
};
constexpr std::array<FaceSpec, faces> specs{
    {{13, false}, {13, true}, {15, false}, {15, true}, {20, true}, {18, false}, {18, true}, {30, true}}};

const FaceSpec& specOf(TypeSize face) {
    return specs[static_cast<size_t>(face)];
}

// Latin with its accents, Greek, Cyrillic, dashes and quotes, primes, fraction slash, arrows.
constexpr ImWchar ranges[] = {0x0020, 0x017F, 0x0370, 0x03FF, 0x0400, 0x045F, 0x2009, 0x2009, 0x2010, 0x2027,
                              0x2032, 0x2033, 0x2044, 0x2044, 0x2190, 0x2193, 0x2212, 0x2212, 0};
constexpr ImWchar figures[] = {'0', '9', 0};

ImFont* addFont(ImFontAtlas& atlas, std::string_view bytes, double pixels, const ImWchar* glyphs) {
    ImFontConfig config;
    config.FontDataOwnedByAtlas = false;
    config.OversampleH = 2;
    config.OversampleV = 1;
    // The atlas only reads the bytes, yet asks for them as its own.
    void* data = const_cast<char*>(bytes.data());
    return atlas.AddFontFromMemoryTTF(data, static_cast<int>(bytes.size()), static_cast<float>(pixels),
                                      &config, glyphs);
}

void evenFigures(ImFont& font) {
    float widest = 0;
    for (ImWchar c = '0'; c <= '9'; ++c) widest = std::max(widest, font.GetCharAdvance(c));
    for (ImFontGlyph& glyph : font.Glyphs) {
        if (glyph.Codepoint < '0' || glyph.Codepoint > '9') continue;
        const float shift = 0.5F * (widest - glyph.AdvanceX);
        glyph.X0 += shift;
        glyph.X1 += shift;
        glyph.AdvanceX = widest;
        font.IndexAdvanceX[static_cast<int>(glyph.Codepoint)] = widest;
    }
}

ImVec2 vec(glm::dvec2 p) {
    return {static_cast<float>(p.x), static_cast<float>(p.y)};
}

ImU32 packed(const Colour& c) {
    return ImGui::ColorConvertFloat4ToU32({static_cast<float>(c.red), static_cast<float>(c.green),
                                           static_cast<float>(c.blue), static_cast<float>(c.opacity)});
}

float widthOf(const ImFont& font, std::string_view words) {
    return font.CalcTextSizeA(font.FontSize, 1e9F, 0, words.data(), words.data() + words.size()).x;
}

/// Where words may be broken: after each blank.
std::vector<std::string_view> pieces(std::string_view words) {
    std::vector<std::string_view> out;
    while (!words.empty()) {
        const size_t blank = words.find(' ');
        const size_t end = blank == std::string_view::npos ? words.size() : blank + 1;
        out.push_back(words.substr(0, end));
        words.remove_prefix(end);
    }
    return out;
}

}  // namespace

Fonts addFonts(ImFontAtlas& atlas, double scale) {
    atlas.Clear();
    const std::string_view regular = view_assets::embedded("Inter-Regular.otf");
    const std::string_view medium = view_assets::embedded("Inter-Medium.otf");
    Fonts fonts;
    for (size_t i = 0; i < faces; ++i) {
        const double pixels = std::round(specs[i].size * scale);
        fonts.byFace[i].main = addFont(atlas, specs[i].strong ? medium : regular, pixels, ranges);
        fonts.byFace[i].fraction = addFont(atlas, medium, std::round(pixels * fractionSize), figures);
    }
    atlas.Build();
    for (Fonts::Pair& pair : fonts.byFace) {
        evenFigures(*pair.main);
        evenFigures(*pair.fraction);
    }
    return fonts;
}

double Pen::width(std::string_view words, TypeSize face) const {
    double wide = 0;
    for (const TextRun& run : textRuns(words)) {
        const bool small = run.kind == TextRun::Kind::Numerator || run.kind == TextRun::Kind::Denominator;
        wide +=
            static_cast<double>(widthOf(small ? *fonts_.of(face).fraction : *fonts_.of(face).main, run.text));
    }
    return wide * fontScale_;
}

double Pen::lineHeight(TypeSize face) const {
    return units(std::round(specOf(face).size * 1.42));
}

void Pen::runs(glm::dvec2 base, std::string_view words, TypeSize face, const Colour& colour) {
    const ImU32 ink = packed(colour);
    const Fonts::Pair& fonts = fonts_.of(face);
    double x = base.x;
    for (const TextRun& run : textRuns(words)) {
        const bool small = run.kind == TextRun::Kind::Numerator || run.kind == TextRun::Kind::Denominator;
        const ImFont& font = small ? *fonts.fraction : *fonts.main;
        const double raise =
            run.kind == TextRun::Kind::Numerator ? fractionRaise * units(specOf(face).size) : 0;
        const double top = base.y - raise - static_cast<double>(font.Ascent) * fontScale_;
        const auto size = static_cast<float>(static_cast<double>(font.FontSize) * fontScale_);
        const char* begin = run.text.data();
        list_.AddText(&font, size, vec({x, top}), ink, begin, begin + run.text.size());
        x += static_cast<double>(widthOf(font, run.text)) * fontScale_;
    }
}

void Pen::text(glm::dvec2 at, std::string_view words, TypeSize face, const Colour& colour, Anchor anchor) {
    note(at, words, face, anchor);
    put(at, words, face, colour, anchor);
}

void Pen::note(glm::dvec2 at, std::string_view words, TypeSize face, Anchor anchor) const {
    if (words.empty() || !note_) return;
    const double wide = width(words, face), half = 0.5 * capHeight * units(specOf(face).size);
    const double left = at.x - wide * (anchor == Anchor::Start ? 0 : anchor == Anchor::Middle ? 0.5 : 1.0);
    note_({{left, at.y - half}, {left + wide, at.y + half}}, words, clips_ > 0);
}

void Pen::put(glm::dvec2 at, std::string_view words, TypeSize face, const Colour& colour, Anchor anchor) {
    if (anchor != Anchor::Start) at.x -= width(words, face) * (anchor == Anchor::Middle ? 0.5 : 1.0);
    runs({std::round(at.x), std::round(at.y + 0.5 * capHeight * units(specOf(face).size))}, words, face,
         colour);
}

void Pen::textOver(glm::dvec2 at, std::string_view words, TypeSize face, const Colour& colour,
                   const Colour& paper, Anchor anchor) {
    const double r = std::max(1.0, units(1.2));
    for (const glm::dvec2 by :
         {glm::dvec2{-r, 0}, {r, 0}, {0, -r}, {0, r}, {-r, -r}, {r, r}, {-r, r}, {r, -r}})
        put(at + by, words, face, faded(paper, 0.75), anchor);
    text(at, words, face, colour, anchor);
}

double Pen::wrapped(glm::dvec2 top, double wide, std::string_view words, TypeSize face, const Colour& colour,
                    bool measureOnly) {
    const double step = lineHeight(face);
    double y = top.y;
    std::string current;
    const auto put = [&] {
        while (!current.empty() && current.back() == ' ') current.pop_back();
        if (!measureOnly) text({top.x, y + step / 2}, current, face, colour);
        y += step;
        current.clear();
    };
    for (const std::string_view piece : pieces(words)) {
        const std::string longer = current + std::string(piece);
        const bool fits = width(longer, face) <= wide + width(" ", face);
        if (!fits && !current.empty()) put();
        current += piece;
    }
    if (!current.empty()) put();
    return y - top.y;
}

std::string Pen::shortened(std::string_view words, TypeSize face, double wide) const {
    if (width(words, face) <= wide) return std::string(words);
    std::string text(words);
    while (!text.empty() && width(text + "\u2026", face) > wide) {
        while (!text.empty() && (static_cast<unsigned char>(text.back()) & 0xC0U) == 0x80U) text.pop_back();
        if (!text.empty()) text.pop_back();
    }
    while (!text.empty() && text.back() == ' ') text.pop_back();
    return text + "\u2026";
}

void Pen::line(glm::dvec2 a, glm::dvec2 b, const Colour& colour, double thick) {
    list_.AddLine(vec(a), vec(b), packed(colour), static_cast<float>(units(thick)));
}

void Pen::polyline(const std::vector<glm::dvec2>& points, const Colour& colour, double thick, bool closed) {
    std::vector<ImVec2> all;
    all.reserve(points.size());
    for (const glm::dvec2& p : points) all.push_back(vec(p));
    list_.AddPolyline(all.data(), static_cast<int>(all.size()), packed(colour),
                      closed ? ImDrawFlags_Closed : 0, static_cast<float>(units(thick)));
}

void Pen::fill(const Box& box, const Colour& colour, double round) {
    list_.AddRectFilled(vec(box.low), vec(box.high), packed(colour), static_cast<float>(units(round)));
}

void Pen::outline(const Box& box, const Colour& colour, double thick, double round) {
    list_.AddRect(vec(box.low), vec(box.high), packed(colour), static_cast<float>(units(round)), 0,
                  static_cast<float>(units(thick)));
}

void Pen::disc(glm::dvec2 centre, double radius, const Colour& colour) {
    list_.AddCircleFilled(vec(centre), static_cast<float>(units(radius)), packed(colour));
}

void Pen::ring(glm::dvec2 centre, double radius, const Colour& colour, double thick) {
    list_.AddCircle(vec(centre), static_cast<float>(units(radius)), packed(colour), 0,
                    static_cast<float>(units(thick)));
}

void Pen::quad(glm::dvec2 a, glm::dvec2 b, glm::dvec2 c, glm::dvec2 d, const Colour& colour) {
    // Neighbouring pieces share their sides: softened sides would show as seams.
    const ImDrawListFlags before = list_.Flags;
    list_.Flags &= ~ImDrawListFlags_AntiAliasedFill;
    list_.AddQuadFilled(vec(a), vec(b), vec(c), vec(d), packed(colour));
    list_.Flags = before;
}

void Pen::triangle(glm::dvec2 a, glm::dvec2 b, glm::dvec2 c, const Colour& colour) {
    list_.AddTriangleFilled(vec(a), vec(b), vec(c), packed(colour));
}

void Pen::polygon(std::span<const glm::dvec2> corners, const Colour& colour) {
    fill(Slabs(corners), colour);
}

void Pen::fill(const Slabs& slabs, const Colour& colour) {
    for (const Slabs::Piece& p : slabs.pieces())
        quad({p.left, p.lowLeft}, {p.right, p.lowRight}, {p.right, p.highRight}, {p.left, p.highLeft},
             colour);
}

void Pen::clip(const Box& box) {
    ImGui::PushClipRect(vec(box.low), vec(box.high), true);
    ++clips_;
}

void Pen::endClip() {
    ImGui::PopClipRect();
    --clips_;
}

void Pen::clipOwn(const Box& box) {
    list_.PushClipRect(vec(box.low), vec(box.high), true);
    ++clips_;
}

void Pen::endClipOwn() {
    list_.PopClipRect();
    --clips_;
}

Touch touch(const char* id, const Box& box) {
    Touch touch;
    if (box.width() < 1 || box.height() < 1) return touch;
    ImGui::SetCursorScreenPos(vec(box.low));
    touch.clicked =
        ImGui::InvisibleButton(id, {static_cast<float>(box.width()), static_cast<float>(box.height())},
                               ImGuiButtonFlags_MouseButtonLeft);
    touch.over = ImGui::IsItemHovered();
    touch.pressed = ImGui::IsItemActivated();
    touch.held = ImGui::IsItemActive();
    touch.released = ImGui::IsItemDeactivated();
    return touch;
}

}  // namespace underfoot
