#include "window/questions.h"

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <tl/expected.hpp>

#include "measure/diagnostic.h"
#include "measure/length.h"
#include "plan/comparison.h"
#include "share/cautions_page.h"
#include "share/compare_tables.h"
#include "share/earthwork_tables.h"
#include "share/placed_tables.h"
#include "share/stakes_tables.h"
#include "share/takeoff_tables.h"
#include "share/units_tables.h"
#include "share/water_tables.h"
#include "study/cautions.h"
#include "study/compare.h"
#include "study/drains.h"
#include "study/earthwork.h"
#include "study/end_areas.h"
#include "study/placed.h"
#include "study/search_finish.h"
#include "study/stakes.h"
#include "study/start_line.h"
#include "study/takeoff.h"
#include "study/units.h"
#include "study/water.h"

namespace underfoot {

const char* questionName(Question question) {
    switch (question) {
        case Question::None:
            return "";
        case Question::Earthwork:
            return "What to dig";
        case Question::Strings:
            return "Strings";
        case Question::Placed:
            return "As placed";
        case Question::Water:
            return "Water";
        case Question::Units:
            return "Units";
        case Question::Buy:
            return "What to buy";
        case Question::Compare:
            return "Compare";
        case Question::Cautions:
            return "Cautions";
    }
    return "";
}

const char* setOutName(SetOut what) {
    switch (what) {
        case SetOut::Corners:
            return "Corners";
        case SetOut::Edges:
            return "Edges";
        case SetOut::Grid:
            return "Grid";
        case SetOut::Cuts:
            return "Cuts";
        case SetOut::Sides:
            return "Sides";
        case SetOut::Rails:
            return "Rails";
    }
    return "";
}

double usualSpacing(const Plan& plan, SetOut what) {
    const bool metric = plan.show.style == LengthStyle::Metres;
    if (what == SetOut::Rails) return metric ? 2.5 : 8 * metresPerFoot;
    return metric ? 1.5 : 5 * metresPerFoot;
}

namespace {

Told earthworkTold(const Ask& ask) {
    const Model& model = *ask.model;
    EarthworkAnswer answer{earthBalance(model, ask.catalogue), cutToFillLines(model),
                           liftsToPlace(model, ask.catalogue), std::nullopt};
    const double apart =
        ask.options.stations > 0 ? ask.options.stations : usualSpacing(model.plan, SetOut::Grid);
    if (auto areas = endAreas(model, apart)) answer.endAreas = std::move(*areas);
    return {ask.question, earthworkPage(model, answer), earthworkCsv(model, answer), ask.number};
}

Sentence<std::vector<StakePoint>> stakePoints(const Model& model, const AskOptions& options, double spacing) {
    switch (options.setOut) {
        case SetOut::Edges:
            return edgePoints(model, spacing);
        case SetOut::Grid:
            return gridPoints(model, spacing);
        case SetOut::Cuts:
            return cutPoints(model, spacing);
        default:
            return cornerPoints(model);
    }
}

/// Arcs have none: a string does not go round.
std::vector<StringRun> sideStrings(const Model& model, double above) {
    std::vector<StringRun> runs;
    for (const Area& area : model.plan.areas) {
        glm::dvec2 from = area.outline.start;
        for (const OutlineEdge& edge : area.outline.edges) {
            if (!edge.through)
                if (auto run = stringRun(model, model.toLocal(from), model.toLocal(edge.to), above))
                    runs.push_back(*run);
            from = edge.to;
        }
    }
    return runs;
}

Sentence<StakesAnswer> setOut(const Model& model, const AskOptions& options) {
    const double spacing = options.spacing > 0 ? options.spacing : usualSpacing(model.plan, options.setOut);
    StakesAnswer answer;
    if (options.setOut == SetOut::Rails) {
        auto rails = screedRails(model, spacing);
        if (!rails) return tl::unexpected(rails.error());
        answer.rails = std::move(*rails);
        return answer;
    }
    if (options.setOut == SetOut::Sides) {
        answer.strings = sideStrings(model, options.above);
        return answer;
    }
    const auto points = stakePoints(model, options, spacing);
    if (!points) return tl::unexpected(points.error());
    answer.stakes = stakes(model, *points, options.above);
    if (answer.stakes.empty())
        return tl::unexpected(std::string("No place asked for lies inside the areas."));
    return answer;
}

/// Stakes go by the design, rails by what was placed.
std::shared_ptr<const Model> modelFor(const Ask& ask) {
    const Plan& plan = ask.model->plan;
    if (ask.options.setOut == SetOut::Rails || plan.measuredTops.empty()) return ask.model;
    Plan designed = plan;
    designed.measuredTops.clear();
    Checked<Model> model = buildModel(designed);
    return model ? std::make_shared<const Model>(std::move(*model)) : ask.model;
}

Told stringsTold(const Ask& ask) {
    const std::shared_ptr<const Model> model = modelFor(ask);
    const Sentence<StakesAnswer> answer = setOut(*model, ask.options);
    Told told{ask.question, {}, {}, ask.number};
    if (!answer) {
        told.page.say(answer.error());
        return told;
    }
    told.page = stakesPage(*model, *answer);
    told.csv = stakesCsv(*model, *answer);
    return told;
}

Told placedTold(const Ask& ask) {
    const Placed all = placed(*ask.model, ask.catalogue);
    return {ask.question, placedPage(*ask.model, all), placedCsv(*ask.model, all), ask.number};
}

Told waterTold(const Ask& ask) {
    const WaterAnswer answer{
        waterReport(*ask.model, ask.catalogue, ask.options.waterOn, {}, ask.options.waterFrom),
        pipeReports(*ask.model)};
    return {ask.question, waterPage(*ask.model, answer, 500), waterCsv(*ask.model, answer.report),
            ask.number};
}

Told unitsTold(const Ask& ask) {
    const Model& model = *ask.model;
    const UnitsReport report = unitsReport(model, ask.catalogue);
    StartLines starts;
    StartLineWish wish;
    wish.symmetrical = ask.options.symmetrical;
    std::vector<std::string> none;
    for (size_t i = 0; ask.options.startLine && i < model.plan.areas.size(); ++i) {
        if (!model.plan.areas[i].units) continue;
        if (auto line = startLine(model, ask.catalogue, static_cast<int>(i), wish))
            starts.emplace_back(static_cast<int>(i), std::move(*line));
        else
            none.push_back("No start line for \"" + model.plan.areas[i].name + "\": " + line.error());
    }
    // What was looked for is not to be sought below long lists.
    const UnitLists lists{!ask.options.startLine, !ask.options.startLine, false};
    Told told{ask.question, unitsPage(model, report, starts, lists), unitsCsv(model, report), ask.number};
    for (std::string& sentence : none) told.page.say(std::move(sentence));
    return told;
}

Told buyTold(const Ask& ask) {
    const Takeoff all = takeoff(*ask.model, ask.catalogue);
    auto why = ask.options.why.empty() ? std::nullopt : whyPage(all, ask.options.why);
    return {ask.question, why ? std::move(*why) : takeoffPage(*ask.model, all), takeoffCsv(all), ask.number};
}

/// Designs by name, as plans.
using NamedPlans = std::vector<std::pair<std::string, Plan>>;

/// What is looked for, as designs too where it is found.
void search(const Ask& ask, const Comparison& comparison, CompareAnswer& answer, NamedPlans& plans) {
    const Plan plan = plans.front().second;
    const auto add = [&](const Variant& variant) {
        if (auto other = withVariant(plan, variant, comparison.buildUps))
            plans.emplace_back(variant.name, std::move(*other));
    };
    const auto say = [&](const Diagnostics& faults) {
        for (const Diagnostic& fault : faults) answer.notes.push_back(fault.what + " " + fault.remedy);
    };
    const Checked<Model> model = ask.options.balance ? buildModel(plan) : Checked<Model>(Model{});
    if (!model) say(model.error());
    if (ask.options.balance && model) {
        auto found =
            balanceCutAndFill(plan, ask.catalogue, raiseBounds(*model, ask.catalogue, comparison.sills));
        if (!found) say(found.error());
        if (found) answer.balance = std::move(*found);
        Variant variant;
        variant.name = "balanced";
        if (answer.balance) variant.raise = answer.balance->raise;
        if (answer.balance && answer.balance->found) add(variant);
    }
    if (!ask.options.leastFall) return;
    auto found = leastFall(plan, ask.catalogue);
    if (!found) return say(found.error());
    answer.leastFall = std::move(*found);
    Variant variant;
    variant.name = "least fall";
    variant.fall = answer.leastFall->fall;
    if (answer.leastFall->found) add(variant);
}

/// The plan, what the window shows where that is a what-if, its variants, and what is looked for.
Told compareTold(const Ask& ask) {
    const Plan plan = asDesigned((ask.planned ? ask.planned : ask.model)->plan);
    Told told{ask.question, {}, {}, ask.number};
    const auto read = readComparison(plan);
    const Comparison comparison = read ? *read : Comparison{};
    NamedPlans plans{{"as planned", plan}};
    if (ask.planned) plans.emplace_back("as shown", asDesigned(ask.model->plan));
    for (const Variant& variant : comparison.variants)
        if (auto other = withVariant(plan, variant, comparison.buildUps))
            plans.emplace_back(variant.name, std::move(*other));
    CompareAnswer answer;
    search(ask, comparison, answer, plans);
    std::vector<std::pair<std::string, Model>> models;
    for (const auto& [name, one] : plans)
        if (Checked<Model> model = buildModel(one)) models.emplace_back(name, std::move(*model));
    if (models.size() < 2 && !answer.balance && !answer.leastFall) {
        told.page.say(
            "There is nothing to compare with: raise or lower the finish here, or write [[variant]] in the "
            "plan.");
        for (std::string& note : answer.notes) told.page.say(std::move(note));
        return told;
    }
    std::vector<Design> designs;
    designs.reserve(models.size());
    for (const auto& [name, model] : models) designs.push_back({name, &model});
    answer.report = compareDesigns(designs, comparison.sills);
    answer.notes.insert(answer.notes.begin(), answer.report.notes.begin(), answer.report.notes.end());
    if (!ask.model->plan.measuredTops.empty())
        answer.notes.push_back("Designs are compared: what was measured on placed layers is left out.");
    told.page = comparePage(answer, plan);
    told.csv = compareCsv(answer);
    return told;
}

}  // namespace

Told tell(const Ask& ask) {
    switch (ask.question) {
        case Question::Earthwork:
            return earthworkTold(ask);
        case Question::Strings:
            return stringsTold(ask);
        case Question::Placed:
            return placedTold(ask);
        case Question::Water:
            return waterTold(ask);
        case Question::Units:
            return unitsTold(ask);
        case Question::Buy:
            return buyTold(ask);
        case Question::Compare:
            return compareTold(ask);
        case Question::Cautions:
            return {ask.question, cautionsToRead(cautionsPage(*ask.model, ask.catalogue)), {}, ask.number};
        case Question::None:
            break;
    }
    return {ask.question, {}, {}, ask.number};
}

}  // namespace underfoot
