// cautions: what this plan calls for before digging, cutting, lifting and lighting.

#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "command/command_line.h"
#include "command/exit_code.h"
#include "command/session.h"
#include "command/terminal.h"
#include "command/verb.h"
#include "command/verbs.h"
#include "model/model.h"
#include "plan/catalogue.h"
#include "plan/plan.h"
#include "share/cautions_page.h"
#include "share/page.h"
#include "study/cautions.h"

namespace underfoot::command {

namespace {

struct CautionsOptions {
    std::string plan;
    std::string svg, pdf;
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

std::string asText(const Model& model, const CautionsPage& page) {
    std::string text = model.plan.title + '\n';
    const Page read = cautionsToRead(page);
    for (const PagePart& part : read.parts()) {
        const size_t indent = std::min(part.text.find_first_not_of(' '), part.text.size());
        if (part.kind == PagePart::Kind::Heading)
            text += (part.urgent ? attention(part.text) : bold(part.text)) + '\n';
        else
            text += part.text.empty() ? "\n" : wrapped(part.text.substr(indent), indent);
    }
    return text;
}

ExitCode cautions(const CautionsOptions& options) {
    const auto model = openModel(options.plan);
    if (!model) return model.error();
    const CautionsPage page = cautionsPage(*model, loadCatalogue(model->plan));
    ExitCode code = writeIfAsked(options.svg, [&] { return cautionsSvg(*model, page); });
    if (code == ExitCode::Fine) code = writeIfAsked(options.pdf, [&] { return cautionsPdf(*model, page); });
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
    verb.addOption("--pdf", options->pdf, "The same as a PDF");
    verb.addFlag("--json", options->json, "Answer as JSON");
}

}  // namespace underfoot::command
