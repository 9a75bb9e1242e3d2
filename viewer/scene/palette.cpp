#include "viewer/scene/palette.hpp"

namespace baywright::viewer {

namespace {

Rgb mix(const Rgb& a, const Rgb& b, float t) {
  return {a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])};
}

}  // namespace

Rgb class_color(bay::PartClass c) {
  switch (c) {
    case bay::PartClass::plain:
      return {0.72F, 0.75F, 0.78F};
    case bay::PartClass::edge:
      return {0.55F, 0.58F, 0.62F};
    case bay::PartClass::hot:
      return {0.88F, 0.55F, 0.38F};
    case bay::PartClass::rotating:
      return {0.82F, 0.62F, 0.74F};
    case bay::PartClass::fluid_line:
      return {0.55F, 0.76F, 0.89F};
    case bay::PartClass::electrical:
      return {0.89F, 0.84F, 0.50F};
    case bay::PartClass::steering:
      return {0.50F, 0.62F, 0.74F};
    case bay::PartClass::bonnet:
      return {0.80F, 0.81F, 0.84F};
    case bay::PartClass::structure:
      return {0.66F, 0.66F, 0.66F};
    case bay::PartClass::reserved:
      return {0.55F, 0.76F, 0.68F};
  }
  return kScanGrey;
}

bool is_scan(const bay::Part& part) { return !part.solid && !part.encloses; }

Rgb part_color(const bay::Part& part) {
  constexpr float kCalm = 0.35F;
  if (part.color) return mix(*part.color, {0.80F, 0.81F, 0.82F}, kCalm);
  if (is_scan(part) && part.part_class == bay::PartClass::plain) return kScanGrey;
  return class_color(part.part_class);
}

Rgb piece_color(const duct::Piece& piece, int index) {
  if (piece.kind != duct::Piece::Kind::tube) return kCoupler;
  // Neighbouring tubes differ in lightness, so that a butt joint is seen.
  return index % 4 < 2 ? kTube : mix(kTube, kPaper, 0.30F);
}

std::string_view mark(checks::Verdict v) {
  switch (v) {
    case checks::Verdict::met:
      return "✓";
    case checks::Verdict::not_met:
      return "✗";
    case checks::Verdict::undecided:
      return "?";
    case checks::Verdict::not_checked:
      return "–";
    case checks::Verdict::not_applicable:
      return "·";
  }
  return "";
}

Rgb text_color(checks::Verdict v, bool on_dark) {
  // Contrast on white 6.8, 5.5, 5.2, 5.3; on #1E1E1E 6.4, 7.4, 7.2, 6.1 (WCAG 2.2 formula).
  switch (v) {
    case checks::Verdict::met:
      return on_dark ? Rgb{0.18F, 0.72F, 0.55F} : Rgb{0.0F, 0.408F, 0.31F};
    case checks::Verdict::not_met:
      return on_dark ? Rgb{1.0F, 0.56F, 0.30F} : Rgb{0.702F, 0.278F, 0.0F};
    case checks::Verdict::undecided:
      return on_dark ? Rgb{0.337F, 0.706F, 0.914F} : Rgb{0.0F, 0.447F, 0.698F};
    case checks::Verdict::not_checked:
    case checks::Verdict::not_applicable:
      break;
  }
  return on_dark ? Rgb{0.66F, 0.67F, 0.69F} : Rgb{0.38F, 0.40F, 0.42F};
}

}  // namespace baywright::viewer
