#include "model/locate.h"

#include <array>
#include <vector>

#include "ground/grid.h"

namespace underfoot {

int locateCell(const Model& model, glm::dvec2 point, int hint) {
    if (model.cells.empty()) return -1;
    const GridPoint p = toGrid(point);
    int c = hint >= 0 ? hint : 0;
    int from = -1;
    // The cells of a site fill its box, so a straight walk that leaves them has left the site.
    for (size_t steps = 0; steps < 4 * model.cells.size() + 16; ++steps) {
        const Cell& cell = model.cells[static_cast<size_t>(c)];
        std::array<GridPoint, 3> corner;
        for (size_t i = 0; i < 3; ++i)
            corner[i] = toGrid(model.vertices[static_cast<size_t>(cell.vertex[i])]);
        int leave = -1;
        for (size_t turn = 0; turn < 3 && leave < 0; ++turn) {
            // Starting at a different edge each step keeps the walk from going round in circles.
            const size_t e = (turn + steps) % 3;
            if (cell.neighbour[e] == from && from >= 0) continue;
            if (orientation(corner[(e + 1) % 3], corner[(e + 2) % 3], p) < 0) leave = static_cast<int>(e);
        }
        if (leave < 0) return c;
        const int next = cell.neighbour[static_cast<size_t>(leave)];
        if (next < 0) return -1;
        from = c;
        c = next;
    }
    return -1;
}

double heightAt(const Model& model, const Cell& cell, int k, glm::dvec2 point) {
    const glm::dvec2 a = model.at(cell, 0), ab = model.at(cell, 1) - a, ac = model.at(cell, 2) - a,
                     ap = point - a;
    const double whole = ab.x * ac.y - ab.y * ac.x;
    const double v = (ap.x * ac.y - ap.y * ac.x) / whole, w = (ab.x * ap.y - ab.y * ap.x) / whole;
    return model.height(cell, 0, k) * (1 - v - w) + model.height(cell, 1, k) * v +
           model.height(cell, 2, k) * w;
}

}  // namespace underfoot
