// The line of questions, and the sheet with the answer to the open one.

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include <glm/vec2.hpp>

#include "measure/length.h"
#include "measure/words.h"
#include "model/model.h"
#include "plan/plan.h"
#include "share/drawing.h"
#include "share/page.h"
#include "share/water_tables.h"
#include "study/water_surface.h"
#include "window/layout.h"
#include "window/page_layout.h"
#include "window/palette.h"
#include "window/parts.h"
#include "window/pen.h"
#include "window/questions.h"
#include "window/window_state.h"

namespace underfoot {

namespace {

constexpr double rowHeight = 21;
constexpr double detailHeight = 19;
constexpr double padding = 14;
constexpr double headHeight = 36;

// ---------------------------------------------------------------- what can be chosen

/// Words beside each other that wrap at the sheet's right side.
class ChoiceLine {
  public:
    ChoiceLine(Desk& desk, double left, double right, double top)
        : desk_(desk), left_(left), right_(right), x_(left), y_(top) {}
    bool word(const char* id, const std::string& words, bool on) {
        const double wide = desk_.pen.width(words, on ? TypeSize::LabelStrong : TypeSize::Label);
        if (x_ > left_ && x_ + wide > right_) x_ = left_, y_ += desk_.units(24);
        bool clicked = false;
        wordButton(desk_, id, {x_, y_}, words, on, clicked);
        x_ += wide + desk_.units(14);
        return clicked;
    }
    void apart() { x_ += desk_.units(10); }
    double foot() const { return y_ + desk_.units(16); }

