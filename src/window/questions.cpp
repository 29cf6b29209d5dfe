#include "window/questions.h"

#include <utility>

#include "share/cautions_page.h"
#include "share/earthwork_tables.h"
#include "share/placed_tables.h"
#include "share/stakes_tables.h"
#include "share/units_tables.h"
#include "share/water_tables.h"

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
    const EarthworkAnswer answer{earthBalance(model, ask.catalogue), cutToFillLines(model),
                                 liftsToPlace(model, ask.catalogue), std::nullopt};
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

Sentence<StakesAnswer> setOut(const Model& model, const AskOptions& options) {
    const double spacing = options.spacing > 0 ? options.spacing : usualSpacing(model.plan, options.setOut);
    StakesAnswer answer;
    if (options.setOut == SetOut::Rails) {
        auto rails = screedRails(model, spacing);
        if (!rails) return tl::unexpected(rails.error());
        answer.rails = std::move(*rails);
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
    const UnitsReport report = unitsReport(*ask.model, ask.catalogue);
    return {ask.question, unitsPage(*ask.model, report, {}, {true, true, false}),
            unitsCsv(*ask.model, report), ask.number};
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
        case Question::Cautions:
            return {ask.question, cautionsToRead(cautionsPage(*ask.model, ask.catalogue)), {}, ask.number};
        case Question::None:
            break;
    }
    return {ask.question, {}, {}, ask.number};
}

}  // namespace underfoot
