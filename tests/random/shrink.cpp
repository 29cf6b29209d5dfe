#include "random/shrink.h"

#include <algorithm>
#include <cmath>

#include "random/random_plan.h"

namespace underfoot::testing {
namespace {

/// Build-ups that no area has, and measured tops of layers that no build-up has, go with what was left out.
void dropUnused(Plan& plan) {
    std::erase_if(plan.buildUps, [&](const BuildUp& buildUp) {
        return std::none_of(plan.areas.begin(), plan.areas.end(),
                            [&](const Area& area) { return area.buildUp == buildUp.name; });
    });
    std::erase_if(plan.measuredTops, [&](const MeasuredTop& top) {
        return std::none_of(plan.buildUps.begin(), plan.buildUps.end(), [&](const BuildUp& buildUp) {
            return std::any_of(buildUp.layers.begin(), buildUp.layers.end(),
                               [&](const Layer& layer) { return layer.name == top.layer; });
        });
    });
}

class Shrinker {
  public:
    Shrinker(Plan plan, const std::function<bool(const Plan&)>& fails, int tries)
        : plan_(std::move(plan)), fails_(fails), tries_(tries) {}

    Plan run() {
        do {
            shorter_ = false;
            lessAreas();
            lessSurfaces();
            lessLayers();
            lessShots([](Plan& p) -> std::vector<Shot>& { return p.ground.shots; }, true);
            for (size_t i = 0; i < plan_.measuredTops.size(); ++i)
                lessShots([i](Plan& p) -> std::vector<Shot>& { return p.measuredTops[i].shots; }, false);
            lessOutlines();
            plainer();
        } while (shorter_ && tries_ > 0);
        return std::move(plan_);
    }

  private:
    /// Keeps the edit when the edited plan still fails.
    template <class Edit>
    bool attempt(Edit edit) {
        if (tries_ <= 0) return false;
        Plan edited = plan_;
        edit(edited);
        dropUnused(edited);
        --tries_;
        if (edited.areas.empty() || !fails_(edited)) return false;
        plan_ = std::move(edited);
        return true;
    }
    template <class Edit>
    bool less(Edit edit) {
        const bool kept = attempt(edit);
        shorter_ = shorter_ || kept;
        return kept;
    }

    void lessAreas() {
        for (size_t i = plan_.areas.size(); i-- > 0;)
            less([i](Plan& p) {
                const std::string name = p.areas[i].name;
                p.areas.erase(p.areas.begin() + static_cast<std::ptrdiff_t>(i));
                for (Area& area : p.areas) std::erase(area.around, name);
            });
        for (size_t i = 0; i < plan_.areas.size(); ++i) {
            for (size_t k = plan_.areas[i].openings.size(); k-- > 0;)
                less([&](Plan& p) {
                    p.areas[i].openings.erase(p.areas[i].openings.begin() + static_cast<std::ptrdiff_t>(k));
                });
            if (!plan_.areas[i].againstWall.empty()) less([&](Plan& p) { p.areas[i].againstWall.clear(); });
        }
    }

    void lessSurfaces() {
        for (size_t i = plan_.measuredTops.size(); i-- > 0;)
            less([i](Plan& p) {
                p.measuredTops.erase(p.measuredTops.begin() + static_cast<std::ptrdiff_t>(i));
            });
        if (plan_.finishes.size() > 1)
            less([](Plan& p) {
                p.finishes.resize(1);
                for (Area& area : p.areas) area.finish.clear();
            });
        for (size_t i = 0; i < plan_.finishes.size(); ++i)
            if (plan_.finishes[i].planes.size() > 1) less([i](Plan& p) { p.finishes[i].planes.resize(1); });
    }

    void lessLayers() {
        for (size_t b = 0; b < plan_.buildUps.size(); ++b)
            for (size_t i = plan_.buildUps[b].layers.size(); i-- > 0;) {
                if (plan_.buildUps[b].layers.size() == 1) break;
                const std::string name = plan_.buildUps[b].name;
                less([&](Plan& p) {
                    auto& layers = p.buildUps[b].layers;
                    layers.erase(layers.begin() + static_cast<std::ptrdiff_t>(i));
                });
                if (b >= plan_.buildUps.size() || plan_.buildUps[b].name != name) return;
            }
    }

    /// Half of them, then a quarter, and so on to single ones.
    template <class ShotsOf>
    void lessShots(ShotsOf shotsOf, bool mayBeNone) {
        if (mayBeNone && !shotsOf(plan_).empty()) less([&](Plan& p) { shotsOf(p).clear(); });
        for (size_t piece = shotsOf(plan_).size() / 2; piece > 0; piece /= 2)
            for (size_t at = 0; at + piece <= shotsOf(plan_).size();) {
                if (shotsOf(plan_).size() - piece < 3) break;
                const auto from = static_cast<std::ptrdiff_t>(at);
                const bool kept = less([&](Plan& p) {
                    auto& shots = shotsOf(p);
                    shots.erase(shots.begin() + from,
                                shots.begin() + from + static_cast<std::ptrdiff_t>(piece));
                });
                if (!kept) at += piece;
            }
    }

    void lessCorners(size_t area) {
        for (size_t i = plan_.areas[area].outline.edges.size(); i-- > 0;) {
            if (plan_.areas[area].outline.edges[i].through)
                less([&](Plan& p) { p.areas[area].outline.edges[i].through.reset(); });
            // The last edge ends at the start.
            if (i + 1 < plan_.areas[area].outline.edges.size() && plan_.areas[area].outline.edges.size() > 3)
                less([&](Plan& p) {
                    auto& edges = p.areas[area].outline.edges;
                    edges.erase(edges.begin() + static_cast<std::ptrdiff_t>(i));
                    p.areas[area].againstWall.clear();
                });
        }
    }
    void lessOutlines() {
        for (size_t area = 0; area < plan_.areas.size(); ++area) lessCorners(area);
    }

    /// Settings to nothing, numbers to few digits. Neither is counted as shorter: they end by themselves.
    void plainer() {
        attempt([](Plan& p) { p.baseline = {}; });
        attempt([](Plan& p) { p.ground.strip = 0; });
        attempt([](Plan& p) { p.ground.shoulder = 0; });
        attempt([](Plan& p) { p.ground.fillLift = 0; });
        attempt([](Plan& p) { p.ground.extend = Extend::Nearest; });
        for (size_t b = 0; b < plan_.buildUps.size(); ++b)
            for (size_t i = 0; i < plan_.buildUps[b].layers.size(); ++i) {
                attempt([&](Plan& p) { p.buildUps[b].layers[i].beyond = 0; });
                attempt([&](Plan& p) { p.buildUps[b].layers[i].corners = CornerStyle::Square; });
                attempt([&](Plan& p) { p.buildUps[b].layers[i].lift = 0; });
                attempt([&](Plan& p) {
                    p.buildUps[b].layers[i].takesUp = p.buildUps[b].layers[i].role == Role::Fill;
                });
            }
        for (const double digits : {1e2, 1e3, 1e4}) {
            const auto rounded = [digits](glm::dvec2& p) {
                p = {std::round(p.x * digits) / digits, std::round(p.y * digits) / digits};
            };
            if (attempt([&](Plan& p) { forEachPlace(p, rounded); })) return;
        }
    }

    Plan plan_;
    const std::function<bool(const Plan&)>& fails_;
    int tries_;
    bool shorter_ = false;
};

}  // namespace

Plan shrunk(Plan plan, const std::function<bool(const Plan&)>& fails, int tries) {
    return Shrinker(std::move(plan), fails, tries).run();
}

}  // namespace underfoot::testing
