#include "study/screeding.h"

#include <algorithm>
#include <utility>
#include <vector>

#include <tl/expected.hpp>

#include "ground/tolerance.h"
#include "study/index.h"

namespace underfoot {

namespace {

// Moves what stands over one layer in every column.
class Moving {
  public:
    Moving(Model& model, const Plan& plan, const std::string& layer)
        : model_(model), plan_(plan), layer_(model.findLayer(layer)) {
        for (const MeasuredTop& top : plan.measuredTops) measured_.push_back(model.findLayer(top.layer));
    }

    bool move() {
        if (layer_ < 0) return false;
        std::vector<int> over(model_.columns.size(), 0);
        for (size_t c = 0; c < model_.columns.size(); ++c) {
            over[c] = entriesOver(model_.columns[c]);
            if (over[c] < 0) return false;
        }
        for (const Post& post : model_.posts) {
            const int count = over[index(post.column)];
            const size_t facts = static_cast<size_t>(&post - model_.posts.data());
            if (count > 0 && !moveOver(post, count, model_.facts[facts].designFinish)) return false;
        }
        return true;
    }

  private:
    // How many entries may move, the column's new way of taking up being written into it; -1: they may not
    // on these cells.
    int entriesOver(Column& column) const {
        const BuildUp* buildUp = buildUpOf(plan_, column.area);
        const std::string& name = model_.layers[index(layer_)].name;
        if (!buildUp || !bedAbove(*buildUp, name)) return 0;
        int over = 0;
        const int count = static_cast<int>(column.entries.size());
        while (over < count && column.entries[index(over)].layer != layer_) ++over;
        if (over == 0) return 0;
        if (column.beyond) {
            // Soil and what the layer lies on alone: what lies above the layer stops at the edge.
            for (int k = 0; k < count; ++k)
                if (standsOver(*buildUp, column.entries[index(k)].layer, name)) return -1;
            return 0;
        }
        if (over == count) return -1;
        // Over the topmost layer that was shot, or this one: what lies between takes up as before.
        int moving = 0;
        while (moving < over && !wasShot(column.entries[index(moving)].layer)) ++moving;
        for (int k = 0; k < over; ++k) {
            ColumnEntry& entry = column.entries[index(k)];
            for (const Layer& layer : buildUp->layers) {
                if (layer.name != model_.layers[index(entry.layer)].name) continue;
                if (k >= moving && entry.takesUp != layer.takesUp) return -1;
                entry.takesUp = layer.takesUp;
            }
        }
        return moving;
    }

    bool wasShot(LayerId layer) const {
        return std::find(measured_.begin(), measured_.end(), layer) != measured_.end();
    }

    bool standsOver(const BuildUp& buildUp, LayerId id, const std::string& name) const {
        for (const Layer& layer : buildUp.layers) {
            if (layer.name == name) return false;
            if (layer.name == model_.layers[index(id)].name) return true;
        }
        return false;
    }

    bool moveOver(const Post& post, int over, double finish) {
        const std::vector<ColumnEntry>& entries = model_.columns[index(post.column)].entries;
        double* height = model_.heights.data() + post.first;
        double wanted = 0, taking = 0;
        int lifts = 0;
        for (int k = 0; k < over; ++k) {
            (entries[index(k)].takesUp ? taking : wanted) += entries[index(k)].wanted;
            lifts += entries[index(k)].takesUp;
        }
        const double left = finish - height[over] - wanted;
        if (lifts > 0 && left < tolerance::zeroThickness) return false;
        for (int k = over - 1; k >= 0; --k)
            height[k] = height[k + 1] + (entries[index(k)].takesUp ? left / lifts : entries[index(k)].wanted);
        return true;
    }

    Model& model_;
    const Plan& plan_;
    LayerId layer_ = -1;
    std::vector<LayerId> measured_;
};

}  // namespace

const Layer* bedAbove(const BuildUp& buildUp, const std::string& layer) {
    const Layer* bed = nullptr;
    for (const Layer& one : buildUp.layers) {
        if (one.name == layer) return bed;
        if (one.role == Role::Bedding) bed = &one;
    }
    return nullptr;
}

std::optional<Plan> screeded(const Plan& plan, const std::string& layer, Screeding way) {
    Plan changed = plan;
    bool any = false;
    for (BuildUp& buildUp : changed.buildUps) {
        const Layer* bed = bedAbove(buildUp, layer);
        if (!bed) continue;
        any = true;
        for (Layer& one : buildUp.layers) {
            if (one.name == layer) break;
            one.takesUp = way == Screeding::ToStrings && &one == bed;
        }
    }
    if (!any) return {};
    return changed;
}

std::optional<Model> screededModel(const Model& model, const Plan& plan, const std::string& layer) {
    std::optional<Model> other = model;
    other->plan = plan;
    if (Moving(*other, plan, layer).move()) return other;
    auto built = buildModel(plan);
    if (!built) return {};
    return std::move(*built);
}

}  // namespace underfoot
