#include "share/cautions_page.h"

#include <memory>
#include <sstream>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "plan/plan.h"
#include "share/drawing.h"
#include "share/json_words.h"
#include "share/page_canvas.h"

namespace underfoot {
namespace {

constexpr double margin = 18;
constexpr double largest = 3.2, smallest = 1.6;
/// Of the letters' size: from line to line, above a heading, and before its text.
constexpr double lineStep = 1.42, gap = 0.9, indent = 1.6;

struct Line {
    std::string words;
    double indent = 0;
    double above = 0;
    bool strong = false;
    Colour colour;
};

/// Marks round a name, which textRuns would take for inches after a digit.
std::string withCurledMarks(const std::string& words) {
    std::string text;
    bool open = false;
    for (size_t i = 0; i < words.size(); ++i) {
        const bool opens = !open && (i == 0 || words[i - 1] == ' ' || words[i - 1] == '(');
        if (words[i] != '"' || !(open || opens)) {
            text += words[i];
            continue;
        }
        text += open ? "\u201D" : "\u201C";
        open = !open;
    }
    return text;
}

/// Lays sentences out in lines of a page's width at one size.
class Setter {
  public:
    Setter(double width, double size) : width_(width), size_(size) {}

    void add(const std::string& words, int depth, double above, bool strong, const Colour& colour) {
        const double left = depth * indent * size_;
        std::istringstream stream(withCurledMarks(words));
        std::string word, line;
        bool first = true;
        const auto put = [&] {
            lines_.push_back({line, left, first ? above * size_ : 0, strong, colour});
            first = false;
            line.clear();
        };
        while (stream >> word) {
            const std::string longer = line.empty() ? word : fmt::format("{} {}", line, word);
            if (!line.empty() && textWidth(longer, size_, strong) > width_ - left) {
                put();
                line = word;
            } else {
                line = longer;
            }
        }
        put();
    }

    double height() const {
        double sum = 0;
        for (const Line& line : lines_) sum += line.above + lineStep * size_;
        return sum;
    }
    void draw(Canvas& canvas, glm::dvec2 at) const {
        for (const Line& line : lines_) {
            at.y += line.above + lineStep * size_;
            TextStyle style;
            style.size = size_;
            style.colour = line.colour;
            style.strong = line.strong;
            canvas.text({at.x + line.indent, at.y}, line.words, style);
        }
    }

  private:
    double width_, size_;
    std::vector<Line> lines_;
};

void setCaution(Setter& setter, const Caution& one, const Paper& paper) {
    setter.add(one.title, 0, gap, true, one.pastLimit ? paper.attention : paper.ink);
    for (const std::string& sentence : one.here) setter.add(sentence, 1, 0, false, paper.ink);
    for (const Sourced& said : one.said)
        setter.add(fmt::format("{} ({})", said.sentence, said.source), 1, 0, false, paper.quiet);
    if (!one.ask.empty()) setter.add(one.ask, 1, 0, false, paper.quiet);
}

Setter setPage(const Model& model, const CautionsPage& page, double width, double size) {
    const Paper paper;
    Setter setter(width, size);
    setter.add(
        (model.plan.title.empty() ? "Patio" : model.plan.title) + ": before you dig, cut, lift or light", 0,
        0, true, paper.ink);
    setter.add(page.rulesOf, 0, 0.3, false, paper.quiet);
    for (const Caution& one : page.cautions)
        if (one.applies) setCaution(setter, one, paper);
    bool first = true;
    for (const Caution& one : page.cautions) {
        if (one.applies) continue;
        if (first) setter.add("Not called for by this plan", 0, gap, true, paper.ink);
        first = false;
        std::string why = one.title + ".";
        for (const std::string& sentence : one.here) why += ' ' + sentence;
        setter.add(why, 1, 0, false, paper.quiet);
    }
    setter.add(page.closing, 0, gap, true, paper.ink);
    return setter;
}

}  // namespace

Page cautionsToRead(const CautionsPage& page) {
    Page out, left;
    out.say(page.rulesOf);
    for (const Caution& one : page.cautions) {
        if (!one.applies) {
            std::string why = "  " + one.title + '.';
            for (const std::string& sentence : one.here) why += ' ' + sentence;
            left.say(why);
            continue;
        }
        out.gap();
        out.heading(one.title, one.pastLimit);
        for (const std::string& sentence : one.here) out.say("  " + sentence);
        for (const Sourced& said : one.said) out.say(fmt::format("  {} ({})", said.sentence, said.source));
        if (!one.ask.empty()) out.say("  " + one.ask);
    }
    if (!left.parts().empty()) {
        out.gap();
        out.heading("Not called for by this plan");
        out.add(left);
    }
    out.gap();
    out.say(page.closing);
    return out;
}

std::string cautionsJson(const Model& model, const CautionsPage& page) {
    using Json = JsonWords::Json;
    const JsonWords words(model);
    const auto orNull = [](const std::string& text) { return text.empty() ? Json(nullptr) : Json(text); };
    Json root = words.answer();
    root["country"] = orNull(model.plan.code.country);
    root["code"] = orNull(model.plan.code.name);
    root["rules_of"] = page.rulesOf;
    root["cautions"] = Json::array();
    for (const Caution& one : page.cautions) {
        Json said = Json::array();
        for (const Sourced& each : one.said)
            said.push_back({{"sentence", each.sentence}, {"source", each.source}});
        root["cautions"].push_back({{"key", one.key},
                                    {"title", one.title},
                                    {"applies", one.applies},
                                    {"past_limit", one.pastLimit},
                                    {"here", one.here},
                                    {"said", std::move(said)},
                                    {"ask", orNull(one.ask)}});
    }
    root["closing"] = page.closing;
    return JsonWords::text(root);
}

static std::string cautionsOn(PageFormat format, const Model& model, const CautionsPage& page) {
    const bool metric = model.plan.show.style == LengthStyle::Metres;
    const double width = metric ? 210 : 215.9, height = metric ? 297 : 279.4;
    double size = largest;
    Setter setter = setPage(model, page, width - 2 * margin, size);
    while (setter.height() > height - 2 * margin && size > smallest) {
        size -= 0.1;
        setter = setPage(model, page, width - 2 * margin, size);
    }
    const auto canvas = openPage(format, width, height, model.plan.title, "Cautions");
    setter.draw(*canvas, {margin, margin});
    return canvas->file();
}

std::string cautionsSvg(const Model& model, const CautionsPage& page) {
    return cautionsOn(PageFormat::Svg, model, page);
}
std::string cautionsPdf(const Model& model, const CautionsPage& page) {
    return cautionsOn(PageFormat::Pdf, model, page);
}

}  // namespace underfoot
