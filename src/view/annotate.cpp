#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <numeric>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <glm/common.hpp>
#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "measure/length.h"
#include "measure/words.h"
#include "model/model.h"
#include "plan/plan.h"
#include "study/section.h"
#include "study/thickness.h"
#include "view/camera.h"
#include "view/leaders.h"
#include "view/scene_view.h"
#include "view/shown.h"

namespace underfoot {

namespace {

constexpr double sharpEnough = 0.02;  // metres
constexpr double narrowest = 60;      // pixels of an inset that can hold labels

size_t at(int index) {
    return static_cast<size_t>(index);
}

/// A place where a layer can be pointed at.
struct Candidate {
    glm::dvec2 pixel{0, 0};
    double thickness = 0;
    double score = 0;
};

struct View {
    const Model& model;
    const Camera& camera;
    const Look& look;
    const Shown& shown;
    const SeenAt& seen;
    double width = 0, height = 0;
    bool rightColumn = true;
    double columnX = 0;
};

bool seenAt(const View& view, glm::dvec2 pixel, LayerId layer) {
    if (pixel.x < 0 || pixel.y < 0 || pixel.x > view.width || pixel.y > view.height) return false;
    const auto met = view.seen(pixel);
    return met && met->layer == layer;
}

/// Thickness of a layer, lifts together, at a local place.
double thicknessAt(const Model& model, LayerId layer, glm::dvec2 place, int& cellHint) {
    double sum = 0;
    for (const LayerAt& one : stackAtPoint(model, place, &cellHint))
        if (one.layer == layer) sum += one.thickness();
    return sum;
}

/// Nearness to the labels' column, from 0 to 1.
double nearColumn(const View& view, glm::dvec2 pixel) {
    const double part = pixel.x / view.width;
    return view.rightColumn ? part : 1 - part;
}

/// A layer's middle at one place along the cut.
struct OnCut {
    int place = 0;
    LayerId layer = -1;
    Candidate candidate;
};

/// The layers of one place along the cut, lifts together.
void addPlace(const View& view, const Section& section, double s, int place, std::vector<OnCut>& out) {
    const glm::dvec2 plan = section.at(s);
    const std::vector<LayerAt> stack = stackAt(view.model, section, s);
    for (size_t k = 0; k < stack.size();) {
        size_t last = k;
        while (last + 1 < stack.size() && stack[last + 1].layer == stack[k].layer) ++last;
        const LayerId layer = stack[k].layer;
        const double top = stack[k].top, bottom = stack[last].bottom, rise = view.shown.rise[at(layer)];
        k = last + 1;
        const bool peeled = glm::dot(plan, view.shown.peelAlong) > view.shown.peelLimit[at(layer)];
        if (top - bottom < 1e-6 || !view.shown.visible[at(layer)] || peeled) continue;
        const bool ground = layer == view.model.nativeSoil;
        const double z = ground ? top - std::min(0.16, 0.5 * (top - bottom)) : 0.5 * (top + bottom);
        const auto pixel = view.camera.project({plan, z + rise}, view.width, view.height);
        const auto topPixel = view.camera.project({plan, top + rise}, view.width, view.height);
        if (!pixel || !topPixel) continue;
        const double tall = ground ? 0 : 2 * std::abs(topPixel->y - pixel->y);
        out.push_back({place, layer, {*pixel, top - bottom, std::min(tall, 30.0) / 30}});
    }
}

/// On the face of the cut. Best where most layers lie under each other, so that the labels come in order of
/// depth; then near the labels' column and where the layers are tall in the frame.
void addOnCut(const View& view, std::vector<std::vector<Candidate>>& found) {
    if (view.shown.cutLine.empty()) return;
    const Section section = cut(view.model, view.shown.cutLine);
    if (section.intervals.empty()) return;
    const double from = section.intervals.front().from, to = section.intervals.back().to;
    constexpr int places = 120;
    std::vector<OnCut> all;
    std::vector<double> worth(places, 0);
    for (int i = 0; i < places; ++i) {
        const size_t before = all.size();
        addPlace(view, section, from + (to - from) * (i + 0.5) / places, i, all);
        for (size_t k = before; k < all.size(); ++k)
            worth[at(i)] +=
                1 + 0.3 * all[k].candidate.score + 0.12 * nearColumn(view, all[k].candidate.pixel);
    }
    const auto best = static_cast<int>(std::max_element(worth.begin(), worth.end()) - worth.begin());
    for (OnCut& one : all) {
        const double off = std::abs(one.place - best) / static_cast<double>(places);
        one.candidate.score +=
            2 + 2 * std::max(0.0, 1 - 4 * off) + 0.7 * nearColumn(view, one.candidate.pixel);
        found[at(one.layer)].push_back(one.candidate);
    }
}

/// Wherever the eye meets a layer, on a grid over the frame; and where it meets anything.
class Sight {
  public:
    static constexpr int across = 44, down = 30;
    explicit Sight(const View& view) : view_(view), met_(at(across * down)) {
        for (int j = 0; j < down; ++j)
            for (int i = 0; i < across; ++i) met_[at(j * across + i)] = view.seen(middle(i, j));
    }

