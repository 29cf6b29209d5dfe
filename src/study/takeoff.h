#pragma once
// The takeoff: every material in place and as bought, what it weighs, how it comes, what it costs. Every
// number says by which rule and from which values it is made.
//
// In place are the volumes of study/volumes.h; of units, panels and fabric the faces as laid, of edging its
// length. From there to the unit of sale:
//   net    = (in place - on hand) x perInPlace / saleSize
//   wanted = net x (1 + waste)
//   bought = the greater of wanted, rounded up to whole steps, and what the layout takes (`laidOut`)
// where perInPlace is the density (sold by mass), the volume lying loose for one compacted (sold by volume)
// or 1 (sold by the piece, roll or length). Nothing else is rounded.

#include <optional>
#include <string>
#include <vector>

#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "study/takeoff_layouts.h"
#include "study/units.h"

namespace underfoot {

enum class Measure { Volume, Area, Length, Count };
enum class SaleUnit {
    ShortTon,
    Tonne,
    CubicYard,
    CubicMetre,
    Bag,
    Roll,
    Piece,
    SquareFoot,  ///< units that the plan doesn't lay out
    SquareMetre
};
enum class SaleBasis { Mass, LooseVolume, InPlace };

/// "short ton" and "short tons".
std::string saleWord(SaleUnit unit, bool many);

/// One value that a number is made from. `value` counts in `unit`, which a builder of this plan reads.
struct TakeoffInput {
    std::string name;
    double value = 0;
    std::string unit;    ///< "" for a bare number
    std::string source;  ///< a layer, a rule, a published document, the plan
};
/// Where one number of a row comes from.
struct Explanation {
    std::string of;    ///< "in place", "as bought", "mass", "loads", "cost"
    std::string rule;  ///< a whole sentence
    std::vector<TakeoffInput> inputs;
};

struct TakeoffLoads {
    std::string carrier;
    int loads = 0;
};

struct TakeoffRow {
    std::string item;      ///< tells it from other rows: "base stone", "concrete unit 24\" x 24\""
    std::string material;  ///< in assets/materials.toml
    std::string title;
    std::vector<std::string> layers, areas;
    Measure measure = Measure::Volume;
    double inPlace = 0;  ///< m³, m², m or a count
    double planArea = 0;
    UnitSize face;          ///< of units laid out, longer side first; else nothing
    double thickness = 0;   ///< likewise
    double onHand = 0;      ///< of it, from what is dug
    double density = 0;     ///< kg for one of `inPlace`, compacted
    double loosening = 1;   ///< volume loose for one in place
    double waste = 0;       ///< a ratio
    std::string wasteRule;  ///< of assets/limits.toml; "" where none
    SaleUnit unit = SaleUnit::Piece;
    SaleBasis basis = SaleBasis::InPlace;
    double saleSize = 1;  ///< one unit of sale: kg, m³ loose, or as `inPlace` counts
    double step = 1;      ///< bought in whole numbers of this
    int laidOut = 0;      ///< bought at least, as laid out; 0 where nothing is
    double net = 0, wanted = 0, bought = 0;
    double massEach = 0;    ///< kg of one unit of sale
    double volumeEach = 0;  ///< m³ loose of one; 0 for what isn't poured
    double mass = 0;        ///< of all that is bought
    bool bulk = false;      ///< comes loose, by the load
    bool carried = true;    ///< else in a vehicle of its own
    std::optional<TakeoffLoads> truck, barrow;
    std::optional<double> price, cost;
    std::vector<Explanation> why;

    double perInPlace() const;
};

struct Takeoff {
    UnitsReport units;             ///< by which units and sand for their joints are counted
    std::vector<TakeoffRow> rows;  ///< bulk goods from the bottom up, then what is laid, then the edge
    std::vector<FabricLayout> fabrics;
    std::vector<PanelLayout> panels;
    std::vector<EdgingRun> edging;
    Carrier truck, barrow;
    double mass = 0;        ///< of everything bought
    double piecesMass = 0;  ///< of what is neither bulk nor comes in its own vehicle
    int pieceLoads = 0;     ///< trucks for that
    std::string currency;
    std::optional<double> total;         ///< of what has a price; none where nothing has
    std::vector<std::string> notPriced;  ///< items that the total leaves out
    std::vector<std::string> notes;      ///< whole sentences: what isn't counted
};

Takeoff takeoff(const Model& model, const Catalogue& catalogue);

/// `bought`, `mass`, loads and cost of a row from its other values; what the spreadsheet's formulas do too.
void countBought(const Takeoff& takeoff, TakeoffRow& row);

/// Up to the next whole number of steps; a hundred-thousandth of a step over
/// it doesn't count: plan places are kept to less than that.
double roundedUp(double amount, double step);

}  // namespace underfoot
