#pragma once
#include <string_view>
#include <utility>
namespace underfoot::view_assets {
/// The bytes of a file of shaders/, or a font, by its name; empty when there is none of that name.
std::string_view embedded(std::string_view name);
}  // namespace underfoot::view_assets
