// Lengths and slopes from any bytes: no crash, only finite values, and what is written can be read again.

#include <cassert>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "measure/length.h"
#include "measure/number.h"
#include "measure/slope.h"

using namespace underfoot;

namespace {

void checkWriting(double metres) {
    for (const LengthFormat& format :
         {LengthFormat{LengthStyle::FeetInches, 2}, LengthFormat{LengthStyle::FeetInches, 32},
          LengthFormat{LengthStyle::DecimalFeet, 16}, LengthFormat{LengthStyle::Metres, 16}}) {
        assert(!formatThickness(metres, format).empty());
        assert(!formatStation(metres, format).empty());
        assert(!formatArea(metres, format).empty());
        assert(!formatVolume(metres, format, true).empty());
        const auto again = parseLength(formatLength(metres, format), LengthUnit::Foot);
        // Half an inch at the coarsest, and a relative part for lengths past what is counted.
        assert(again && std::fabs(*again - metres) <= 0.0128 + 1e-9 * std::fabs(metres));
    }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(data), size);
    for (const LengthUnit bare :
         {LengthUnit::Foot, LengthUnit::Inch, LengthUnit::Metre, LengthUnit::Millimetre}) {
        const auto length = parseLength(text, bare);
        assert(length ? std::isfinite(*length) : !length.error().empty());
        if (length) checkWriting(*length);
    }
    const auto slope = parseSlope(text);
    assert(slope ? !std::isnan(*slope) : !slope.error().empty());
    if (slope) assert(!formatSlope(*slope, {}).empty());
    const auto number = parseNumber(text);
    assert(number ? std::isfinite(*number) : !number.error().empty());
    return 0;
}
