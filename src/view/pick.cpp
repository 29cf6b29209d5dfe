// Picking reads the section along the ray: between two crossings every layer is a trapezoid, and the ray a
// line in the same upright plane.

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

#include <glm/geometric.hpp>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "model/model.h"
#include "plan/plan.h"
#include "study/section.h"
#include "view/camera.h"
#include "view/scene_view.h"
#include "view/shown.h"

namespace underfoot {

namespace {

size_t at(int index) {
    return static_cast<size_t>(index);
}

struct Range {
    double from = 0, to = 0;
    bool empty() const { return from > to; }
};

Range meet(Range a, Range b) {
    return {std::max(a.from, b.from), std::min(a.to, b.to)};
}

/// The ray in the upright plane through it: s runs along `line` in plan, height is linear in s.
struct PlaneRay {
    glm::dvec2 start{0, 0};
    glm::dvec2 along{1, 0};
    double length = 0;
    double height = 0;  ///< at s = 0
    double slope = 0;
    double perMetre = 1;  ///< of the ray for one of s
    double before = 0;    ///< of the ray before s = 0
    double heightAt(double s) const { return height + slope * s; }
    glm::dvec2 at(double s) const { return start + along * s; }
};

/// The part of the ray over the model's box; nothing when it passes by.
std::optional<PlaneRay> overModel(const Model& model, Ray ray) {
    if (glm::length(glm::dvec2(ray.along)) < 1e-5)
        ray.along = glm::normalize(ray.along + glm::dvec3{1e-5, 7e-6, 0});
    const glm::dvec2 d(ray.along);
    const glm::dvec2 low = model.site.low - 2.0, high = model.site.high + 2.0;
    Range t{0, 1e9};
    for (int i = 0; i < 2; ++i) {
        if (std::abs(d[i]) < 1e-12) {
            if (ray.from[i] < low[i] || ray.from[i] > high[i]) return {};
            continue;
        }
        const double a = (low[i] - ray.from[i]) / d[i], b = (high[i] - ray.from[i]) / d[i];
        t = meet(t, {std::min(a, b), std::max(a, b)});
    }
    if (t.from >= t.to) return {};
    const double flat = glm::length(d);
    const glm::dvec3 p = ray.from + ray.along * t.from;
    return PlaneRay{glm::dvec2(p), d / flat, (t.to - t.from) * flat, p.z, ray.along.z / flat,
                    1 / flat,      t.from};
}

/// Where along the ray the cut leaves the model standing.
std::vector<Range> kept(const PlaneRay& ray, const Shown& shown) {
    std::vector<double> crossings;
    const glm::dvec2 n{-ray.along.y, ray.along.x};
    for (size_t i = 0, j = shown.removed.size() - 1; i < shown.removed.size(); j = i++) {
        const glm::dvec2 a = shown.removed[j] - ray.start, b = shown.removed[i] - ray.start;
        const double da = glm::dot(a, n), db = glm::dot(b, n);
        if ((da > 0) == (db > 0)) continue;
        const double s = glm::dot(a + (b - a) * (da / (da - db)), ray.along);
        if (s > 0 && s < ray.length) crossings.push_back(s);
    }
    std::sort(crossings.begin(), crossings.end());
    std::vector<Range> ranges;
    bool away = !shown.removed.empty() && shown.cutAway(ray.start);
    double from = 0;
    for (double s : crossings) {
        if (!away) ranges.push_back({from, s});
        away = !away;
        from = s;
    }
    if (!away) ranges.push_back({from, ray.length});
    return ranges;
}

Range unpeeled(const PlaneRay& ray, const Shown& shown, double limit) {
    if (!std::isfinite(limit)) return {0, ray.length};
    const double start = glm::dot(ray.start, shown.peelAlong), rate = glm::dot(ray.along, shown.peelAlong);
    if (std::abs(rate) < 1e-12) return start <= limit ? Range{0, ray.length} : Range{1, 0};
    const double s = (limit - start) / rate;
    return rate > 0 ? Range{0, s} : Range{s, ray.length};
}

/// Where a value that runs from `a` to `b` over the range is not negative.
Range notNegative(Range over, double a, double b) {
    if (a >= 0 && b >= 0) return over;
    if (a < 0 && b < 0) return {1, 0};
    const double s = over.from + (over.to - over.from) * (a / (a - b));
    return a < 0 ? Range{s, over.to} : Range{over.from, s};
}

/// An upright quadrilateral in the ray's plane.
struct Quad {
    Range over;
    double topFrom = 0, topTo = 0, bottomFrom = 0, bottomTo = 0;
};

Range inside(const PlaneRay& ray, const Quad& q) {
    const double a = ray.heightAt(q.over.from), b = ray.heightAt(q.over.to);
    return meet(notNegative(q.over, q.topFrom - a, q.topTo - b),
                notNegative(q.over, a - q.bottomFrom, b - q.bottomTo));
}

class Picking {
  public:
    Picking(const Model& model, const Look& look, const Shown& shown, const PlaneRay& ray, Section section)
        : model_(model),
          look_(look),
          ray_(ray),
          shown_(shown),
          kept_(kept(ray, shown)),
          section_(std::move(section)) {}

