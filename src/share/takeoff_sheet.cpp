#include "share/takeoff_sheet.h"

#include <array>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <optional>
#include <system_error>
#include <vector>

#include <fmt/format.h>
#include <xlsxwriter.h>
#include <glm/vec2.hpp>
#include <tl/expected.hpp>

#include "plan/plan.h"
#include "share/page.h"
#include "share/takeoff_tables.h"
#include "study/takeoff_layouts.h"
#include "study/takeoff_words.h"

namespace underfoot {
namespace {

// Columns of the sheet of amounts, in their order.
enum Field : lxw_col_t {
    Item,
    Where,
    InPlace,
    InPlaceUnit,
    FromDig,
    WeightOfOne,
    LooseForOne,
    SaleHolds,
    SaleHoldsUnit,
    BeforeWaste,
    Waste,
    Step,
    LaidOut,
    Buy,
    BuyUnit,
    SaleWeight,
    Weight,
    LooseVolume,
    ByTruck,
    ByBarrow,
    Price,
    Cost
};
constexpr lxw_row_t truckRow = 3, barrowRow = 4, headRow = 6, firstRow = 7;

/// "C8", rows counted from 0.
std::string cellName(lxw_col_t column, lxw_row_t row) {
    return fmt::format("{}{}", static_cast<char>('A' + column), row + 1);
}
std::string fixedName(lxw_col_t column, lxw_row_t row) {
    return fmt::format("${}${}", static_cast<char>('A' + column), row + 1);
}

struct Formats {
    explicit Formats(lxw_workbook* book) {
        const auto make = [book](const char* number, bool toChange, bool bold = false) {
            lxw_format* format = workbook_add_format(book);
            if (*number) format_set_num_format(format, number);
            if (toChange) format_set_bg_color(format, 0xFFF6DC), format_set_border(format, LXW_BORDER_HAIR);
            if (bold) format_set_bold(format), format_set_top(format, LXW_BORDER_THIN);
            format_set_align(format, LXW_ALIGN_VERTICAL_TOP);
            return format;
        };
        text = make("", false);
        wrapped = make("", false);
        format_set_text_wrap(wrapped);
        input = make("#,##0.00##", true);
        inputPart = make("0.0%", true);
        inputCount = make("#,##0", true);
        inputMoney = make("#,##0.00####", true);
        amount = make("#,##0.00", false);
        money = make("#,##0.00", false);
        buy = make("#,##0.##", false);
        format_set_bold(buy);
        count = make("#,##0", false);
        totalText = make("", false, true);
        totalCount = make("#,##0", false, true);
        totalMoney = make("#,##0.00", false, true);
        title = make("", false);
        format_set_bold(title), format_set_font_size(title, 14);
        heading = make("", false);
        format_set_bold(heading), format_set_bottom(heading, LXW_BORDER_THIN);
        head = make("", false);
        format_set_bold(head), format_set_text_wrap(head), format_set_bg_color(head, 0xE4E8EA);
        format_set_bottom(head, LXW_BORDER_THIN);
        value = make("#,##0.00##", false);
        unit = make("", false);
        format_set_indent(unit, 1);
        inner = make("", false);
        format_set_indent(inner, 1);
        rule = make("", false);
        format_set_italic(rule);
        numberHead = make("", false, true);
        format_set_text_wrap(numberHead), format_set_bg_color(numberHead, 0xE4E8EA);
        format_set_bottom(numberHead, LXW_BORDER_THIN), format_set_align(numberHead, LXW_ALIGN_RIGHT);
    }
    lxw_format *text, *wrapped, *input, *inputPart, *inputCount, *inputMoney, *amount, *money, *buy, *count,
        *totalText, *totalCount, *totalMoney, *title, *heading, *head, *value, *unit, *inner, *rule,
        *numberHead;
};

/// One sheet in the making. Strings are never taken for formulas.
class Sheet {
  public:
    Sheet(lxw_workbook* book, const char* name) : sheet_(workbook_add_worksheet(book, name)) {}
    lxw_worksheet* get() const { return sheet_; }

