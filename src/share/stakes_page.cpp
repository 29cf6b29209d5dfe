#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "ground/tolerance.h"
#include "measure/length.h"
#include "measure/slope.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/page.h"
#include "share/stakes_tables.h"
#include "study/stakes.h"

namespace underfoot {

std::vector<LayerId> layersBelow(const std::vector<Stake>& set) {
    std::vector<LayerId> layers;
    for (const Stake& stake : set) {
        auto next = layers.end();
        for (size_t i = stake.layers.size(); i-- > 1;) {
            const LayerId layer = stake.layers[i].layer;
            if (layer == stake.layers[0].layer) continue;
            const auto known = std::find(layers.begin(), layers.end(), layer);
            next = known != layers.end() ? known : layers.insert(next, layer);
        }
    }
    return layers;
}

std::string downTo(const Stake& stake, LayerId layer, const LengthFormat& show) {
    for (const StakeLayer& one : stake.layers)
        if (one.layer == layer) return formatThickness(one.down, show);
    return "";
}

namespace {

/// A stake stands from the formation to its string.
PageMark markOf(const Stake& stake, size_t number, bool always) {
    PageMark mark;
    mark.points = {stake.at};
    mark.low = stake.formation;
    mark.high = stake.string;
    mark.label = fmt::format("{}", number);
    mark.always = always;
    return mark;
}

void stakesPart(Page& page, const Model& model, const std::vector<Stake>& set) {
    const LengthFormat& show = model.plan.show;
    const auto layers = layersBelow(set);
    PageTable table{{"No.", "Station", "Offset", "Ground", "Cut/fill", "Formation", "Finish", "String"},
                    0,
                    {3, 5, 6},
                    {}};
    for (const LayerId layer : layers) {
        table.detail.push_back(table.heads.size());
        table.heads.push_back("to " + model.layers[static_cast<size_t>(layer)].name);
    }
    table.heads.insert(table.heads.end(), {"to formation", "Stake"});
    table.leftFrom = table.heads.size() - 1;
    for (size_t i = 0; i < set.size(); ++i) {
        const Stake& stake = set[i];
        std::vector<std::string> row{
            fmt::format("{}", i + 1),         formatStation(stake.station, show, StationFor::Set),
            formatLength(stake.offset, show), formatLength(stake.ground, show),
            cutOrFill(stake.cut(), show),     formatLength(stake.formation, show),
            formatLength(stake.finish, show), formatLength(stake.string, show)};
        for (const LayerId layer : layers) row.push_back(downTo(stake, layer, show));
        row.insert(row.end(), {formatThickness(stake.down(), show), stake.name});
        table.add(std::move(row), markOf(stake, i + 1, true));
    }
    page.add(std::move(table));
    const char* unit = show.style == LengthStyle::Metres ? "metres" : "feet";
    page.say(fmt::format(
        "Cut (C) or fill (F) in {} from the ground as it is, sod and all, to the formation. \"to\" a "
        "layer is the measure down from the string to its top.",
        unit));
}

void rodPart(Page& page, const Model& model, const std::vector<Stake>& set, double instrument) {
    const LengthFormat& show = model.plan.show;
    LengthFormat rod = show;  // rods are read in decimals
    if (rod.style == LengthStyle::FeetInches) rod.style = LengthStyle::DecimalFeet;
    bool hidden = false;
    const auto reading = [&](double height) {
        hidden = hidden || rodAt(instrument, height) < 0;
        return formatLength(rodAt(instrument, height), rod);
    };
    const auto layers = layersBelow(set);
    PageTable table{{"Rod, No.", "on the ground", "finish"}, SIZE_MAX, {}, {}};
    for (const LayerId layer : layers) table.heads.push_back(model.layers[static_cast<size_t>(layer)].name);
    table.heads.insert(table.heads.end(), {"formation", "Cut/fill"});
    for (size_t i = 0; i < set.size(); ++i) {
        std::vector<std::string> row{fmt::format("{}", i + 1), reading(set[i].ground),
                                     reading(set[i].finish)};
        for (const LayerId layer : layers) {
            const auto& all = set[i].layers;
            const auto one =
                std::find_if(all.begin(), all.end(), [&](const StakeLayer& l) { return l.layer == layer; });
            row.push_back(one == all.end() ? "" : reading(one->top));
        }
        row.insert(row.end(), {reading(set[i].formation), cutOrFill(set[i].cut(), show)});
        table.add(std::move(row), markOf(set[i], i + 1, false));
    }
    page.add(std::move(table));
    page.say(
        fmt::format("Line of sight at {}. A reading with the rod on the top wanted; cut or fill is the "
                    "formation's reading less the ground's.",
                    formatLength(instrument, rod)));
    if (hidden) page.say("A reading below 0 lies above the line of sight: set the level up higher.");
}

void stringsPart(Page& page, const Model& model, const std::vector<StringRun>& runs) {
    const LengthFormat& show = model.plan.show;
    for (const StringRun& run : runs) {
        PageMark mark, bend;
        mark.lines = {{run.from, run.to}};
        mark.always = true;
        bend.points = {run.offAt};
        page.say(fmt::format("String from {} at {} to {} at {}, {} long.",
                             stationPlace(model, run.from, StationFor::Set),
                             formatLength(run.fromHeight, show), stationPlace(model, run.to, StationFor::Set),
                             formatLength(run.toHeight, show), formatLength(run.length, show)),
                 mark);
        page.say(std::abs(run.fall()) <= tolerance::lengthCompare
                     ? std::string("It is level.")
                     : fmt::format("Tie it level at the start, then {} the far end by {}: {}.",
                                   run.fall() > 0 ? "lower" : "raise",
                                   formatThickness(std::abs(run.fall()), show),
                                   formatSlope(std::abs(run.fall()) / run.length, show)));
        if (std::abs(run.off) > tolerance::lengthCompare)
            page.say(fmt::format(
                         "The finish bends along it: it lies {} {} the string at {}. Set a stake there and "
                         "run two strings.",
                         formatThickness(std::abs(run.off), show), run.off > 0 ? "above" : "below",
                         stationPlace(model, run.offAt, StationFor::Set)),
                     bend);
    }
}

/// Least and greatest, or the one number where both read the same.
std::string range(double least, double greatest, const LengthFormat& show) {
    const std::string a = formatThickness(least, show), b = formatThickness(greatest, show);
    return a == b ? a : a + " to " + b;
}

PageTable railsTable(const Model& model, const std::vector<Rail>& rails) {
    const LengthFormat& show = model.plan.show;
    PageTable table{
        {"Rail", "Length", "Station", "Offset", "Top", "Bed under it", "On the base, finish off by"},
        SIZE_MAX,
        {6},
        {}};
    for (const Rail& rail : rails) {
        const std::string& area = model.plan.areas[static_cast<size_t>(rail.area)].name;
        PageMark mark;
        mark.lines.emplace_back();
        for (const RailPoint& point : rail.points) mark.lines.back().push_back(point.at);
        mark.label = fmt::format("{}", rail.number);
        mark.always = true;
        for (size_t i = 0; i < rail.points.size(); ++i) {
            const glm::dvec2 so = model.stationOffset(rail.points[i].at);
            const std::string station = formatStation(so.x, show, StationFor::Set),
                              offset = formatLength(so.y, show),
                              top = formatLength(rail.points[i].height, show);
            PageMark end;
            end.points = {rail.points[i].at};
            if (i > 0)
                table.addSub({"", "", station, offset, top, "", ""}, end);
            else
                table.add({fmt::format("{}, {}", area, rail.number), formatLength(rail.length, show), station,
                           offset, top, range(rail.bedLeast, rail.bedGreatest, show),
                           range(rail.finishLow(), rail.finishHigh(), show)},
                          mark);
        }
    }
    return table;
}

void railsPart(Page& page, const Model& model, const ScreedRails& all) {
    const LengthFormat& show = model.plan.show;
    if (all.rails.empty()) return page.say("There is no bedding to screed.");
    page.add(railsTable(model, all.rails));
    page.say(
        "Top is where the bed is struck off. Set to it, a rail leaves the bed under it as told; laid on "
        "the base with an even bed, it carries the base's errors to the finish, above (+) or below (-) "
        "its design.");
    const double bend = loadCatalogue(model.plan).limit("rail.bend").value + tolerance::lengthCompare;
    for (const Bay& bay : all.bays) {
        PageMark mark;
        std::string text =
            fmt::format("{}, rails {} to {}: {} apart.", model.plan.areas[static_cast<size_t>(bay.area)].name,
                        bay.rail, bay.rail + 1, formatLength(bay.width, show));
        if (std::abs(bay.bend) > bend) {
            text += fmt::format(" The bed's top lies {} {} a straight board at {}: lay a rail there too.",
                                formatThickness(std::abs(bay.bend), show), bay.bend > 0 ? "above" : "below",
                                stationPlace(model, bay.bendAt, StationFor::Set));
            mark.points = {bay.bendAt};
        }
        page.say(std::move(text), mark);
    }
}

}  // namespace

Page stakesPage(const Model& model, const StakesAnswer& answer) {
    Page page;
    if (!answer.stakes.empty()) page.gap(), stakesPart(page, model, answer.stakes);
    if (!answer.stakes.empty() && answer.instrument)
        page.gap(), rodPart(page, model, answer.stakes, *answer.instrument);
    if (!answer.strings.empty()) page.gap(), stringsPart(page, model, answer.strings);
    if (answer.rails) page.gap(), railsPart(page, model, *answer.rails);
    return page;
}

}  // namespace underfoot
