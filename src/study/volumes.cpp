#include "study/volumes.h"

#include <algorithm>
#include <cassert>
#include <cstdint>
#include <utility>

#include "ground/tolerance.h"

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

class Adder {
  public:
    explicit Adder(const Model& model)
        : model_(model), weight_(model.posts.size(), 0), there_(model), volumes_(model.columns.size()) {
        for (size_t c = 0; c < volumes_.size(); ++c) volumes_[c].resize(model.columns[c].entries.size());
    }

    Volumes add() {
        findEntries();
        for (const Cell& cell : model_.cells) addCell(cell);
        for (size_t post = 0; post < model_.posts.size(); ++post) addPost(post);
        return gathered();
    }

  private:
    const Column& columnOf(const Post& post) const {
        return model_.columns[static_cast<size_t>(post.column)];
    }

    void findEntries() {
        for (size_t p = 0; p < model_.posts.size(); ++p) {
            const double* heights = model_.heights.data() + model_.posts[p].first;
            uint64_t* set = there_.of(p);
            for (size_t e = 0; e < columnOf(model_.posts[p]).entries.size(); ++e)
                if (heights[e] - heights[e + 1] > tolerance::zeroThickness) set[e / 64] |= 1ULL << (e % 64);
        }
    }

    // Every post answers for a third of each cell on it.
    void addCell(const Cell& cell) {
        const double area = model_.planArea(cell);
        for (int post : cell.post) weight_[static_cast<size_t>(post)] += area / 3;
        Stretch& stretch = stretchOf(cell);
        stretch.planArea += area;
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

    Stretch& stretchOf(const Cell& cell) {
        if (last_ < stretches_.size() && isOf(stretches_[last_], cell)) return stretches_[last_];
        for (last_ = 0; last_ < stretches_.size(); ++last_)
            if (isOf(stretches_[last_], cell)) return stretches_[last_];
        Stretch fresh;
        fresh.column = cell.column;
        for (size_t w = 0; w < there_.words(); ++w) fresh.there.push_back(wordOf(cell, w));
        stretches_.push_back(std::move(fresh));
        return stretches_.back();
    }

    void addPost(size_t p) {
        const Post& post = model_.posts[p];
        const double weight = weight_[p], *heights = model_.heights.data() + post.first;
        std::vector<double>& volumes = volumes_[static_cast<size_t>(post.column)];
        for (size_t e = 0; e < volumes.size(); ++e) volumes[e] += weight * (heights[e] - heights[e + 1]);
        const CornerFacts& facts = model_.facts[p];
        // Strip everywhere; cut where something is built.
        result_.strip += weight * std::max(0.0, facts.ground - facts.stripped);
        if (columnOf(post).area >= 0)
            result_.cut += weight * std::max(0.0, facts.stripped - heights[volumes.size() - 1]);
    }

    Volumes gathered();
    void addColumn(size_t c, std::vector<LayerVolume>& layers) const;
    void addStretch(const Stretch& stretch, std::vector<LayerVolume>& layers) const;

    const Model& model_;
    std::vector<double> weight_;  // plan area, by post
    EntrySets there_;
    std::vector<Stretch> stretches_;
    size_t last_ = 0;
    std::vector<std::vector<double>> volumes_;  // by column and entry
    Volumes result_;
};

LiftVolume& liftOf(LayerVolume& layer, int lift) {
    const auto at = std::lower_bound(layer.lifts.begin(), layer.lifts.end(), lift,
                                     [](const LiftVolume& l, int wanted) { return l.lift < wanted; });
    if (at != layer.lifts.end() && at->lift == lift) return *at;
    return *layer.lifts.insert(at, LiftVolume{lift, 0, 0});
}

void Adder::addColumn(size_t c, std::vector<LayerVolume>& layers) const {
    const Column& column = model_.columns[c];
    const bool inside = column.area >= 0 && !column.beyond;
    for (size_t e = 0; e < column.entries.size(); ++e) {
        LayerVolume& layer = layers[static_cast<size_t>(column.entries[e].layer)];
        layer.volume += volumes_[c][e];
        if (inside) layer.insideVolume += volumes_[c][e];
        liftOf(layer, column.entries[e].lift).volume += volumes_[c][e];
    }
}

void Adder::addStretch(const Stretch& stretch, std::vector<LayerVolume>& layers) const {
    const std::vector<ColumnEntry>& entries = model_.columns[static_cast<size_t>(stretch.column)].entries;
    LayerId counted = -1;
    for (size_t e = 0; e < entries.size(); ++e) {
        if (!EntrySets::has(stretch.there.data(), e)) continue;
        LayerVolume& layer = layers[static_cast<size_t>(entries[e].layer)];
        // Lifts of one layer lie together: its plan area counts once.
        if (std::exchange(counted, entries[e].layer) != entries[e].layer) layer.planArea += stretch.planArea;
        liftOf(layer, entries[e].lift).planArea += stretch.planArea;
    }
}

Volumes Adder::gathered() {
    std::vector<LayerVolume> layers(model_.layers.size());
    for (size_t l = 0; l < layers.size(); ++l) layers[l].layer = static_cast<LayerId>(l);
    for (size_t c = 0; c < volumes_.size(); ++c) addColumn(c, layers);
    for (const Stretch& stretch : stretches_) {
        addStretch(stretch, layers);
        const Column& column = model_.columns[static_cast<size_t>(stretch.column)];
        if (column.area >= 0 && !column.beyond) result_.finishArea += stretch.planArea;
    }
    for (LayerVolume& layer : layers) {
        if (layer.layer == model_.nativeSoil) continue;
        if (model_.layers[static_cast<size_t>(layer.layer)].role == Role::Fill) result_.fill += layer.volume;
        result_.layers.push_back(std::move(layer));
    }
    return std::move(result_);
}

}  // namespace

Volumes volumes(const Model& model) {
    assert(model.facts.size() == model.posts.size());
    return Adder(model).add();
}

}  // namespace underfoot
