#include "measure/diagnostic.h"

#include <fmt/format.h>

namespace underfoot {

std::string formatDiagnostic(const Diagnostic& diagnostic) {
    const SourcePlace& place = diagnostic.place;
    std::string text = place.file;
    if (place.line > 0) text += fmt::format(":{}", place.line);
    if (place.line > 0 && place.column > 0) text += fmt::format(":{}", place.column);
    if (!text.empty()) text += ": ";
    text += diagnostic.what;
    if (!diagnostic.remedy.empty()) text += " " + diagnostic.remedy;
    return text;
}

}  // namespace underfoot