    std::optional<Hit> first() {
        for (const SectionInterval& interval : section_.intervals) {
            if (interval.from > best_) break;
            tryInterval(interval);
        }
        for (const ThingCut& thing : section_.things) tryThing(thing);
        if (best_ >= 1e300) return {};
        finish();
        return hit_;
    }

  private:
    void tryInterval(const SectionInterval& interval) {
        const Column& column = model_.columns[at(interval.column)];
        const auto height = [&](size_t k, size_t end) {
            return section_.heights[at(interval.first) + 2 * k + end];
        };
        for (size_t k = 0; k < column.entries.size(); ++k) {
            const LayerId layer = column.entries[k].layer;
            if (!shown_.visible[at(layer)]) continue;
            const double rise = shown_.rise[at(layer)];
            const Quad q{{interval.from, interval.to},
                         height(k, 0) + rise,
                         height(k, 1) + rise,
                         height(k + 1, 0) + rise,
                         height(k + 1, 1) + rise};
            const Range in = inside(ray_, q);
            if (in.empty()) continue;
            const Range whole = unpeeled(ray_, shown_, shown_.peelLimit[at(layer)]);
            const double s = enter(meet(in, whole));
            if (s >= best_) continue;
            best_ = s;
            hit_ = {};
            hit_.layer = layer;
            // Entered by a face that the look made: not where the quadrilateral itself begins.
            hit_.capFace = s > in.from + 1e-9;
        }
    }

    void tryThing(const ThingCut& thing) {
        const bool edging = thing.kind == ThingCut::Kind::Edging;
        if (edging ? !look_.edging : !look_.fixedThings) return;
        const Quad q{{thing.from, thing.to}, thing.topFrom, thing.topTo, thing.bottomFrom, thing.bottomTo};
        const Range in = inside(ray_, q);
        const Range whole = edging ? unpeeled(ray_, shown_, shown_.edgingLimit) : Range{0, ray_.length};
        const double s = in.empty() ? 1e300 : enter(meet(in, whole));
        if (s >= best_) return;
        best_ = s;
        hit_ = {};
        (edging ? hit_.edging : hit_.fixedThing) = thing.index;
        hit_.capFace = s > in.from + 1e-9;
    }

    double enter(Range in) const {
        for (const Range& range : kept_)
            if (const Range both = meet(in, range); !both.empty()) return both.from;
        return 1e300;
    }

    void finish() {
        hit_.at = ray_.at(best_);
        const double z = ray_.heightAt(best_);
        hit_.place = {hit_.at, z};
        hit_.distance = ray_.before + best_ * ray_.perMetre;
        hit_.height = hit_.layer >= 0 ? z - shown_.rise[at(hit_.layer)] : z;
        if (hit_.layer < 0 || model_.layers[at(hit_.layer)].role != Role::Units) return;
        double nearest = 0.003;  // half a joint more or less
        for (const UnitCut& unit : section_.units) {
            const double off = std::max({unit.from - best_, best_ - unit.to, 0.0});
            if (off < nearest) {
                nearest = off;
                hit_.unit = unit.unit;
            }
        }
    }

    const Model& model_;
    const Look& look_;
    const PlaneRay& ray_;
    const Shown& shown_;
    std::vector<Range> kept_;
    Section section_;
    double best_ = 1e300;
    Hit hit_;
};

}  // namespace

std::optional<Hit> pick(const Model& model, const Look& look, const Shown& shown, const Cutter& cutter,
                        const Ray& ray) {
    const auto over = overModel(model, ray);
    if (!over) return {};
    return Picking(model, look, shown, *over, cutter.cut({over->start, over->at(over->length)})).first();
}

Picker::Picker(std::shared_ptr<const Model> model) : model_(std::move(model)), cutter_(*model_) {}

std::optional<Hit> Picker::pick(const Look& look, const Ray& ray) const {
    return underfoot::pick(*model_, look, resolve(*model_, look), cutter_, ray);
}

std::optional<Hit> pick(const Model& model, const Look& look, const Ray& ray) {
    const auto over = overModel(model, ray);
    if (!over) return {};
    const Shown shown = resolve(model, look);
    return Picking(model, look, shown, *over, cut(model, {over->start, over->at(over->length)})).first();
}

}  // namespace underfoot
