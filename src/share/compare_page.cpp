#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "plan/plan.h"
#include "share/compare_tables.h"
#include "share/page.h"
#include "study/compare.h"
#include "study/findings.h"
#include "study/search_finish.h"

namespace underfoot {
namespace {

PageTable figuresTable(const CompareReport& report, const LengthFormat& show) {
    PageTable table{{"Figure"}, SIZE_MAX, {}, {}};
    for (size_t d = 0; d < report.names.size(); ++d) {
        table.heads.push_back(report.names[d]);
        if (d == 0) continue;
        table.detail.push_back(table.heads.size());
        table.heads.push_back(report.names[d] + " +/-");
    }
    for (const Figure& figure : report.figures) {
        const bool nothing = std::all_of(figure.values.begin(), figure.values.end(),
                                         [](const auto& v) { return !v || *v == 0; });
        if (nothing && figure.key != "findings") continue;
        std::vector<std::string> row{figure.title};
        for (size_t d = 0; d < report.names.size(); ++d) {
            row.push_back(figureText(figure, figure.values[d], show));
            if (d > 0) row.push_back(differenceText(figure, d, show));
        }
        table.add(std::move(row));
    }
    return table;
}

void listOf(Page& page, const std::string& head, const std::vector<Finding>& findings) {
    if (findings.empty()) return;
    page.gap();
    page.say(head);
    for (const Finding& one : findings) {
        PageMark mark;
        mark.points = {one.at};
        page.say("  " + one.what, std::move(mark));
    }
}

void findingsPart(Page& page, const CompareReport& report) {
    for (size_t d = 1; d < report.names.size(); ++d) {
        listOf(page, fmt::format("To look at in \"{}\" besides:", report.names[d]), report.findings[d].added);
        listOf(page, fmt::format("No longer to look at in \"{}\":", report.names[d]),
               report.findings[d].gone);
    }
}

void balancePart(Page& page, const BalanceSearch& search, const Plan& plan) {
    const LengthFormat& show = plan.show;
    page.say(search.why);
    const RaiseBounds& bounds = search.bounds;
    if (search.steps == 0) return;
    if (bounds.low <= bounds.high) {
        const auto moved = [&](double by) {
            return fmt::format("{} {}", formatLength(std::abs(by), show), by < 0 ? "lower" : "higher");
        };
        page.say(fmt::format("Looked for from {} ({}) to {} ({}).", moved(bounds.low), bounds.lowBy,
                             moved(bounds.high), bounds.highBy));
    }
    if (!plan.ground.cutAsFill)
        page.say(
            "The plan doesn't say that the cut may be used as fill, so that below both are still hauled. "
            "Write cut_as_fill = true under [ground] where the soil is fit for it.");
}

void fallPart(Page& page, const FallSearch& search) {
    page.say(search.why);
    if (!search.faults.empty()) page.say(search.found ? "With less:" : "Even then:");
    for (const std::string& fault : search.faults) page.say("  " + fault);
    for (const std::string& over : search.over) page.say(over);
}

}  // namespace

Page comparePage(const CompareAnswer& answer, const Plan& plan) {
    Page page;
    if (answer.balance) {
        balancePart(page, *answer.balance, plan);
        page.gap();
    }
    if (answer.leastFall) {
        fallPart(page, *answer.leastFall);
        page.gap();
    }
    page.add(figuresTable(answer.report, plan.show));
    findingsPart(page, answer.report);
    if (!answer.notes.empty()) page.gap();
    for (const std::string& note : answer.notes) page.say(note);
    return page;
}

}  // namespace underfoot
