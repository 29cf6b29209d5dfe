#include "model/rebuild.h"

#include <algorithm>
#include <cassert>
#include <optional>
#include <utility>

#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "ground/surface.h"
#include "model/corners.h"
#include "model/fittings.h"
#include "model/groundwork.h"
#include "model/linear.h"
#include "model/maker.h"
#include "model/overlay.h"
#include "model/side_slope.h"

namespace underfoot {
namespace {

template <class T>
T& item(std::vector<T>& list, int at) {
    assert(at >= 0 && static_cast<size_t>(at) < list.size());
    return list[static_cast<size_t>(at)];
}

void applyOne(const HeightEdit& edit, Plan& plan) {
    switch (edit.of) {
        case HeightEdit::Of::FinishLevel: {
            Finish& finish = item(plan.finishes, edit.list);
            if (finish.planes.empty())
                item(finish.spots, edit.item).level = edit.value;
            else
                item(finish.planes, edit.item).level = edit.value;
            break;
        }
        case HeightEdit::Of::FinishFall:
            item(item(plan.finishes, edit.list).planes, edit.item).fall = edit.value;
            break;
        case HeightEdit::Of::GroundShot:
            item(plan.ground.shots, edit.item).height = edit.value;
            break;
        case HeightEdit::Of::MeasuredShot:
            item(item(plan.measuredTops, edit.list).shots, edit.item).height = edit.value;
            break;
        case HeightEdit::Of::LayerThickness: {
            Layer& layer = item(item(plan.buildUps, edit.list).layers, edit.item);
            assert(layer.role != Role::Fill);
            layer.thickness = edit.value;
            break;
        }
    }
}

double valueOf(const HeightEdit& edit, const Plan& plan) {
    const auto at = [](const auto& list, int i) -> const auto& {
        return list[static_cast<size_t>(i)];
    };
    switch (edit.of) {
        case HeightEdit::Of::FinishLevel: {
            const Finish& finish = at(plan.finishes, edit.list);
            return finish.planes.empty() ? at(finish.spots, edit.item).level
                                         : at(finish.planes, edit.item).level;
        }
        case HeightEdit::Of::FinishFall:
            return at(at(plan.finishes, edit.list).planes, edit.item).fall;
        case HeightEdit::Of::GroundShot:
            return at(plan.ground.shots, edit.item).height;
        case HeightEdit::Of::MeasuredShot:
            return at(at(plan.measuredTops, edit.list).shots, edit.item).height;
        case HeightEdit::Of::LayerThickness:
            return at(at(plan.buildUps, edit.list).layers, edit.item).thickness;
    }
    return 0;
}

/// The edits that take `edits` back.
std::vector<HeightEdit> inverse(std::span<const HeightEdit> edits, const Plan& plan) {
    std::vector<HeightEdit> back(edits.begin(), edits.end());
    for (HeightEdit& edit : back) edit.value = valueOf(edit, plan);
    return back;
}

void addOnce(const Surface* surface, std::vector<const Surface*>& list) {
    if (std::find(list.begin(), list.end(), surface) == list.end()) list.push_back(surface);
}

/// Same side slopes in plan: as many, of the same plots, with the same corners but for where they end.
bool sameFacets(const std::vector<SlopeFacet>& a, const std::vector<SlopeFacet>& b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](const SlopeFacet& x, const SlopeFacet& y) {
        return x.plot == y.plot && x.corners.size() == y.corners.size();
    });
}

bool samePlane(const Linear& a, const Linear& b) {
    return a.constant == b.constant && a.gradient == b.gradient;
}

}  // namespace

void applyEdits(std::span<const HeightEdit> edits, Plan& plan) {
    for (const HeightEdit& edit : edits) applyOne(edit, plan);
}

/// Everything a model was made in. The groundwork points into the plan, the maker into both.
struct Rebuilder::Workshop {
    Plan plan;
    Groundwork work;
    std::unique_ptr<Overlay> overlay;
    std::unique_ptr<ModelMaker> maker;
    std::optional<SideSlopes> slopes;  // once heights were moved
    Model model;
    std::vector<int> moved;
    bool onOldCells = false;  // heights were moved since the cells were laid
    bool toFollow = false;    // points and fittings are behind the stacks

    Diagnostics build() {
        Checked<Groundwork> made = prepareGroundwork(plan);
        if (!made) return made.error();
        slopes.reset();
        work = std::move(*made);
        frameSite(work);
        overlay = std::make_unique<Overlay>(work);
        maker = std::make_unique<ModelMaker>(work, *overlay);
        Checked<Model> whole = maker->make(plan);
        if (!whole) return whole.error();
        model = std::move(*whole);
        moved.clear();
        onOldCells = toFollow = false;
        return {};
    }

    Surface& finish(int list) const { return *work.surfaces[static_cast<size_t>(list)]; }
    Surface& measuredTop(int list) const {
        return *work.surfaces[plan.finishes.size() + static_cast<size_t>(list)];
    }

