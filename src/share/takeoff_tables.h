#pragma once
// A takeoff as it is read (share/page.h), as a table (share/csv.h), as JSON (share/json.h).

#include <optional>
#include <string>

#include "model/model.h"
#include "share/page.h"
#include "study/takeoff.h"

namespace underfoot {

Page takeoffPage(const Model& model, const Takeoff& takeoff);

/// Where the numbers of an item come from: of the item of that name, else of all whose name holds the text
/// (blind to case), of every item for "all". Nothing where there is none.
std::optional<Page> whyPage(const Takeoff& takeoff, const std::string& item);
/// "\"fill\", \"base stone\", …" for a sentence.
std::string itemNames(const Takeoff& takeoff);

/// For a table of strips of fabric, which tells the ends of one side of each.
inline constexpr const char* whereStripsLie =
    "Each strip lies to the left of the line from where it begins to where it ends.";
/// 12.5, 340, 0.07: two places at most, thousands parted by commas.
std::string formatAmount(double amount);
/// 1,234.50: always two places.
std::string formatMoney(double amount);
/// The same with as many more decimals as the price has, six at most: "0.085".
std::string formatPrice(double price);
/// "12.5 short tons", "1 roll".
std::string saleText(double amount, SaleUnit unit);
/// "135 ft³", "0.3335 ft³": four figures where it is below 10.
std::string inputText(const TakeoffInput& input);

/// One row an item: item, material, title, layers, areas, measure ("volume", "area", "length", "count"),
/// in_place (m3, m2, m or a count), from_dig, kg_per_in_place, loose_per_in_place, waste, unit_of_sale,
/// sale_size (kg, m3 loose, or as in_place counts), step, laid_out, net, with_waste, bought, mass_kg,
/// truck_loads, barrow_loads, price, cost, currency. The last row is "total": mass_kg, cost, and in `title`
/// what the cost leaves out.
std::string takeoffCsv(const Takeoff& takeoff);

/// "items": [{"item", "material", "title", "layers", "areas", "measure", "in_place", "from_dig",
/// "kg_per_in_place", "loose_per_in_place", "waste", "waste_rule", "unit_of_sale", "sold_by": "mass", "loose
/// volume" or "in place", "sale_size", "step", "laid_out", "net", "with_waste", "bought", "mass_kg",
/// "truck_loads", "barrow_loads", "price", "cost" (SI as in the table; null where not), "says":
/// {"in_place", "from_dig", "buy": text, "mass": {"kg", "text"}}, "why": [{"of",
/// "rule", "inputs": [{"name", "value", "unit", "text", "source"}]}]}]; "fabric": [{"layer", "roll_width",
/// "roll_length", "overlap", "area", "strips": [{"length", "roll", "from", "to": place, "outline": [[x_m,
/// y_m]]}], "length", "rolls"}]; "panels": [{"layer", "length", "width", "whole", "cut", "cut_from",
/// "pieces": [[[x_m, y_m]]]}]; "edging": [{"area", "length", "joints", "closed"}]; "carriers": [{"kind",
/// "name", "holds": volume, "carries_kg", "source"}]; "mass_kg"; "pieces_mass_kg"; "piece_loads"; "currency";
/// "total": null without prices; "not_priced": [item]; "notes": [sentence].
std::string takeoffJson(const Model& model, const Takeoff& takeoff);

}  // namespace underfoot
