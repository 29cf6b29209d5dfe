// Screed rails: where they lie, how high, and what is between them.

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "ground/tolerance.h"
#include "model/model.h"
#include "plan/plan.h"
#include "study/section.h"
#include "study/stakes.h"
#include "study/stakes_tools.h"

namespace underfoot {

namespace {

constexpr double mostRails = 1000;

/// Entries of the bed in a column: its first and last lift. first -1 where there is none.
struct BedEntries {
    int first = -1, last = -1;
    double above = 0;   ///< wanted thickness of what lies on it
    double wanted = 0;  ///< of the bed
};
BedEntries bedIn(const Model& model, const Column& column) {
    BedEntries bed;
    for (int e = 0; e < column.formation; ++e) {
        const ColumnEntry& entry = column.entries[static_cast<size_t>(e)];
        const bool isBed = model.layers[static_cast<size_t>(entry.layer)].role == Role::Bedding;
        if (isBed) {
            if (bed.first < 0) bed.first = e;
            bed.last = e;
            bed.wanted += entry.wanted;
        } else if (bed.first < 0) {
            bed.above += entry.wanted;
        }
    }
    return bed;
}

/// Where the bed's top is wanted, and what lies under the bed, at a place in a cell.
struct BedAt {
    glm::dvec2 at{0, 0};
    double top = 0;
    double below = 0;
    double along = 0;  ///< of a rail
};
BedAt bedAt(const Model& model, const Cell& cell, const BedEntries& bed, glm::dvec2 p) {
    const auto share = sharesIn(model, cell, p);
    BedAt found{p, -bed.above, 0, 0};
    for (int i = 0; i < 3; ++i) {
        const double part = share[static_cast<size_t>(i)];
        found.top += part * model.factsAt(cell, i).designFinish;
        found.below += part * model.height(cell, i, bed.last + 1);
    }
    return found;
}

/// Stations and offsets as the rails see them: rails lie at one `across` and run along `along`.
class Frame {
  public:
    Frame(const Model& model, bool turned) : model_(model), turned_(turned) {
        seen_.reserve(model.vertices.size());
        for (const glm::dvec2 vertex : model.vertices) seen_.push_back(seen(vertex));
    }
    struct Seen {
        double across = 0, along = 0;
    };
    Seen seen(glm::dvec2 local) const {
        const glm::dvec2 so = model_.stationOffset(local);
        return turned_ ? Seen{so.y, so.x} : Seen{so.x, so.y};
    }
    const Seen& seenAt(const Cell& cell, int corner) const {
        return seen_[static_cast<size_t>(cell.vertex[static_cast<size_t>(corner)])];
    }
    double along(glm::dvec2 local) const { return seen(local).along; }
    glm::dvec2 at(double across, double along) const {
        const Baseline& baseline = model_.plan.baseline;
        return model_.toLocal(turned_ ? baseline.at(along, across) : baseline.at(across, along));
    }
    const Model& model() const { return model_; }

  private:
    const Model& model_;
    bool turned_ = false;
    std::vector<Seen> seen_;  // by vertex
};

struct Range {
    double least = std::numeric_limits<double>::infinity();
    double greatest = -std::numeric_limits<double>::infinity();
    void add(double value) {
        least = std::min(least, value);
        greatest = std::max(greatest, value);
    }
    double length() const { return greatest - least; }
};

class AreaRails {
  public:
    AreaRails(const Frame& frame, const Cutter& cutter, int area)
        : frame_(frame), model_(frame.model()), cutter_(cutter), area_(area) {
        for (const Column& column : model_.columns)
            beds_.push_back(column.area == area_ && !column.beyond ? bedIn(model_, column) : BedEntries{});
        for (size_t c = 0; c < model_.cells.size(); ++c) {
            const Cell& cell = model_.cells[c];
            if (!hasBed(cell)) continue;
            cells_.push_back(static_cast<int>(c));
            for (int i = 0; i < 3; ++i) {
                const Frame::Seen& seen = frame_.seenAt(cell, i);
                across_.add(seen.across);
                along_.add(seen.along);
            }
        }
    }

    double width() const { return across_.least < across_.greatest ? across_.length() : 0; }

    void lay(double board, ScreedRails& rails) {
        const int bays = std::max(1, static_cast<int>(std::ceil(width() / board - 1e-9)));
        for (int i = 0; i <= bays; ++i) {
            const double at = across_.least + width() * i / bays;
            profiles_.push_back(profileAt(at, i == 0));
            addPieces(i + 1, profiles_.back(), rails);
        }
        addBays(bays, rails);
    }

  private:
    /// The bed along a line, interval by interval: two places each.
    using Profile = std::vector<BedAt>;

    const BedEntries& bedOf(const Cell& cell) const { return beds_[static_cast<size_t>(cell.column)]; }
    bool hasBed(const Cell& cell) const { return bedOf(cell).first >= 0; }

    /// A section along an edge belongs to the cell on its left: the first rail looks onward, the others back.
    Profile profileAt(double across, bool onward) const {
        std::vector<glm::dvec2> line{frame_.at(across, along_.least - 1),
                                     frame_.at(across, along_.greatest + 1)};
        const glm::dvec2 way = line[1] - line[0], on = frame_.at(across + 1, along_.least - 1) - line[0];
        const bool leftIsOn = way.x * on.y - way.y * on.x > 0;
        const bool turned = leftIsOn != onward;
        if (turned) std::swap(line[0], line[1]);
        const Section section = cutter_.cut(line);
        Profile profile;
        for (const SectionInterval& interval : section.intervals) {
            const Cell& cell = model_.cells[static_cast<size_t>(interval.cell)];
            if (!hasBed(cell)) continue;
            const BedEntries& bed = bedOf(cell);
            for (const double distance : {interval.from, interval.to}) {
                profile.push_back(bedAt(model_, cell, bed, section.at(distance)));
                profile.back().along = frame_.along(profile.back().at);
            }
        }
        if (turned) std::reverse(profile.begin(), profile.end());
        return profile;
    }

