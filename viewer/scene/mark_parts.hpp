#pragma once

#include <string>
#include <vector>

#include "viewer/scene/overlay.hpp"

namespace baywright::viewer {

// What marks are put together from. All in drawing pixels.

inline constexpr Rgb kWhite = {1, 1, 1};
inline constexpr Rgb kBlack = {0, 0, 0};

void arrowhead(Overlay& overlay, const Pixel& tip, const Pixel& along, double length, const Rgb& color);
/// Line on a white halo, so that it reads on light and dark.
void haloed(Overlay& overlay, const Pixel& a, const Pixel& b, double width, const Rgb& color);
/// The same in dashes.
void dashed(Overlay& overlay, const Pixel& a, const Pixel& b, double width, const Rgb& color);
void dot(Overlay& overlay, const Pixel& at, double radius, const Rgb& color);
/// Arrowhead on a white one, so that it reads on its own colour.
void haloed_head(Overlay& overlay, const Pixel& tip, const Pixel& along, double length, const Rgb& color);
/// Dimension between two pixels, each end marked by a short line across: arrows inside when there is room, else outside
/// pointing in.
void dimension(Overlay& overlay, const Pixel& a, const Pixel& b, const Rgb& color);

struct LabelLine {
  std::string text;
  Overlay::Font font;
};
inline constexpr double kLabelPad = 8, kLeading = 1.32;

Pixel label_size(const Overlay& overlay, const std::vector<LabelLine>& lines);
/// Box for lines of text, kept inside the page and off the boxes already placed; becomes one of them.
Box2 place_box(const Overlay& overlay, const std::vector<LabelLine>& lines, const Pixel& wanted, const Pixel& push,
               const Box2& page, std::vector<Box2>& taken);
void draw_box(Overlay& overlay, const Box2& box, const std::vector<LabelLine>& lines, const Rgb& border);
/// Leader from a label box to a point: to the nearest point of the box.
void leader(Overlay& overlay, const Box2& box, const Pixel& to, const Rgb& color);

}  // namespace baywright::viewer