    void say(lxw_row_t row, lxw_col_t column, const std::string& text, lxw_format* format) {
        worksheet_write_string(sheet_, row, column, text.c_str(), format);
    }
    void number(lxw_row_t row, lxw_col_t column, double value, lxw_format* format) {
        worksheet_write_number(sheet_, row, column, value, format);
    }
    void blank(lxw_row_t row, lxw_col_t column, lxw_format* format) {
        worksheet_write_blank(sheet_, row, column, format);
    }
    /// The formula with the value that it has now.
    void formula(lxw_row_t row, lxw_col_t column, const std::string& formula, double value,
                 lxw_format* format) {
        worksheet_write_formula_num(sheet_, row, column, formula.c_str(), format, value);
    }
    void formula(lxw_row_t row, lxw_col_t column, const std::string& formula, const std::string& value,
                 lxw_format* format) {
        worksheet_write_formula_str(sheet_, row, column, formula.c_str(), format, value.c_str());
    }
    void widths(std::initializer_list<double> widths) {
        lxw_col_t column = 0;
        for (const double width : widths)
            worksheet_set_column(sheet_, column, column, width, nullptr), ++column;
    }
    /// On paper: across, all columns on so many pages side by side, the heads and the first column on each.
    void forPrint(bool metric, lxw_row_t heads, uint16_t across = 1) {
        worksheet_set_landscape(sheet_);
        worksheet_set_paper(sheet_, metric ? 9 : 1);  // A4, US letter
        worksheet_fit_to_pages(sheet_, across, 0);
        if (across > 1) worksheet_repeat_columns(sheet_, 0, 0);
        worksheet_set_margins(sheet_, 0.4, 0.4, 0.6, 0.6);
        worksheet_repeat_rows(sheet_, heads, heads);
        worksheet_set_footer(sheet_, "&L&A&RPage &P of &N");
    }

  private:
    lxw_worksheet* sheet_;
};

std::string joined(const std::vector<std::string>& names, const char* between) {
    std::string out;
    for (const std::string& name : names) {
        if (!out.empty()) out += between;
        out += name;
    }
    return out;
}

class AmountsSheet {
  public:
    AmountsSheet(lxw_workbook* book, const Formats& formats, const Model& model, const Takeoff& takeoff)
        : sheet_(book, "Takeoff"),
          formats_(formats),
          model_(model),
          takeoff_(takeoff),
          words_(model.plan.show) {}

    void write() {
        head();
        lxw_row_t row = firstRow;
        for (const TakeoffRow& item : takeoff_.rows) itemRow(row++, item);
        totals(row);
        sheet_.widths({38, 18, 11, 6, 10, 10, 12, 10, 6, 10, 8, 9, 8, 10, 11, 10, 11, 10, 9, 9, 10, 12});
        worksheet_freeze_panes(sheet_.get(), firstRow, 1);
        sheet_.forPrint(words_.metric(), headRow, 2);  // on one its letters would be half as large
    }

  private:
    void head() {
        sheet_.say(0, 0, model_.plan.title.empty() ? "Takeoff" : model_.plan.title, formats_.title);
        sheet_.say(1, 0,
                   "Tinted cells may be changed; the others count again. Where each number comes from stands "
                   "on the second sheet.",
                   formats_.text);
        sheet_.say(2, 1, "Holds", formats_.heading);
        sheet_.say(2, 4, "Carries", formats_.heading);
        carrier(truckRow, "By truck", takeoff_.truck);
        carrier(barrowRow, "By barrow", takeoff_.barrow);
        const char* heads[] = {"Material",
                               "Where",
                               "In place",
                               "",
                               "From the dig",
                               "Weight of one in place",
                               "Loose for one compacted",
                               "One unit of sale holds",
                               "",
                               "Before waste",
                               "Waste",
                               "Whole numbers of",
                               "Laid out",
                               "Buy",
                               "",
                               "Weight of one unit of sale",
                               "Weight",
                               "Volume loose",
                               "Loads by truck",
                               "Loads by barrow",
                               "Price",
                               "Cost"};
        lxw_col_t column = 0;
        for (const char* text : heads) {
            const bool words = column <= Where || column == BuyUnit;
            sheet_.say(headRow, column++, text, words ? formats_.head : formats_.numberHead);
        }
        const std::string unit = massUnit();
        sheet_.say(headRow, Weight, "Weight, " + unit, formats_.numberHead);
        sheet_.say(headRow, SaleWeight, "Weight of one unit of sale, " + unit, formats_.numberHead);
        sheet_.say(headRow, LooseVolume, "Volume loose, " + volumeUnit(), formats_.numberHead);
        sheet_.say(headRow, WeightOfOne, "Weight of one in place, " + unit, formats_.numberHead);
        if (!takeoff_.currency.empty()) {
            sheet_.say(headRow, Price, "Price, " + takeoff_.currency, formats_.numberHead);
            sheet_.say(headRow, Cost, "Cost, " + takeoff_.currency, formats_.numberHead);
        }
        worksheet_set_row(sheet_.get(), headRow, 62, nullptr);
    }

