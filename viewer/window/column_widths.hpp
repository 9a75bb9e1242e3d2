#pragma once

#include <vector>

namespace baywright::viewer {

/// Widths of columns of text that share `room` (pixels). Where all needs fit, each gets its need and the last one the
/// rest; else all shrink alike, none below `least` (or its need, when that is smaller): their texts then wrap.
std::vector<int> shared_widths(int room, const std::vector<int>& needs, int least);

}  // namespace baywright::viewer
