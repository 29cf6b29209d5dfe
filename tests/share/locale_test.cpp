// A program may set its locale for other reasons: what is read and written stays the same.

#include <clocale>
#include <locale>

#include <gtest/gtest.h>

#include "measure/length.h"
#include "plan/read_plan.h"
#include "share/csv.h"
#include "share/gltf.h"
#include "share/json.h"
#include "share/section_drawing.h"

namespace underfoot {
namespace {

/// 1.234.567,5
class Commas : public std::numpunct<char> {
  protected:
    char do_decimal_point() const override { return ','; }
    char do_thousands_sep() const override { return '.'; }
    std::string do_grouping() const override { return "\3"; }
};

class DecimalCommas {
  public:
    DecimalCommas() : before_(std::locale::global(std::locale(std::locale::classic(), new Commas))) {
        // Where the system has one, C's own functions follow it too.
        for (const char* name : {"de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8"})
            if (std::setlocale(LC_NUMERIC, name)) break;
    }
    ~DecimalCommas() {
        std::locale::global(before_);
        std::setlocale(LC_NUMERIC, "C");
    }

  private:
    std::locale before_;
};

std::vector<std::string> everythingWritten() {
    const Checked<Plan> plan = readPlan(std::string(UNDERFOOT_SOURCE_DIR) + "/scenes/terrace.toml");
    EXPECT_TRUE(plan);
    const Checked<Model> model = buildModel(*plan);
    EXPECT_TRUE(model);
    const Catalogue catalogue = loadCatalogue(*plan);
    const Section section = cutAtStation(*model, 2.5);
    const Volumes found = volumes(*model);
    const glm::dvec2 place{0.25, 0.5};
    return {sectionSvg(section, *model, catalogue).value_or("none"),
            sectionCsv(*model, section),
            volumesCsv(*model, found),
            thicknessCsv(*model, 0),
            sectionJson(*model, section, "A"),
            volumesJson(*model, found),
            stackJson(*model, place, stackAtPoint(*model, place)),
            gltfBytes(*model, catalogue).value_or("none"),
            formatLength(1234.5678, {LengthStyle::Metres, 16}),
            formatVolume(1234.5678, {LengthStyle::FeetInches, 16}, true),
            csvNumber(1234567.125),
            std::to_string(parseLength("1234.5 m", LengthUnit::Foot).value_or(-1) > 1234.4)};
}

TEST(Locale, DecimalCommasChangeNothingReadOrWritten) {
    const std::vector<std::string> plain = everythingWritten();
    std::vector<std::string> withCommas;
    {
        const DecimalCommas commas;
        withCommas = everythingWritten();
    }
    ASSERT_EQ(plain.size(), withCommas.size());
    for (size_t i = 0; i < plain.size(); ++i) EXPECT_EQ(plain[i], withCommas[i]) << i;
    EXPECT_EQ(plain[10], "1234567.125000");
    EXPECT_EQ(plain[11], "1");
}

}  // namespace
}  // namespace underfoot