    std::string massUnit() const { return words_.mass("", 1, "").unit; }
    std::string volumeUnit() const { return words_.volume("", 1, "").unit; }
    double mass(double kilograms) const { return words_.mass("", kilograms, "").value; }
    double volume(double cubicMetres) const { return words_.volume("", cubicMetres, "").value; }

    void carrier(lxw_row_t row, const char* how, const Carrier& carrier) {
        sheet_.say(row, 0, std::string(how) + ": " + carrier.name, formats_.text);
        sheet_.number(row, 1, volume(carrier.holds), formats_.input);
        sheet_.say(row, 2, volumeUnit() + " loose", formats_.unit);
        sheet_.number(row, 4, mass(carrier.carries), formats_.input);
        sheet_.say(row, 5, massUnit(), formats_.unit);
    }

    void itemRow(lxw_row_t row, const TakeoffRow& item) {
        sheet_.say(row, Item, item.title, formats_.wrapped);
        sheet_.say(row, Where, joined(item.areas, ", "), formats_.wrapped);
        const TakeoffInput inPlace = words_.inPlace("", item, item.inPlace, "");
        sheet_.number(row, InPlace, inPlace.value, formats_.input);
        sheet_.say(row, InPlaceUnit, inPlace.unit, formats_.unit);
        sheet_.number(row, FromDig, words_.inPlace("", item, item.onHand, "").value, formats_.input);
        sheet_.number(row, WeightOfOne, words_.density(item, "").value, formats_.input);
        if (item.volumeEach > 0) sheet_.number(row, LooseForOne, item.loosening, formats_.input);
        const TakeoffInput holds = item.basis == SaleBasis::Mass ? words_.mass("", item.saleSize, "")
                                   : item.basis == SaleBasis::LooseVolume
                                       ? words_.volume("", item.saleSize, "")
                                       : words_.inPlace("", item, item.saleSize, "");
        sheet_.number(row, SaleHolds, holds.value, formats_.input);
        sheet_.say(row, SaleHoldsUnit, holds.unit, formats_.unit);
        sheet_.number(row, Waste, item.waste, formats_.inputPart);
        sheet_.number(row, Step, item.step, formats_.input);
        sheet_.number(row, LaidOut, item.laidOut, formats_.inputCount);
        bought(row, item);
        loads(row, item);
        cost(row, item);
    }

    void bought(lxw_row_t row, const TakeoffRow& item) {
        const auto at = [row](Field column) { return cellName(column, row); };
        const std::string factor = item.basis == SaleBasis::Mass          ? "*" + at(WeightOfOne)
                                   : item.basis == SaleBasis::LooseVolume ? "*" + at(LooseForOne)
                                                                          : "";
        sheet_.formula(row, BeforeWaste,
                       fmt::format("=MAX(0,{}-{}){}/{}", at(InPlace), at(FromDig), factor, at(SaleHolds)),
                       item.net, formats_.amount);
        sheet_.formula(row, Buy,
                       fmt::format("=MAX(ROUNDUP(ROUND({}*(1+{})/{},5),0)*{},{})", at(BeforeWaste), at(Waste),
                                   at(Step), at(Step), at(LaidOut)),
                       item.bought, formats_.buy);
        sheet_.say(row, BuyUnit, saleWord(item.unit, true), formats_.unit);
        const std::string each =
            item.basis == SaleBasis::Mass ? "=" + at(SaleHolds)
            : item.basis == SaleBasis::LooseVolume
                ? fmt::format("={}*{}/{}", at(SaleHolds), at(WeightOfOne), at(LooseForOne))
                : fmt::format("={}*{}", at(SaleHolds), at(WeightOfOne));
        sheet_.formula(row, SaleWeight, each, mass(item.massEach), formats_.amount);
        sheet_.formula(row, Weight, fmt::format("={}*{}", at(Buy), at(SaleWeight)), mass(item.mass),
                       formats_.count);
    }

    void loads(lxw_row_t row, const TakeoffRow& item) {
        if (item.volumeEach <= 0) return;
        const auto at = [row](Field column) { return cellName(column, row); };
        const std::string loose =
            item.basis == SaleBasis::LooseVolume
                ? fmt::format("={}*{}", at(Buy), at(SaleHolds))
                : fmt::format("={}*{}*{}/{}", at(Buy), at(SaleHolds), at(LooseForOne), at(WeightOfOne));
        sheet_.formula(row, LooseVolume, loose, volume(item.bought * item.volumeEach), formats_.amount);
        const auto by = [&](Field column, lxw_row_t carrierRow, const std::optional<TakeoffLoads>& loads) {
            if (!loads) return;
            sheet_.formula(
                row, column,
                fmt::format("=MAX(ROUNDUP(ROUND({}/{},5),0),ROUNDUP(ROUND({}/{},5),0))", at(Weight),
                            fixedName(4, carrierRow), at(LooseVolume), fixedName(1, carrierRow)),
                loads->loads, formats_.count);
        };
        by(ByTruck, truckRow, item.truck);
        by(ByBarrow, barrowRow, item.barrow);
    }

