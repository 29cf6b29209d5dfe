#pragma once
// A takeoff as a spreadsheet (Office Open XML, ECMA-376) that counts again when a quantity, a waste, a price
// or a carrier is changed.

#include <string>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "study/takeoff.h"

namespace underfoot {

/// The bytes of an .xlsx file. Sheet "Takeoff": one row an item; cells to change are tinted, formulas make
/// the rest (countBought's, in the units of the plan), and hold the numbers of the takeoff already, so that a
/// viewer that does not count shows them. The total leaves out what has no price and names it, by formula
/// too. Sheet "Where from": every explanation with its inputs. Sheet "Strips": fabric and panels as laid out.
/// Amounts are feet, pounds and cubic feet, or metres and kilograms, as the plan shows lengths.
/// Error: no room for the temporary files that the writer needs.
Result<std::string> takeoffSheet(const Model& model, const Takeoff& takeoff);

}  // namespace underfoot
