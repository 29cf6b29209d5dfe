#pragma once
// The cautions of a plan as they are read (share/page.h), as JSON (share/json.h) and as one page to print.

#include <string>

#include "model/model.h"
#include "share/page.h"
#include "study/cautions.h"

namespace underfoot {

Page cautionsToRead(const CautionsPage& page);

/// "country", "code": as the plan names them, null where it does not; "rules_of"; "cautions": [{"key",
/// "title", "applies", "past_limit", "here": [sentence], "said": [{"sentence", "source"}], "ask": null where
/// a rule is known}]; "closing".
std::string cautionsJson(const Model& model, const CautionsPage& page);

/// One page of A4 where the plan shows metres, else of US letter, as an SVG file in millimetres. Letters are
/// as large as lets the page hold all of it, 3.2 mm at most.
std::string cautionsSvg(const Model& model, const CautionsPage& page);
/// The same page as a PDF.
std::string cautionsPdf(const Model& model, const CautionsPage& page);

}  // namespace underfoot
