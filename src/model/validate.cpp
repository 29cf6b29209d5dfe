#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <glm/vec3.hpp>

#include "model/model.h"
#include "model/solid.h"

namespace underfoot {
namespace {

using Fault = std::optional<std::string>;

Fault cellFault(const Model& model, size_t c) {
    const Cell& cell = model.cells[c];
    if (model.planArea(cell) <= 0) return fmt::format("cell {} does not turn left", c);
    for (size_t e = 0; e < 3; ++e) {
        const int next = cell.neighbour[e];
        if (next < 0) continue;
        const auto& back = model.cells[static_cast<size_t>(next)].neighbour;
        if (std::find(back.begin(), back.end(), static_cast<int>(c)) == back.end())
            return fmt::format("cell {} has neighbour {}, which does not know it", c, next);
    }
    return {};
}

Fault postFault(const Model& model, size_t c) {
    const Cell& cell = model.cells[c];
    for (int corner = 0; corner < 3; ++corner) {
        const Post& post = model.postOf(cell, corner);
        if (post.vertex != cell.vertex[static_cast<size_t>(corner)] || post.column != cell.column)
            return fmt::format("cell {}, corner {} stands on another's post", c, corner);
    }
    return {};
}

Fault seamFault(const Model& model, size_t c) {
    const Cell& cell = model.cells[c];
    for (size_t e = 0; e < 3; ++e) {
        if (cell.seams >> e & 1) continue;
        const int next = cell.neighbour[e];
        if (next < 0) return fmt::format("cell {} has no seam at edge {}, where the cells end", c, e);
        const auto& beside = model.cells[static_cast<size_t>(next)].post;
        for (size_t end : {(e + 1) % 3, (e + 2) % 3})
            if (std::find(beside.begin(), beside.end(), cell.post[end]) == beside.end())
                return fmt::format("cell {} has no seam at edge {}, but other posts beyond", c, e);
    }
    return {};
}

/// Layers ordered, nothing negative, and the column adds up to its whole height.
Fault columnFault(const Model& model, size_t c) {
    const Cell& cell = model.cells[c];
    const int n = model.interfaces(cell);
    for (int corner = 0; corner < 3; ++corner) {
        double sum = 0;
        for (int k = 0; k + 1 < n; ++k) {
            const double thickness = model.thickness(cell, corner, k);
            if (!std::isfinite(thickness)) return fmt::format("cell {} has a height that is no number", c);
            if (thickness < 0)
                return fmt::format("cell {}, entry {}: thickness {} is negative", c, k, thickness);
            sum += thickness;
        }
        const double whole = model.height(cell, corner, 0) - model.height(cell, corner, n - 1);
        if (std::abs(sum - whole) > 1e-9)
            return fmt::format("cell {}: layers sum to {}, not to {}", c, sum, whole);
    }
    return {};
}

Fault pointFault(const Model& model, size_t c) {
    const Cell& cell = model.cells[c];
    const int n = model.interfaces(cell);
    for (int corner = 0; corner < 3; ++corner)
        for (int k = 0; k < n; ++k) {
            const size_t at = static_cast<size_t>(model.postOf(cell, corner).first + k);
            const glm::dvec3& p = model.points[static_cast<size_t>(model.pointOf[at])];
            if (glm::dvec2(p) != model.at(cell, corner) || p.z != model.heights[at])
                return fmt::format("cell {}, corner {}, interface {} is not where its point is", c, corner,
                                   k);
        }
    return {};
}

double stackVolume(const Model& model, LayerId layer) {
    double volume = 0;
    for (const Cell& cell : model.cells) {
        const Column& column = model.columnOf(cell);
        for (size_t k = 0; k < column.entries.size(); ++k) {
            if (column.entries[k].layer != layer) continue;
            double sum = 0;
            for (int corner = 0; corner < 3; ++corner)
                sum += model.thickness(cell, corner, static_cast<int>(k));
            volume += model.planArea(cell) * sum / 3;
        }
    }
    return volume;
}

Fault solidFault(const Model& model, LayerId layer) {
    const Solid solid = layerSolid(model, layer);
    const std::string& name = model.layers[static_cast<size_t>(layer)].name;
    if (const size_t open = openEdges(solid))
        return fmt::format("the solid of \"{}\" has {} open edges", name, open);
    const double inside = enclosedVolume(model, solid), stacked = stackVolume(model, layer);
    if (std::abs(inside - stacked) > 1e-9 * std::max(1.0, std::abs(stacked)))
        return fmt::format("the solid of \"{}\" holds {} m3, its columns {} m3", name, inside, stacked);
    return {};
}

/// The plan areas kept are those of the cells, and those of the posts share them out.
Fault areaFault(const Model& model) {
    if (model.cellAreas.size() != model.cells.size() || model.postAreas.size() != model.posts.size())
        return "the plan areas are not those of these cells";
    double ofCells = 0, ofPosts = 0;
    for (size_t c = 0; c < model.cells.size(); ++c) {
        if (model.cellAreas[c] != model.planArea(model.cells[c]))
            return fmt::format("cell {} has another plan area than is kept", c);
        ofCells += model.cellAreas[c];
    }
    for (const double area : model.postAreas) ofPosts += area;
    if (std::abs(ofCells - ofPosts) > 1e-9 * ofCells)
        return fmt::format("plan areas of the posts sum up to {}, of the cells to {}", ofPosts, ofCells);
    return {};
}

}  // namespace

std::optional<std::string> modelFault(const Model& model) {
    if (Fault fault = areaFault(model)) return fault;
    for (size_t c = 0; c < model.cells.size(); ++c) {
        if (Fault fault = cellFault(model, c)) return fault;
        if (Fault fault = postFault(model, c)) return fault;
        if (Fault fault = seamFault(model, c)) return fault;
        if (Fault fault = columnFault(model, c)) return fault;
        if (Fault fault = pointFault(model, c)) return fault;
    }
    for (size_t layer = 0; layer < model.layers.size(); ++layer)
        if (Fault fault = solidFault(model, static_cast<LayerId>(layer))) return fault;
    return {};
}

}  // namespace underfoot
