#include "viewer/window/column_widths.hpp"

#include <algorithm>
#include <numeric>

namespace baywright::viewer {

std::vector<int> shared_widths(int room, const std::vector<int>& needs, int least) {
  std::vector<int> widths = needs;
  if (needs.empty()) return widths;
  const int all = std::accumulate(needs.begin(), needs.end(), 0);
  if (all <= room) {
    widths.back() += room - all;
    return widths;
  }
  int floors = 0;
  for (const int need : needs) floors += std::min(least, need);
  // What each needs above its floor shrinks by one factor.
  const double factor =
      all > floors ? std::max(0.0, static_cast<double>(room - floors) / static_cast<double>(all - floors)) : 0.0;
  for (std::size_t i = 0; i < widths.size(); ++i) {
    const int floor = std::min(least, needs[i]);
    widths[i] = floor + static_cast<int>(factor * (needs[i] - floor));
  }
  return widths;
}

}  // namespace baywright::viewer
