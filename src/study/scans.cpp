// Scans: what was done to them, and what of them should be looked at.

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>

#include "measure/length.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "study/finding_tools.h"
#include "study/findings.h"
#include "study/notes.h"

namespace underfoot {

namespace {

/// A point this many standard deviations off is no scatter: of a million, chance brings none so far.
constexpr double farOff = 8;

/// Scans are finer than the fractions that lengths are shown in.
std::string fine(double metres, const LengthFormat& show) {
    if (show.style == LengthStyle::Metres) return fmt::format("{:.1f} mm", metres * 1000);
    if (show.style == LengthStyle::DecimalFeet) return fmt::format("{:.3f} ft", metres / metresPerFoot);
    return fmt::format("{:.2f} in", metres / metresPerInch);
}

std::string counted(size_t count) {
    std::string text = std::to_string(count);
    for (size_t i = text.size(); i > 3; i -= 3) text.insert(i - 3, ",");
    return text;
}

std::string scanName(const ThinnedScan& scan) {
    return scan.layer.empty() ? "the ground's scan" : fmt::format("the scan of \"{}\"", scan.layer);
}

std::string placeOf(const Model& model, const ThinnedScan& scan) {
    std::vector<Finding> none;
    const Catalogue catalogue;
    return FindingWords(model, catalogue).where(glm::dvec2(scan.farthest));
}

std::string noteOf(const Model& model, const ThinnedScan& scan) {
    const LengthFormat& show = model.plan.show;
    const std::string far = fmt::format("the farthest lies {} off the surface, {}.",
                                        fine(scan.greatest, show), placeOf(model, scan));
    if (scan.square == 0)
        return fmt::format("Of {} {} of {} points are kept; {}", scanName(scan), counted(scan.kept),
                           counted(scan.measured), far);
    return fmt::format(
        "The {} points of {} scatter by {}: they are averaged over squares of {}, and the means thinned to "
        "{}, "
        "of which {} are kept. Of the points {}",
        counted(scan.measured), scanName(scan), fine(scan.scatter, show), fine(scan.square, show),
        fine(scan.error, show), counted(scan.kept), far);
}

Finding& addFinding(FindingWriter& writer, const ThinnedScan& scan, const Limit& limit, double measured) {
    Finding& finding = writer.add(FindingKind::ScanDeviates, -1, glm::dvec2(scan.farthest));
    finding.layer = writer.model.findLayer(scan.layer);
    finding.measured = measured;
    finding.rule = limit.rule;
    finding.source = writer.sourceOf(limit);
    finding.wanted = scan.wanted;
    return finding;
}

void findCoarse(FindingWriter& writer, const ThinnedScan& scan, const Limit& limit) {
    if (scan.error <= scan.wanted) return;
    const LengthFormat& show = writer.model.plan.show;
    Finding& finding = addFinding(writer, scan, limit, scan.error);
    finding.what = fmt::format(
        "{} is thinned to {} instead of {}: else more than {} of its points would be kept.",
        scan.layer.empty() ? "The ground's scan" : fmt::format("The scan of \"{}\"", scan.layer),
        fine(scan.error, show), fine(scan.wanted, show), counted(static_cast<size_t>(limit.value)));
    finding.remedy =
        "Cut walls, plants and what lies far from the areas out of the scan, or write thin_to = with what is "
        "near "
        "enough.";
}

void findStrays(FindingWriter& writer, const ThinnedScan& scan, const Limit& limit) {
    const double most = std::max(scan.error, farOff * scan.scatter);
    if (scan.square == 0 || scan.greatest <= most) return;
    const LengthFormat& show = writer.model.plan.show;
    Finding& finding = addFinding(writer, scan, limit, scan.greatest);
    finding.what = fmt::format("A point of {} lies {} off its surface, {}; the others scatter by {}.",
                               scanName(scan), fine(scan.greatest, show),
                               writer.where(glm::dvec2(scan.farthest)), fine(scan.scatter, show));
    finding.remedy =
        "See what was scanned there. Cut a tool or a foot out of the scan; shoot the edges of a step and "
        "keep "
        "these shots in a file of their own.";
}

}  // namespace

std::vector<std::string> notes(const Model& model) {
    std::vector<std::string> all;
    for (const ThinnedScan& scan : model.scans) all.push_back(noteOf(model, scan));
    return all;
}

void findScans(FindingWriter& writer) {
    const Limit* kept = writer.catalogue.findLimit("scan.kept");
    const Limit* thinTo = writer.catalogue.findLimit("scan.thin_to");
    for (const ThinnedScan& scan : writer.model.scans) {
        findCoarse(writer, scan, *kept);
        findStrays(writer, scan, *thinTo);
    }
}

}  // namespace underfoot
