// Plans from any bytes: no crash, and what is accepted keeps the reader's promises.

#include <cassert>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "plan/catalogue.h"
#include "plan/read_plan.h"

using namespace underfoot;

namespace {

void checkRing(const Ring& ring) {
    assert(ring.edges.size() >= 2);
    assert(ring.edges.back().to == ring.start);
    assert(signedArea(toChords(ring, 2e-4).corners) > 0);
}

void checkEdges(const std::vector<int>& edges, const Ring& ring) {
    for (const int edge : edges) assert(edge >= 0 && edge < static_cast<int>(ring.edges.size()));
}

void checkPlan(const Plan& plan) {
    assert(!plan.areas.empty() && !plan.finishes.empty());
    for (const Area& area : plan.areas) {
        checkRing(area.outline);
        for (const Ring& opening : area.openings) checkRing(opening);
        checkEdges(area.againstWall, area.outline);
        for (const Edging& edging : area.edgings) checkEdges(edging.edges, area.outline);
        if (area.units)
            for (const BorderCourse& border : area.units->borders) checkEdges(border.edges, area.outline);
    }
    for (const BuildUp& buildUp : plan.buildUps)
        for (const Layer& layer : buildUp.layers)
            assert(layer.role == Role::Fill || (layer.thickness > 0 && layer.thickness <= 3));
    for (const Shot& shot : plan.ground.shots)
        assert(std::isfinite(shot.at.x) && std::isfinite(shot.at.y) && std::isfinite(shot.height));
    assert(plan.ground.shots.empty() || plan.ground.shots.size() >= 3);
    for (const NamedCut& cut : plan.cuts) assert(cut.along.size() >= 2);
    assert(!loadCatalogue(plan).limits.empty());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(data), size);
    const auto plan = readPlanText(text, "fuzz.toml", "no such folder");
    if (plan) {
        checkPlan(*plan);
        return 0;
    }
    assert(!plan.error().empty());
    for (const Diagnostic& fault : plan.error()) assert(!fault.what.empty() && !fault.remedy.empty());
    return 0;
}
