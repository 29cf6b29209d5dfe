#include "study/volumes.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cstdint>
#include <utility>

#include "ground/tolerance.h"
#include "measure/side_by_side.h"
#include "plan/plan.h"

namespace underfoot {

namespace {

// A set of a column's entries, in as many words as the longest column needs.
class EntrySets {
  public:
    explicit EntrySets(const Model& model) {
        size_t longest = 1;
        for (const Column& column : model.columns) longest = std::max(longest, column.entries.size());
        words_ = (longest + 63) / 64;
        bits_.assign(words_ * model.posts.size(), 0);
    }
    size_t words() const { return words_; }
    uint64_t* of(size_t post) { return bits_.data() + words_ * post; }
    const uint64_t* of(int post) const { return bits_.data() + words_ * static_cast<size_t>(post); }
    static bool has(const uint64_t* set, size_t entry) { return set[entry / 64] >> (entry % 64) & 1; }

  private:
    size_t words_ = 1;
    std::vector<uint64_t> bits_;
};

// Plan area of the cells of one column in which the same entries have thickness.
struct Stretch {
    int column = -1;
    std::vector<uint64_t> there;
    double planArea = 0;
};

LiftVolume& liftOf(LayerVolume& layer, int lift) {
    const auto at = std::lower_bound(layer.lifts.begin(), layer.lifts.end(), lift,
                                     [](const LiftVolume& l, int wanted) { return l.lift < wanted; });
    if (at != layer.lifts.end() && at->lift == lift) return *at;
    return *layer.lifts.insert(at, LiftVolume{lift, 0, 0});
}

}  // namespace

class MovingVolumes::Sums {
  public:
    explicit Sums(const Model& model) : there_(model) {
        totals_.volumes.resize(model.columns.size());
        for (size_t c = 0; c < model.columns.size(); ++c)
            totals_.volumes[c].resize(model.columns[c].entries.size());
        for (size_t p = 0; p < model.posts.size(); ++p) findEntries(model, p);
        addCells(model);
        for (size_t p = 0; p < model.posts.size(); ++p)
            addPost(model, p, model.heights.data() + model.posts[p].first, model.facts[p]);
    }

    /// Remembers what posts were counted with, so that it can be taken off again.
    void remember(const Model& model) {
        heights_ = model.heights;
        facts_ = model.facts;
    }

    void move(const Model& model, std::span<const int> posts) {
        std::vector<Totals> parts((posts.size() + many - 1) / many);
        inRuns(posts.size(), many, [&](size_t from, size_t to) {
            // A few posts are counted straight on, many by runs that are added up in their order.
            Totals& part = parts[from / many];
            Totals& sums = parts.size() == 1 ? totals_ : part;
            if (&sums == &part) sums.volumes = emptyVolumes();
            for (const int post : posts.subspan(from, to - from)) {
                const size_t p = static_cast<size_t>(post);
                movePost(model, p, heights_.data() + model.posts[p].first, facts_[p], sums);
                part.others = findEntries(model, p) || part.others;
            }
        });
        bool others = false;
        for (const Totals& part : parts) {
            if (parts.size() > 1) totals_.add(part);
            others = others || part.others;
        }
        if (others) addCells(model);
    }

    /// Sums up by layer and lift, where room for them is kept from one time to the next.
    void gather(const Model& model, Volumes& result) const;

  private:
    static constexpr size_t many = 20000;  // posts for a thread

    struct Totals {
        std::vector<std::vector<double>> volumes;  // by column and entry
        double strip = 0, cut = 0;
        bool others = false;  // entries with thickness are others than before

        void add(const Totals& part) {
            for (size_t c = 0; c < volumes.size(); ++c)
                for (size_t e = 0; e < volumes[c].size(); ++e) volumes[c][e] += part.volumes[c][e];
            strip += part.strip;
            cut += part.cut;
        }
    };

    std::vector<std::vector<double>> emptyVolumes() const {
        std::vector<std::vector<double>> empty(totals_.volumes.size());
        for (size_t c = 0; c < empty.size(); ++c) empty[c].resize(totals_.volumes[c].size());
        return empty;
    }

    static size_t column(const Model& model, size_t post) {
        return static_cast<size_t>(model.posts[post].column);
    }

