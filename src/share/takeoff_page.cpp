#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "measure/mass.h"
#include "measure/number.h"
#include "measure/words.h"
#include "model/model.h"
#include "plan/plan.h"
#include "share/page.h"
#include "share/takeoff_tables.h"
#include "study/takeoff.h"
#include "study/takeoff_layouts.h"

namespace underfoot {

namespace {

std::string inPlaceText(const TakeoffRow& row, double amount, const LengthFormat& show) {
    switch (row.measure) {
        case Measure::Volume:
            return formatVolume(amount, show);
        case Measure::Area:
            return formatArea(amount, show);
        case Measure::Length:
            return formatLength(amount, show);
        case Measure::Count:
            break;
    }
    return formatAmount(amount);
}

bool isPrice(const TakeoffRow& row) {
    return row.price.has_value();
}

std::string loadsText(const std::optional<TakeoffLoads>& loads) {
    return loads && loads->loads > 0 ? fmt::format("{}", loads->loads) : "";
}

PageTable amountsTable(const Model& model, const Takeoff& takeoff) {
    const LengthFormat& show = model.plan.show;
    const bool dig = std::any_of(takeoff.rows.begin(), takeoff.rows.end(),
                                 [](const TakeoffRow& row) { return row.onHand > 0; });
    const bool priced = std::any_of(takeoff.rows.begin(), takeoff.rows.end(), isPrice);
    PageTable table;
    const auto head = [&table](const char* words, bool detail = false) {
        if (detail) table.detail.push_back(table.heads.size());
        table.heads.emplace_back(words);
    };
    head("Material"), head("In place");
    if (dig) head("From the dig", true);
    head("Waste", true), head("Buy"), head("Weight"), head("By truck", true), head("By barrow", true);
    if (priced) head("Price", true), head("Cost");
    for (const TakeoffRow& row : takeoff.rows) {
        std::vector<std::string> cells{row.title, inPlaceText(row, row.inPlace, show)};
        if (dig) cells.push_back(row.onHand > 0 ? inPlaceText(row, row.onHand, show) : "");
        cells.push_back(row.waste > 0 ? fmt::format("{:g} %", 100 * row.waste) : "");
        cells.push_back(row.bought > 0 ? saleText(row.bought, row.unit) : "none");
        cells.push_back(row.bought > 0 ? formatMass(row.mass, show) : "");
        cells.push_back(loadsText(row.truck));
        cells.push_back(loadsText(row.barrow));
        if (priced) {
            cells.push_back(row.price ? formatPrice(*row.price) : "");
            cells.push_back(row.cost ? formatMoney(*row.cost) : "");
        }
        table.add(std::move(cells));
    }
    return table;
}

std::string listed(const std::vector<std::string>& names) {
    std::string out;
    for (size_t i = 0; i < names.size(); ++i)
        out += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + names[i];
    return out;
}

const TakeoffRow* rowOf(const Takeoff& takeoff, const std::string& item) {
    for (const TakeoffRow& row : takeoff.rows)
        if (row.item == item) return &row;
    return nullptr;
}

void totalPart(Page& page, const Takeoff& takeoff) {
    if (!takeoff.total) return;
    page.gap();
    page.say(fmt::format("Total: {} {}.", formatMoney(*takeoff.total), takeoff.currency));
    std::vector<std::string> titles;
    for (const std::string& item : takeoff.notPriced) titles.push_back(rowOf(takeoff, item)->title);
    if (titles.empty())
        page.say("Everything above has its price.");
    else
        page.say("Without a price, so not in the total: " + listed(titles) + ".");
}

void deliveryPart(Page& page, const Model& model, const Takeoff& takeoff) {
    const LengthFormat& show = model.plan.show;
    const bool yards = show.style != LengthStyle::Metres;
    page.gap();
    for (const Carrier* carrier : {&takeoff.truck, &takeoff.barrow})
        page.say(fmt::format("By {}: {}, {} loose or {}, whichever is reached first ({}).", carrier->kind,
                             carrier->name,
                             formatVolume(carrier->holds, show, yards && carrier == &takeoff.truck),
                             formatMass(carrier->carries, show), carrier->source));
    page.say(fmt::format("What is not loose weighs {} together, {} truckload{}; all together weighs {}.",
                         formatMass(takeoff.piecesMass, show), takeoff.pieceLoads,
                         takeoff.pieceLoads == 1 ? "" : "s", formatMass(takeoff.mass, show)));
}

void fabricPart(Page& page, const Model& model, const FabricLayout& layout) {
    const LengthFormat& show = model.plan.show;
    page.gap();
    page.say(fmt::format("Strips of the layer {}: {} of them, {} wide, lapping by {}, {} in all, from {}.",
                         model.layers[static_cast<size_t>(layout.layer)].name, layout.strips.size(),
                         formatLength(layout.roll.width, show), formatThickness(layout.overlap, show),
                         formatLength(layout.length, show), saleText(layout.rolls, SaleUnit::Roll)));
    PageTable table{{"Strip", "Length", "From roll", "Begins at", "Ends at"}, 3, {}, {}};
    for (size_t i = 0; i < layout.strips.size(); ++i) {
        const FabricStrip& strip = layout.strips[i];
        PageMark mark;
        mark.rings = {{strip.corner.begin(), strip.corner.end()}};
        mark.layer = layout.layer;
        table.add(
            {fmt::format("{}", i + 1), formatLength(strip.length, show), fmt::format("{}", strip.roll + 1),
             stationPlace(model, strip.corner[0]), stationPlace(model, strip.corner[1])},
            std::move(mark));
    }
    page.add(std::move(table));
    page.say(whereStripsLie);
}

void panelPart(Page& page, const Model& model, const PanelLayout& layout) {
    const LengthFormat& show = model.plan.show;
    page.gap();
    PageMark mark;
    mark.rings = layout.pieces;
    mark.layer = layout.layer;
    page.say(
        fmt::format(
            "Panels of the layer {}, {} x {}: {} whole and {} cut pieces from {} more, in courses {} the "
            "baseline, from the first corner of their area, joints half a panel apart.",
            model.layers[static_cast<size_t>(layout.layer)].name, formatThickness(layout.panel.length, show),
            formatThickness(layout.panel.width, show), layout.whole, layout.cut, layout.sawnFrom,
            layout.alongBaseline ? "along" : "square to"),
        std::move(mark));
}

void edgingPart(Page& page, const Model& model, const Takeoff& takeoff) {
    if (takeoff.edging.empty()) return;
    page.gap();
    PageTable table{{"Edging of", "Run", "Joints"}, SIZE_MAX, {}, {}};
    for (const EdgingRun& run : takeoff.edging)
        table.add({model.plan.areas[static_cast<size_t>(run.area)].name,
                   formatLength(run.length, model.plan.show), fmt::format("{}", run.joints)});
    page.add(std::move(table));
}

std::string lower(std::string text) {
    for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    return text;
}

void explainRow(Page& page, const TakeoffRow& row) {
    page.gap();
    page.heading(row.title);
    page.say(fmt::format("Layers: {}. Areas: {}.", listed(row.layers), listed(row.areas)));
    for (const Explanation& why : row.why) {
        page.gap();
        page.say(capitalised(why.of) + ": " + why.rule);
        PageTable table{{"From", "Value", "Source"}, 2, {}, {}};
        for (const TakeoffInput& input : why.inputs) table.add({input.name, inputText(input), input.source});
        page.add(std::move(table));
    }
    page.gap();
    page.say(fmt::format("Bought: {}.", saleText(row.bought, row.unit)));
}

}  // namespace

std::string formatMoney(double amount) {
    return grouped(fmt::format("{:.2f}", amount));
}

std::string formatPrice(double price) {
    constexpr int most = 6;
    int decimals = 2;
    for (double tens = 100; decimals < most && std::abs(std::round(price * tens) / tens - price) > 1e-9;
         tens *= 10)
        ++decimals;
    return grouped(fmt::format("{:.{}f}", price, decimals));
}

std::string formatAmount(double amount) {
    std::string out = formatMoney(amount);
    while (out.back() == '0') out.pop_back();
    if (out.back() == '.') out.pop_back();
    return out;
}

std::string saleText(double amount, SaleUnit unit) {
    return formatAmount(amount) + ' ' + saleWord(unit, amount != 1);
}

std::string inputText(const TakeoffInput& input) {
    const double size = std::abs(input.value);
    const std::string value =
        size != 0 && size < 10 ? fmt::format("{:.4g}", input.value) : formatAmount(input.value);
    return input.unit.empty() ? value : value + ' ' + input.unit;
}

std::string itemNames(const Takeoff& takeoff) {
    std::string out;
    for (const TakeoffRow& row : takeoff.rows) out += (out.empty() ? "" : "; ") + row.title;
    return out;
}

Page takeoffPage(const Model& model, const Takeoff& takeoff) {
    Page page;
    if (takeoff.rows.empty()) {
        page.say("Nothing is bought: the plan's layers hold no material.");
        return page;
    }
    page.gap();
    page.add(amountsTable(model, takeoff));
    totalPart(page, takeoff);
    deliveryPart(page, model, takeoff);
    for (const FabricLayout& layout : takeoff.fabrics) fabricPart(page, model, layout);
    for (const PanelLayout& layout : takeoff.panels) panelPart(page, model, layout);
    edgingPart(page, model, takeoff);
    if (!takeoff.notes.empty()) page.gap();
    for (const std::string& note : takeoff.notes) page.say(note);
    return page;
}

std::optional<Page> whyPage(const Takeoff& takeoff, const std::string& item) {
    const std::string wanted = lower(item);
    const auto isWanted = [&](const TakeoffRow& row) {
        return lower(row.item) == wanted || lower(row.title) == wanted;
    };
    const auto mentions = [&](const TakeoffRow& row) {
        return lower(row.item).find(wanted) != std::string::npos ||
               lower(row.title).find(wanted) != std::string::npos;
    };
    const bool exact = std::any_of(takeoff.rows.begin(), takeoff.rows.end(), isWanted);
    Page page;
    bool any = false;
    for (const TakeoffRow& row : takeoff.rows) {
        if (wanted != "all" && !(exact ? isWanted(row) : mentions(row))) continue;
        explainRow(page, row);
        any = true;
    }
    if (!any) return std::nullopt;
    return page;
}

}  // namespace underfoot
