// Outside check: a published survey with a unique triangulation, against values worked out in exact
// arithmetic.

#include <algorithm>
#include <cmath>
#include <set>

#include <gtest/gtest.h>

#include "davis_survey.h"
#include "ground/grid.h"
#include "ground/surface.h"
#include "ground/triangulation.h"
#include "index.h"

using namespace underfoot;
using namespace underfoot_test;

namespace {

struct Survey {
    Triangulation mesh;
    std::vector<int> number;  // of each vertex, from 1

    Survey() {
        std::vector<glm::dvec2> plan;
        for (const glm::dvec3& p : davisSurvey) plan.push_back({p.x, p.y});
        std::vector<int> vertexOf;
        mesh = Triangulation::ofPoints(plan, &vertexOf);
        number.resize(mesh.vertices().size());
        for (size_t i = 0; i < vertexOf.size(); i++) number[u(vertexOf[i])] = static_cast<int>(i) + 1;
    }

    std::array<glm::dvec3, 3> corners(const Triangle& t) const {
        const auto corner = [&](int v) { return davisSurvey[u(number[u(v)] - 1)]; };
        return {corner(t.v[0]), corner(t.v[1]), corner(t.v[2])};
    }
};

glm::dvec3 normal2(const std::array<glm::dvec3, 3>& t) {
    const glm::dvec3 a = t[1] - t[0], b = t[2] - t[0];
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

// Volume above a level of the prism under a triangle: the part of the triangle above it, cut into triangles,
// each with the mean of its heights.
double cutAbove(const std::array<glm::dvec3, 3>& t, double level) {
    std::vector<glm::dvec3> part;
    for (size_t i = 0; i < 3; i++) {
        const glm::dvec3 a = t[i], b = t[(i + 1) % 3];
        if (a.z >= level) part.push_back(a);
        if ((a.z - level) * (b.z - level) < 0) part.push_back(a + (b - a) * ((level - a.z) / (b.z - a.z)));
    }
    double volume = 0;
    for (size_t i = 1; i + 1 < part.size(); i++) {
        const std::array<glm::dvec3, 3> piece{part[0], part[i], part[i + 1]};
        volume += normal2(piece).z / 2 * ((piece[0].z + piece[1].z + piece[2].z) / 3 - level);
    }
    return volume;
}

}  // namespace

TEST(Survey, TrianglesAndHullAreThePublishedPointsOwn) {
    const Survey survey;
    ASSERT_EQ(survey.mesh.fault(), std::nullopt);
    EXPECT_EQ(survey.mesh.vertices().size(), 52u);
    EXPECT_EQ(survey.mesh.triangles().size(), 87u);
    // Points 4, 28 and 29 stand on the straight sides between corners: kept on the hull, no corners of it.
    const std::vector<int> ring = survey.mesh.hull();
    EXPECT_EQ(ring.size(), 15u);
    std::vector<int> hull;
    for (size_t i = 0; i < ring.size(); i++) {
        const auto at = [&](size_t k) { return toGrid(survey.mesh.vertices()[u(ring[k % ring.size()])]); };
        if (orientation(at(i), at(i + 1), at(i + 2)) == 0) continue;
        hull.push_back(survey.number[u(ring[(i + 1) % ring.size()])]);
    }
    std::rotate(hull.begin(), std::find(hull.begin(), hull.end(), 47), hull.end());
    EXPECT_EQ(hull, (std::vector<int>{47, 50, 41, 32, 21, 12, 5, 2, 1, 13, 42, 44}));
}

TEST(Survey, PlanAreaAndSurfaceArea) {
    const Survey survey;
    double plan = 0, surface = 0;
    for (const Triangle& t : survey.mesh.triangles()) {
        const glm::dvec3 n = normal2(survey.corners(t));
        plan += n.z / 2;
        surface += std::hypot(n.x, n.y, n.z) / 2;
    }
    EXPECT_EQ(plan, 89975.0);  // halves of whole numbers: no rounding
    EXPECT_NEAR(surface, 132660.996, 0.0005);
}

TEST(Survey, CutAndFillAgainstFourLevels) {
    struct Row {
        double level, cut, fill;
    };
    const Survey survey;
    for (const Row& row : {Row{690, 12737625, 0}, Row{800, 3653261.948, 812886.948},
                           Row{820, 2462019.681, 1421144.681}, Row{850, 1157143.704, 2815518.704}}) {
        double cut = 0, net = 0;
        for (const Triangle& t : survey.mesh.triangles()) {
            const auto corners = survey.corners(t);
            cut += cutAbove(corners, row.level);
            net += normal2(corners).z / 2 * ((corners[0].z + corners[1].z + corners[2].z) / 3 - row.level);
        }
        EXPECT_NEAR(cut, row.cut, 0.0006) << "level " << row.level;
        EXPECT_NEAR(cut - net, row.fill, 0.0006) << "level " << row.level;
    }
}

TEST(Survey, InterpolatedHeights) {
    const auto surface = triangulatedSurface(davisSurvey, Beyond::Nearest, {0, 0}, {400, 400});
    ASSERT_NE(surface, nullptr);
    EXPECT_NEAR(surface->height({100, 100}), 839.444444, 5e-7);
    EXPECT_NEAR(surface->height({200, 200}), 789.75, 1e-9);
    for (const glm::dvec3& p : davisSurvey) EXPECT_NEAR(surface->height({p.x, p.y}), p.z, 1e-9);
}
