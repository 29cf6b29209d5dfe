// earthwork: what is dug, filled and hauled, where cut changes to fill, the lifts, and volumes by end areas.

#include "study/earthwork.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "command/places.h"
#include "command/session.h"
#include "command/table.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "measure/words.h"
#include "share/earthwork_tables.h"

namespace underfoot::command {

namespace {

struct EarthworkOptions {
    std::string plan;
    std::string every;
    std::string from, to;
    std::string csv, linesCsv, areasCsv;
    bool json = false;
};

/// A volume as it is ordered and hauled: in yards where feet are shown, with the feet beside it.
std::string hauled(double volume, const LengthFormat& show) {
    if (show.style == LengthStyle::Metres) return formatVolume(volume, show);
    return fmt::format("{} ({})", formatVolume(volume, show, true), formatVolume(volume, show));
}

std::string place(const Model& model, glm::dvec2 local) {
    const glm::dvec2 so = model.stationOffset(local);
    return fmt::format("station {}, offset {}", formatStation(so.x, model.plan.show),
                       formatLength(so.y, model.plan.show));
}

std::string amountsTable(const EarthBalance& b, const LengthFormat& show) {
    Table table({"Earth", "In place", "Loose", "Compacted"});
    const auto add = [&](const char* what, const EarthState& s) {
        table.add({what, formatVolume(s.inPlace, show), formatVolume(s.loose, show), ""});
    };
    add("sod and topsoil taken off", b.strip);
    add("cut below that", b.cut);
    table.add({"fill", "", "", formatVolume(b.fill, show)});
    table.add({"soil put back beside the edge", "", "", formatVolume(b.backfill, show)});
    return table.text();
}

std::string haulText(const EarthBalance& b, const LengthFormat& show) {
    std::string text;
    if (b.cutUsed > 0)
        text += fmt::format("Of the cut, {} in place goes into the fill: {} compacted.\n",
                            formatVolume(b.cutUsed, show), formatVolume(b.cutUsed * b.soil.compacted, show));
    Table table({"Haul, loose", "Volume"});
    table.add({"out: sod and topsoil", hauled(b.stripLeft.loose, show)});
    table.add({"out: cut", hauled(b.cutLeft.loose, show)});
    for (const HauledIn& one : b.hauledIn) table.add({"in: " + one.material, hauled(one.loose, show)});
    if (b.hauledIn.empty()) table.add({"in", "nothing"});
    return text + table.text();
}

std::string notesText(const EarthBalance& b) {
    std::string text;
    for (const std::string& sentence : b.assumptions) text += sentence + '\n';
    for (const HauledIn& one : b.hauledIn)
        text += fmt::format("{} comes {:.2f} times as large as it lies compacted ({}).\n",
                            capitalised(one.material), one.loose / one.compacted, one.source);
    return text;
}

std::string changesText(const Model& model, const std::vector<PlanLine>& lines) {
    if (lines.empty()) return "Cut nowhere changes to fill.\n";
    const LengthFormat& show = model.plan.show;
    Table table({"Cut to fill", "Length", "Station", "Offset"});
    for (size_t l = 0; l < lines.size(); ++l) {
        std::vector<glm::dvec2> points = lines[l].points;
        if (lines[l].closed) points.push_back(points.front());
        for (size_t i = 0; i < points.size(); ++i) {
            const glm::dvec2 so = model.stationOffset(points[i]);
            table.add({i == 0 ? fmt::format("line {}", l + 1) : "",
                       i == 0 ? formatLength(lines[l].length, show) : "", formatStation(so.x, show),
                       formatLength(so.y, show)});
        }
    }
    return table.text();
}

std::string liftsTable(const Model& model, const std::vector<LiftToPlace>& lifts) {
    const LengthFormat& show = model.plan.show;
    Table table({"Lift, in order", "Plan area", "Compacted", "Thickest", "Spread loose", "Loose", "Passes"});
    for (const LiftToPlace& lift : lifts) {
        const double ratio = lift.loose / lift.volume;
        table.add({liftTitle(model, lift.layer, lift.lift, lift.lifts), formatArea(lift.planArea, show),
                   formatVolume(lift.volume, show), formatThickness(lift.greatest, show),
                   formatThickness(lift.greatestLoose, show), formatVolume(lift.loose, show),
                   lift.tooThick ? "too thick" : fmt::format("{}", lift.passes)});
        if (lift.places.size() < 2) continue;
        for (const LiftPlace& one : lift.places)
            table.add({"  lowest at " + place(model, one.at), formatArea(one.planArea, show),
                       formatVolume(one.volume, show), formatThickness(one.greatest, show),
                       formatThickness(one.greatest * ratio, show), formatVolume(one.volume * ratio, show),
                       ""});
    }
    return table.text();
}

std::string liftsText(const Model& model, const std::vector<LiftToPlace>& lifts) {
    if (lifts.empty()) return "There is neither fill nor base to place.\n";
    const LengthFormat& show = model.plan.show;
    std::string text = liftsTable(model, lifts);
    text +=
        "Spread loose is what the thickest place of a lift needs before it is compacted; elsewhere in "
        "proportion.\n";
    std::vector<std::string> said;
    for (const LiftToPlace& lift : lifts) {
        const std::string note = fmt::format("Ratio loose to compacted {:.2f}: {}.\n",
                                             lift.greatestLoose / lift.greatest, lift.looseSource);
        if (std::find(said.begin(), said.end(), note) == said.end()) said.push_back(note);
    }
    for (const std::string& note : said) text += note;
    text += fmt::format("Passes of a walk-behind plate over lifts up to {}. {}.\n",
                        formatThickness(lifts[0].greatestAllowed, show), lifts[0].passesSource);
    for (const LiftToPlace& lift : lifts)
        if (lift.tooThick)
            text +=
                fmt::format("{} is up to {} thick: place it in thinner lifts, or take a heavier compactor.\n",
                            capitalised(liftTitle(model, lift.layer, lift.lift, lift.lifts)),
                            formatThickness(lift.greatest, show));
    return text;
}

/// A face, and the one after the station where a step lies there.
std::string face(double before, double after, bool first, bool last, const LengthFormat& show) {
    const std::string a = formatArea(before, show), b = formatArea(after, show);
    return first || a == b ? b : last ? a : a + " / " + b;
}

std::string areasText(const Model& model, const EndAreas& areas) {
    const LengthFormat& show = model.plan.show;
    Table table({"Station", "Cut face", "Fill face", "Cut, end areas", "exact", "Fill, end areas", "exact"});
    for (size_t i = 0; i < areas.stations.size(); ++i) {
        const EndArea& at = areas.stations[i];
        const bool first = i == 0, last = i + 1 == areas.stations.size();
        std::vector<std::string> row{formatStation(at.station, show),
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
    Table sums({"In all", "Cut", "Fill"});
    const auto add = [&](const char* by, const CutFill& sum) {
        sums.add({by, formatVolume(sum.cut, show), formatVolume(sum.fill, show)});
    };
    add("by average end areas", areas.byEndAreas);
    add("by the prismoidal rule", areas.byPrismoid);
    if (areas.bySimpson) add("by Simpson's rule", *areas.bySimpson);
    add("exact", areas.exact);
    std::string text = table.text() + '\n' + sums.text() + areas.difference + '\n';
    return areas.noSimpson.empty() ? text : text + areas.noSimpson + '\n';
}

std::string asText(const Model& model, const EarthworkAnswer& answer) {
    const LengthFormat& show = model.plan.show;
    std::string text = model.plan.title + "\n\n" + amountsTable(answer.balance, show) + '\n' +
                       haulText(answer.balance, show) + notesText(answer.balance) + '\n' +
                       changesText(model, answer.changes) + '\n' + liftsText(model, answer.lifts);
    if (answer.endAreas) text += '\n' + areasText(model, *answer.endAreas);
    return text;
}

Opened<std::optional<double>> readOptional(const std::string& text, const Plan& plan) {
    if (text.empty()) return std::optional<double>();
    const auto station = readStation(text, plan);
    if (!station) return tl::unexpected(badUsage(station.error()));
    return std::optional<double>(*station);
}

Opened<std::optional<EndAreas>> openAreas(const Model& model, const EarthworkOptions& options) {
    if (options.every.empty()) return std::optional<EndAreas>();
    const auto interval = readLength(options.every, model.plan);
    if (!interval) return tl::unexpected(badUsage(interval.error()));
    const auto from = readOptional(options.from, model.plan), to = readOptional(options.to, model.plan);
    if (!from) return tl::unexpected(from.error());
    if (!to) return tl::unexpected(to.error());
    auto areas = endAreas(model, *interval, *from, *to);
    if (!areas) return tl::unexpected(badUsage(areas.error()));
    return std::optional<EndAreas>(std::move(*areas));
}

ExitCode earthwork(const EarthworkOptions& options) {
    if (options.every.empty() && !options.areasCsv.empty())
        return badUsage("Say how far the stations are apart: --every 5ft.");
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    const Catalogue catalogue = loadCatalogue(model->plan);
    auto areas = openAreas(*model, options);
    if (!areas) return areas.error();
    const EarthworkAnswer answer{earthBalance(*model, catalogue), cutToFillLines(*model),
                                 liftsToPlace(*model, catalogue), std::move(*areas)};
    ExitCode code = writeIfAsked(options.csv, [&] { return earthworkCsv(*model, answer); });
    if (code == ExitCode::Fine)
        code = writeIfAsked(options.linesCsv, [&] { return changesCsv(*model, answer.changes); });
    if (code == ExitCode::Fine)
        code = writeIfAsked(options.areasCsv, [&] { return endAreasCsv(*model, *answer.endAreas); });
    if (code != ExitCode::Fine) return code;
    print(options.json ? earthworkJson(*model, answer) : asText(*model, answer));
    return ExitCode::Fine;
}

}  // namespace

void addEarthwork(CLI::App& app, Action& chosen) {
    CLI::App* verb = nullptr;
    const auto options = addVerb<EarthworkOptions>(
        app, chosen, "earthwork",
        "What to dig, fill and haul, where cut changes to fill, and the lifts to place",
        "underfoot earthwork scenes/courtyard.toml --every 5ft", earthwork, verb);
    auto* every = verb->add_option("--every", options->every,
                                   "Volumes by average end areas too, from sections so far apart");
    verb->add_option("--from", options->from, "First of these stations; else where the earthwork begins")
        ->needs(every);
    verb->add_option("--to", options->to, "Last of these stations; else where the earthwork ends")
        ->needs(every);
    verb->add_option("--csv", options->csv, "Write the amounts and the lifts to this file too");
    verb->add_option("--lines-csv", options->linesCsv,
                     "Write the lines where cut changes to fill to this file");
    verb->add_option("--areas-csv", options->areasCsv, "Write the end areas to this file");
    verb->add_flag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