    void cost(lxw_row_t row, const TakeoffRow& item) {
        const std::string price = cellName(Price, row),
                          formula = fmt::format("=IF({}=\"\",\"\",{}*{})", price, cellName(Buy, row), price);
        if (item.price) {
            sheet_.number(row, Price, *item.price, formats_.inputMoney);
            sheet_.formula(row, Cost, formula, *item.cost, formats_.money);
        } else {
            sheet_.blank(row, Price, formats_.inputMoney);
            sheet_.formula(row, Cost, formula, std::string(), formats_.money);
        }
    }

    void totals(lxw_row_t row) {
        if (takeoff_.rows.empty()) return;
        const lxw_row_t last = row - 1;
        const auto range = [&](Field column) {
            return cellName(column, firstRow) + ':' + cellName(column, last);
        };
        for (lxw_col_t column = Item; column <= Cost; ++column) sheet_.blank(row, column, formats_.totalText);
        sheet_.say(row, Item, "Total", formats_.totalText);
        sheet_.formula(row, Weight, "=SUM(" + range(Weight) + ")", mass(takeoff_.mass), formats_.totalCount);
        const std::string sum = fmt::format("=IF(COUNT({})=0,\"\",SUM({}))", range(Price), range(Cost));
        if (takeoff_.total)
            sheet_.formula(row, Cost, sum, *takeoff_.total, formats_.totalMoney);
        else
            sheet_.formula(row, Cost, sum, std::string(), formats_.totalMoney);
        leftOut(row + 1);
        pieces(row + 3);
        lxw_row_t at = row + 6;
        for (const std::string& note : takeoff_.notes) sheet_.say(at++, Item, note, formats_.text);
    }

    /// What has no price and is bought, by formula: a price given takes it away.
    void leftOut(lxw_row_t row) {
        std::string formula = "=", now;
        for (size_t i = 0; i < takeoff_.rows.size(); ++i) {
            const lxw_row_t at = firstRow + static_cast<lxw_row_t>(i);
            if (i > 0) formula += '&';
            formula += fmt::format("IF(AND({}=\"\",{}>0),{}&\"; \",\"\")", cellName(Price, at),
                                   cellName(Buy, at), cellName(Item, at));
            if (!takeoff_.rows[i].price && takeoff_.rows[i].bought > 0) now += takeoff_.rows[i].title + "; ";
        }
        sheet_.say(row, Item, "Without a price, so not in the total:", formats_.text);
        sheet_.formula(row, InPlace, formula, now, formats_.text);
    }

    void pieces(lxw_row_t row) {
        std::string sum;
        for (size_t i = 0; i < takeoff_.rows.size(); ++i) {
            const TakeoffRow& item = takeoff_.rows[i];
            if (item.bulk || !item.carried) continue;
            if (!sum.empty()) sum += '+';
            sum += cellName(Weight, firstRow + static_cast<lxw_row_t>(i));
        }
        if (sum.empty()) return;
        sheet_.say(row, Item, "Weight of what is not loose, " + massUnit(), formats_.text);
        sheet_.formula(row, InPlace, "=" + sum, mass(takeoff_.piecesMass), formats_.count);
        sheet_.say(row + 1, Item, "Truckloads of it", formats_.text);
        sheet_.formula(
            row + 1, InPlace,
            fmt::format("=ROUNDUP(ROUND({}/{},5),0)", cellName(InPlace, row), fixedName(4, truckRow)),
            takeoff_.pieceLoads, formats_.count);
    }

