// Plans from any bytes, all the way: read, built into a model, cut, measured. No crash, every promise of a
// model kept, every answer finite.

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <random>
#include <string>
#include <string_view>
#include <vector>

#include "plan/read_plan.h"
#include "study/section.h"
#include "study/thickness.h"
#include "study/volumes.h"

using namespace underfoot;

namespace {

// What is larger takes long and finds nothing more.
constexpr size_t longestText = 6000;
constexpr size_t mostShots = 40;
constexpr size_t mostCorners = 90;
constexpr double widestSite = 60;

/// Small enough to be built in a few milliseconds.
bool isSmall(const Plan& plan) {
    size_t shots = plan.ground.shots.size(), corners = 0;
    for (const MeasuredTop& top : plan.measuredTops) shots += top.shots.size();
    glm::dvec2 low{1e9, 1e9}, high{-1e9, -1e9};
    const auto add = [&](const Ring& ring) {
        for (const glm::dvec2 p : toChords(ring, 1e-3).corners) {
            low = {std::fmin(low.x, p.x), std::fmin(low.y, p.y)};
            high = {std::fmax(high.x, p.x), std::fmax(high.y, p.y)};
            ++corners;
        }
    };
    for (const Area& area : plan.areas) {
        add(area.outline);
        for (const Ring& opening : area.openings) add(opening);
    }
    return shots <= mostShots && corners <= mostCorners && plan.areas.size() <= 8 &&
           high.x - low.x <= widestSite && high.y - low.y <= widestSite;
}

/// Thousands of units or lifts make a model slow, not wrong.
void plainer(Plan& plan) {
    for (Area& area : plan.areas) {
        if (area.units && !area.units->sizes.empty() &&
            (area.units->sizes[0].length < 0.5 || area.units->sizes[0].width < 0.5 ||
             area.units->pattern == Pattern::Repeat || !area.units->borders.empty()))
            area.units.reset();
        area.edgings.clear();
    }
    for (BuildUp& buildUp : plan.buildUps)
        for (Layer& layer : buildUp.layers)
            if (layer.lift > 0) layer.lift = std::fmax(layer.lift, 0.2);
    if (plan.ground.fillLift > 0) plan.ground.fillLift = std::fmax(plan.ground.fillLift, 0.5);
}

void checkAnswers(const Model& model) {
    for (const LayerVolume& layer : volumes(model).layers)
        assert(std::isfinite(layer.volume) && layer.volume >= -1e-9);
    const glm::dvec2 middle = (model.site.low + model.site.high) * 0.5;
    for (const LayerAt& at : stackAtPoint(model, middle))
        assert(std::isfinite(at.thickness()) && at.thickness() >= 0);
    const Section section = cut(model, {model.site.low, middle, {model.site.high.x, middle.y}});
    for (const double height : section.heights) assert(std::isfinite(height));
    for (const Extremes& layer : extremes(model, section))
        assert(layer.least >= 0 && layer.greatest >= layer.least && std::isfinite(layer.area));
}

// ---------------------------------------------------------------- edits that leave a plan a plan

extern "C" size_t LLVMFuzzerMutate(uint8_t* data, size_t size, size_t room);

struct Piece {
    size_t from = 0;
    size_t length = 0;
};

bool isDigit(char c) {
    return c >= '0' && c <= '9';
}

std::vector<Piece> numbersIn(const std::string& text) {
    std::vector<Piece> found;
    for (size_t i = 0; i < text.size(); ++i) {
        if (!isDigit(text[i])) continue;
        const size_t end = std::min(text.find_first_not_of("0123456789.", i), text.size());
        found.push_back({i, end - i});
        i = end;
    }
    return found;
}

std::vector<Piece> linesIn(const std::string& text) {
    std::vector<Piece> found;
    for (size_t i = 0; i < text.size();) {
        const size_t end = std::min(text.find('\n', i), text.size() - 1) + 1;
        found.push_back({i, end - i});
        i = end;
    }
    return found;
}

/// Another number of the plan, itself a little off, or a round one: near misses and coincidences.
std::string otherNumber(const std::string& text, const std::vector<Piece>& numbers, const Piece& old,
                        std::minstd_rand& lot) {
    const Piece& other = numbers[lot() % numbers.size()];
    switch (lot() % 4) {
        case 0:
            return text.substr(other.from, other.length);
        case 1:
            return std::to_string(lot() % 30);
        case 2:
            return text.substr(old.from, old.length) +
                   (text.substr(old.from, old.length).find('.') == std::string::npos ? ".000001" : "1");
        default:
            return std::to_string(static_cast<double>(lot() % 3000) / 100);
    }
}

void editOnce(std::string& text, std::minstd_rand& lot) {
    const std::vector<Piece> numbers = numbersIn(text), lines = linesIn(text);
    if (numbers.empty() || lines.empty()) return;
    const Piece number = numbers[lot() % numbers.size()], line = lines[lot() % lines.size()];
    switch (lot() % 8) {
        case 0:
            text.erase(line.from, line.length);
            break;
        case 1:
            text.insert(lines[lot() % lines.size()].from, text.substr(line.from, line.length));
            break;
        case 2:
            text.insert(number.from, "-");
            break;
        default:
            text.replace(number.from, number.length, otherNumber(text, numbers, number, lot));
    }
}

}  // namespace

extern "C" size_t LLVMFuzzerCustomMutator(uint8_t* data, size_t size, size_t room, unsigned seed) {
    std::minstd_rand lot(seed);
    if (size == 0 || lot() % 8 == 0) return LLVMFuzzerMutate(data, size, room);
    std::string text(reinterpret_cast<const char*>(data), size);
    for (auto edits = lot() % 3 + 1; edits > 0; --edits) editOnce(text, lot);
    const size_t length = std::min(text.size(), room);
    std::memcpy(data, text.data(), length);
    return length;
}

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
    if (size > longestText) return 0;
    auto plan = readPlanText(std::string_view(reinterpret_cast<const char*>(data), size), "fuzz.toml",
                             "no such folder");
    if (!plan || !isSmall(*plan)) return 0;
    plainer(*plan);
    const Checked<Model> model = buildModel(*plan);
    if (!model) {
        for (const Diagnostic& fault : model.error()) assert(!fault.what.empty() && !fault.remedy.empty());
        return 0;
    }
    if (const auto fault = modelFault(*model)) {
        std::fprintf(stderr, "%s\n", fault->c_str());
        std::abort();
    }
    checkAnswers(*model);
    return 0;
}
