// cautions: what this plan calls for before digging, cutting, lifting and lighting.

#include "study/cautions.h"

#include <fmt/format.h>

#include "command/session.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "share/cautions_page.h"

namespace underfoot::command {

namespace {

struct CautionsOptions {
    std::string plan;
    std::string svg;
    bool json = false;
};

/// A sentence broken into lines of a terminal's usual width.
std::string wrapped(const std::string& words, size_t indent) {
    constexpr size_t widest = 100;
    std::string text, line(indent, ' ');
    bool first = true;
    for (size_t at = 0; at <= words.size();) {
        const size_t end = std::min(words.find(' ', at), words.size());
        if (!first && line.size() + 1 + end - at > widest) {
            text += line + '\n';
            line.assign(indent, ' ');
            first = true;
        }
        line += (first ? "" : " ") + words.substr(at, end - at);
        first = false;
        at = end + 1;
    }
    return text + line + '\n';
}

std::string cautionText(const Caution& one) {
    std::string text = '\n' + (one.pastLimit ? attention(one.title) : bold(one.title)) + '\n';
    for (const std::string& sentence : one.here) text += wrapped(sentence, 2);
    for (const Sourced& said : one.said)
        text += wrapped(fmt::format("{} ({})", said.sentence, said.source), 2);
    return one.ask.empty() ? text : text + wrapped(one.ask, 2);
}

std::string asText(const Model& model, const CautionsPage& page) {
    std::string text = model.plan.title + "\n" + wrapped(page.rulesOf, 0), left;
    for (const Caution& one : page.cautions) {
        if (one.applies) {
            text += cautionText(one);
            continue;
        }
        std::string why = one.title + '.';
        for (const std::string& sentence : one.here) why += ' ' + sentence;
        left += wrapped(why, 2);
    }
    if (!left.empty()) text += '\n' + bold("Not called for by this plan") + '\n' + left;
    return text + '\n' + wrapped(page.closing, 0);
}

ExitCode cautions(const CautionsOptions& options) {
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    const CautionsPage page = cautionsPage(*model, loadCatalogue(model->plan));
    const ExitCode code = writeIfAsked(options.svg, [&] { return cautionsSvg(*model, page); });
    if (code != ExitCode::Fine) return code;
    print(options.json ? cautionsJson(*model, page) : asText(*model, page));
    return ExitCode::Fine;
}

}  // namespace

void addCautions(CommandLine& line, Action& chosen) {
    Verb verb;
    const auto options = addVerb<CautionsOptions>(
        line, chosen, "cautions", "What this plan calls for before you dig, cut, lift or light, with sources",
        "underfoot cautions scenes/courtyard.toml", cautions, verb);
    verb.addOption("--svg", options->svg, "Write the page, to print, to this file");
    verb.addFlag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