    /// Which entries have thickness at a post; true when they are others than before.
    bool findEntries(const Model& model, size_t p) {
        const double* heights = model.heights.data() + model.posts[p].first;
        uint64_t* set = there_.of(p);
        bool others = false;
        const size_t entries = totals_.volumes[column(model, p)].size();
        for (size_t from = 0; from < entries; from += 64) {
            uint64_t word = 0;
            for (size_t e = from; e < std::min(entries, from + 64); ++e)
                word |= static_cast<uint64_t>(heights[e] - heights[e + 1] > tolerance::zeroThickness)
                        << (e - from);
            others = others || set[from / 64] != word;
            set[from / 64] = word;
        }
        return others;
    }

    void addCells(const Model& model) {
        stretches_.clear();
        stretchesOf_.assign(totals_.volumes.size(), {});
        const uint64_t* sets = there_.words() == 1 ? there_.of(size_t{0}) : nullptr;
        double run = 0;  // plan area of cells like the last one, not yet added to its stretch
        for (size_t i = 0; i < model.cells.size(); ++i) {
            const Cell& cell = model.cells[i];
            const auto [a, b, c] = cell.post;
            // Most cells are like the one before.
            const bool same = sets && last_ < stretches_.size() && stretches_[last_].column == cell.column &&
                              stretches_[last_].there[0] == (sets[a] | sets[b] | sets[c]);
            if (!same) {
                if (last_ < stretches_.size()) stretches_[last_].planArea += std::exchange(run, 0);
                stretchOf(cell);
            }
            run += model.cellAreas[i];
        }
        if (last_ < stretches_.size()) stretches_[last_].planArea += run;
    }

    bool isOf(const Stretch& stretch, const Cell& cell) const {
        if (stretch.column != cell.column) return false;
        for (size_t w = 0; w < there_.words(); ++w)
            if (stretch.there[w] != wordOf(cell, w)) return false;
        return true;
    }
    uint64_t wordOf(const Cell& cell, size_t w) const {
        return there_.of(cell.post[0])[w] | there_.of(cell.post[1])[w] | there_.of(cell.post[2])[w];
    }

    /// Makes the stretch that a cell belongs to the last one.
    void stretchOf(const Cell& cell) {
        std::vector<size_t>& known = stretchesOf_[static_cast<size_t>(cell.column)];
        for (const size_t stretch : known) {
            last_ = stretch;
            if (isOf(stretches_[stretch], cell)) return;
        }
        last_ = stretches_.size();
        known.push_back(last_);
        Stretch fresh;
        fresh.column = cell.column;
        for (size_t w = 0; w < there_.words(); ++w) fresh.there.push_back(wordOf(cell, w));
        stretches_.push_back(std::move(fresh));
    }

    void addPost(const Model& model, size_t p, const double* heights, const CornerFacts& facts) {
        const double weight = model.postAreas[p];
        std::vector<double>& volumes = totals_.volumes[column(model, p)];
        for (size_t e = 0; e < volumes.size(); ++e) volumes[e] += weight * (heights[e] - heights[e + 1]);
        // Strip everywhere; cut where something is built.
        totals_.strip += weight * std::max(0.0, facts.ground - facts.stripped);
        if (model.columns[column(model, p)].area >= 0)
            totals_.cut += weight * std::max(0.0, facts.stripped - heights[volumes.size() - 1]);
    }

    /// Counts what a post has now instead of what it was counted with, and remembers that.
    static void movePost(const Model& model, size_t p, double* held, CornerFacts& heldFacts, Totals& sums) {
        const double weight = model.postAreas[p];
        const double* now = model.heights.data() + model.posts[p].first;
        const CornerFacts& facts = model.facts[p];
        std::vector<double>& volumes = sums.volumes[column(model, p)];
        const size_t entries = volumes.size();
        sums.strip += weight * (std::max(0.0, facts.ground - facts.stripped) -
                                std::max(0.0, heldFacts.ground - heldFacts.stripped));
        if (model.columns[column(model, p)].area >= 0)
            sums.cut += weight * (std::max(0.0, facts.stripped - now[entries - 1]) -
                                  std::max(0.0, heldFacts.stripped - held[entries - 1]));
        for (size_t e = 0; e < entries; ++e)
            volumes[e] += weight * ((now[e] - now[e + 1]) - (held[e] - held[e + 1]));
        std::copy_n(now, entries + 1, held);
        heldFacts = facts;
    }

