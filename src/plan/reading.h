#pragma once
// What all parts of the plan reader share: the faults found so far, the units, and readers for single values.
// Every reader reports what is wrong with a value and then returns nothing, so that reading goes on.

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "measure/diagnostic.h"
#include "measure/length.h"
#include "plan/catalogue.h"
#include "plan/document.h"
#include "plan/plan.h"

namespace underfoot {

/// Limits of sense. A value outside is a slip: a unit forgotten, a point misplaced.
struct Allowed {
    double least;
    double greatest;
    bool leastIncluded = true;
};

namespace bounds {
inline constexpr Allowed coordinate{-1e7, 1e7};  ///< surveyors' grids stay within 10,000 km
inline constexpr Allowed height{-1e4, 1e4};      ///< no ground of the earth is higher
inline constexpr Allowed thickness{0, 3, false};
inline constexpr Allowed smallLength{0, 3};
inline constexpr Allowed overhang{-3, 3};
inline constexpr Allowed unitSide{0, 5, false};
inline constexpr Allowed joint{0, 0.15};
inline constexpr Allowed chamfer{0, 0.05};
inline constexpr Allowed siteLength{0, 1000, false};
inline constexpr Allowed boughtSide{0.1, 1000};  ///< of a roll, a panel, a length of stock
inline constexpr Allowed diameter{0, 3, false};
inline constexpr Allowed thinTo{0, 0.1, false};
inline constexpr Allowed slope{-0.5, 0.5};
inline constexpr Allowed sideSlope{0, 10, false};
inline constexpr Allowed repeatStep{0, 50, false};
inline constexpr double greatestSite = 1000;  ///< metres across
}  // namespace bounds

class Reading {
  public:
    Reading(std::string file, const Catalogue& catalogue) : file_(std::move(file)), catalogue_(catalogue) {}

    SourcePlace place(const Value& value) const { return {file_, value.line, value.column}; }
    SourcePlace place(const Member& member) const { return {file_, member.line, member.column}; }
    /// Faults past `greatestFaults` are counted, not kept. `what` is given its capital here.
    void report(const SourcePlace& place, std::string what, std::string remedy);
    void report(const Value& value, std::string what, std::string remedy) {
        report(place(value), std::move(what), std::move(remedy));
    }

    const std::string& file() const { return file_; }
    const Catalogue& catalogue() const { return catalogue_; }
    size_t count() const { return faults_.size() + unkept_; }
    /// The same, nothing found yet: for a part of the file that is read beside others.
    Reading part() const;
    /// Takes over what was found in a part.
    void add(Reading part);
    /// The faults in the order of the file; those of point files follow.
    Diagnostics takeFaults();

    std::vector<std::string> usedByVariants;  ///< build-ups that no area of the plan may use
    LengthUnit bare = LengthUnit::Foot;
    LengthFormat show;
    Baseline baseline;

  private:
    static constexpr size_t greatestFaults = 500;
    std::string file_;
    const Catalogue& catalogue_;
    Diagnostics faults_;
    size_t unkept_ = 0;
};

// `what` names the value in sentences: "The thickness of the layer "sand"".
std::optional<double> readLength(Reading&, const Value&, const std::string& what, const Allowed&);
std::optional<double> readSlope(Reading&, const Value&, const std::string& what, const Allowed&);
/// A plain number, or a text with one: "1/2", "30 %".
std::optional<double> readRatio(Reading&, const Value&, const std::string& what, const Allowed&);
/// Degrees in the file, as a number or "30 deg"; radians here.
std::optional<double> readAngle(Reading&, const Value&, const std::string& what);
std::optional<std::string> readText(Reading&, const Value&, const std::string& what);
std::optional<bool> readFlag(Reading&, const Value&, const std::string& what);
/// [x, y] or { s = station, o = offset }.
std::optional<glm::dvec2> readPoint(Reading&, const Value&, const std::string& what);
/// Two lengths in a list.
std::optional<glm::dvec2> readPair(Reading&, const Value&, const std::string& what, const Allowed&);
/// A list; reported where it is none.
const Value::List* readList(Reading&, const Value&, const std::string& what);

/// One table of the file: knows its keys, reports those it does not know with the nearest known one.
class Fields {
  public:
    /// `owner` names the table in sentences: "the layer "sand"".
    Fields(Reading& reading, const Value& value, std::string owner, std::initializer_list<const char*> known);

    bool isTable() const { return value_.as<Value::Table>() != nullptr; }
    const Value& value() const { return value_; }
    Reading& reading() const { return reading_; }
    const std::string& owner() const { return owner_; }
    SourcePlace place() const { return reading_.place(value_); }
    const Value* find(std::string_view key) const { return value_.find(key); }
    /// Reports a missing key; `remedy` says what to write.
    const Value* need(std::string_view key, const std::string& remedy) const;
    std::optional<glm::dvec2> needPoint(std::string_view key, const std::string& remedy) const;
    std::optional<glm::dvec2> needPair(std::string_view key, const std::string& remedy,
                                       const Allowed& bounds) const;
    std::optional<double> needLength(std::string_view key, const std::string& remedy,
                                     const Allowed& bounds) const;
    std::string needText(std::string_view key,
                         const std::string& remedy) const;  ///< empty when missing or wrong
    /// Radians; `otherwise` where there is none or a wrong one.
    double angle(std::string_view key, double otherwise) const;
    std::string name(std::string_view key) const;  ///< The "key" of owner

    std::string text(std::string_view key, std::string otherwise = {}) const;
    bool flag(std::string_view key, bool otherwise) const;
    double length(std::string_view key, double otherwise, const Allowed& bounds) const;
    double slope(std::string_view key, double otherwise, const Allowed& bounds) const;
    std::optional<double> maybeLength(std::string_view key, const Allowed& bounds) const;
    /// The index in `words` of the text at `key`; `otherwise` where there is none or a wrong one.
    size_t choice(std::string_view key, const std::vector<std::string>& words, size_t otherwise) const;
    /// The list at `key`, or an empty one.
    const Value::List& list(std::string_view key) const;

  private:
    Reading& reading_;
    const Value& value_;
    std::string owner_;
};

/// A name in quotes, shortened where it is very long.
std::string inQuotes(std::string_view name);
/// "x 12' 6", y 3' 0"" for sentences.
std::string pointText(const Reading&, glm::dvec2 point);

}  // namespace underfoot
