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
#include "measure/words.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/earthwork_tables.h"
#include "share/page.h"
#include "study/earthwork.h"
#include "study/end_areas.h"

namespace underfoot {

namespace {

/// A volume as it is ordered and hauled: in yards where feet are shown, with the feet beside it.
std::string hauled(double volume, const LengthFormat& show) {
    if (show.style == LengthStyle::Metres) return formatVolume(volume, show);
    return fmt::format("{} ({})", formatVolume(volume, show, true), formatVolume(volume, show));
}

PageTable amountsTable(const EarthBalance& b, const LengthFormat& show) {
    PageTable table{{"Earth", "In place", "Loose", "Compacted"}, SIZE_MAX, {}, {}};
    const auto add = [&](const char* what, const EarthState& s) {
        table.add({what, volumeOrTrace(s.inPlace, show), volumeOrTrace(s.loose, show), ""});
    };
    add("sod and topsoil taken off", b.strip);
    add("cut below that", b.cut);
    table.add({"fill", "", "", volumeOrTrace(b.fill, show)});
    table.add({"soil put back beside the edge", "", "", volumeOrTrace(b.backfill, show)});
    return table;
}

void haul(Page& page, const EarthBalance& b, const LengthFormat& show) {
    if (b.cutUsed > 0)
        page.say(fmt::format("Of the cut, {} in place goes into the fill: {} compacted.",
                             volumeOrTrace(b.cutUsed, show),
                             volumeOrTrace(b.cutUsed * b.soil.compacted, show)));
    PageTable table{{"Haul, loose", "Volume"}, SIZE_MAX, {}, {}};
    const auto out = [&](const char* what, double loose) {
        if (formatVolume(loose, show) != formatVolume(0, show)) table.add({what, hauled(loose, show)});
    };
    out("out: sod and topsoil", b.stripLeft.loose);
    out("out: cut", b.cutLeft.loose);
    if (table.rows.empty()) table.add({"out", "nothing"});
    for (const HauledIn& one : b.hauledIn) table.add({"in: " + one.material, hauled(one.loose, show)});
    if (b.hauledIn.empty()) table.add({"in", "nothing"});
    page.add(std::move(table));
}

void notes(Page& page, const EarthBalance& b) {
    for (const std::string& sentence : b.assumptions) page.say(sentence);
    for (const HauledIn& one : b.hauledIn)
        page.say(fmt::format("{} comes {:.2f} times as large as it lies compacted ({}).",
                             capitalised(one.material), one.loose / one.compacted, one.source));
}

/// Off a straight line between its neighbours a corner of a line on the ground is told from here on. Metres.
double cornerTold(const LengthFormat& show) {
    return show.style == LengthStyle::Metres ? 0.05 : 0.0508;
}

double offLine(glm::dvec2 p, glm::dvec2 a, glm::dvec2 b) {
    const glm::dvec2 d = b - a, to = p - a;
    const double square = d.x * d.x + d.y * d.y;
    const double t = square > 0 ? std::clamp((to.x * d.x + to.y * d.y) / square, 0.0, 1.0) : 0;
    return std::hypot(to.x - t * d.x, to.y - t * d.y);
}

/// Which corners to tell between two that are told, so that no other lies farther than `most` off the line
/// through them (Douglas and Peucker 1973, Cartographica 10).
void tellCorners(const std::vector<glm::dvec2>& points, double most, std::vector<uint8_t>& told) {
    std::vector<std::pair<size_t, size_t>> open{{0, points.size() - 1}};
    told.front() = told.back() = 1;
    while (!open.empty()) {
        const auto [a, b] = open.back();
        open.pop_back();
        size_t farthest = a;
        double off = most;
        for (size_t i = a + 1; i < b; ++i)
            if (const double by = offLine(points[i], points[a], points[b]); by > off) off = by, farthest = i;
        if (farthest == a) continue;
        told[farthest] = 1;
        open.insert(open.end(), {{a, farthest}, {farthest, b}});
    }
}

void changes(Page& page, const Model& model, const std::vector<PlanLine>& lines) {
    if (lines.empty()) return page.say("Cut nowhere changes to fill.");
    const LengthFormat& show = model.plan.show;
    PageTable table{{"Cut to fill", "Length", "Station", "Offset"}, SIZE_MAX, {}, {}};
    bool all = true;
    for (size_t l = 0; l < lines.size(); ++l) {
        std::vector<glm::dvec2> points = lines[l].points;
        if (lines[l].closed) points.push_back(points.front());
        std::vector<uint8_t> told(points.size(), 0);
        tellCorners(points, cornerTold(show), told);
        for (size_t i = 0; i < points.size(); ++i) {
            if (told[i] == 0) all = false;
            if (told[i] == 0) continue;
            const glm::dvec2 so = model.stationOffset(points[i]);
            const std::string station = formatStation(so.x, show), offset = formatLength(so.y, show);
            PageMark mark;
            if (i > 0) {
                mark.points = {points[i]};
                table.addSub({"", "", station, offset}, mark);
                continue;
            }
            mark.lines = {points};
            mark.always = true;
            mark.label = "cut to fill";
            table.add({fmt::format("line {}", l + 1), formatLength(lines[l].length, show), station, offset},
                      mark);
        }
    }
    page.add(std::move(table));
    if (!all)
        page.say(
            "Corners hardly off the line through the others are left out; --lines-csv and --json have all.");
}

/// Places of a lift that are large enough to show; one of them alone is the lift.
std::vector<const LiftPlace*> toldPlaces(const LiftToPlace& lift, const LengthFormat& show) {
    std::vector<const LiftPlace*> told;
    for (const LiftPlace& one : lift.places)
        if (formatArea(one.planArea, show) != formatArea(0, show)) told.push_back(&one);
    if (told.size() == 1) told.clear();
    return told;
}

PageMark markOf(const LiftToPlace& lift) {
    PageMark mark;
    mark.layer = lift.layer;
    mark.lift = lift.lift;
    return mark;
}

PageTable liftsTable(const Model& model, const std::vector<LiftToPlace>& lifts) {
    const LengthFormat& show = model.plan.show;
    PageTable table{
        {"Lift, in order", "Plan area", "Compacted", "Thickest", "Spread loose", "Loose", "Passes"},
        SIZE_MAX,
        {1, 5},
        {}};
    for (const LiftToPlace& lift : lifts) {
        const double ratio = lift.loose / lift.volume;
        PageMark whole = markOf(lift);
        for (const LiftPlace& one : lift.places)
            whole.rings.insert(whole.rings.end(), one.outline.begin(), one.outline.end());
        if (!lift.places.empty()) whole.points = {lift.places.front().at};
        table.add({liftTitle(model, lift.layer, lift.lift, lift.lifts), areaOrTrace(lift.planArea, show),
                   volumeOrTrace(lift.volume, show), formatThickness(lift.greatest, show),
                   formatThickness(lift.greatestLoose, show), volumeOrTrace(lift.loose, show),
                   lift.tooThick ? "too thick" : fmt::format("{}", lift.passes)},
                  std::move(whole));
        for (const LiftPlace* one : toldPlaces(lift, show)) {
            PageMark mark = markOf(lift);
            mark.rings = one->outline;
            mark.points = {one->at};
            table.addSub(
                {"  lowest at " + stationPlace(model, one->at), formatArea(one->planArea, show),
                 volumeOrTrace(one->volume, show), formatThickness(one->greatest, show),
                 formatThickness(one->greatest * ratio, show), volumeOrTrace(one->volume * ratio, show), ""},
                std::move(mark));
        }
    }
    return table;
}

/// Of each layer with lifts past what the compactor takes: how many, and how thick.
void thickLifts(Page& page, const Model& model, const std::vector<LiftToPlace>& lifts) {
    const LengthFormat& show = model.plan.show;
    for (size_t i = 0; i < lifts.size();) {
        const LiftToPlace* first = nullptr;
        double greatest = 0;
        size_t count = 0;
        const LayerId layer = lifts[i].layer;
        for (; i < lifts.size() && lifts[i].layer == layer; ++i) {
            if (!lifts[i].tooThick) continue;
            if (!first) first = &lifts[i];
            greatest = std::max(greatest, lifts[i].greatest);
            ++count;
        }
        if (!first) continue;
        const std::string what =
            count == 1
                ? capitalised(liftTitle(model, layer, first->lift, first->lifts)) + " is"
                : fmt::format("{} lifts of {} are", count, model.layers[static_cast<size_t>(layer)].name);
        page.say(fmt::format("{} up to {} thick: place {} in thinner lifts, or take a heavier compactor.",
                             what, formatThickness(greatest, show), count == 1 ? "it" : "them"));
    }
}

void liftsPart(Page& page, const Model& model, const std::vector<LiftToPlace>& lifts) {
    if (lifts.empty()) return page.say("There is neither fill nor base to place.");
    const LengthFormat& show = model.plan.show;
    page.add(liftsTable(model, lifts));
    page.say(
        "Spread loose is what the thickest place of a lift needs before it is compacted; elsewhere in "
        "proportion.");
    std::vector<std::string> said;
    for (const LiftToPlace& lift : lifts) {
        const std::string note = fmt::format("Ratio loose to compacted {:.2f}: {}.",
                                             lift.greatestLoose / lift.greatest, lift.looseSource);
        if (std::find(said.begin(), said.end(), note) == said.end()) said.push_back(note);
    }
    for (const std::string& note : said) page.say(note);
    page.say(fmt::format("Passes of a walk-behind plate over lifts up to {}. {}.",
                         formatThickness(lifts[0].greatestAllowed, show), lifts[0].passesSource));
    thickLifts(page, model, lifts);
}

/// A face, and the one after the station where a step lies there.
std::string face(double before, double after, bool first, bool last, const LengthFormat& show) {
    const std::string a = formatArea(before, show), b = formatArea(after, show);
    return first || a == b ? b : last ? a : a + " / " + b;
}

void areas(Page& page, const Model& model, const EndAreas& areas) {
    const LengthFormat& show = model.plan.show;
    PageTable table{
        {"Station", "Cut face", "Fill face", "Cut, end areas", "exact", "Fill, end areas", "exact"},
        SIZE_MAX,
        {},
        {}};
    for (size_t i = 0; i < areas.stations.size(); ++i) {
        const EndArea& at = areas.stations[i];
        const bool first = i == 0, last = i + 1 == areas.stations.size();
        std::vector<std::string> row{formatStation(at.station, show, StationFor::Set),
                                     face(at.before.cut, at.after.cut, first, last, show),
                                     face(at.before.fill, at.after.fill, first, last, show)};
        if (first) {
            row.insert(row.end(), 4, "");
        } else {
            const EndInterval& one = areas.intervals[i - 1];
            for (const double volume :
                 {one.byEndAreas.cut, one.exact.cut, one.byEndAreas.fill, one.exact.fill})
                row.push_back(formatVolume(volume, show));
        }
        table.add(std::move(row));
    }
    page.add(std::move(table));
    page.gap();
    PageTable sums{{"In all", "Cut", "Fill"}, SIZE_MAX, {}, {}};
    const auto add = [&](const char* by, const CutFill& sum) {
        sums.add({by, formatVolume(sum.cut, show), formatVolume(sum.fill, show)});
    };
    add("by average end areas", areas.byEndAreas);
    add("by the prismoidal rule", areas.byPrismoid);
    if (areas.bySimpson) add("by Simpson's rule", *areas.bySimpson);
    add("exact", areas.exact);
    page.add(std::move(sums));
    page.say(areas.difference);
    page.say(areas.noSimpson);
}

}  // namespace

Page earthworkPage(const Model& model, const EarthworkAnswer& answer) {
    const LengthFormat& show = model.plan.show;
    Page page;
    page.add(amountsTable(answer.balance, show));
    page.gap();
    haul(page, answer.balance, show);
    notes(page, answer.balance);
    page.gap();
    changes(page, model, answer.changes);
    page.gap();
    liftsPart(page, model, answer.lifts);
    if (!answer.endAreas) return page;
    page.gap();
    areas(page, model, *answer.endAreas);
    return page;
}

}  // namespace underfoot