    void cover(CoveredGrid& covered) const {
        for (int j = 0; j < down; ++j)
            for (int i = 0; i < across; ++i)
                if (met_[at(j * across + i)]) covered.cover(view_.rightColumn ? i : across - 1 - i, j);
    }
    void addLayers(std::vector<std::vector<Candidate>>& found) const {
        for (int j = 0; j < down; ++j)
            for (int i = 0; i < across; ++i) add(middle(i, j), met_[at(j * across + i)], found);
    }
    /// And between places where different things are met: layers that show as a narrow band.
    void addBetween(std::vector<std::vector<Candidate>>& found) const {
        for (int j = 0; j < down; ++j)
            for (int i = 0; i < across; ++i)
                for (const auto& [right, below] : {std::pair{1, 0}, {0, 1}}) {
                    if (i + right >= across || j + below >= down) continue;
                    const auto& here = met_[at(j * across + i)];
                    const auto& there = met_[at((j + below) * across + i + right)];
                    if ((here ? here->layer : -2) == (there ? there->layer : -2)) continue;
                    for (const double part : {0.25, 0.5, 0.75}) {
                        const glm::dvec2 pixel = glm::mix(middle(i, j), middle(i + right, j + below), part);
                        add(pixel, view_.seen(pixel), found);
                    }
                }
    }

  private:
    glm::dvec2 middle(int i, int j) const {
        return {view_.width * (i + 0.5) / across, view_.height * (j + 0.5) / down};
    }
    void add(glm::dvec2 pixel, const std::optional<SeenPlace>& met,
             std::vector<std::vector<Candidate>>& found) const {
        if (!met || met->layer < 0) return;
        found[at(met->layer)].push_back(
            {pixel, thicknessAt(view_.model, met->layer, met->at, cellHint_), nearColumn(view_, pixel)});
    }

