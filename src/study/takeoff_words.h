#pragma once
// The values of a takeoff in the units a builder reads, and the sentences that say where a number comes from.
// For study and share.

#include <string>
#include <utility>

#include "measure/length.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "study/takeoff.h"

namespace underfoot {

/// Feet, pounds and cubic feet, or metres and kilograms, as the plan shows lengths.
class TakeoffWords {
  public:
    explicit TakeoffWords(const LengthFormat& show) : metric_(show.style == LengthStyle::Metres) {}

    bool metric() const { return metric_; }
    TakeoffInput volume(std::string name, double cubicMetres, std::string source) const;
    TakeoffInput area(std::string name, double squareMetres, std::string source) const;
    TakeoffInput length(std::string name, double metres, std::string source) const;
    /// In inches or millimetres.
    TakeoffInput thickness(std::string name, double metres, std::string source) const;
    TakeoffInput mass(std::string name, double kilograms, std::string source) const;
    static TakeoffInput bare(std::string name, double value, std::string source) {
        return {std::move(name), value, "", std::move(source)};
    }
    /// `amount` counts as a row's `inPlace` does.
    TakeoffInput inPlace(std::string name, const TakeoffRow& row, double amount, std::string source) const;
    /// Mass of one of `inPlace`.
    TakeoffInput density(const TakeoffRow& row, std::string source) const;
    /// Where a limit's value is from, with the plan's reason where it gives its own.
    std::string source(const Limit& limit) const;

  private:
    bool metric_;
};

/// Adds where "as bought", "mass" and "loads" of a counted row come from.
void explainBought(const TakeoffWords& words, const Catalogue& catalogue, const Takeoff& takeoff,
                   TakeoffRow& row);
/// Adds where "cost" comes from; only with a price.
void explainCost(const Plan& plan, TakeoffRow& row);

}  // namespace underfoot
