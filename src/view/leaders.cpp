#include "view/leaders.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

#include <glm/geometric.hpp>

namespace underfoot {

namespace {

constexpr double offTheModel = 0.15;  // of what a pixel over the model costs, costs one beside it
constexpr double outOfOrder = 2;      // lines' heights over the model, for each pair that stands upside down
constexpr size_t mostOptions = 120;   // that are tried for each thing
constexpr int mostRounds = 4;

enum class Way { Up, Level, Down };

/// One way to point at a thing.
struct Option {
    size_t thing = 0;
    glm::dvec2 dot{0, 0};
    Way way = Way::Level;
    double limit = 0;  ///< the end's height: no lower (up) or no higher (down) than this is free of the model
    double score = 0;
};

double sideways(const Option& o) {
    return o.way == Way::Up ? o.dot.x + obliqueRun * o.dot.y : o.dot.x - obliqueRun * o.dot.y;
}

double costOf(const CoveredGrid& covered, glm::dvec2 from, glm::dvec2 to) {
    const double over = covered.over(from, to);
    return over + offTheModel * (glm::length(to - from) - over);
}

/// What is reached from a dot by going up or down until the way to the column is free.
std::optional<Option> slanting(size_t thing, const PointedAt& at, Way way, const CoveredGrid& covered,
                               const LeaderFrame& frame) {
    constexpr double step = 4;
    const double sign = way == Way::Up ? -1 : 1;
    for (double dy = 2 * step;; dy += step) {
        const double y = at.dot.y + sign * dy, x = at.dot.x + obliqueRun * dy;
        if (y < frame.top + 0.5 * frame.lineHeight || y > frame.bottom - 0.5 * frame.lineHeight) return {};
        if (x > frame.columnX - step) return {};
        if (x > covered.freeFrom(y))
            return Option{thing, at.dot, way, y,
                          at.score - costOf(covered, at.dot, {x, y}) - offTheModel * (frame.columnX - x)};
    }
}

std::vector<Option> optionsFor(size_t thing, const std::vector<PointedAt>& places, const CoveredGrid& covered,
                               const LeaderFrame& frame) {
    std::vector<Option> out;
    for (const PointedAt& at : places) {
        for (Way way : {Way::Up, Way::Down})
            if (const auto found = slanting(thing, at, way, covered, frame)) out.push_back(*found);
        if (at.dot.x < frame.columnX - frame.lineHeight)
            out.push_back({thing, at.dot, Way::Level, at.dot.y,
                           at.score - costOf(covered, at.dot, {frame.columnX, at.dot.y})});
    }
    std::stable_sort(out.begin(), out.end(),
                     [](const Option& a, const Option& b) { return a.score > b.score; });
    if (out.size() > mostOptions) out.resize(mostOptions);
    return out;
}

/// Those that go up above those that go level, above those that go down; within each so that none crosses
/// another.
bool above(const Option& a, const Option& b) {
    if (a.way != b.way) return a.way < b.way;
    if (a.way == Way::Level) return a.dot.y < b.dot.y;
    return a.way == Way::Up ? sideways(a) < sideways(b) : sideways(a) > sideways(b);
}

Leader leaderOf(const Option& o, double endY, const LeaderFrame& frame) {
    const double run = obliqueRun * std::abs(endY - o.dot.y);
    const glm::dvec2 end{frame.columnX, endY};
    if (o.way == Way::Level) return {o.thing, o.dot, {std::max(end.x - run, o.dot.x), o.dot.y}, end};
    return {o.thing, o.dot, {o.dot.x + run, endY}, end};
}

/// Gives every label its height. Nothing when there is no room for all.
std::optional<std::vector<Leader>> arranged(std::vector<Option> chosen, const LeaderFrame& frame) {
    std::sort(chosen.begin(), chosen.end(), above);
    std::vector<double> ends(chosen.size());
    double below = std::numeric_limits<double>::infinity();
    for (size_t i = chosen.size(); i-- > 0;)
        if (chosen[i].way == Way::Up) ends[i] = below = std::min(chosen[i].limit, below - frame.lineHeight);
    double over = -std::numeric_limits<double>::infinity();
    for (size_t i = 0; i < chosen.size(); ++i) {
        if (chosen[i].way == Way::Level) ends[i] = chosen[i].dot.y - 0.5 * frame.lineHeight;
        if (chosen[i].way == Way::Down) ends[i] = chosen[i].limit;
        if (chosen[i].way != Way::Up) ends[i] = std::max(ends[i], over + frame.lineHeight);
        over = ends[i];
    }
    std::vector<Leader> out;
    for (size_t i = 0; i < chosen.size(); ++i) {
        if (ends[i] < frame.top + 0.5 * frame.lineHeight || ends[i] > frame.bottom - 0.5 * frame.lineHeight)
            return {};
        out.push_back(leaderOf(chosen[i], ends[i], frame));
        if (out.back().bend.x > frame.columnX) return {};
    }
    return out;
}

double turn(glm::dvec2 a, glm::dvec2 b, glm::dvec2 c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}
bool cross(glm::dvec2 a, glm::dvec2 b, glm::dvec2 c, glm::dvec2 d) {
    return (turn(a, b, c) > 0) != (turn(a, b, d) > 0) && (turn(c, d, a) > 0) != (turn(c, d, b) > 0);
}
double away(glm::dvec2 p, glm::dvec2 a, glm::dvec2 b) {
    const glm::dvec2 ab = b - a;
    const double t = std::clamp(glm::dot(p - a, ab) / std::max(glm::dot(ab, ab), 1e-12), 0.0, 1.0);
    return glm::length(a + ab * t - p);
}

/// Two leaders cross, or one runs past the other's dot too near.
bool clash(const Leader& a, const Leader& b) {
    const glm::dvec2 one[] = {a.dot, a.bend, a.end}, two[] = {b.dot, b.bend, b.end};
    for (int i = 0; i < 2; ++i) {
        if (away(b.dot, one[i], one[i + 1]) < 2 * leadersApart ||
            away(a.dot, two[i], two[i + 1]) < 2 * leadersApart)
            return true;
        for (int j = 0; j < 2; ++j)
            if (cross(one[i], one[i + 1], two[j], two[j + 1])) return true;
    }
    return false;
}

bool anyClash(const std::vector<Leader>& leaders) {
    for (size_t i = 0; i < leaders.size(); ++i)
        for (size_t j = i + 1; j < leaders.size(); ++j)
            if (clash(leaders[i], leaders[j])) return true;
    return false;
}

/// `leaders` from the top down.
double costOf(const std::vector<Option>& chosen, const std::vector<Leader>& leaders, double lineHeight) {
    double cost = 0;
    for (const Option& option : chosen) cost -= option.score;
    for (size_t i = 0; i < leaders.size(); ++i)
        for (size_t j = i + 1; j < leaders.size(); ++j)
            if (leaders[i].thing > leaders[j].thing) cost += outOfOrder * lineHeight;
    return cost;
}

/// The option that costs least beside those chosen, what is lost of their order counted too.
const Option* cheapest(const std::vector<Option>& options, std::vector<Option> chosen,
                       const LeaderFrame& frame) {
    double before = 0, least = std::numeric_limits<double>::infinity();
    for (const Option& option : chosen) before -= option.score;
    const Option* best = nullptr;
    chosen.emplace_back();
    for (const Option& option : options) {
        if (before - option.score >= least) break;
        chosen.back() = option;
        const auto made = arranged(chosen, frame);
        if (!made) continue;
        const double cost = costOf(chosen, *made, frame.lineHeight);
        if (cost >= least || anyClash(*made)) continue;
        least = cost;
        best = &option;
    }
    return best;
}

/// Chooses anew for one thing; true when that changed something.
bool chooseAgain(size_t thing, const std::vector<Option>& options, std::vector<Option>& chosen,
                 const LeaderFrame& frame) {
    const auto mine = std::find_if(chosen.begin(), chosen.end(),
                                   [&](const Option& option) { return option.thing == thing; });
    std::optional<Option> before;
    if (mine != chosen.end()) before = *mine, chosen.erase(mine);
    const Option* best = cheapest(options, chosen, frame);
    if (best) chosen.push_back(*best);
    if (!best && before) chosen.push_back(*before);
    return best && !(before && before->dot == best->dot && before->way == best->way);
}

/// Each thing's option, chosen in the order given and anew until none gets better.
std::vector<Option> chosenInTurn(const std::vector<size_t>& order,
                                 const std::vector<std::vector<Option>>& options, const LeaderFrame& frame) {
    std::vector<Option> chosen;
    for (int round = 0; round < mostRounds; ++round) {
        bool changed = false;
        for (const size_t thing : order) changed |= chooseAgain(thing, options[thing], chosen, frame);
        if (!changed) break;
    }
    return chosen;
}

}  // namespace

CoveredGrid::CoveredGrid(int across, int down, double width, double height)
    : across_(across),
      down_(down),
      wide_(width / across),
      high_(height / down),
      covered_(static_cast<size_t>(across * down), false),
      freeFrom_(static_cast<size_t>(down), -wide_) {}

void CoveredGrid::cover(int i, int j) {
    covered_[index(i, j)] = true;
    double& free = freeFrom_[static_cast<size_t>(j)];
    free = std::max(free, (i + 1) * wide_);
}

double CoveredGrid::over(glm::dvec2 from, glm::dvec2 to) const {
    const double length = glm::length(to - from);
    const int steps = std::max(1, static_cast<int>(length / 4));
    int met = 0;
    for (int s = 0; s < steps; ++s) {
        const glm::dvec2 p = from + (to - from) * ((s + 0.5) / steps);
        const int i = static_cast<int>(std::floor(p.x / wide_)),
                  j = static_cast<int>(std::floor(p.y / high_));
        if (i >= 0 && j >= 0 && i < across_ && j < down_ && covered_[index(i, j)]) ++met;
    }
    return length * met / steps;
}

double CoveredGrid::freeFrom(double y) const {
    const int row = static_cast<int>(std::floor(y / high_ - 0.5));
    double x = -wide_;
    for (int j = std::max(row, 0); j <= std::min(row + 1, down_ - 1); ++j)
        x = std::max(x, freeFrom_[static_cast<size_t>(j)]);
    return x;
}

std::vector<Leader> outwardLeaders(const std::vector<std::vector<PointedAt>>& things,
                                   const CoveredGrid& covered, const LeaderFrame& frame) {
    std::vector<std::vector<Option>> options;
    for (size_t thing = 0; thing < things.size(); ++thing)
        options.push_back(optionsFor(thing, things[thing], covered, frame));
    std::vector<size_t> down;
    for (size_t thing = 0; thing < things.size(); ++thing)
        if (!options[thing].empty()) down.push_back(thing);
    std::vector<size_t> hardest = down;
    std::stable_sort(hardest.begin(), hardest.end(),
                     [&](size_t a, size_t b) { return options[a].front().score < options[b].front().score; });
    std::vector<Leader> best;
    double least = std::numeric_limits<double>::infinity();
    for (const std::vector<size_t>& order :
         {hardest, down, std::vector<size_t>(down.rbegin(), down.rend())}) {
        const std::vector<Option> chosen = chosenInTurn(order, options, frame);
        std::vector<Leader> leaders = arranged(chosen, frame).value_or(std::vector<Leader>{});
        const double missing = static_cast<double>(down.size() - leaders.size());
        const double cost = costOf(chosen, leaders, frame.lineHeight) + missing * frame.columnX;
        if (cost < least) least = cost, best = std::move(leaders);
    }
    return best;
}

}  // namespace underfoot
