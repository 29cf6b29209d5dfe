#pragma once
// The questions a builder asks of the plan beside looking at it, each answered by one study. Nothing here
// draws.

#include <array>
#include <memory>
#include <optional>
#include <string>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/page.h"
#include "study/water_surface.h"

namespace underfoot {

enum class Question { None, Earthwork, Strings, Placed, Water, Units, Buy, Compare, Cautions };
/// In the order in which they stand on the window.
inline constexpr std::array questions{Question::Earthwork, Question::Strings, Question::Placed,
                                      Question::Water,     Question::Units,   Question::Buy,
                                      Question::Compare,   Question::Cautions};
/// "What to dig", "Strings", …; empty for None.
const char* questionName(Question question);

/// What is set out.
enum class SetOut {
    Corners,
    Edges,
    Grid,
    Cuts,
    Sides,  ///< strings along the straight sides of the outlines
    Rails
};
inline constexpr std::array<SetOut, 6> setOuts{SetOut::Corners, SetOut::Edges, SetOut::Grid,
                                               SetOut::Cuts,    SetOut::Sides, SetOut::Rails};
const char* setOutName(SetOut what);

/// What can be chosen on the pages.
struct AskOptions {
    SetOut setOut = SetOut::Corners;
    /// Of stakes, or length of the board where rails are set out; 0: usualSpacing.
    double spacing = 0;
    double above = 0;     ///< of strings over the finish
    double stations = 0;  ///< how far the sections of the end areas are apart; 0: usualSpacing of a grid
    WaterOn waterOn = WaterOn::Finish;
    std::optional<glm::dvec2> waterFrom;  ///< local: the way of the water from there
    bool startLine = false;               ///< look for a better start of the pattern
    bool symmetrical = false;             ///< of it: the same cuts at opposite sides
    std::string why;                      ///< of what is bought: where its numbers come from; "": of nothing
    bool balance = false, leastFall = false;  ///< look for that level and that fall
    friend bool operator==(const AskOptions&, const AskOptions&) = default;
};
/// 5 ft, or 1.5 m where the plan shows metres; of a board 8 ft or 2.5 m.
double usualSpacing(const Plan& plan, SetOut what);

struct Ask {
    Question question = Question::None;
    AskOptions options;
    std::shared_ptr<const Model> model;
    std::shared_ptr<const Model> planned;  ///< as the file has it, where `model` shows a what-if
    Catalogue catalogue;
    size_t number = 0;  ///< comes back with the answer
};
struct Told {
    Question question = Question::None;
    Page page;
    std::string csv;  ///< the study's own table
    size_t number = 0;
};
/// What the study says, as its verb on the command line does. Takes as long as the study takes; stakes of a
/// plan with measured tops need the model of the design, which is built for it.
Told tell(const Ask& ask);

}  // namespace underfoot
