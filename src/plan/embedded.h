#pragma once
#include <string_view>
#include <utility>
namespace underfoot::plan_assets {
/// The bytes of a file of assets/ by its name; empty when there is none of that name.
std::string_view embedded(std::string_view name);
}  // namespace underfoot::plan_assets
