#pragma once
// Answers for other programs: JSON (IETF, RFC 8259), one object, keys in the order given here, two blanks to
// a level, ended by a line feed.
//
// Everywhere: a length is {"m": 0.0381, "text": "1 1/2\""}: metres, and the words the plan asks for. What is
// not known is null. A place is {"station": length, "offset": length, "x_m": number, "y_m": number} in the
// plan's own coordinates. An area is {"m2": number, "text": "..."}, a volume {"m3": number, "text": "..."}.
// Layers go by their names. Lifts count from 1, the lowest. Every answer starts with "plan" (title) and
// "file".

#include <string>
#include <vector>

#include <glm/vec2.hpp>

#include "model/model.h"
#include "study/findings.h"
#include "study/section.h"
#include "study/thickness.h"
#include "study/volumes.h"

namespace underfoot {

/// "name"; "length"; "line": [place]; "layers": [{"layer", "least", "least_at": place, "greatest",
/// "greatest_at": place, "cut_face": area, "wanted_least": length or null, "wanted_greatest"}]; "intervals":
/// [{"from_m", "to_m", "surface_slope": rise along the cut, "area": name or null, "beyond":
/// bool, "layers": [{"layer", "lift", "top_m": [at from, at to], "bottom_m": [at from, at to]}]}]; "units":
/// [{"from_m", "to_m", "top_m": [2], "bottom_m": [2], "whole": bool}]; "pipes": [{"name", "at_m", "centre_m",
/// "radius_m"}].
std::string sectionJson(const Model& model, const Section& section, const std::string& name);

/// "at": place; "layers": [{"layer", "lift", "role", "material", "top": length, "bottom": length,
/// "thickness": length, "wanted", "wanted_least", "wanted_greatest": length or null}], top first; empty
/// outside the model.
std::string stackJson(const Model& model, glm::dvec2 local, const std::vector<LayerAt>& stack);

/// "layer"; "area": name or null for all; "least": length, "least_at": place, "greatest", "greatest_at",
/// "mean"; "plan_area": area; "volume": volume; "wanted_least": length or null, "wanted_greatest"; "under":
/// {"area", "volume"}, "over": {"area", "volume"}; "patches": [{"thin": bool, "worst": length, "worst_at":
/// place, "centre": place, "area", "volume"}].
std::string thicknessJson(const Model& model, const ThicknessField& field);

/// "layers": [{"layer", "role", "material", "volume": volume, "inside": volume, "plan_area": area, "mean":
/// length, "lifts":
/// [{"lift", "volume", "plan_area"}]}]; "strip": volume, "cut", "fill"; "finish_area": area.
std::string volumesJson(const Model& model, const Volumes& volumes);

/// The report of a check. "findings": [{"kind", "what", "remedy", "area": name or null, "layer": name or
/// null, "at": place, "measured": number, "wanted": number (SI), "rule", "source"}], worst kind first;
/// "count": number; "scans": [{"layer": name, or null for the ground, "what": sentences, "points": number,
/// "kept": number, "wanted": length, "thinned_to": length, "scatter": length, "averaged_over": length, 0
/// where it was not, "greatest_deviation": length, "at": place}].
std::string findingsJson(const Model& model, const std::vector<Finding>& findings);

}  // namespace underfoot