    Sheet sheet_;
    const Formats& formats_;
    const Model& model_;
    const Takeoff& takeoff_;
    TakeoffWords words_;
};

void writeReasons(lxw_workbook* book, const Formats& formats, const Model& model, const Takeoff& takeoff) {
    Sheet sheet(book, "Where from");
    lxw_col_t column = 0;
    for (const char* head : {"Material", "Number", "Rule, and what goes into it", "Value", "", "Source"})
        sheet.say(0, column++, head, formats.head);
    lxw_row_t row = 1;
    for (const TakeoffRow& item : takeoff.rows) {
        for (const Explanation& why : item.why) {
            sheet.say(row, 0, item.title, formats.heading);
            sheet.say(row, 1, why.of, formats.heading);
            // A rule is longer than its column and runs on over the empty ones beside it.
            sheet.say(row++, 2, why.rule, formats.rule);
            for (const TakeoffInput& input : why.inputs) {
                sheet.say(row, 2, input.name, formats.inner);
                sheet.number(row, 3, input.value, formats.value);
                sheet.say(row, 4, input.unit, formats.unit);
                sheet.say(row++, 5, input.source, formats.text);
            }
            ++row;
        }
    }
    sheet.widths({30, 11, 34, 14, 12, 70});
    worksheet_freeze_panes(sheet.get(), 1, 1);
    sheet.forPrint(TakeoffWords(model.plan.show).metric(), 0);
}

void writeStrips(lxw_workbook* book, const Formats& formats, const Model& model, const Takeoff& takeoff) {
    if (takeoff.fabrics.empty()) return;
    const TakeoffWords words(model.plan.show);
    Sheet sheet(book, "Strips");
    const std::string unit = words.length("", 1, "").unit;
    lxw_col_t column = 0;
    for (const std::string& head :
         {std::string("Fabric"), std::string("Strip"), "Length, " + unit, std::string("From roll"),
          std::string("Begins at"), std::string("Ends at")})
        sheet.say(0, column++, head, formats.head);
    lxw_row_t row = 1;
    for (const FabricLayout& layout : takeoff.fabrics) {
        for (size_t i = 0; i < layout.strips.size(); ++i, ++row) {
            const FabricStrip& strip = layout.strips[i];
            sheet.say(row, 0, model.layers[static_cast<size_t>(layout.layer)].name, formats.text);
            sheet.number(row, 1, static_cast<double>(i + 1), formats.count);
            sheet.number(row, 2, words.length("", strip.length, "").value, formats.amount);
            sheet.number(row, 3, strip.roll + 1, formats.count);
            sheet.say(row, 4, stationPlace(model, strip.corner[0]), formats.text);
            sheet.say(row, 5, stationPlace(model, strip.corner[1]), formats.text);
        }
    }
    sheet.say(row + 1, 0, whereStripsLie, formats.text);
    sheet.widths({16, 7, 11, 10, 38, 38});
    worksheet_freeze_panes(sheet.get(), 1, 0);
    sheet.forPrint(words.metric(), 0);
}

/// A folder for the writer, gone at the end.
class Scratch {
  public:
    Scratch() {
        std::error_code none;
        std::string name = (std::filesystem::temp_directory_path(none) / "underfoot-XXXXXX").string();
        if (!none && mkdtemp(name.data())) folder_ = name;
    }
    ~Scratch() {
        std::error_code ignored;
        if (!folder_.empty()) std::filesystem::remove_all(folder_, ignored);
    }
    Scratch(const Scratch&) = delete;
    Scratch& operator=(const Scratch&) = delete;
    const std::filesystem::path& folder() const { return folder_; }

  private:
    std::filesystem::path folder_;
};

Diagnostic noScratch(const std::string& why) {
    return {{},
            "The spreadsheet can't be made: " + why + ".",
            "Make room in the folder for temporary files, or name another one in TMPDIR."};
}

}  // namespace

Result<std::string> takeoffSheet(const Model& model, const Takeoff& takeoff) {
    const Scratch scratch;
    if (scratch.folder().empty())
        return tl::unexpected(noScratch("no folder for temporary files can be written to"));
    const std::string file = (scratch.folder() / "takeoff.xlsx").string();
    std::string folder = scratch.folder().string();
    lxw_workbook_options options{};
    options.tmpdir = folder.data();
    lxw_workbook* book = workbook_new_opt(file.c_str(), &options);
    if (!book) return tl::unexpected(noScratch("there is no memory for it"));
    const Formats formats(book);
    AmountsSheet(book, formats, model, takeoff).write();
    writeReasons(book, formats, model, takeoff);
    writeStrips(book, formats, model, takeoff);
    if (const lxw_error error = workbook_close(book); error != LXW_NO_ERROR)
        return tl::unexpected(noScratch(lxw_strerror(error)));
    std::ifstream in(file, std::ios::binary);
    std::string bytes{std::istreambuf_iterator<char>(in), {}};
    if (!in || bytes.empty()) return tl::unexpected(noScratch("its temporary file can't be read back"));
    return bytes;
}

}  // namespace underfoot
