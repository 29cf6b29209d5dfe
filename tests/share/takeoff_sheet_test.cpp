// The takeoff's spreadsheet unzipped: its formulas counted here give the numbers that stand beside them, and
// others when a quantity is another.

#include "share/takeoff_sheet.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstring>
#include <map>
#include <regex>
#include <vector>

#include <gtest/gtest.h>
#include <zlib.h>

#include "plan/read_plan.h"
#include "share/takeoff_tables.h"

namespace underfoot {
namespace {

unsigned at(const std::string& bytes, size_t place, int count) {
    unsigned value = 0;
    for (int i = count - 1; i >= 0; --i)
        value = value << 8 | static_cast<unsigned char>(bytes.at(place + static_cast<size_t>(i)));
    return value;
}

/// One file of a zip, by its central directory.
std::string unzipped(const std::string& zip, const std::string& name) {
    const size_t end = zip.rfind("PK\5\6");
    size_t entry = at(zip, end + 16, 4);
    for (unsigned i = 0; i < at(zip, end + 10, 2); ++i) {
        const size_t nameSize = at(zip, entry + 28, 2);
        if (zip.substr(entry + 46, nameSize) == name) break;
        entry += 46 + nameSize + at(zip, entry + 30, 2) + at(zip, entry + 32, 2);
    }
    const size_t local = at(zip, entry + 42, 4), packed = at(zip, entry + 20, 4);
    std::string data = zip.substr(local + 30 + at(zip, local + 26, 2) + at(zip, local + 28, 2), packed);
    std::string out(at(zip, entry + 24, 4), '\0');
    z_stream stream{};
    EXPECT_EQ(inflateInit2(&stream, -MAX_WBITS), Z_OK);
    stream.next_in = reinterpret_cast<Bytef*>(data.data());
    stream.avail_in = static_cast<uInt>(data.size());
    stream.next_out = reinterpret_cast<Bytef*>(out.data());
    stream.avail_out = static_cast<uInt>(out.size());
    EXPECT_EQ(inflate(&stream, Z_FINISH), Z_STREAM_END) << name;
    inflateEnd(&stream);
    return out;
}

struct Cell {
    std::string formula;
    double value = 0;
    bool text = false;  ///< a text, or nothing
};
using Cells = std::map<std::string, Cell>;

Cells cellsOf(const std::string& xml) {
    static const std::regex one(
        "<c r=\"([A-Z]+[0-9]+)\"([^>]*?)(?:/>|>(?:<f>([^<]*)</f>)?(?:<v>([^<]*)</v>)?</c>)");
    Cells cells;
    for (std::sregex_iterator found(xml.begin(), xml.end(), one), end; found != end; ++found) {
        Cell& cell = cells[(*found)[1]];
        cell.formula = (*found)[3];
        const std::string kind = (*found)[2], value = (*found)[4];
        cell.text = kind.find("t=\"s") != std::string::npos || value.empty();
        if (!cell.text) cell.value = std::stod(value);
    }
    return cells;
}

/// Counts formulas of numbers: + - * /, MAX, SUM, ROUND, ROUNDUP, COUNT, and IF of an empty cell.
class Counting {
  public:
    explicit Counting(const Cells& cells) : cells_(cells) {}

    double cell(const std::string& name) {
        const auto found = cells_.find(name);
        if (found == cells_.end() || (found->second.text && found->second.formula.empty())) return 0;
        if (found->second.formula.empty()) return found->second.value;
        const std::string outer = std::exchange(text_, found->second.formula);
        const size_t place = std::exchange(at_, 0);
        const double value = sum();
        EXPECT_EQ(at_, text_.size()) << text_;
        text_ = outer, at_ = place;
        return value;
    }

