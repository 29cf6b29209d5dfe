#include <algorithm>
#include <array>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <tl/expected.hpp>

#include "measure/diagnostic.h"
#include "model/groundwork.h"
#include "model/maker.h"
#include "model/model.h"
#include "model/overlay.h"
#include "plan/plan.h"

namespace underfoot {

LayerId Model::findLayer(std::string_view name) const {
    for (size_t i = 0; i < layers.size(); ++i)
        if (layers[i].name == name) return static_cast<LayerId>(i);
    return -1;
}

void measurePlanAreas(Model& model) {
    model.cellAreas.clear();
    model.cellAreas.reserve(model.cells.size());
    model.postAreas.assign(model.posts.size(), 0);
    for (const Cell& cell : model.cells) {
        const double area = model.planArea(cell);
        model.cellAreas.push_back(area);
        for (int post : cell.post) model.postAreas[static_cast<size_t>(post)] += area / 3;
    }
}

Checked<Model> buildModel(Plan plan) {
    Checked<Groundwork> work = prepareGroundwork(plan);
    if (!work) return tl::unexpected(std::move(work.error()));
    frameSite(*work);
    Overlay overlay(*work);
    // The groundwork points at areas and build-ups, which stay where they are when the plan is moved.
    Checked<Model> model = ModelMaker(*work, overlay).make(std::move(plan));
#ifdef UNDERFOOT_CHECK_MODELS
    assert(!model || !modelFault(*model));
#endif
    return model;
}

}  // namespace underfoot