  private:
    Desk& desk_;
    double left_, right_, x_, y_;
};

template <size_t count>
double nextOf(const std::array<double, count>& all, double now) {
    for (const double one : all)
        if (one > now + 1e-9) return one;
    return all.front();
}

double nextSpacing(const Plan& plan, SetOut what, double now) {
    const bool metric = plan.show.style == LengthStyle::Metres, rails = what == SetOut::Rails;
    if (metric)
        return rails ? nextOf(std::array{1.5, 2.0, 2.5, 3.0, 4.0}, now)
                     : nextOf(std::array{0.5, 1.0, 1.5, 2.0, 3.0, 5.0}, now);
    const double feet = now / metresPerFoot;
    return metresPerFoot * (rails ? nextOf(std::array{4.0, 6.0, 8.0, 10.0, 12.0}, feet)
                                  : nextOf(std::array{2.0, 3.0, 5.0, 10.0}, feet));
}

double stringChoices(Desk& desk, WindowState& state, double left, double right, double top) {
    ChoiceLine line(desk, left, right, top);
    AskOptions options = state.answer.options;
    const Plan& plan = state.model->plan;
    for (const SetOut what : setOuts) {
        if (what == SetOut::Cuts && plan.cuts.empty()) continue;
        if (line.word(setOutName(what), setOutName(what), options.setOut == what)) {
            options.setOut = what;
            options.spacing = 0;
        }
    }
    line.apart();
    if (options.setOut != SetOut::Corners && options.setOut != SetOut::Sides) {
        const double spacing = options.spacing > 0 ? options.spacing : usualSpacing(plan, options.setOut);
        const std::string words =
            (options.setOut == SetOut::Rails ? "board " : "every ") + formatLength(spacing, plan.show);
        if (line.word("spacing", words, false)) options.spacing = nextSpacing(plan, options.setOut, spacing);
    }
    if (options.setOut != SetOut::Rails) {
        const bool metric = plan.show.style == LengthStyle::Metres;
        const std::string words = options.above > 0
                                      ? formatThickness(options.above, plan.show) + " above the finish"
                                      : std::string("string at the finish");
        if (line.word("above", words, false))
            options.above = metric ? nextOf(std::array{0.0, 0.1, 0.15, 0.3}, options.above)
                                   : 0.0254 * nextOf(std::array{0.0, 4.0, 6.0, 12.0}, options.above / 0.0254);
    }
    choose(state, options);
    return line.foot();
}

double earthworkChoices(Desk& desk, WindowState& state, double left, double right, double top) {
    ChoiceLine line(desk, left, right, top);
    AskOptions options = state.answer.options;
    const Plan& plan = state.model->plan;
    const double apart = options.stations > 0 ? options.stations : usualSpacing(plan, SetOut::Grid);
    if (line.word("stations", "end areas every " + formatLength(apart, plan.show), false))
        options.stations = nextSpacing(plan, SetOut::Grid, apart);
    choose(state, options);
    return line.foot();
}

double waterChoices(Desk& desk, WindowState& state, double left, double right, double top) {
    ChoiceLine line(desk, left, right, top);
    AskOptions options = state.answer.options;
    for (const WaterOn on : {WaterOn::Finish, WaterOn::DesignedFinish, WaterOn::Formation, WaterOn::Ground}) {
        if (line.word(waterOnName(on), capitalised(waterOnName(on)), options.waterOn == on))
            options.waterOn = on;
    }
    choose(state, options);
    if (state.place) return line.foot();
    desk.pen.text({left, line.foot() + desk.units(4)},
                  "Click a place on the model to follow the water from it.", TypeSize::Label,
                  desk.colours.quiet);
    return line.foot() + desk.units(18);
}

double unitChoices(Desk& desk, WindowState& state, double left, double right, double top) {
    ChoiceLine line(desk, left, right, top);
    AskOptions options = state.answer.options;
    if (line.word("start line", "Look for a better start", options.startLine))
        options.startLine = !options.startLine;
    if (options.startLine && line.word("symmetrical", "the same cuts at opposite sides", options.symmetrical))
        options.symmetrical = !options.symmetrical;
    choose(state, options);
    return line.foot();
}

double buyChoices(Desk& desk, WindowState& state, double left, double right, double top) {
    ChoiceLine line(desk, left, right, top);
    AskOptions options = state.answer.options;
    const std::string item = chosenGoods(state.answer);
    if (!options.why.empty()) {
        if (line.word("all", "All that is bought", false)) options.why.clear();
    } else if (!item.empty()) {
        if (line.word("why", "Where its numbers come from", false)) options.why = item;
    } else {
        desk.pen.text({left, top}, "Choose a row to ask where its numbers come from.", TypeSize::Label,
                      desk.colours.quiet);
    }
    choose(state, options);
    return line.foot();
}

double compareChoices(Desk& desk, WindowState& state, double left, double right, double top) {
    ChoiceLine line(desk, left, right, top);
    AskOptions options = state.answer.options;
    if (line.word("balance", "Balance cut and fill", options.balance)) options.balance = !options.balance;
    if (line.word("least fall", "Look for the least fall", options.leastFall))
        options.leastFall = !options.leastFall;
    choose(state, options);
    return line.foot();
}

double drawChoices(Desk& desk, WindowState& state, double left, double right, double top) {
    const double y = top + desk.units(8);
    if (state.answer.open == Question::Earthwork) return earthworkChoices(desk, state, left, right, y);
    if (state.answer.open == Question::Strings) return stringChoices(desk, state, left, right, y);
    if (state.answer.open == Question::Water) return waterChoices(desk, state, left, right, y);
    if (state.answer.open == Question::Units) return unitChoices(desk, state, left, right, y);
    if (state.answer.open == Question::Buy) return buyChoices(desk, state, left, right, y);
    if (state.answer.open == Question::Compare) return compareChoices(desk, state, left, right, y);
    return top;
}

// ---------------------------------------------------------------- the page

/// What all drawing of a page shares: the place it has reached, and what is seen of it.
struct PageRun {
    Desk& desk;
    WindowState& state;
    Box view;
    double y = 0;
    double strength = 1;  // of the ink: an old answer is faint
    std::optional<PageSpot> clicked;
    std::optional<Box> chosenAt;