  private:
    bool isEmpty(const std::string& name) const {
        const auto found = cells_.find(name);
        return found == cells_.end() || (found->second.text && found->second.formula.empty());
    }
    bool take(const std::string& what) {
        if (text_.compare(at_, what.size(), what) != 0) return false;
        at_ += what.size();
        return true;
    }
    double sum() {
        double value = product();
        while (at_ < text_.size() && (text_[at_] == '+' || text_[at_] == '-')) {
            const bool plus = text_[at_++] == '+';
            const double next = product();
            value += plus ? next : -next;
        }
        return value;
    }
    double product() {
        double value = factor();
        while (at_ < text_.size() && (text_[at_] == '*' || text_[at_] == '/')) {
            const bool times = text_[at_++] == '*';
            const double next = factor();
            value = times ? value * next : value / next;
        }
        return value;
    }
    double factor() {
        if (take("IF(")) return choice();
        if (take("(")) {
            const double value = sum();
            EXPECT_TRUE(take(")")) << text_;
            return value;
        }
        for (const char* name : {"MAX(", "SUM(", "ROUNDUP(", "ROUND(", "COUNT("})
            if (take(name)) return called(name);
        if (std::isdigit(static_cast<unsigned char>(text_[at_]))) {
            size_t used = 0;
            const double value = std::stod(text_.substr(at_), &used);
            at_ += used;
            return value;
        }
        return cell(name());
    }
    std::string name() {
        std::string out;
        for (; at_ < text_.size() &&
               (std::isalnum(static_cast<unsigned char>(text_[at_])) || text_[at_] == '$');
             ++at_)
            if (text_[at_] != '$') out += text_[at_];
        return out;
    }
    /// IF(U8="","",…) and IF(COUNT(…)=0,"",…)
    double choice() {
        bool nothing = false;
        if (take("COUNT(")) {
            nothing = called("COUNT(") == 0;
            EXPECT_TRUE(take("=0,")) << text_;
        } else {
            nothing = isEmpty(name());
            EXPECT_TRUE(take("=&quot;&quot;,") || take("=\"\",")) << text_;
        }
        EXPECT_TRUE(take("&quot;&quot;,") || take("\"\",")) << text_;
        const double value = sum();
        EXPECT_TRUE(take(")")) << text_;
        return nothing ? 0 : value;
    }
    double called(const std::string& function) {
        std::vector<double> values;
        int there = 0;
        do {
            const size_t before = at_;
            const std::string from = name();
            if (!from.empty() && take(":")) {
                const std::string to = name();
                for (int row = std::stoi(from.substr(1)); row <= std::stoi(to.substr(1)); ++row) {
                    const std::string one = from[0] + std::to_string(row);
                    there += isEmpty(one) ? 0 : 1;
                    values.push_back(cell(one));
                }
            } else {
                at_ = before;
                values.push_back(sum());
            }
        } while (take(","));
        EXPECT_TRUE(take(")")) << text_;
        if (function == "COUNT(") return there;
        if (function == "MAX(") return *std::max_element(values.begin(), values.end());
        const double scale = values.size() > 1 ? std::pow(10, values[1]) : 1;
        if (function == "ROUND(") return std::round(values[0] * scale) / scale;
        if (function == "ROUNDUP(") return std::ceil(values[0] * scale) / scale;
        double total = 0;
        for (const double value : values) total += value;
        return total;
    }

    const Cells& cells_;
    std::string text_;
    size_t at_ = 0;
};

Takeoff courtyard(Model& model) {
    const auto plan = readPlan(std::string(UNDERFOOT_SOURCE_DIR) + "/scenes/courtyard.toml");
    EXPECT_TRUE(plan);
    auto built = buildModel(*plan);
    EXPECT_TRUE(built);
    model = std::move(*built);
    return takeoff(model, loadCatalogue(*plan));
}

TEST(TakeoffSheet, FormulasCountWhatStandsBesideThem) {
    Model model;
    const Takeoff answer = courtyard(model);
    const auto bytes = takeoffSheet(model, answer);
    ASSERT_TRUE(bytes);
    Cells cells = cellsOf(unzipped(*bytes, "xl/worksheets/sheet1.xml"));
    size_t formulas = 0;
    for (const auto& [name, cell] : cells) {
        if (cell.formula.empty() || cell.text) continue;
        ++formulas;
        EXPECT_NEAR(Counting(cells).cell(name), cell.value, 1e-6 * (1 + std::abs(cell.value))) << name;
    }
    EXPECT_GT(formulas, 5 * answer.rows.size());
    for (size_t i = 0; i < answer.rows.size(); ++i)
        EXPECT_DOUBLE_EQ(cells.at("N" + std::to_string(8 + i)).value, answer.rows[i].bought);
    EXPECT_NEAR(cells.at("V" + std::to_string(8 + answer.rows.size())).value, answer.total.value(), 1e-9);
    EXPECT_NE(unzipped(*bytes, "xl/worksheets/sheet2.xml").find("sheetData"), std::string::npos);
}

// The base stone, twice as much of it: what countBought makes of that stands in the sheet as well.
TEST(TakeoffSheet, CountsAgainWhenAQuantityChanges) {
    Model model;
    Takeoff answer = courtyard(model);
    const auto bytes = takeoffSheet(model, answer);
    ASSERT_TRUE(bytes);
    Cells cells = cellsOf(unzipped(*bytes, "xl/worksheets/sheet1.xml"));
    for (size_t i = 0; i < answer.rows.size(); ++i) {
        TakeoffRow& row = answer.rows[i];
        if (row.material != "base stone") continue;
        const std::string line = std::to_string(8 + i);
        cells.at("C" + line).value *= 2;
        const double costBefore = *row.cost;
        row.inPlace *= 2;
        countBought(answer, row);
        EXPECT_DOUBLE_EQ(Counting(cells).cell("N" + line), row.bought);
        EXPECT_NEAR(Counting(cells).cell("S" + line), row.truck->loads, 1e-9);
        EXPECT_NEAR(Counting(cells).cell("V" + std::to_string(8 + answer.rows.size())),
                    *answer.total + *row.cost - costBefore, 1e-6);
        EXPECT_GT(row.bought, 20);
    }
}

TEST(TakeoffSheet, MoneyAndAmountsAreWrittenForPeople) {
    EXPECT_EQ(formatMoney(1234567.5), "1,234,567.50");
    EXPECT_EQ(formatMoney(-1234), "-1,234.00");
    EXPECT_EQ(formatMoney(999.999), "1,000.00");
    EXPECT_EQ(formatPrice(38.5), "38.50");
    EXPECT_EQ(formatPrice(0.085), "0.085");
    EXPECT_EQ(formatAmount(7.5), "7.5");
    EXPECT_EQ(formatAmount(1200), "1,200");
    EXPECT_EQ(saleText(1, SaleUnit::Roll), "1 roll");
}

}  // namespace
}  // namespace underfoot
