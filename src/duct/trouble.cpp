#include "duct/trouble.hpp"

#include <charconv>
#include <cmath>

namespace baywright::duct {
namespace {

std::string one_decimal(double value) {
  char text[64];
  const auto end = std::to_chars(text, text + sizeof text, value, std::chars_format::fixed, 1);
  return end.ec == std::errc() ? std::string(text, end.ptr) : "very large";
}

/// Enough decimals that a small amount does not read as nothing.
std::string readable(double value) {
  if (std::abs(value) >= 0.05 || value == 0) return one_decimal(value);
  char text[64];
  const auto end = std::to_chars(text, text + sizeof text, value, std::chars_format::general, 2);
  return std::string(text, end.ptr);
}

}  // namespace

std::string degree_text(double degrees) { return readable(degrees) + " degrees"; }

}  // namespace baywright::duct
