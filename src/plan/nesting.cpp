#include "plan/nesting.h"

#include <limits>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "plan/document.h"

namespace underfoot {
namespace {

/// Steps through the text the way TOML is written: bare, comment, and the four kinds of quoted text.
class Scanner {
  public:
    explicit Scanner(std::string_view text) : text_(text) {}

    /// Up to the place given. The words of what is wrong, where reading stopped; nothing when all is well.
    std::optional<std::pair<std::string, std::string>> run(int line, int column) {
        while (at_ < text_.size() && (line_ < line || (line_ == line && column_ < column))) {
            const char c = text_[at_];
            if (static_cast<unsigned char>(c) >= 0x80) return oddSign();
            if (c == '#')
                skipComment();
            else if (c == '"' || c == '\'')
                skipQuoted(c);
            else
                step(c);
            if (open_.size() > static_cast<size_t>(greatestNesting)) return deepBrackets();
            if (parts_ > greatestKeyParts) return longKey();
        }
        return std::nullopt;
    }

    int line() const { return line_; }
    int column() const { return column_; }
    const std::vector<OpenBracket>& open() const { return open_; }

  private:
    void advance(size_t n) {
        for (; n > 0 && at_ < text_.size(); --n, ++at_) {
            // The bytes that continue a character of UTF-8 are not columns of their own.
            if ((static_cast<unsigned char>(text_[at_]) & 0xC0) != 0x80) ++column_;
            if (text_[at_] != '\n') continue;
            ++line_;
            column_ = 1;
        }
    }

    void skipComment() {
        while (at_ < text_.size() && text_[at_] != '\n') advance(1);
    }

    void skipQuoted(char quote) {
        const bool block = at_ + 2 < text_.size() && text_[at_ + 1] == quote && text_[at_ + 2] == quote;
        advance(block ? 3 : 1);
        while (at_ < text_.size()) {
            const char c = text_[at_];
            if (c == '\\' && quote == '"')
                advance(2);
            else if (c == '\n' && !block)
                return;
            else if (c == quote && !block)
                return advance(1);
            else if (c == quote && closesBlock(quote))
                return advance(3);
            else
                advance(1);
        }
    }

    /// Up to two quotes may stand right before the closing three: the last three of a run close.
    bool closesBlock(char quote) const {
        size_t run = 0;
        while (at_ + run < text_.size() && text_[at_ + run] == quote) ++run;
        return run == 3 || run > 5;
    }

    void step(char c) {
        if (c == '[' || c == '{') open_.push_back({c, line_, column_});
        if ((c == ']' || c == '}') && !open_.empty()) open_.pop_back();
        if (c == '.')
            ++parts_;
        else if (c == '\n' || c == ',' || c == '=' || c == '[' || c == ']' || c == '{' || c == '}')
            parts_ = 1;
        advance(1);
    }

    static std::pair<std::string, std::string> deepBrackets() {
        return {fmt::format("Brackets are nested more than {} deep here.", greatestNesting),
                "Look for a closing bracket that is missing above this place."};
    }

    static std::pair<std::string, std::string> longKey() {
        return {fmt::format("A key here has more than {} parts with dots between them.", greatestKeyParts),
                "Write tables in brackets instead of long dotted keys."};
    }

    std::pair<std::string, std::string> oddSign() const {
        const std::string_view rest = text_.substr(at_);
        for (const std::string_view curly : {"\u201C", "\u201D", "\u201E", "\u2018", "\u2019"})
            if (rest.starts_with(curly))
                return {"A curly quote mark does not open or close a text.", "Write the plain one: \"."};
        return {"A sign stands here that keys and numbers can't have.",
                "Put the text around it in quote marks."};
    }

    std::string_view text_;
    size_t at_ = 0;
    int line_ = 1;
    int column_ = 1;
    std::vector<OpenBracket> open_;
    int parts_ = 1;
};

}  // namespace

std::optional<Diagnostic> nestingFault(std::string_view text, const std::string& fileName) {
    Scanner scanner(text);
    auto words = scanner.run(std::numeric_limits<int>::max(), 0);
    if (!words) return std::nullopt;
    return Diagnostic{
        {fileName, scanner.line(), scanner.column()}, std::move(words->first), std::move(words->second)};
}

std::optional<OpenBracket> openBracketAt(std::string_view text, int line, int column) {
    Scanner scanner(text);
    scanner.run(line, column);
    if (scanner.open().empty()) return std::nullopt;
    return scanner.open().back();
}

}  // namespace underfoot
