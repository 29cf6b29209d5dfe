#include "share/page.h"

#include <cassert>
#include <utility>

#include <fmt/format.h>

#include "measure/length.h"
#include "plan/plan.h"

namespace underfoot {

PageRow& PageTable::add(std::vector<std::string> cells, PageMark mark) {
    assert(cells.size() == heads.size());
    rows.push_back({std::move(cells), std::move(mark), false});
    return rows.back();
}

PageRow& PageTable::addSub(std::vector<std::string> cells, PageMark mark) {
    PageRow& row = add(std::move(cells), std::move(mark));
    row.sub = true;
    return row;
}

void Page::heading(std::string text, bool urgent) {
    parts_.push_back({PagePart::Kind::Heading, std::move(text), {}, {}, urgent});
}

void Page::say(std::string text, PageMark mark) {
    if (!text.empty()) parts_.push_back({PagePart::Kind::Text, std::move(text), std::move(mark), {}, false});
}

void Page::add(PageTable table) {
    parts_.push_back({PagePart::Kind::Table, {}, {}, std::move(table), false});
}

void Page::gap() {
    parts_.push_back({PagePart::Kind::Gap, {}, {}, {}, false});
}

void Page::add(const Page& other) {
    parts_.insert(parts_.end(), other.parts_.begin(), other.parts_.end());
}

std::string stationPlace(const Model& model, glm::dvec2 local, StationFor use) {
    const glm::dvec2 so = model.stationOffset(local);
    return fmt::format("station {}, offset {}", formatStation(so.x, model.plan.show, use),
                       formatLength(so.y, model.plan.show));
}

std::string shortPlace(const Model& model, glm::dvec2 local) {
    const glm::dvec2 so = model.stationOffset(local);
    return fmt::format("{}, {} out", formatStation(so.x, model.plan.show),
                       formatLength(so.y, model.plan.show));
}

std::string liftTitle(const Model& model, LayerId layer, int lift, int lifts) {
    const std::string& name = model.layers[static_cast<size_t>(layer)].name;
    return lifts > 1 ? fmt::format("{}, lift {} of {}", name, lift + 1, lifts) : name;
}

std::string orTrace(const std::string& text, const std::string& nothing) {
    return text == nothing ? "a trace" : text;
}

std::string areaOrTrace(double squareMetres, const LengthFormat& show) {
    const std::string text = formatArea(squareMetres, show);
    return squareMetres > 0 ? orTrace(text, formatArea(0, show)) : text;
}

std::string volumeOrTrace(double cubicMetres, const LengthFormat& show) {
    const std::string text = formatVolume(cubicMetres, show);
    return cubicMetres > 0 ? orTrace(text, formatVolume(0, show)) : text;
}

}  // namespace underfoot
