#include "share/compare_tables.h"

#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "measure/mass.h"
#include "measure/number.h"
#include "measure/slope.h"
#include "share/csv.h"
#include "share/json_words.h"
#include "share/takeoff_tables.h"
#include "study/findings.h"

namespace underfoot {
namespace {

using Json = JsonWords::Json;

const char* unitWord(FigureUnit unit) {
    switch (unit) {
        case FigureUnit::Length:
        case FigureUnit::Thickness:
            return "m";
        case FigureUnit::Volume:
            return "m3";
        case FigureUnit::Mass:
            return "kg";
        case FigureUnit::Slope:
            return "slope";
        case FigureUnit::Money:
            return "money";
        case FigureUnit::Count:
            break;
    }
    return "count";
}

const char* betterWord(Better better) {
    return better == Better::Less ? "less" : better == Better::More ? "more" : "";
}

Json maybe(const std::optional<double>& value) {
    return value ? JsonWords::number(*value) : Json(nullptr);
}

Json sentences(const std::vector<Finding>& findings) {
    Json all = Json::array();
    for (const Finding& one : findings) all.push_back(one.what);
    return all;
}

Json balanceJson(const JsonWords& words, const BalanceSearch& search) {
    return {{"found", search.found},
            {"raise", words.length(search.raise)},
            {"surplus", words.volume(search.surplus)},
            {"cut", words.volume(search.cut)},
            {"fill", words.volume(search.fill)},
            {"low", words.length(search.bounds.low)},
            {"low_by", search.bounds.lowBy},
            {"high", words.length(search.bounds.high)},
            {"high_by", search.bounds.highBy},
            {"surplus_at_low", words.volume(search.surplusAtLow)},
            {"surplus_at_high", words.volume(search.surplusAtHigh)},
            {"tolerance_m", balanceTolerance},
            {"steps", search.steps},
            {"why", search.why}};
}

Json fallJson(const FallSearch& search, const LengthFormat& show) {
    return {{"found", search.found},
            {"fall", search.fall},
            {"text", formatSlope(search.fall, show)},
            {"greatest", JsonWords::number(search.greatest)},
            {"breaks_below", search.faults},
            {"over", search.over},
            {"steps", search.steps},
            {"why", search.why}};
}

}  // namespace

std::string figureText(const Figure& figure, const std::optional<double>& value, const LengthFormat& show) {
    if (!value) return "-";
    switch (figure.unit) {
        case FigureUnit::Length:
            return formatLength(*value, show);
        case FigureUnit::Thickness:
            return formatThickness(*value, show);
        case FigureUnit::Volume:
            return formatVolume(*value, show);
        case FigureUnit::Mass:
            return formatMass(*value, show);
        case FigureUnit::Slope:
            return formatPercent(*value);
        case FigureUnit::Money:
            return formatMoney(*value);
        case FigureUnit::Count:
            break;
    }
    return grouped(fmt::format("{:.0f}", *value));
}

std::string differenceText(const Figure& figure, size_t design, const LengthFormat& show) {
    const auto difference = figure.difference(design);
    if (!difference) return "";
    const char* sign = *difference < 0 ? "-" : "+";
    if (figure.unit == FigureUnit::Slope) {
        const std::string percent = formatPercent(std::abs(*difference));
        return percent == "0.00 %" ? "" : sign + percent;
    }
    const std::string text = figureText(figure, std::abs(*difference), show);
    if (text == figureText(figure, 0.0, show)) return "";
    return sign + text;
}

std::string compareCsv(const CompareAnswer& answer) {
    CsvTable table({"figure", "title", "design", "value", "unit", "difference", "better"});
    for (const Figure& figure : answer.report.figures)
        for (size_t d = 0; d < answer.report.names.size(); ++d) {
            const auto text = [](const std::optional<double>& v) {
                return v ? csvNumber(*v) : std::string();
            };
            table.add({figure.key, figure.title, answer.report.names[d], text(figure.values[d]),
                       unitWord(figure.unit), text(figure.difference(d)), betterWord(figure.better)});
        }
    return table.text();
}

std::string compareJson(const Model& model, const CompareAnswer& answer) {
    const JsonWords words(model);
    const LengthFormat& show = model.plan.show;
    Json root = words.answer();
    root["designs"] = answer.report.names;
    root["figures"] = Json::array();
    for (const Figure& figure : answer.report.figures) {
        Json values = Json::array(), texts = Json::array(), differences = Json::array(),
             changes = Json::array();
        for (size_t d = 0; d < figure.values.size(); ++d) {
            values.push_back(maybe(figure.values[d]));
            texts.push_back(figureText(figure, figure.values[d], show));
            differences.push_back(maybe(figure.difference(d)));
            changes.push_back(differenceText(figure, d, show));
        }
        const std::string better = betterWord(figure.better);
        root["figures"].push_back({{"key", figure.key},
                                   {"title", figure.title},
                                   {"unit", unitWord(figure.unit)},
                                   {"better", better.empty() ? Json(nullptr) : Json(better)},
                                   {"values", std::move(values)},
                                   {"texts", std::move(texts)},
                                   {"differences", std::move(differences)},
                                   {"difference_texts", std::move(changes)}});
    }
    root["findings"] = Json::array();
    for (size_t d = 0; d < answer.report.names.size(); ++d) {
        const DesignFindings& found = answer.report.findings[d];
        root["findings"].push_back({{"design", answer.report.names[d]},
                                    {"count", found.all.size()},
                                    {"added", sentences(found.added)},
                                    {"gone", sentences(found.gone)}});
    }
    root["balance"] = answer.balance ? balanceJson(words, *answer.balance) : Json(nullptr);
    root["least_fall"] = answer.leastFall ? fallJson(*answer.leastFall, show) : Json(nullptr);
    root["notes"] = answer.notes;
    return JsonWords::text(root);
}

}  // namespace underfoot