    const View& view_;
    std::vector<std::optional<SeenPlace>> met_;
    mutable int cellHint_ = -1;
};

/// Two leaders never run along one line; with `inOrder`, a deeper layer's dot comes below that of a higher
/// one.
bool fitsIn(const View& view, LayerId layer, glm::dvec2 dot, const std::vector<Label>& placed, bool inOrder) {
    const std::vector<int>& rank = view.shown.rank;
    return std::none_of(placed.begin(), placed.end(), [&](const Label& other) {
        const bool above = rank[at(other.layer)] < rank[at(layer)];
        return std::abs(other.dot.y - dot.y) < leadersApart || (inOrder && above && dot.y < other.dot.y);
    });
}

std::optional<Candidate> bestSeen(const View& view, LayerId layer, std::vector<Candidate> candidates,
                                  double reserve, const std::vector<Label>& placed) {
    double thickest = 1e-9;
    for (const Candidate& candidate : candidates) thickest = std::max(thickest, candidate.thickness);
    for (Candidate& candidate : candidates) candidate.score += 0.3 * candidate.thickness / thickest;
    std::stable_sort(candidates.begin(), candidates.end(),
                     [](const Candidate& a, const Candidate& b) { return a.score > b.score; });
    for (const bool inOrder : {true, false}) {
        int tries = 0;
        for (const Candidate& candidate : candidates) {
            if (std::abs(view.columnX - candidate.pixel.x) < reserve || candidate.thickness < 1e-6) continue;
            if (!fitsIn(view, layer, candidate.pixel, placed, inOrder)) continue;
            if (++tries > 40) break;
            if (seenAt(view, candidate.pixel, layer)) return candidate;
        }
    }
    return {};
}

/// Labels above their dots, in the dots' order, `lineHeight` apart; pushed down only where the frame ends.
void spread(std::vector<Label>& labels, double lineHeight, double top) {
    std::stable_sort(labels.begin(), labels.end(),
                     [](const Label& a, const Label& b) { return a.dot.y < b.dot.y; });
    double below = 1e9;
    for (size_t i = labels.size(); i-- > 0;) {
        labels[i].end.y = std::min(labels[i].dot.y - 0.5 * lineHeight, below - lineHeight);
        below = labels[i].end.y;
    }
    double above = top - 0.5 * lineHeight;
    for (Label& label : labels) {
        label.end.y = std::max(label.end.y, above + lineHeight);
        above = label.end.y;
    }
}

/// The plan's own name of a layer, with a capital: the same word in picture, section and findings.
std::string nameOf(const Model& model, LayerId layer) {
    return capitalised(model.layers[at(layer)].name);
}

std::vector<LayerId> fromTheTop(const Shown& shown) {
    std::vector<LayerId> order(shown.rank.size());
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(),
                     [&](LayerId a, LayerId b) { return shown.rank[at(a)] < shown.rank[at(b)]; });
    return order;
}

Label labelOf(const View& view, LayerId layer, double thickness) {
    Label label;
    label.layer = layer;
    label.name = nameOf(view.model, layer);
    if (layer != view.model.nativeSoil) label.thickness = formatThickness(thickness, view.model.plan.show);
    label.rightColumn = view.rightColumn;
    return label;
}

/// The middle of the layer's band in sight, up and down from a pixel of it.
glm::dvec2 middleOfBand(const View& view, LayerId layer, glm::dvec2 pixel) {
    constexpr int farthest = 9;
    int up = 0, down = 0;
    while (up < farthest && seenAt(view, pixel - glm::dvec2{0, up + 1}, layer)) ++up;
    while (down < farthest && seenAt(view, pixel + glm::dvec2{0, down + 1}, layer)) ++down;
    return pixel + glm::dvec2{0, 0.5 * (down - up)};
}

/// Leaders that leave the model by the shortest way, for where there is no face of a cut to show layers on.
class OutwardLabels {
  public:
    OutwardLabels(const View& view, std::vector<std::vector<Candidate>> found, const CoveredGrid& covered,
                  double lineHeight, double top)
        : view_(view), found_(std::move(found)), covered_(covered), lineHeight_(lineHeight), top_(top) {}

    std::vector<Label> labels() {
        const std::vector<LayerId> layers = fromTheTop(view_.shown);
        std::vector<Leader> leaders = chosen(layers);
        keepOnly(leaders, layers);
        // Dots are moved away from the edges of what they point at, where all labels still have room.
        for (const LayerId layer : layers) {
            if (found_[at(layer)].empty()) continue;
            const Candidate before = found_[at(layer)].front();
            found_[at(layer)] = {centred(layer, before)};
            std::vector<Leader> better = chosen(layers);
            if (better.size() < leaders.size())
                found_[at(layer)] = {before};
            else
                leaders = std::move(better);
        }
        std::vector<Label> labels;
        for (const Leader& leader : leaders) {
            const LayerId layer = layers[leader.thing];
            const Candidate& place = found_[at(layer)].front();
            Label& label = labels.emplace_back(labelOf(view_, layer, place.thickness));
            label.dot = place.pixel;
            label.bend = mirrored(leader.bend);
            label.end = mirrored(leader.end);
        }
        return labels;
    }