    /// A finish of planes is a new surface in the old one's place.
    void replaceFinish(int list, ModelMaker::Moved& what) {
        std::unique_ptr<Surface>& held = work.surfaces[static_cast<size_t>(list)];
        std::unique_ptr<Surface> now =
            finishSurface(plan.finishes[static_cast<size_t>(list)], plan, work.site);
        for (Plot& plot : work.plots)
            if (plot.finish == held.get()) plot.finish = now.get();
        maker->replaceSurface(held.get(), now.get());
        if (plan.finishes[static_cast<size_t>(list)].planes.size() > 1) slopes.reset();  // its joints move
        std::erase(what.surfaces, held.get());
        held = std::move(now);
        addOnce(held.get(), what.surfaces);
    }

    bool moveSurface(Surface& surface, int point, double height, ModelMaker::Moved& what) const {
        if (!surface.setHeight(static_cast<size_t>(point), height)) return false;
        addOnce(&surface, what.surfaces);
        return true;
    }

    /// False where the cells cannot hold it.
    bool moveInGround(const HeightEdit& edit, ModelMaker::Moved& what) {
        switch (edit.of) {
            case HeightEdit::Of::FinishLevel:
            case HeightEdit::Of::FinishFall:
                if (work.groundAssumed) return false;
                if (plan.finishes[static_cast<size_t>(edit.list)].planes.empty())
                    return moveSurface(finish(edit.list), edit.item, edit.value, what);
                replaceFinish(edit.list, what);
                return true;
            case HeightEdit::Of::GroundShot:
                if (!plan.ground.scan.points.empty()) return false;  // thinned round the shots
                if (slopes) slopes->groundMoved();
                return moveSurface(*work.ground, edit.item, edit.value, what);
            case HeightEdit::Of::MeasuredShot:
                if (!plan.measuredTops[static_cast<size_t>(edit.list)].scan.points.empty()) return false;
                return moveSurface(measuredTop(edit.list), edit.item, edit.value, what);
            case HeightEdit::Of::LayerThickness:
                what.layers = true;
                return true;
        }
        return false;
    }

    void measureDepths() {
        for (Plot& plot : work.plots) {
            plot.depth = 0;
            for (const Layer& layer : plot.buildUp->layers)
                if (layer.role != Role::Fill) plot.depth += layer.thickness;
        }
    }

    bool moveFacets(ModelMaker::Moved& what) {
        if (!slopes) slopes.emplace(plan, work);
        const std::vector<SlopeFacet> now = slopes->facets();
        if (!sameFacets(work.facets, now)) return false;
        for (size_t f = 0; f < now.size(); ++f) {
            SlopeFacet& held = work.facets[f];
            if (samePlane(held.height, now[f].height) && samePlane(held.crown, now[f].crown)) continue;
            held.height = now[f].height;
            held.crown = now[f].crown;
            what.facets = true;
        }
        return true;
    }

    bool moveOnCells(std::span<const HeightEdit> edits) {
        ModelMaker::Moved what;
        for (const HeightEdit& edit : edits)
            if (!moveInGround(edit, what)) return false;
        measureDepths();
        if (!moveFacets(what) || maker->steps()) return false;
        if (!maker->resolve(what, model, moved)) return false;
        onOldCells = toFollow = true;
        return true;
    }
};

Rebuilder::Rebuilder(std::unique_ptr<Workshop> workshop) : workshop_(std::move(workshop)) {}
Rebuilder::Rebuilder(Rebuilder&&) noexcept = default;
Rebuilder& Rebuilder::operator=(Rebuilder&&) noexcept = default;
Rebuilder::~Rebuilder() = default;

Checked<Rebuilder> Rebuilder::of(const Plan& plan) {
    auto workshop = std::make_unique<Workshop>();
    workshop->plan = plan;
    if (Diagnostics faults = workshop->build(); !faults.empty()) return tl::unexpected(std::move(faults));
    return Rebuilder(std::move(workshop));
}

Checked<Rebuilder::Kept> Rebuilder::move(std::span<const HeightEdit> edits) {
    const std::vector<HeightEdit> back = inverse(edits, workshop_->plan);
    applyEdits(edits, workshop_->plan);
    applyEdits(edits, workshop_->model.plan);
    if (workshop_->moveOnCells(edits)) return Kept::Cells;
    Diagnostics faults = workshop_->build();
    if (faults.empty()) return Kept::Nothing;
    applyEdits(back, workshop_->plan);
    workshop_->build();
    return tl::unexpected(std::move(faults));
}

Checked<Rebuilder::Kept> Rebuilder::settle() {
    if (!workshop_->onOldCells) return Kept::Cells;
    if (Diagnostics faults = workshop_->build(); !faults.empty()) return tl::unexpected(std::move(faults));
    return Kept::Nothing;
}

const Model& Rebuilder::stacks() const {
    return workshop_->model;
}

const Model& Rebuilder::model() {
    if (std::exchange(workshop_->toFollow, false)) {
        workshop_->maker->moveBack(weldCorners(workshop_->model));
        setFittings(workshop_->work, workshop_->model);
    }
    return workshop_->model;
}

const std::vector<int>& Rebuilder::movedPosts() const {
    return workshop_->moved;
}

}  // namespace underfoot
