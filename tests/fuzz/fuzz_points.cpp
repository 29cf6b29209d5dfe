// Point files from any bytes: no crash, only finite shots, never more shots than lines.

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>

#include "plan/read_points.h"
#include "plan/text_file.h"

using namespace underfoot;

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
    }
    return 0;
}
