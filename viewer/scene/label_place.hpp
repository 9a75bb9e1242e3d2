#pragma once

#include <vector>

#include "viewer/scene/overlay.hpp"

namespace baywright::viewer {

/// Where a label of `size` goes: the place nearest to `wanted` (its centre) that lies inside `page` and overlaps none
/// of `taken`; of places equally near the one farthest along `push`. On a page so full that there is none, the place
/// that overlaps least. Never outside the page, unless the label is larger than the page.
Box2 free_place(const Box2& page, const Pixel& size, const Pixel& wanted, const Pixel& push,
                const std::vector<Box2>& taken);

/// Boxes along a line that labels must not cover, each about `width` wide.
std::vector<Box2> boxes_along(const Pixel& a, const Pixel& b, double width);

}  // namespace baywright::viewer