  private:
    glm::dvec2 mirrored(glm::dvec2 p) const {
        return view_.rightColumn ? p : glm::dvec2{view_.width - p.x, p.y};
    }
    /// A pixel over the model weighs a point; the place itself less than a line's height of them.
    std::vector<PointedAt> placesOf(LayerId layer) const {
        double thickest = 1e-9;
        for (const Candidate& one : found_[at(layer)]) thickest = std::max(thickest, one.thickness);
        std::vector<PointedAt> places;
        for (const Candidate& one : found_[at(layer)])
            if (one.thickness >= 1e-6)
                places.push_back({mirrored(one.pixel), 0.8 * lineHeight_ * one.thickness / thickest});
        return places;
    }
    std::vector<Leader> chosen(const std::vector<LayerId>& layers) const {
        std::vector<std::vector<PointedAt>> things;
        things.reserve(layers.size());
        for (const LayerId layer : layers) things.push_back(placesOf(layer));
        const double columnX = mirrored({view_.columnX, 0}).x;
        return outwardLeaders(things, covered_, {columnX, top_, view_.height, lineHeight_});
    }
    void keepOnly(const std::vector<Leader>& leaders, const std::vector<LayerId>& layers) {
        std::vector<std::vector<Candidate>> kept(found_.size());
        for (const Leader& leader : leaders) {
            const LayerId layer = layers[leader.thing];
            for (const Candidate& one : found_[at(layer)])
                if (mirrored(one.pixel) == leader.dot) kept[at(layer)] = {one};
        }
        found_ = std::move(kept);
    }
    Candidate centred(LayerId layer, const Candidate& candidate) {
        const glm::dvec2 pixel = middleOfBand(view_, layer, candidate.pixel);
        const auto met = view_.seen(pixel);
        if (!met || met->layer != layer) return candidate;
        const double thickness = thicknessAt(view_.model, layer, met->at, cellHint_);
        return thickness < 1e-6 ? candidate : Candidate{pixel, thickness};
    }

