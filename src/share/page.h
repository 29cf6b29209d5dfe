#pragma once
// What a study says, as it is read: headings, sentences, and tables whose rows know the place on the site
// that they speak of. The command line prints it, the window shows it: both from one page.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <glm/vec2.hpp>

#include "measure/length.h"
#include "model/model.h"

namespace underfoot {

/// What a row or sentence speaks of, on the site. Places are local.
struct PageMark {
    std::vector<glm::dvec2> points;
    std::vector<std::vector<glm::dvec2>> lines;
    bool arrow = false;  ///< the lines end in an arrow's head
    std::vector<std::vector<glm::dvec2>> rings;
    /// Of which layer's underside they lie on, and of which lift; on the surface without one.
    LayerId layer = -1;
    int lift = 0;
    std::optional<double> low, high;  ///< heights that an upright line at each point runs from and to
    std::string label;
    bool always = false;  ///< shown as long as the page is, not only while the row is looked at
    bool empty() const { return points.empty() && lines.empty() && rings.empty(); }
};

/// `sub`: goes with the row before it that is none; shown when that one is looked into.
struct PageRow {
    std::vector<std::string> cells;
    PageMark mark;
    bool sub = false;
};

/// The first column stands to the left, the others to the right, but for those from `leftFrom` on. Columns
/// in `detail` are left out where there is little room, and told when a row is looked into.
struct PageTable {
    std::vector<std::string> heads;
    size_t leftFrom = SIZE_MAX;
    std::vector<size_t> detail;
    std::vector<PageRow> rows;

    /// A row has as many cells as there are heads.
    PageRow& add(std::vector<std::string> cells, PageMark mark = {});
    PageRow& addSub(std::vector<std::string> cells, PageMark mark = {});
};

struct PagePart {
    enum class Kind {
        Heading,
        Text,  ///< one sentence or several; may hold line feeds where the command line breaks lines
        Table,
        Gap
    };
    Kind kind = Kind::Text;
    std::string text;
    PageMark mark;
    PageTable table;
    bool urgent = false;  ///< of a heading: a limit is passed
};

class Page {
  public:
    void heading(std::string text, bool urgent = false);
    void say(std::string text, PageMark mark = {});  ///< no text: nothing
    void add(PageTable table);
    void gap();
    void add(const Page& other);
    const std::vector<PagePart>& parts() const& { return parts_; }
    void parts() && = delete;  // of a page that is gone

  private:
    std::vector<PagePart> parts_;
};

// ---------------------------------------------------------------- words that several pages share

/// "station 0+14.0, offset 9' 2 3/8""
std::string stationPlace(const Model& model, glm::dvec2 local, StationFor use = StationFor::Told);
/// "0+14.0, 9' 2 3/8" out"
std::string shortPlace(const Model& model, glm::dvec2 local);
/// "fill" or, for a layer of more than one lift, "fill, lift 2 of 4" (counted from the lowest).
std::string liftTitle(const Model& model, LayerId layer, int lift, int lifts);
/// The text, or "a trace" where it reads as `nothing` does: something is never written as nothing.
std::string orTrace(const std::string& text, const std::string& nothing);
/// An area; one too small to show is a trace, and none at all is none.
std::string areaOrTrace(double squareMetres, const LengthFormat& show);
/// The same for a volume.
std::string volumeOrTrace(double cubicMetres, const LengthFormat& show);

}  // namespace underfoot
