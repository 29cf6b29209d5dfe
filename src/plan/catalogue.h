#pragma once
// Limits, materials, how they are sold, and cautions as data: assets/limits.toml, materials.toml, supply.toml
// and cautions.toml, embedded at build time.

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "plan/plan.h"

namespace underfoot {

/// One rule: a value to compare with, and where it comes from.
struct Limit {
    std::string rule;      ///< key, for example "bedding.least"
    double value = 0;      ///< SI: metres, ratios, counts, kilograms
    std::string unit;      ///< "m", "slope", "ratio", "count", "kg"
    std::string sentence;  ///< what it asks, in plain words
    std::string source;    ///< published document, or "Common practice, no source"
    std::string reason;    ///< the plan's reason, when the plan overrides it; else empty
    double published = 0;  ///< the value before an override
};

/// What one volume of a soil in place (in the bank) becomes: so much lying loose, so much compacted.
struct Soil {
    std::string name;   ///< "common earth"
    std::string title;  ///< "Common earth"
    double loose = 1;
    double compacted = 1;
    std::string source;
};

/// How a material looks, is bought and weighs.
struct Material {
    std::string name;
    std::string title;               ///< "Bedding sand"
    std::array<double, 3> colour{};  ///< sRGB, 0 to 1
    double roughness = 0.9;
    std::string grain;  ///< "soil", "fill", "fabric", "stone", "sand", "panel", "unit", "concrete", "pebble",
                        ///< "edging"
    std::string hatch;  ///< "earth", "fill", "membrane", "crushed stone", "sand", "panel", "unit",
                        ///< "concrete", "pebble", "solid"
    double densityLoose = 0;      ///< kg/m³
    double densityCompacted = 0;  ///< kg/m³
    bool densityFromPlan = false;
    std::string boughtBy;  ///< "ton" (short), "tonne", "cubic yard", "cubic metre", "bag", "piece", "roll"
    std::string purpose;   ///< one sentence for a client: what the layer is for
    std::string soil;      ///< the soil that swells and packs down as it does; "" where none does
};

/// The sizes a material is sold in. What does not concern it is 0.
struct Supply {
    std::string material;
    double bagMass = 0, bagVolume = 0;  ///< what a bag holds: one of them
    UnitSize roll;                      ///< length along the roll, width across it
    UnitSize panel;
    double stock = 0;       ///< one length of edging
    double bend = 0;        ///< sharpest turn that a length of edging is led round, radians
    double step = 0;        ///< bulk goods are ordered in whole numbers of this, in units of sale
    std::string wasteRule;  ///< name of a limit; "" where the layout holds all waste
    bool carried = true;    ///< on the truck and the barrow; else it comes in its own vehicle
    std::string source;
};

/// What a caution says in one country.
struct CautionRule {
    std::string country;   ///< ISO 3166, two letters
    std::string sentence;  ///< {rule} stands for a limit's value
    std::string source;
    std::vector<std::string> limits;
};

/// A usual caution: assets/cautions.toml.
struct CautionText {
    std::string key;    ///< "open cuts"
    std::string title;  ///< "Open cuts"
    std::string sentence;
    std::string source;
    std::string ask;  ///< said where none of the rules is that of the plan's country
    std::vector<CautionRule> rules;
};

struct Catalogue {
    std::vector<Limit> limits;
    std::vector<Material> materials;
    std::vector<Soil> soils;
    std::vector<CautionText> cautions;
    std::string cautionsClosing;  ///< defers to local codes and licensed practice
    std::vector<Supply> supplies;
    std::vector<Carrier> carriers;

    const Limit* findLimit(std::string_view rule) const;
    /// A rule that the program's own data holds: to name another is a broken call.
    const Limit& limit(std::string_view rule) const;
    /// The named material, else the one that a role uses by default. Never fails for a role.
    const Material& material(std::string_view name, Role role) const;
    const Material* findMaterial(std::string_view name) const;
    const Soil* findSoil(std::string_view name) const;
    /// How the material is sold; one without sizes where the file has none.
    Supply supplyOf(std::string_view material) const;
    /// The soil of the plan's ground: the one it names, else that of native soil.
    const Soil& soilOf(const Plan& plan) const;
};

/// The embedded data, with the plan's overrides applied. Asserts that the embedded files are sound. Where the
/// plan shows metres, what is usually bought by ton and cubic yard goes by tonne and cubic metre, and the
/// metric sizes of assets/supply.toml count.
Catalogue loadCatalogue(const Plan& plan);
Catalogue loadCatalogue();
/// The material a role uses when a plan names none: "sand" for bedding, …
const char* defaultMaterial(Role role);

}  // namespace underfoot
