#pragma once
// The usual cautions that one plan calls for, and by what: what is dug, sawn, lifted, compacted and lit. What
// is said is data (assets/cautions.toml). Reminders, never a statement that something complies or is safe:
// the page always ends by deferring to local codes and licensed practice.

#include <string>
#include <vector>

#include "model/model.h"
#include "plan/catalogue.h"

namespace underfoot {

/// A sentence and where it is from.
struct Sourced {
    std::string sentence;
    std::string source;
};

struct Caution {
    std::string key;    ///< "open cuts"
    std::string title;  ///< "Open cuts"
    /// Whether this plan calls for it; `here` then says by what, else why not. Whole sentences.
    bool applies = false;
    std::vector<std::string> here;
    /// What is found here goes past a limit that rules here: one of a rule of the plan's country, or the
    /// plan's own.
    bool pastLimit = false;
    /// First what holds everywhere, then what the plan's country or the plan itself asks for.
    std::vector<Sourced> said;
    std::string ask;  ///< whom to ask, where no rule of the plan's country is known; else empty
};

struct CautionsPage {
    std::string rulesOf;            ///< "Rules shown are those of US." or how to name a country
    std::vector<Caution> cautions;  ///< those that apply first, each part in the order of the assets
    std::string closing;
};

/// Depths count from the existing ground to the formation, upright. Distances to a fire are those in plan
/// between outlines, 0 where they meet; to the baseline where the plan has no house but something stands
/// against a wall. A limit is reached within tolerance::lengthCompare.
CautionsPage cautionsPage(const Model& model, const Catalogue& catalogue);

}  // namespace underfoot