    void addPieces(int number, const Profile& profile, ScreedRails& rails) const {
        for (size_t from = 0; from < profile.size();) {
            size_t to = from + 2;
            while (to < profile.size() &&
                   profile[to].along - profile[to - 1].along <= tolerance::samePlanPoint)
                to += 2;
            const Rail rail = piece(number, profile, from, to);
            if (rail.length > tolerance::samePlanPoint) rails.rails.push_back(rail);
            from = to;
        }
    }

    Rail piece(int number, const Profile& profile, size_t from, size_t to) const {
        Rail rail;
        rail.area = area_, rail.number = number;
        rail.wanted = wanted();
        Range bed;
        for (size_t i = from; i < to; ++i) {
            bed.add(profile[i].top - profile[i].below);
            addPoint({profile[i].at, profile[i].top}, rail.points);
        }
        rail.bedLeast = bed.least, rail.bedGreatest = bed.greatest;
        rail.length = profile[to - 1].along - profile[from].along;
        return rail;
    }

    /// A point in line with the two before it takes the place of the last.
    void addPoint(const RailPoint& point, std::vector<RailPoint>& points) const {
        const double at = frame_.along(point.at);
        if (!points.empty() && at - frame_.along(points.back().at) <= tolerance::samePlanPoint) return;
        if (points.size() >= 2) {
            const RailPoint &a = points[points.size() - 2], &b = points.back();
            const double from = frame_.along(a.at), ratio = (frame_.along(b.at) - from) / (at - from);
            if (std::abs(a.height + ratio * (point.height - a.height) - b.height) <= tolerance::lengthCompare)
                points.pop_back();
        }
        points.push_back(point);
    }

    double wanted() const {
        return cells_.empty() ? 0 : bedOf(model_.cells[static_cast<size_t>(cells_.front())]).wanted;
    }

    /// Height of a rail beside a place; nothing where it doesn't reach there.
    std::optional<double> railBeside(const Profile& profile, double along) const {
        // Intervals in order: the first that does not end before the place.
        size_t low = 0, high = profile.size() / 2;
        while (low < high) {
            const size_t middle = (low + high) / 2;
            profile[2 * middle + 1].along < along ? low = middle + 1 : high = middle;
        }
        for (size_t i = 2 * low; i < profile.size(); i += 2) {
            const BedAt &from = profile[i], &to = profile[i + 1];
            if (along < from.along) break;
            if (along <= to.along && from.along < to.along)
                return from.top + (to.top - from.top) * ((along - from.along) / (to.along - from.along));
        }
        return std::nullopt;
    }

    void addBays(int count, ScreedRails& rails) const {
        const double each = width() / count;
        std::vector<Bay> bays;
        bays.reserve(static_cast<size_t>(count));
        for (int i = 0; i < count; ++i) bays.push_back({area_, i + 1, each, 0, {0, 0}});
        for (const int c : cells_) {
            const Cell& cell = model_.cells[static_cast<size_t>(c)];
            for (int i = 0; i < 3; ++i) {
                const Frame::Seen& seen = frame_.seenAt(cell, i);
                const int bay =
                    std::clamp(static_cast<int>((seen.across - across_.least) / each), 0, count - 1);
                const double part = (seen.across - (across_.least + bay * each)) / each;
                const BedAt bed{model_.at(cell, i), model_.factsAt(cell, i).designFinish - bedOf(cell).above,
                                0, seen.along};
                compare(bay, part, bed, bays[static_cast<size_t>(bay)]);
            }
        }
        rails.bays.insert(rails.bays.end(), bays.begin(), bays.end());
    }
    void compare(int index, double part, const BedAt& bed, Bay& bay) const {
        if (part <= 0 || part >= 1) return;
        const auto one = railBeside(profiles_[static_cast<size_t>(index)], bed.along),
                   other = railBeside(profiles_[static_cast<size_t>(index) + 1], bed.along);
        if (!one || !other) return;
        const double bend = bed.top - (*one + part * (*other - *one));
        if (std::abs(bend) > std::abs(bay.bend) + tolerance::lengthCompare)
            bay.bend = bend, bay.bendAt = bed.at;
    }

    const Frame& frame_;
    const Model& model_;
    const Cutter& cutter_;
    int area_;
    std::vector<BedEntries> beds_;  // by column; none of other areas
    std::vector<int> cells_;        // with a bed
    Range across_, along_;
    std::vector<Profile> profiles_;
};

}  // namespace

Sentence<ScreedRails> screedRails(const Model& model, double board, bool across) {
    if (!(board > 0)) return tl::unexpected(std::string("A screed board has a length above 0."));
    const Frame frame(model, across);
    const Cutter cutter(model);
    ScreedRails rails;
    for (size_t a = 0; a < model.plan.areas.size(); ++a) {
        AreaRails area(frame, cutter, static_cast<int>(a));
        if (!(area.width() > 0)) continue;
        if (area.width() / board > mostRails)
            return tl::unexpected(fmt::format("A board that short takes more than {:.0f} rails.", mostRails));
        area.lay(board, rails);
    }
    return rails;
}

}  // namespace underfoot
