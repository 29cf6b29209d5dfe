#include "study/takeoff_layouts.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <cstdlib>
#include <limits>
#include <numbers>
#include <optional>
#include <utility>

#include <glm/geometric.hpp>

#include "ground/tolerance.h"
#include "measure/cross.h"
#include "model/layout.h"
#include "study/index.h"
#include "study/nesting_offcuts.h"
#include "study/patches.h"

namespace underfoot {
namespace {

constexpr double tau = 2 * std::numbers::pi;
/// Amounts of length that rounding alone has left. Metres.
constexpr double noLength = 1e-9;
/// Directions of a place's sides that are tried for the strips.
constexpr size_t directionsTried = 6;
/// Strips are tried this many ways across: their slack hangs over on one side, both, the other.
constexpr int shiftsTried = 3;

// ---------------------------------------------------------------- where a layer lies

/// The connected places of a layer.
std::vector<FieldPatch> placesOf(const Model& model, LayerId layer) {
    std::vector<FieldCell> field;
    for (size_t c = 0; c < model.cells.size(); ++c) {
        const Cell& cell = model.cells[c];
        const auto& entries = model.columnOf(cell).entries;
        FieldCell one{static_cast<int>(c), {}, {}};
        for (int e = 0; e < static_cast<int>(entries.size()); ++e) {
            if (entries[index(e)].layer != layer) continue;
            for (int i = 0; i < 3; ++i) one.value[index(i)] += model.thickness(cell, i, e);
        }
        one.excess = one.value;
        if (*std::max_element(one.excess.begin(), one.excess.end()) > tolerance::lengthCompare)
            field.push_back(one);
    }
    return fieldPatches(model, field);
}

/// A ring without the corners at which it does not turn.
std::vector<glm::dvec2> simplified(const std::vector<glm::dvec2>& ring) {
    std::vector<glm::dvec2> out;
    for (size_t i = 0; i < ring.size(); ++i) {
        const glm::dvec2 before = ring[(i + ring.size() - 1) % ring.size()],
                         after = ring[(i + 1) % ring.size()];
        const glm::dvec2 through = after - before;
        const double off = std::abs(cross(through, ring[i] - before));
        if (off > 1e-7 * glm::length(through) || glm::dot(ring[i] - before, after - ring[i]) < 0)
            out.push_back(ring[i]);
    }
    return out.size() < 3 ? ring : out;
}

// ---------------------------------------------------------------- fabric

/// A side of a place, with the place to its left.
struct Side {
    glm::dvec2 from{0, 0}, to{0, 0};
};

struct Span {
    double from = std::numeric_limits<double>::infinity();
    double to = -std::numeric_limits<double>::infinity();
    void add(double value) {
        from = std::min(from, value);
        to = std::max(to, value);
    }
    double length() const { return to - from; }
};

/// The part of a side between two heights, along the first axis.
Span within(const Side& side, double low, double high) {
    const glm::dvec2 a = side.from, b = side.to;
    const auto at = [&](double y) {
        return a.x + (b.x - a.x) * std::clamp((y - a.y) / (b.y - a.y), 0.0, 1.0);
    };
    Span span;
    for (const glm::dvec2 p : {a, b})
        if (p.y >= low && p.y <= high) span.add(p.x);
    for (const double y : {low, high})
        if ((a.y < y) != (b.y < y)) span.add(at(y));
    return span;
}

/// Spans in order, those less than `gap` apart as one.
std::vector<Span> merged(std::vector<Span> spans, double gap) {
    std::sort(spans.begin(), spans.end(), [](const Span& a, const Span& b) { return a.from < b.from; });
    std::vector<Span> out;
    for (const Span& span : spans) {
        if (!out.empty() && span.from <= out.back().to + gap)
            out.back().to = std::max(out.back().to, span.to);
        else
            out.push_back(span);
    }
    return out;
}

/// Strips over a place turned so that the roll runs along the first axis.
struct Strips {
    std::vector<std::pair<Span, double>> strips;  ///< along, and the lower side
    double length = 0;
    int rolls = 0;  ///< that the place takes alone
};

/// Fewer rolls are bought; of as many, fewer strips leave fewer laps, then less fabric is left over.
bool isBetter(const Strips& a, const Strips& b) {
    if (b.strips.empty()) return true;
    if (a.rolls != b.rolls) return a.rolls < b.rolls;
    if (a.strips.size() != b.strips.size()) return a.strips.size() < b.strips.size();
    return a.length < b.length - tolerance::lengthCompare;
}

/// First fit, longest first: the number of the length of stock that each comes from, and how many.
std::pair<std::vector<int>, int> firstFit(const std::vector<double>& lengths, double stock, double kerf) {
    std::vector<size_t> order(lengths.size());
    for (size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::stable_sort(order.begin(), order.end(), [&](size_t a, size_t b) { return lengths[a] > lengths[b]; });
    std::vector<double> left;
    std::vector<int> from(lengths.size(), 0);
    for (const size_t i : order) {
        const auto fit = std::find_if(left.begin(), left.end(),
                                      [&](double rest) { return rest >= lengths[i] - noLength; });
        from[i] = static_cast<int>(fit - left.begin());
        const double rest = fit == left.end() ? stock : *fit;
        if (fit == left.end()) left.push_back(stock);
        left[index(from[i])] = rest - lengths[i] - kerf;
    }
    return {from, static_cast<int>(left.size())};
}

class StripSearch {
  public:
    StripSearch(std::vector<Side> sides, const UnitSize& roll, double overlap)
        : sides_(std::move(sides)), roll_(roll), overlap_(overlap) {
        for (const Side& side : sides_) across_.add(side.from.y);
    }

    Strips best() const {
        Strips best;
        for (int shift = 0; shift < shiftsTried; ++shift) {
            Strips one = laid(across_.from - slack() * shift / (shiftsTried - 1));
            if (isBetter(one, best)) best = std::move(one);
        }
        return best;
    }

  private:
    double step() const { return roll_.width - overlap_; }
    int count() const {
        return std::max(1, static_cast<int>(std::ceil((across_.length() - overlap_) / step() - 1e-9)));
    }
    /// By how much the strips together are wider than the place.
    double slack() const { return std::max(0.0, count() * step() + overlap_ - across_.length()); }

    /// What of the place lies in a strip reaches along it over the sides there, and between them where the
    /// strip's own two sides run through the place.
    Strips laid(double low) const {
        std::vector<InStrip> found(index(count()));
        for (const Side& side : sides_) addSide(side, low, found);
        Strips out;
        for (int i = 0; i < count(); ++i) {
            InStrip& in = found[index(i)];
            addPairs(in.crossLow, in.covered);
            addPairs(in.crossHigh, in.covered);
            for (const Span& span : merged(std::move(in.covered), overlap_))
                addStrip(span, low + i * step(), out);
        }
        std::vector<double> lengths;
        for (const auto& [span, at] : out.strips) lengths.push_back(span.length());
        out.rolls = firstFit(lengths, roll_.length, 0).second;
        return out;
    }

    struct InStrip {
        std::vector<Span> covered;
        std::vector<double> crossLow, crossHigh;  ///< where the place's sides cross the strip's
    };

    void addSide(const Side& side, double low, std::vector<InStrip>& found) const {
        const auto [least, greatest] = std::minmax(side.from.y, side.to.y);
        const int first = static_cast<int>(std::floor((least - low - roll_.width) / step()));
        const int last = static_cast<int>(std::ceil((greatest - low) / step()));
        for (int i = std::max(0, first); i <= std::min(last, count() - 1); ++i) {
            const double from = low + i * step(), to = from + roll_.width;
            // What touches the strip's side only needs none of it.
            if (greatest <= from + noLength || least >= to - noLength) continue;
            InStrip& in = found[index(i)];
            in.covered.push_back(within(side, from, to));
            if (least <= from + noLength) in.crossLow.push_back(crossing(side, from));
            if (greatest >= to - noLength) in.crossHigh.push_back(crossing(side, to));
        }
    }

    static double crossing(const Side& side, double y) {
        const glm::dvec2 run = side.to - side.from;
        return side.from.x + run.x * std::clamp((y - side.from.y) / run.y, 0.0, 1.0);
    }

    static void addPairs(std::vector<double>& crossings, std::vector<Span>& covered) {
        std::sort(crossings.begin(), crossings.end());
        for (size_t i = 0; i + 1 < crossings.size(); i += 2)
            covered.push_back({crossings[i], crossings[i + 1]});
    }

    /// In pieces no longer than a roll, which lap.
    void addStrip(Span span, double low, Strips& out) const {
        while (span.length() > roll_.length + noLength) {
            out.strips.push_back({{span.from, span.from + roll_.length}, low});
            out.length += roll_.length;
            span.from += roll_.length - overlap_;
        }
        out.strips.push_back({span, low});
        out.length += span.length();
    }

    std::vector<Side> sides_;
    UnitSize roll_;
    double overlap_;
    Span across_;
};

/// Directions to try: the given one, and those of the longest sides of an outline; each also square to it.
std::vector<glm::dvec2> directions(const std::vector<glm::dvec2>& outline, glm::dvec2 first) {
    std::vector<std::pair<double, glm::dvec2>> found{{std::numeric_limits<double>::infinity(), first}};
    for (size_t i = 0; i < outline.size(); ++i) {
        const glm::dvec2 side = outline[(i + 1) % outline.size()] - outline[i];
        const double length = glm::length(side);
        if (length <= noLength) continue;
        const glm::dvec2 along = side / length;
        const auto same = std::find_if(found.begin(), found.end(), [&](const auto& other) {
            const double turned = std::abs(cross(other.second, along));
            return turned < 1e-6 || turned > 1 - 1e-12;
        });
        if (same == found.end())
            found.push_back({length, along});
        else
            same->first += length;
    }
    std::stable_sort(found.begin(), found.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });
    found.resize(std::min(found.size(), directionsTried));
    std::vector<glm::dvec2> out;
    for (const auto& one : found) {
        out.push_back(one.second);
        out.push_back({-one.second.y, one.second.x});
    }
    return out;
}

/// Sides of a place's cells that lie between it and what is not in it.
std::vector<Side> sidesOf(const Model& model, const FieldPatch& patch) {
    std::vector<bool> in(model.cells.size(), false);
    for (const int cell : patch.cells) in[index(cell)] = true;
    std::vector<Side> sides;
    for (const int number : patch.cells) {
        const Cell& cell = model.cells[index(number)];
        for (int i = 0; i < 3; ++i) {
            const int j = (i + 1) % 3, across = cell.neighbour[index(3 - i - j)];
            if (across < 0 || !in[index(across)]) sides.push_back({model.at(cell, i), model.at(cell, j)});
        }
    }
    return sides;
}

std::vector<Side> turnedInto(const std::vector<Side>& sides, glm::dvec2 x) {
    const glm::dvec2 y{-x.y, x.x};
    std::vector<Side> out;
    out.reserve(sides.size());
    for (const Side& side : sides)
        out.push_back(
            {{glm::dot(side.from, x), glm::dot(side.from, y)}, {glm::dot(side.to, x), glm::dot(side.to, y)}});
    return out;
}

void layPlace(const Model& model, const FieldPatch& patch, FabricLayout& layout) {
    const Baseline& base = model.plan.baseline;
    const std::vector<Side> sides = sidesOf(model, patch);
    Strips best;
    glm::dvec2 x{1, 0};
    for (const glm::dvec2 along :
         directions(simplified(patch.outline.front()), glm::normalize(base.to - base.from))) {
        Strips one = StripSearch(turnedInto(sides, along), layout.roll, layout.overlap).best();
        if (!isBetter(one, best)) continue;
        best = std::move(one);
        x = along;
    }
    const glm::dvec2 y{-x.y, x.x};
    for (const auto& [span, low] : best.strips) {
        const double high = low + layout.roll.width;
        layout.strips.push_back({{x * span.from + y * low, x * span.to + y * low, x * span.to + y * high,
                                  x * span.from + y * high},
                                 span.length(),
                                 0});
    }
    layout.length += best.length;
}

// ---------------------------------------------------------------- panels

/// An area that is one place of the layer, so that its courses can be laid.
Area placeAsArea(const Model& model, const FieldPatch& patch) {
    Area area;
    const std::vector<glm::dvec2> ring = simplified(patch.outline.front());
    area.outline.start = model.toPlan(ring.front());
    for (size_t i = 1; i <= ring.size(); ++i) {
        OutlineEdge edge;
        edge.to = model.toPlan(ring[i % ring.size()]);
        area.outline.edges.push_back(edge);
    }
    return area;
}

Region placeAsRegion(const FieldPatch& patch) {
    Region region{simplified(patch.outline.front()), {}};
    for (size_t i = 1; i < patch.outline.size(); ++i) region.holes.push_back(simplified(patch.outline[i]));
    return region;
}

/// The first corner of the first of the plan's areas that lie in a place.
glm::dvec2 startOf(const Model& model, const FieldPatch& patch) {
    int first = std::numeric_limits<int>::max();
    for (const int cell : patch.cells) {
        const int area = model.columnOf(model.cells[index(cell)]).area;
        if (area >= 0) first = std::min(first, area);
    }
    assert(first < static_cast<int>(model.plan.areas.size()));
    return model.plan.areas[index(first)].outline.start;
}

PieceToSaw toSaw(const UnitPlan& laid, const UnitPiece& piece, const UnitFrame& frame) {
    PieceToSaw out;
    const glm::dvec2 x = frame.along, y{-x.y, x.x};
    for (int i = 0; i < piece.corners; ++i) {
        const glm::dvec2 d = laid.corners[index(piece.firstCorner + i)] - frame.at;
        out.shape.push_back({glm::dot(d, x), glm::dot(d, y)});
        out.factory.push_back(false);
    }
    return out;
}

/// Nothing where they need as many panels as `most` however they are sawn.
std::optional<PanelLayout> countPanels(const UnitPlan& laid, const UnitSize& panel, double kerf, int most) {
    PanelLayout out;
    std::vector<PieceToSaw> toBeSawn;
    std::vector<double> areas;
    size_t frame = 0;
    for (const UnitPiece& piece : laid.pieces) {
        const auto first = laid.corners.begin() + piece.firstCorner;
        out.pieces.emplace_back(first, first + piece.corners);
        if (piece.whole) {
            ++out.whole;
            continue;
        }
        toBeSawn.push_back(toSaw(laid, piece, laid.frames[frame++]));
        areas.push_back(piece.planArea);
    }
    const int left = most - out.whole;
    if (leastUnits(panel.length * panel.width, areas) >= left) return std::nullopt;
    out.cut = static_cast<int>(toBeSawn.size());
    out.sawnFrom = nestOffcuts(std::max(panel.length, panel.width), std::min(panel.length, panel.width),
                               toBeSawn, kerf, false, left)
                       .units;
    if (out.sawnFrom >= left) return std::nullopt;
    return out;
}

PanelLayout panelsOf(const Model& model, const FieldPatch& patch, const UnitSize& panel, double kerf) {
    UnitLayout wish;
    wish.pattern = Pattern::Running;
    wish.sizes = {panel};
    wish.shift = 0.5;
    wish.joint = 0;
    wish.start = startOf(model, patch);
    const Area area = placeAsArea(model, patch);
    std::optional<PanelLayout> best;
    for (const bool along : {true, false}) {
        wish.angle = along ? 0 : tau / 4;
        const UnitPlan laid =
            layoutUnits(wish, area, {placeAsRegion(patch)}, model.plan.baseline, model.site.origin);
        auto one = countPanels(laid, panel, kerf, best ? best->bought() : std::numeric_limits<int>::max());
        if (!one) continue;
        one->alongBaseline = along;
        if (!best || one->bought() < best->bought()) best = std::move(one);
    }
    return *best;
}

// ---------------------------------------------------------------- edging

glm::dvec2 alongOf(const EdgingPiece& piece) {
    return glm::normalize(piece.corner[3] - piece.corner[0]);
}

bool goesOn(const EdgingPiece& a, const EdgingPiece& b, double bend) {
    if (a.area != b.area || a.edging != b.edging) return false;
    if (glm::distance(a.corner[3], b.corner[0]) > 1e-6) return false;
    const glm::dvec2 from = alongOf(a), to = alongOf(b);
    return std::abs(std::atan2(cross(from, to), glm::dot(from, to))) <= bend + 1e-9;
}

double longerFace(const EdgingPiece& piece) {
    return std::max(glm::distance(piece.corner[1], piece.corner[2]),
                    glm::distance(piece.corner[0], piece.corner[3]));
}

/// Pieces that follow each other in one run.
struct PieceRun {
    size_t first = 0, last = 0;
    double length = 0;
    bool closed = false;
};

std::vector<PieceRun> piecesInRuns(const std::vector<EdgingPiece>& edging, double bend) {
    std::vector<PieceRun> runs;
    for (size_t i = 0; i < edging.size(); ++i) {
        if (i == 0 || !goesOn(edging[i - 1], edging[i], bend)) runs.push_back({i, i, 0, false});
        runs.back().last = i;
        runs.back().length += longerFace(edging[i]);
    }
    return runs;
}

/// Where the last run of an edging goes on in its first, the two are one.
void joinAtStart(const std::vector<EdgingPiece>& edging, double bend, std::vector<PieceRun>& runs) {
    const auto isOne = [&](const PieceRun& a, const PieceRun& b) {
        return edging[a.first].area == edging[b.first].area &&
               edging[a.first].edging == edging[b.first].edging;
    };
    for (size_t first = 0; first < runs.size(); ++first) {
        size_t last = first;
        while (last + 1 < runs.size() && isOne(runs[first], runs[last + 1])) ++last;
        const bool goesRound = goesOn(edging[runs[last].last], edging[runs[first].first], bend);
        if (goesRound && last == first) runs[first].closed = true;
        if (goesRound && last != first) {
            runs[first].length += runs[last].length;
            runs.erase(runs.begin() + static_cast<std::ptrdiff_t>(last--));
        }
        first = last;
    }
}

}  // namespace

FabricLayout layFabric(const Model& model, LayerId layer, const UnitSize& roll, double overlap) {
    assert(roll.width > overlap && roll.length > overlap);
    FabricLayout layout;
    layout.layer = layer;
    layout.roll = roll;
    layout.overlap = overlap;
    for (const FieldPatch& patch : placesOf(model, layer)) {
        layout.area += patch.area;
        layPlace(model, patch, layout);
    }
    std::vector<double> lengths;
    for (const FabricStrip& strip : layout.strips) lengths.push_back(strip.length);
    const auto [from, rolls] = firstFit(lengths, roll.length, 0);
    for (size_t i = 0; i < layout.strips.size(); ++i) layout.strips[i].roll = from[i];
    layout.rolls = rolls;
    return layout;
}

PanelLayout layPanels(const Model& model, LayerId layer, const UnitSize& panel, double kerf) {
    PanelLayout all;
    bool first = true;
    for (const FieldPatch& patch : placesOf(model, layer)) {
        PanelLayout one = panelsOf(model, patch, panel, kerf);
        if (std::exchange(first, false)) all.alongBaseline = one.alongBaseline;
        all.area += patch.area;
        all.whole += one.whole;
        all.cut += one.cut;
        all.sawnFrom += one.sawnFrom;
        all.pieces.insert(all.pieces.end(), one.pieces.begin(), one.pieces.end());
    }
    all.layer = layer;
    all.panel = panel;
    return all;
}

std::vector<EdgingRun> edgingRuns(const Model& model, double stock, double bend) {
    std::vector<PieceRun> found = piecesInRuns(model.edging, bend);
    joinAtStart(model.edging, bend, found);
    std::vector<EdgingRun> runs;
    for (const PieceRun& one : found) {
        const EdgingPiece& piece = model.edging[one.first];
        const Edging& of = model.plan.areas[index(piece.area)].edgings[index(piece.edging)];
        EdgingRun run{piece.area, piece.edging, one.length, of.height * of.thickness, one.closed, 0};
        const int lengths = static_cast<int>(std::ceil(run.length / stock - 1e-9));
        run.joints = std::max(0, lengths - (run.closed ? 0 : 1));
        runs.push_back(run);
    }
    return runs;
}

int stockLengths(const std::vector<double>& lengths, double stock, double kerf) {
    int whole = 0;
    std::vector<double> rests;
    for (const double length : lengths) {
        const int lengthsOfIt = static_cast<int>(std::floor(length / stock + 1e-9));
        whole += lengthsOfIt;
        if (const double rest = length - lengthsOfIt * stock; rest > 1e-6) rests.push_back(rest);
    }
    return whole + firstFit(rests, stock, kerf).second;
}

}  // namespace underfoot
