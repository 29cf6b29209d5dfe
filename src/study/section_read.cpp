// What a finished section is asked: stacks, extremes, the outlines of its layers.

#include <algorithm>
#include <utility>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "study/section.h"

namespace underfoot {

namespace {

double heightAt(const Section& section, const SectionInterval& interval, int k, bool end) {
    return section.heights[static_cast<size_t>(interval.first + 2 * k + (end ? 1 : 0))];
}

const Column& columnOf(const Model& model, const SectionInterval& interval) {
    return model.columns[static_cast<size_t>(interval.column)];
}

// Entries of a column that are drawn as one: the lifts of a layer, or each lift by itself.
struct Group {
    LayerId layer = -1;
    int lift = -1;
    int occurrence = 0;  // a layer that comes twice in a column, with others between
    int top = 0;         // interfaces
    int bottom = 0;
};

std::vector<Group> groupsOf(const Column& column, bool splitLifts) {
    std::vector<Group> groups;
    for (size_t e = 0; e < column.entries.size(); ++e) {
        const ColumnEntry& entry = column.entries[e];
        const int top = static_cast<int>(e);
        if (!splitLifts && !groups.empty() && groups.back().layer == entry.layer) {
            groups.back().bottom = top + 1;
            continue;
        }
        const int lift = splitLifts ? entry.lift : -1;
        const auto before = std::count_if(groups.begin(), groups.end(), [&](const Group& g) {
            return g.layer == entry.layer && g.lift == lift;
        });
        groups.push_back({entry.layer, lift, static_cast<int>(before), top, top + 1});
    }
    return groups;
}

}  // namespace

std::vector<LayerAt> stackAt(const Model& model, const Section& section, double distance) {
    const auto& all = section.intervals;
    auto after =
        std::upper_bound(all.begin(), all.end(), distance,
                         [](double d, const SectionInterval& interval) { return d < interval.from; });
    if (after == all.begin()) return {};
    const SectionInterval& interval = *(after - 1);
    if (!(distance <= interval.to)) return {};
    const Column& column = columnOf(model, interval);
    const double ratio = (distance - interval.from) / (interval.to - interval.from);
    const auto height = [&](int k) {
        const double from = heightAt(section, interval, k, false), to = heightAt(section, interval, k, true);
        return ratio == 1.0 ? to : from + (to - from) * ratio;
    };
    std::vector<LayerAt> stack;
    for (int e = 0; e < static_cast<int>(column.entries.size()); ++e) {
        const ColumnEntry& entry = column.entries[static_cast<size_t>(e)];
        stack.push_back({entry.layer, e, entry.lift, height(e), height(e + 1)});
    }
    return stack;
}

std::vector<Extremes> extremes(const Model& model, const Section& section) {
    std::vector<Extremes> byLayer(model.layers.size());
    const auto take = [](Extremes& e, double thickness, double at) {
        if (thickness < e.least) e.least = thickness, e.leastAt = at;
        if (thickness > e.greatest) e.greatest = thickness, e.greatestAt = at;
    };
    for (const SectionInterval& interval : section.intervals) {
        for (const Group& group : groupsOf(columnOf(model, interval), false)) {
            if (group.layer == model.nativeSoil) continue;
            const double from = heightAt(section, interval, group.top, false) -
                                heightAt(section, interval, group.bottom, false);
            const double to = heightAt(section, interval, group.top, true) -
                              heightAt(section, interval, group.bottom, true);
            if (from <= 0 && to <= 0) continue;
            Extremes& e = byLayer[static_cast<size_t>(group.layer)];
            if (e.layer < 0) e = {group.layer, from, interval.from, from, interval.from, 0};
            take(e, from, interval.from);
            take(e, to, interval.to);
            e.area += 0.5 * (from + to) * (interval.to - interval.from);
        }
    }
    byLayer.erase(
        std::remove_if(byLayer.begin(), byLayer.end(), [](const Extremes& e) { return e.layer < 0; }),
        byLayer.end());
    return byLayer;
}

namespace {

// Grows the runs of a section interval by interval.
class RunTracer {
  public:
    explicit RunTracer(const Section& section) : section_(section) {}

    void add(const SectionInterval& interval, const Group& group) {
        const double topFrom = heightAt(section_, interval, group.top, false);
        const double bottomFrom = heightAt(section_, interval, group.bottom, false);
        const double topTo = heightAt(section_, interval, group.top, true);
        const double bottomTo = heightAt(section_, interval, group.bottom, true);
        if (topFrom <= bottomFrom && topTo <= bottomTo) return;
        LayerRun* run = openRun(interval, group, topFrom, bottomFrom);
        if (!run) {
            open_.push_back({group.layer, group.lift, group.occurrence, runs_.size()});
            runs_.push_back({group.layer, group.lift, {}, {}});
            run = &runs_.back();
        }
        append(run->top, {interval.from, topFrom});
        append(run->bottom, {interval.from, bottomFrom});
        append(run->top, {interval.to, topTo});
        append(run->bottom, {interval.to, bottomTo});
    }

    std::vector<LayerRun> take() { return std::move(runs_); }

  private:
    struct Open {
        LayerId layer;
        int lift;
        int occurrence;
        size_t run;
    };

    // The run that this interval goes on, if it joins it in a face of some height or in the point where both
    // pinch out.
    LayerRun* openRun(const SectionInterval& interval, const Group& group, double top, double bottom) {
        for (Open& open : open_) {
            if (open.layer != group.layer || open.lift != group.lift || open.occurrence != group.occurrence)
                continue;
            LayerRun& run = runs_[open.run];
            const bool joins =
                run.top.back().x == interval.from && top >= run.bottom.back().y && bottom <= run.top.back().y;
            if (joins) return &run;
            open.run = runs_.size();
            runs_.push_back({group.layer, group.lift, {}, {}});
            return &runs_.back();
        }
        return nullptr;
    }

    static void append(std::vector<glm::dvec2>& line, glm::dvec2 point) {
        if (line.empty() || line.back() != point) line.push_back(point);
    }

    const Section& section_;
    std::vector<LayerRun> runs_;
    std::vector<Open> open_;
};

}  // namespace

std::vector<LayerRun> layerRuns(const Model& model, const Section& section, bool splitLifts) {
    RunTracer tracer(section);
    for (const SectionInterval& interval : section.intervals) {
        for (const Group& group : groupsOf(columnOf(model, interval), splitLifts))
            tracer.add(interval, group);
    }
    return tracer.take();
}

}  // namespace underfoot