    static void layOut(const Model& model, std::vector<LayerVolume>& layers);
    void addColumn(const Column& column, size_t c, std::vector<LayerVolume>& layers) const;
    static void addStretch(const Stretch& stretch, const Column& column, std::vector<LayerVolume>& layers);

    EntrySets there_;
    std::vector<Stretch> stretches_;
    size_t last_ = 0;
    std::vector<std::vector<size_t>> stretchesOf_;  // by column
    Totals totals_;
    std::vector<double> heights_;  // as counted, once remembered
    std::vector<CornerFacts> facts_;
};

/// All layers but the native soil, which is the last, holding nothing yet.
void MovingVolumes::Sums::layOut(const Model& model, std::vector<LayerVolume>& layers) {
    assert(model.nativeSoil < 0 || static_cast<size_t>(model.nativeSoil) + 1 == model.layers.size());
    layers.resize(model.nativeSoil < 0 ? model.layers.size() : static_cast<size_t>(model.nativeSoil));
    for (size_t l = 0; l < layers.size(); ++l) {
        LayerVolume& layer = layers[l];
        layer.layer = static_cast<LayerId>(l);
        layer.volume = layer.insideVolume = layer.planArea = 0;
        for (LiftVolume& lift : layer.lifts) lift.volume = lift.planArea = 0;
    }
}

void MovingVolumes::Sums::addColumn(const Column& column, size_t c, std::vector<LayerVolume>& layers) const {
    const bool inside = column.area >= 0 && !column.beyond;
    for (size_t e = 0; e < column.entries.size(); ++e) {
        const size_t l = static_cast<size_t>(column.entries[e].layer);
        if (l >= layers.size()) continue;  // native soil
        LayerVolume& layer = layers[l];
        layer.volume += totals_.volumes[c][e];
        if (inside) layer.insideVolume += totals_.volumes[c][e];
        liftOf(layer, column.entries[e].lift).volume += totals_.volumes[c][e];
    }
}

void MovingVolumes::Sums::addStretch(const Stretch& stretch, const Column& column,
                                     std::vector<LayerVolume>& layers) {
    LayerId counted = -1;
    for (size_t e = 0; e < column.entries.size(); ++e) {
        const size_t l = static_cast<size_t>(column.entries[e].layer);
        if (l >= layers.size() || !EntrySets::has(stretch.there.data(), e)) continue;
        LayerVolume& layer = layers[l];
        // Lifts of one layer lie together: its plan area counts once.
        if (std::exchange(counted, column.entries[e].layer) != column.entries[e].layer)
            layer.planArea += stretch.planArea;
        liftOf(layer, column.entries[e].lift).planArea += stretch.planArea;
    }
}

void MovingVolumes::Sums::gather(const Model& model, Volumes& result) const {
    result.strip = totals_.strip;
    result.cut = totals_.cut;
    result.fill = result.finishArea = 0;
    layOut(model, result.layers);
    for (size_t c = 0; c < totals_.volumes.size(); ++c) addColumn(model.columns[c], c, result.layers);
    for (const Stretch& stretch : stretches_) {
        const Column& column = model.columns[static_cast<size_t>(stretch.column)];
        addStretch(stretch, column, result.layers);
        if (column.area >= 0 && !column.beyond) result.finishArea += stretch.planArea;
    }
    for (const LayerVolume& layer : result.layers)
        if (model.layers[static_cast<size_t>(layer.layer)].role == Role::Fill) result.fill += layer.volume;
}

struct MovingVolumes::Kept {
    explicit Kept(const Model& model) : sums(model) { sums.remember(model); }
    Sums sums;
    Volumes volumes;
};

MovingVolumes::MovingVolumes(const Model& model) : kept_(std::make_unique<Kept>(model)) {}
MovingVolumes::MovingVolumes(MovingVolumes&&) noexcept = default;
MovingVolumes& MovingVolumes::operator=(MovingVolumes&&) noexcept = default;
MovingVolumes::~MovingVolumes() = default;

const Volumes& MovingVolumes::move(const Model& model, std::span<const int> posts) {
    kept_->sums.move(model, posts);
    kept_->sums.gather(model, kept_->volumes);
    return kept_->volumes;
}

Volumes volumes(const Model& model) {
    assert(model.facts.size() == model.posts.size() && model.postAreas.size() == model.posts.size());
    Volumes result;
    MovingVolumes::Sums(model).gather(model, result);
    return result;
}

}  // namespace underfoot
