#pragma once
// Designs side by side as they are read (share/page.h), as a table (share/csv.h), as JSON (share/json.h) and
// as one drawing.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "measure/diagnostic.h"
#include "measure/length.h"
#include "model/model.h"
#include "plan/plan.h"
#include "share/page.h"
#include "study/compare.h"
#include "study/search_finish.h"
#include "study/section.h"

namespace underfoot {

/// Everything asked of a comparison.
struct CompareAnswer {
    CompareReport report;
    std::optional<BalanceSearch> balance;
    std::optional<FallSearch> leastFall;
    std::vector<std::string> notes;
};

/// `plan` is the first design's.
Page comparePage(const CompareAnswer& answer, const Plan& plan);

/// A figure's value for a person: "2.3 ft³", "14", "-".
std::string figureText(const Figure& figure, const std::optional<double>& value, const LengthFormat& show);
/// A difference with its sign; "" where it is none as it is shown.
std::string differenceText(const Figure& figure, size_t design, const LengthFormat& show);

/// One row a figure and design: figure, title, design, value, unit (m, m3, kg, slope, count, money),
/// difference, better (less, more, "").
std::string compareCsv(const CompareAnswer& answer);

/// "designs": [name]; "figures": [{"key", "title", "unit", "better": null where neither, "values": [number],
/// "texts", "differences"}]; "findings": [{"design", "count", "added": [sentence], "gone"}]; "balance":
/// null unless asked for, else {"found", "raise", "surplus", "cut", "fill", "low", "low_by", "high",
/// "high_by", "surplus_at_low", "surplus_at_high", "tolerance_m", "steps", "why"}; "least_fall": likewise
/// {"found", "fall", "text", "greatest", "breaks_below", "over", "steps", "why"}; "notes".
std::string compareJson(const Model& model, const CompareAnswer& answer);

/// The same cut through each design: their sections one under the other, at one scale and in step along the
/// cut, each against the same heights.
struct CutDesign {
    std::string name;
    std::string words;  ///< said beside the name
    const Model* model = nullptr;
    const Section* section = nullptr;
};
/// `scale` 0 is the largest usual one that keeps the drawing within 190 mm. Error: no section meets a model.
Result<std::string> compareSvg(std::span<const CutDesign> designs, const std::string& title,
                               const std::string& name, double scale = 0);
/// The same as a PDF, on A4 where the first plan shows metres, else US letter: on several sheets where not
/// all designs stand on one, on a larger one where not even one design does.
Result<std::string> comparePdf(std::span<const CutDesign> designs, const std::string& title,
                               const std::string& name, double scale = 0);

}  // namespace underfoot
