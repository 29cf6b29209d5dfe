#pragma once
// How a finding is put into words: places, rules and their sources, in the plan's own format. Internal to
// study.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "study/findings.h"

namespace underfoot {

/// Cells and columns inside the outlines of each area, in order.
struct AreaParts {
    explicit AreaParts(const Model& model);
    std::vector<std::vector<int>> cells, columns;
};

/// Words about one model, in its plan's own format.
class FindingWords {
  public:
    FindingWords(const Model& ofModel, const Catalogue& limits) : model(ofModel), catalogue(limits) {}

    const Model& model;
    const Catalogue& catalogue;

    /// "at 0+14.3, 9.2 ft out": station and offset of a local point.
    std::string where(glm::dvec2 local) const;
    std::string place(glm::dvec2 local) const;  ///< the same without "at"
    std::string thickness(double metres) const;
    /// A thickness that is never written as nothing when it is something.
    std::string amount(double metres) const;
    std::string length(double metres) const;
    std::string slope(double ratio) const;
    std::string area(double squareMetres) const;
    const std::string& areaName(int area) const;
    /// The layer's name with a capital; "Bed" for bedding.
    std::string layerTitle(LayerId layer) const;
    /// Where a limit comes from: its document, or the plan's value and reason with what is published.
    std::string sourceOf(const Limit& limit) const;

  private:
    std::string valueOf(const Limit& limit, double value) const;
};

/// Writes findings of one model.
class FindingWriter : public FindingWords {
  public:
    FindingWriter(const Model& ofModel, const Catalogue& limits, const AreaParts& parts,
                  std::vector<Finding>& findings)
        : FindingWords(ofModel, limits), parts_(parts), findings_(findings) {}

    std::span<const int> cellsOf(int area) const { return parts_.cells[static_cast<size_t>(area)]; }
    std::span<const int> columnsOf(int area) const { return parts_.columns[static_cast<size_t>(area)]; }

    /// Adds a finding with its station and offset filled in, to be completed by the caller.
    Finding& add(FindingKind kind, int area, glm::dvec2 at);
    void setRule(Finding& finding, const Limit& limit) const;

  private:
    const AreaParts& parts_;
    std::vector<Finding>& findings_;
};

/// The range wanted of a layer in an area, and which rule asks for it.
struct WantedBound {
    double value = 0;
    std::string rule;
    std::string source;
};
struct WantedRange {
    bool present = false;  ///< the area has the layer
    std::optional<WantedBound> least, greatest;
};
WantedRange wantedRange(const FindingWriter& writer, LayerId layer, int area);

void findLayerThickness(FindingWriter& writer);
void findFinishDeviations(FindingWriter& writer);
void findOutOfFlat(FindingWriter& writer);
void findSlopes(FindingWriter& writer);
void findCutUnits(FindingWriter& writer);
void findPipeCover(FindingWriter& writer);
void findStandingWater(FindingWriter& writer);
void findPipeFaults(FindingWriter& writer);
void findEdgingWithoutBase(FindingWriter& writer);
void findBaseStopsShort(FindingWriter& writer);
void findGroundNotShot(FindingWriter& writer);
void findScans(FindingWriter& writer);

/// True on cells inside the outlines of an area.
inline bool insideArea(const Column& column) {
    return column.area >= 0 && !column.beyond;
}

}  // namespace underfoot
