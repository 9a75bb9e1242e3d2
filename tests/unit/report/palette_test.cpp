#include "report/palette.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <string>

using namespace baywright::report;

namespace {

/// Relative luminance of "#rrggbb", WCAG 2.2 glossary.
double luminance(const std::string& color) {
  const auto channel = [&](std::size_t at) {
    const double c = std::stoi(color.substr(at, 2), nullptr, 16) / 255.0;
    return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
  };
  return 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
}

double contrast(const std::string& a, const std::string& b) {
  const double la = luminance(a), lb = luminance(b);
  return (std::max(la, lb) + 0.05) / (std::min(la, lb) + 0.05);
}

}  // namespace

TEST_CASE("contrast of black on white is 21") { CHECK(contrast("#000000", "#ffffff") == Approx(21)); }

TEST_CASE("text keeps 4.5:1 and graphics 3:1 on every background of both themes") {
  for (const Palette& p : {light_palette(), dark_palette()}) {
    for (const char* background : {p.page, p.panel}) {
      for (const char* text : {p.ink, p.quiet, p.met, p.not_met, p.undecided, p.not_checked}) {
        CAPTURE(background, text);
        CHECK(contrast(text, background) >= 4.5);
      }
      for (const char* graphic : {p.edge, p.bar, p.bar_total, p.soft, p.floating}) {
        CAPTURE(background, graphic);
        CHECK(contrast(graphic, background) >= 3.0);
      }
    }
  }
}
