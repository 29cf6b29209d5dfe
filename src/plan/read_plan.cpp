#include "plan/read_plan.h"

#include <algorithm>
#include <array>
#include <iterator>
#include <optional>
#include <vector>

#include <fmt/format.h>
#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "measure/length.h"
#include "plan/catalogue.h"
#include "plan/comparison.h"
#include "plan/document.h"
#include "plan/parts.h"
#include "plan/reading.h"
#include "plan/text_file.h"

namespace underfoot {
namespace {

constexpr std::array<LengthUnit, 4> bareUnits{LengthUnit::Foot, LengthUnit::Inch, LengthUnit::Metre,
                                              LengthUnit::Millimetre};

struct ShowWord {
    const char* word;
    LengthFormat format;
};
constexpr std::array<ShowWord, 7> showWords{{
    {"ft-in 1/16", {LengthStyle::FeetInches, 16}},
    {"ft-in 1/2", {LengthStyle::FeetInches, 2}},
    {"ft-in 1/4", {LengthStyle::FeetInches, 4}},
    {"ft-in 1/8", {LengthStyle::FeetInches, 8}},
    {"ft-in 1/32", {LengthStyle::FeetInches, 32}},
    {"ft", {LengthStyle::DecimalFeet, 16}},
    {"m", {LengthStyle::Metres, 16}},
}};

void readHead(const Fields& root, Plan& plan) {
    Reading& reading = root.reading();
    plan.title = root.text("title");
    plan.datum = root.text("datum");
    root.need("unit", "Write unit = \"ft\", \"in\", \"m\" or \"mm\": what a plain number means.");
    plan.bareUnit = bareUnits[root.choice("unit", {"ft", "in", "m", "mm"}, 0)];
    std::vector<std::string> shows;
    shows.reserve(std::size(showWords));
    for (const ShowWord& word : showWords) shows.emplace_back(word.word);
    const bool metric = plan.bareUnit == LengthUnit::Metre || plan.bareUnit == LengthUnit::Millimetre;
    plan.show = showWords[root.choice("show", shows, metric ? 6 : 0)].format;
    reading.bare = plan.bareUnit;
    reading.show = plan.show;
}

void readBaseline(const Fields& root, Plan& plan) {
    const Value* value = root.find("baseline");
    if (!value) return;
    Reading& reading = root.reading();
    const Fields fields(reading, *value, "the baseline", {"from", "to", "start", "positive"});
    Baseline line;
    line.place = fields.place();
    // Its own points can't be written as station and offset: these count from it.
    line.from = fields.needPair("from", "Write from = [x, y].", bounds::coordinate).value_or(line.from);
    line.to = fields.needPair("to", "Write to = [x, y].", bounds::coordinate).value_or(line.to);
    line.startStation = fields.length("start", 0, bounds::coordinate);
    line.offsetLeft = fields.choice("positive", {"left", "right"}, 0) == 0;
    if (glm::distance(line.from, line.to) < 1e-3) {
        if (fields.find("from") && fields.find("to"))
            reading.report(*value, "Both ends of the baseline stand at one place.",
                           "Mend \"from\" or \"to\".");
        line.to = line.from + glm::dvec2{1, 0};
    }
    plan.baseline = line;
    reading.baseline = line;
}

void checkWhole(Reading& reading, const Plan& plan, const Value& root) {
    if (root.find("area") == nullptr || plan.areas.empty())
        reading.report({reading.file(), 0, 0}, "The plan has no areas.",
                       "Write [[area]] with name, build_up and an outline.");
    if (root.find("build_up") == nullptr)
        reading.report({reading.file(), 0, 0}, "The plan has no build-ups.",
                       "Write [[build_up]] with name and layers, top first.");
}

/// Build-ups that only variants use.
void dropUnused(Plan& plan) {
    std::erase_if(plan.buildUps, [&](const BuildUp& one) {
        return std::none_of(plan.areas.begin(), plan.areas.end(),
                            [&](const Area& area) { return area.buildUp == one.name; });
    });
}

}  // namespace

Checked<Plan> readPlanText(std::string_view text, const std::string& fileName,
                           const std::filesystem::path& folder) {
    if (static_cast<long long>(text.size()) > greatestPlanBytes) {
        return tl::unexpected(Diagnostics{
            {{fileName, 0, 0},
             fmt::format("The plan has {} bytes; at most {} are read.", text.size(), greatestPlanBytes),
             "Put the shots in a point file."}});
    }
    const auto plain = plainText(std::string(text), fileName);
    if (!plain) return tl::unexpected(Diagnostics{plain.error()});
    const auto document = readDocument(*plain, fileName);
    if (!document) return tl::unexpected(Diagnostics{document.error()});

    const Catalogue catalogue = loadCatalogue();
    Reading reading(fileName, catalogue);
    const Fields root(
        reading, *document, "the plan",
        {"title",   "unit",   "show",         "datum", "baseline", "finish",  "finishes", "build_up",
         "area",    "ground", "measured_top", "pipe",  "fixed",    "limit",   "cut",      "material",
         "carrier", "price",  "prices",       "code",  "fire",     "variant", "sill"});
    Plan plan;
    plan.file = fileName;
    readHead(root, plan);
    readBaseline(root, plan);
    readBuildUps(reading, *document, plan);
    readFinishes(reading, *document, plan);
    readAreas(reading, *document, plan);
    readLimits(reading, *document, plan);
    readSupplies(reading, *document, plan);
    readHeights(reading, *document, folder, plan);
    readPipes(reading, *document, plan);
    readFixedThings(reading, *document, plan);
    readCode(reading, *document, plan);
    readFires(reading, *document, plan);
    readCuts(reading, *document, plan);
    readComparisonFrom(reading, *document, plan);
    checkWhole(reading, plan, *document);
    checkReferences(reading, plan);
    checkPlaces(reading, plan);
    if (reading.count() > 0) return tl::unexpected(reading.takeFaults());
    dropUnused(plan);
    return plan;
}

Checked<Plan> readPlan(const std::filesystem::path& file) {
    const std::string name = file.string();
    const auto text = readTextFile(file, name, greatestPlanBytes, false);
    if (!text) return tl::unexpected(Diagnostics{text.error()});
    return readPlanText(*text, name, file.parent_path());
}

}  // namespace underfoot