    const View& view_;
    std::vector<std::vector<Candidate>> found_;
    const CoveredGrid& covered_;
    double lineHeight_, top_;
    int cellHint_ = -1;
};

std::vector<Label> labelsFor(const View& view, double lineHeight, double top) {
    std::vector<std::vector<Candidate>> found(view.model.layers.size());
    addOnCut(view, found);
    const Sight sight(view);
    sight.addLayers(found);
    if (view.shown.cutLine.empty()) {
        CoveredGrid covered(Sight::across, Sight::down, view.width, view.height);
        sight.cover(covered);
        sight.addBetween(found);
        return OutwardLabels(view, std::move(found), covered, lineHeight, top).labels();
    }
    const double reserve = 0.25 * lineHeight * static_cast<double>(found.size());
    std::vector<Label> labels;
    for (LayerId layer : fromTheTop(view.shown)) {
        const auto best = bestSeen(view, layer, std::move(found[at(layer)]), reserve, labels);
        if (!best) continue;
        Label label = labelOf(view, layer, best->thickness);
        label.dot = best->pixel;
        label.end.x = view.columnX;
        labels.push_back(std::move(label));
    }
    spread(labels, lineHeight, top);
    for (Label& label : labels) {
        const double run = obliqueRun * std::abs(label.end.y - label.dot.y);
        const double x = view.rightColumn ? std::max(label.end.x - run, label.dot.x)
                                          : std::min(label.end.x + run, label.dot.x);
        label.bend = {x, label.dot.y};
    }
    return labels;
}

// ---------------------------------------------------------------- numbers on the field

/// Middles of the pieces of one contour, in plan.
void contourPieces(const Model& model, LayerId layer, double level, std::vector<glm::dvec3>& out) {
    for (const Cell& cell : model.cells) {
        const Column& column = model.columnOf(cell);
        if (column.area < 0 || column.beyond) continue;
        double t[3] = {0, 0, 0};
        double top[3] = {-1e9, -1e9, -1e9};
        bool present = false;
        for (size_t k = column.entries.size(); k-- > 0;) {
            if (column.entries[k].layer != layer) continue;
            present = true;
            for (int c = 0; c < 3; ++c) {
                t[c] += model.thickness(cell, c, static_cast<int>(k));
                top[c] = model.height(cell, c, static_cast<int>(k));
            }
        }
        if (!present) continue;
        glm::dvec3 ends[3];
        int count = 0;
        for (int c = 0; c < 3; ++c) {
            const int d = (c + 1) % 3;
            if ((t[c] < level) == (t[d] < level)) continue;
            const double u = (level - t[c]) / (t[d] - t[c]);
            ends[count++] = {glm::mix(model.at(cell, c), model.at(cell, d), u), glm::mix(top[c], top[d], u)};
        }
        if (count == 2) out.push_back(0.5 * (ends[0] + ends[1]));
    }
}

/// Whether the eye meets the surface at a plan place: where a layer has no thickness it is not met itself.
bool seesPlace(const View& view, glm::dvec2 pixel, glm::dvec2 place) {
    const auto met = view.seen(pixel);
    return met && glm::length(met->at - place) < sharpEnough;
}

/// Pixel of the uppermost thing shown at a local plan place.
std::optional<glm::dvec2> onSurface(const View& view, const Shown& shown, glm::dvec2 place) {
    for (const LayerAt& one : stackAtPoint(view.model, place))
        if (shown.visible[at(one.layer)])
            return view.camera.project({place, one.top + shown.rise[at(one.layer)]}, view.width, view.height);
    return {};
}

/// The worst place of each patch out of the range, then numbers along the contours, well apart.
std::vector<FieldNumber> numbersFor(const View& view, const Shown& shown, const ThicknessScale& scale,
                                    double lineHeight) {
    const LayerId layer = view.look.thickness->layer;
    std::vector<FieldNumber> numbers;
    const double apart = 2.2 * lineHeight;
    const auto clear = [&](glm::dvec2 pixel, double free) {
        return std::none_of(numbers.begin(), numbers.end(),
                            [&](const FieldNumber& other) { return glm::length(other.at - pixel) < free; });
    };
    const ThicknessLook& asked = *view.look.thickness;
    for (const Patch& patch : thicknessField(view.model, layer, -1, asked.least, asked.greatest).patches) {
        const auto pixel = onSurface(view, shown, patch.worst);
        if (pixel && clear(*pixel, 0.8 * lineHeight) && seesPlace(view, *pixel, patch.worst))
            numbers.push_back({*pixel, formatThickness(patch.worstThickness, view.model.plan.show), true});
    }
    for (double n = std::ceil(scale.least / scale.step); n * scale.step <= scale.greatest + 1e-9; ++n) {
        std::vector<glm::dvec3> pieces;
        contourPieces(view.model, layer, n * scale.step, pieces);
        int placed = 0;
        // Through the pieces in strides, so that what is placed is spread over the contour.
        const size_t stride = std::max<size_t>(1, pieces.size() / 24);
        for (size_t i = stride / 2; i < pieces.size() && placed < 3; i += stride) {
            const auto pixel = view.camera.project(pieces[i] + glm::dvec3{0, 0, shown.rise[at(layer)]},
                                                   view.width, view.height);
            if (!pixel || !clear(*pixel, apart) || !seenAt(view, *pixel, layer)) continue;
            numbers.push_back({*pixel, formatThickness(n * scale.step, view.model.plan.show), false});
            ++placed;
        }
    }
    return numbers;
}

}  // namespace

Annotations annotate(const Model& model, const Camera& camera, const Look& look, double width, double height,
                     const Insets& insets, double lineHeight, const SeenAt& seen) {
    Annotations out;
    if (model.cells.empty()) return out;
    const Shown shown = resolve(model, look);
    const bool right = insets.right >= narrowest, left = !right && insets.left >= narrowest;
    std::optional<Cutter> cutter;
    const SeenAt picked = [&](glm::dvec2 pixel) -> std::optional<SeenPlace> {
        if (!cutter) cutter.emplace(model);
        const auto hit = pick(model, look, shown, *cutter, camera.ray(pixel, width, height));
        if (!hit) return {};
        return SeenPlace{hit->layer, hit->at};
    };
    View view{model, camera, look, shown, seen ? seen : picked, width, height, right, 0};
    view.columnX = right ? width - insets.right + 0.8 * lineHeight : insets.left - 0.8 * lineHeight;
    // A thickness field carries its own numbers: leaders would cross them.
    if ((right || left) && !look.thickness)
        out.labels = labelsFor(view, lineHeight, std::max(insets.top, 0.0));
    if (look.thickness && look.thickness->layer >= 0) {
        out.scale = thicknessScale(model, *look.thickness);
        out.numbers = numbersFor(view, shown, *out.scale, lineHeight);
    }
    return out;
}

}  // namespace underfoot