    bool seen(double high) const { return y + high > view.low.y && y < view.high.y; }
    Colour ink(const Colour& colour) const { return faded(colour, strength); }
};

/// One line with the line feeds and the indents of the command line taken out.
std::string flowing(const std::string& text) {
    std::string out;
    for (const char c : text) {
        const bool blank = c == '\n' || c == ' ';
        if (!blank)
            out += c;
        else if (!out.empty() && out.back() != ' ')
            out += ' ';
    }
    return out;
}

/// The pointer on a line or row of the page.
void useSpot(PageRun& run, PageSpot spot, const Box& box, bool hasMark) {
    Desk& desk = run.desk;
    const Box seen{{box.low.x, std::max(box.low.y, run.view.low.y)},
                   {box.high.x, std::min(box.high.y, run.view.high.y)}};
    if (seen.height() < 1) return;
    ImGui::PushID(spot.part);
    ImGui::PushID(spot.row);
    const Touch hand = touch("spot", seen);
    ImGui::PopID();
    ImGui::PopID();
    if (!hand.over && !hand.clicked) return;
    if (hasMark) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
    desk.pointedSpot = spot;
    if (hand.clicked) run.clicked = spot;
}

void drawWords(PageRun& run, const PagePart& part, int index) {
    Desk& desk = run.desk;
    const bool head = part.kind == PagePart::Kind::Heading;
    const size_t start = part.text.find_first_not_of(' ');
    const double left = run.view.low.x + (start == std::string::npos || start == 0 ? 0.0 : desk.units(12));
    const double wide = run.view.high.x - left;
    const std::string words = flowing(part.text);
    const TypeSize face = head ? TypeSize::LabelStrong : TypeSize::Label;
    const double high = desk.pen.wrapped({left, run.y}, wide, words, face, desk.colours.ink, true);
    const bool pointed = run.state.answer.pointed == PageSpot{index, -1};
    const bool marked = !part.mark.empty();
    if (run.seen(high)) {
        const Colour colour = part.urgent                   ? desk.colours.attention
                              : head || (marked && pointed) ? desk.colours.ink
                                                            : desk.colours.quiet;
        desk.pen.wrapped({left, run.y}, wide, words, face, run.ink(colour));
        if (marked) useSpot(run, {index, -1}, {{left, run.y}, {run.view.high.x, run.y + high}}, true);
    }
    run.y += high + desk.units(3);
}

void drawCells(PageRun& run, const PageRow& row, const PartLayout& layout, double y, const Colour& colour) {
    Pen& pen = run.desk.pen;
    for (const PageColumn& column : layout.columns) {
        const std::string& words = row.cells[column.index];
        if (words.empty() || (row.sub && column.index == 0)) continue;
        if (column.toLeft)
            pen.text({run.view.low.x + column.left, y},
                     pen.shortened(words, TypeSize::Label, column.right - column.left + 1), TypeSize::Label,
                     colour);
        else
            pen.text({run.view.low.x + column.right, y}, words, TypeSize::Label, colour, Anchor::End);
    }
}

/// True when all of a cell's words stand in its row.
bool shownWhole(const Pen& pen, const PageRow& row, const PartLayout& layout, size_t index) {
    return std::any_of(layout.columns.begin(), layout.columns.end(), [&](const PageColumn& column) {
        return column.index == index &&
               pen.width(row.cells[index], TypeSize::Label) <= column.right - column.left + 1;
    });
}

/// Columns that have no room, or not for all of their words, each with its head, in two columns; on a line of
/// its own what is longer.
void drawDetails(PageRun& run, const PageTable& table, const PageRow& row, const PartLayout& layout) {
    Desk& desk = run.desk;
    const double half = run.view.width() / 2, indent = desk.units(12);
    bool second = false;
    const auto nextLine = [&] { run.y += desk.units(detailHeight), second = false; };
    for (size_t c = 0; c < table.heads.size(); ++c) {
        if (row.cells[c].empty() || shownWhole(desk.pen, row, layout, c)) continue;
        const std::string head = table.heads[c] + "  ";
        const double headWide = desk.pen.width(head, TypeSize::Label);
        const bool isLong = indent + headWide + desk.pen.width(row.cells[c], TypeSize::LabelStrong) > half;
        if (isLong && second) nextLine();
        const double left = run.view.low.x + indent + (second ? half : 0);
        const double y = run.y + desk.units(detailHeight / 2);
        if (run.seen(desk.units(detailHeight))) {
            desk.pen.text({left, y}, head, TypeSize::Label, run.ink(desk.colours.quiet));
            const double room = run.view.low.x + (second || isLong ? 2 * half : half) - left - headWide;
            desk.pen.text({left + headWide, y}, desk.pen.shortened(row.cells[c], TypeSize::LabelStrong, room),
                          TypeSize::LabelStrong, run.ink(desk.colours.ink));
        }
        if (second || isLong)
            nextLine();
        else
            second = true;
    }
    if (second) nextLine();
}

/// A row that goes with the chosen one: its own first words stand on a line above its numbers.
double subHeight(const Desk& desk, const PageRow& row) {
    return desk.units(row.cells[0].empty() ? detailHeight : 2 * detailHeight);
}

void drawRow(PageRun& run, const PagePart& part, const PartLayout& layout, PageSpot spot) {
    Desk& desk = run.desk;
    const PageRow& row = part.table.rows[static_cast<size_t>(spot.row)];
    const bool chosen = run.state.answer.chosen == spot, pointed = run.state.answer.pointed == spot;
    const double high = row.sub ? subHeight(desk, row) : desk.units(rowHeight);
    const Box box{{run.view.low.x - desk.units(8), run.y}, {run.view.high.x + desk.units(8), run.y + high}};
    if (chosen) run.chosenAt = box;
    if (run.seen(high)) {
        if (chosen || pointed) desk.pen.fill(box, faded(desk.colours.ink, chosen ? 0.09 : 0.05));
        if (chosen) desk.pen.fill({box.low, {box.low.x + desk.units(3), box.high.y}}, desk.colours.attention);
        double y = run.y + desk.units((row.sub ? detailHeight : rowHeight) / 2);
        const Colour colour = run.ink(row.sub ? desk.colours.quiet : desk.colours.ink);
        if (row.sub && !row.cells[0].empty()) {
            desk.pen.text({run.view.low.x + desk.units(12), y}, flowing(row.cells[0]), TypeSize::Label,
                          colour);
            y += desk.units(detailHeight);
        }
        drawCells(run, row, layout, y, colour);
        useSpot(run, spot, box, true);
    }
    run.y += high;
}

void drawHeads(PageRun& run, const PageTable& table, const PartLayout& layout) {
    Desk& desk = run.desk;
    const double high = desk.units(rowHeight);
    if (run.seen(high)) {
        const double y = run.y + high / 2;
        const Colour quiet = run.ink(desk.colours.quiet);
        for (const PageColumn& column : layout.columns)
            desk.pen.text({run.view.low.x + (column.toLeft ? column.left : column.right), y},
                          column.toLeft ? desk.pen.shortened(table.heads[column.index], TypeSize::Label,
                                                             column.right - column.left + 1)
                                        : table.heads[column.index],
                          TypeSize::Label, quiet, column.toLeft ? Anchor::Start : Anchor::End);
        desk.pen.line({run.view.low.x, run.y + high}, {run.view.high.x, run.y + high}, desk.colours.rule, 1);
    }
    run.y += high + desk.units(2);
}

/// The row that a row goes with: itself, or the last before it that is no sub row.
int mainRow(const PageTable& table, int row) {
    while (row > 0 && table.rows[static_cast<size_t>(row)].sub) --row;
    return row;
}

void drawTable(PageRun& run, const PagePart& part, const PartLayout& layout, int index) {
    drawHeads(run, part.table, layout);
    const PageSpot chosen = run.state.answer.chosen;
    const int open =
        chosen.part == index && chosen.row >= 0 && static_cast<size_t>(chosen.row) < part.table.rows.size()
            ? mainRow(part.table, chosen.row)
            : -1;
    int main = -1;
    for (size_t r = 0; r < part.table.rows.size(); ++r) {
        const int row = static_cast<int>(r);
        if (!part.table.rows[r].sub) main = row;
        if (part.table.rows[r].sub && main != open) continue;
        drawRow(run, part, layout, {index, row});
        if (row == open) drawDetails(run, part.table, part.table.rows[r], layout);
    }
    run.y += run.desk.units(6);
}

double drawParts(PageRun& run, const Page& page, const std::vector<PartLayout>& layouts) {
    const double top = run.y;
    const std::vector<PagePart>& parts = page.parts();
    for (size_t i = 0; i < parts.size(); ++i) {
        const int index = static_cast<int>(i);
        if (parts[i].kind == PagePart::Kind::Gap)
            run.y += i == 0 ? 0 : run.desk.units(9);
        else if (parts[i].kind == PagePart::Kind::Table)
            drawTable(run, parts[i], layouts[i], index);
        else
            drawWords(run, parts[i], index);
    }
    return run.y - top;
}

void scrollPage(Desk& desk, Answer& answer, const Box& view, double whole, const std::optional<Box>& chosen) {
    const double most = std::max(0.0, whole - view.height());
    const double before = answer.scroll;
    if (desk.wheel != 0 && view.holds(desk.pointer)) {
        answer.scroll -= desk.wheel * desk.units(56);
        desk.wheel = 0;
    }
    if (answer.bringChosen && chosen) {
        if (chosen->low.y < view.low.y + desk.units(24))
            answer.scroll -= view.low.y + desk.units(24) - chosen->low.y;
        if (chosen->high.y > view.high.y - desk.units(60))
            answer.scroll += chosen->high.y - view.high.y + desk.units(60);
    }
    answer.bringChosen = false;
    answer.scroll = std::clamp(std::round(answer.scroll), 0.0, most);
    if (answer.scroll != before) desk.again = true;
    if (most <= 0) return;
    const double x = view.high.x + desk.units(padding - 5), part = view.height() / whole;
    const double top = view.low.y + answer.scroll / whole * view.height();
    desk.pen.line({x, top}, {x, top + part * view.height()}, desk.colours.rule, 3);
}

void drawPageHead(Desk& desk, WindowState& state, const Box& box) {
    const double y = box.low.y + desk.units(headHeight / 2 + 1), pad = desk.units(padding);
    Answer& answer = state.answer;
    const std::string name = questionName(answer.open);
    desk.pen.text({box.low.x + pad, y}, name, TypeSize::BodyStrong, desk.colours.ink);
    if (answer.old && answer.told)
        desk.pen.text({box.low.x + pad + desk.pen.width(name, TypeSize::BodyStrong) + desk.units(12), y},
                      "working it out anew", TypeSize::Label, desk.colours.attention);
    bool clicked = false;
    double right = box.high.x - pad - desk.pen.width("Close", TypeSize::Label);
    wordButton(desk, "close page", {right, y}, "Close", false, clicked);
    const bool close = clicked;
    if (answer.told && !answer.told->csv.empty()) {
        const std::string copy = answer.copied ? "Copied as CSV" : "Copy as CSV";
        right -= desk.pen.width(copy, TypeSize::Label) + desk.units(16);
        wordButton(desk, "copy page", {right, y}, copy, false, clicked);
        if (clicked) answer.copyWanted = true;
    }
    if (close) openQuestion(state, Question::None, desk.now);
}

}  // namespace

void drawQuestions(Desk& desk, WindowState& state) {
    const Box& box = state.frame.questions;
    if (!state.model || box.width() <= 0) return;
    const double y = std::round(box.middle().y), gap = desk.units(16);
    std::vector<Question> all{Question::None};
    all.insert(all.end(), questions.begin(), questions.end());
    const auto wordsOf = [](Question q) {
        return q == Question::None ? std::string("Findings") : std::string(questionName(q));
    };
    double wide = 0;
    size_t shown = 0;
    for (; shown < all.size(); ++shown) {
        const double more =
            desk.pen.width(wordsOf(all[shown]), TypeSize::LabelStrong) + (shown > 0 ? gap : 0);
        if (wide + more > box.width()) break;
        wide += more;
    }
    ground(desk, {{box.high.x - wide - desk.units(8), box.low.y}, {state.frame.width, box.high.y}});
    double x = box.high.x - wide;
    for (size_t i = 0; i < shown; ++i) {
        bool clicked = false;
        const std::string words = wordsOf(all[i]);
        wordButton(desk, words.c_str(), {x, y}, words, state.answer.open == all[i], clicked);
        x += desk.pen.width(words, TypeSize::LabelStrong) + gap;
        if (clicked && state.answer.open != all[i]) openQuestion(state, all[i], desk.now);
    }
}

void drawPage(Desk& desk, WindowState& state) {
    const Box& box = state.frame.page;
    if (!state.model || state.answer.open == Question::None || box.width() <= 0) return;
    desk.pen.fill(box, desk.colours.slip);
    desk.pen.outline(box, desk.colours.rule, 1);
    drawPageHead(desk, state, box);
    if (state.answer.open == Question::None) return cover("page", box);
    const double pad = desk.units(padding), left = box.low.x + pad, right = box.high.x - pad;
    const double top =
        drawChoices(desk, state, left, right, box.low.y + desk.units(headHeight)) + desk.units(4);
    desk.pen.line({box.low.x, top}, {box.high.x, top}, desk.colours.rule, 1);
    const Box view{{left, top + desk.units(6)}, {right, box.high.y - desk.units(8)}};
    if (!state.answer.told) {
        desk.pen.text({view.low.x, view.low.y + desk.units(12)}, "Working it out", TypeSize::Label,
                      desk.colours.quiet);
        return cover("page", box);
    }
    const Told& told = *state.answer.told;
    const std::vector<PartLayout>& layouts = desk.pages.of(told.page, told.number, desk.pen, view.width());
    PageRun run{desk, state, view, view.low.y - state.answer.scroll, state.answer.old ? 0.45 : 1.0, {}, {}};
    desk.pen.clip({{box.low.x + 1, view.low.y}, {box.high.x - 1, view.high.y}});
    const double whole = drawParts(run, told.page, layouts);
    desk.pen.endClip();
    scrollPage(desk, state.answer, view, whole + desk.units(12), run.chosenAt);
    if (run.clicked) chooseRow(state, *run.clicked);
    cover("page", box);
}

}  // namespace underfoot
