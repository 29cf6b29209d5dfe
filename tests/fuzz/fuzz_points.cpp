// Point files from any bytes: no crash, only finite shots, never more shots than lines; read as a scan, whole
// or in two pieces, they have the same places and as many faults.

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "plan/read_points.h"
#include "plan/text_file.h"

using namespace underfoot;

namespace {

template <class Read>
void checkScan(const std::vector<Shot>& shots, const Diagnostics& faults, Read read) {
    std::vector<glm::dvec3> points;
    Diagnostics told;
    read(points, told);
    assert(points.size() == shots.size() && told.size() == faults.size());
    for (size_t i = 0; i < points.size(); ++i)
        assert(points[i].x == shots[i].at.x && points[i].y == shots[i].at.y &&
               points[i].z == shots[i].height);
    for (size_t i = 0; i < told.size(); ++i)
        assert(told[i].place.line == faults[i].place.line && told[i].what == faults[i].what);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
    const auto text = plainText(std::string(reinterpret_cast<const char*>(data), size), "fuzz.csv");
    if (!text) {
        assert(!text.error().what.empty() && !text.error().remedy.empty());
        return 0;
    }
    for (const bool northingFirst : {true, false}) {
        std::vector<Shot> shots;
        Diagnostics faults;
        readPointText(*text, "fuzz.csv", {northingFirst, LengthUnit::Foot}, shots, faults);
        assert(shots.size() <= static_cast<size_t>(std::count(text->begin(), text->end(), '\n')) + 1);
        for (const Shot& shot : shots)
            assert(std::isfinite(shot.at.x) && std::isfinite(shot.at.y) && std::isfinite(shot.height));
        for (const Diagnostic& fault : faults) assert(!fault.what.empty() && !fault.remedy.empty());
        const PointFileForm form{northingFirst, LengthUnit::Foot};
        checkScan(shots, faults, [&](std::vector<glm::dvec3>& points, Diagnostics& told) {
            readScanText(*text, "fuzz.csv", form, points, told);
        });
        const size_t cut = text->find('\n', text->size() / 2);
        if (cut == std::string::npos) continue;
        const std::string_view whole = *text;
        std::vector<std::string_view> pieces{whole.substr(cut + 1), whole.substr(0, cut + 1)};
        checkScan(shots, faults, [&](std::vector<glm::dvec3>& points, Diagnostics& told) {
            const auto next = [&]() -> std::string_view {
                if (pieces.empty()) return {};
                const std::string_view piece = pieces.back();
                pieces.pop_back();
                return piece;
            };
            readScanPieces(next, "fuzz.csv", form, points, told);
        });
    }
    return 0;
}
