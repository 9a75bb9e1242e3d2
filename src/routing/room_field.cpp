#include "routing/room_field.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <queue>

namespace baywright::routing {
RoomField::RoomField(const Room& room, const Aabb& box) : room_(room), box_(box) {
  const Vec3 size = box.size().cwiseMax(1.0);
  std::ptrdiff_t count = 0;
  for (step_ = kGrid_mm;; step_ *= 1.25) {
    double points = 1;
    for (int k = 0; k < 3; ++k) points *= std::ceil(size[k] / step_) + 1;
    count = static_cast<std::ptrdiff_t>(points);
    if (points <= kMostPoints) break;
  }
  for (int k = 0; k < 3; ++k) n_[k] = static_cast<std::ptrdiff_t>(std::ceil(size[k] / step_)) + 1;
  known_ = std::make_unique<std::atomic<float>[]>(static_cast<std::size_t>(count));
  for (std::ptrdiff_t i = 0; i < count; ++i) {
    known_[static_cast<std::size_t>(i)].store(std::numeric_limits<float>::quiet_NaN(), std::memory_order_relaxed);
  }
}

double RoomField::at(const Vec3& p) const {
  std::ptrdiff_t index = 0;
  Vec3 point;
  for (int k = 2; k >= 0; --k) {
    const auto i = static_cast<std::ptrdiff_t>(std::lround(std::clamp((p[k] - box_.lo[k]) / step_, -1.0, 1e8)));
    if (i < 0 || i >= n_[k]) return room_.at(p).spare_mm;
    index = index * n_[k] + i;
    point[k] = box_.lo[k] + static_cast<double>(i) * step_;
  }
  std::atomic<float>& known = known_[static_cast<std::size_t>(index)];
  float spare = known.load(std::memory_order_relaxed);
  if (std::isnan(spare)) {
    // Two threads may measure the same point: they come to the same number.
    spare = static_cast<float>(room_.at(point).spare_mm);
    known.store(spare, std::memory_order_relaxed);
  }
  return spare;
}

double RoomField::open_axis(const CourseEnd& end, double accept_mm) const {
  const double in_port = room_.tube_radius_mm();
  double open = 0;
  straight_room(end.center + in_port * end.axis, end.axis, kLongestEnd_mm - in_port, accept_mm, &open);
  return in_port + open;
}

bool WayLeft::has_room(const Vec3& p, double accept_mm) const {
  if (field_.at(p) >= accept_mm) return true;
  for (int k = 0; k < 3; ++k) {
    for (const double by : {-field_.step_mm(), field_.step_mm()}) {
      if (field_.at(p + by * Vec3::Unit(k)) >= accept_mm) return true;
    }
  }
  return false;
}

WayLeft::WayLeft(const RoomField& field, const CourseEnd& from, const CourseEnd& to, double accept_mm, double beyond,
                 const Progress& progress)
    : field_(field), from_(from), to_(to), step_(2 * field.step_mm()) {
  const Aabb& box = field.box();
  std::ptrdiff_t count = 1;
  for (int k = 0; k < 3; ++k) {
    n_[k] = static_cast<std::ptrdiff_t>(std::ceil(box.size()[k] / step_)) + 1;
    count *= n_[k];
  }
  left_.assign(static_cast<std::size_t>(count), std::numeric_limits<float>::infinity());
  struct Entry {
    float left = 0;
    std::ptrdiff_t index = 0;
    bool operator>(const Entry& o) const { return left != o.left ? left > o.left : index > o.index; }
  };
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
  const auto offer = [&](std::ptrdiff_t i, double left) {
    float& known = left_[static_cast<std::size_t>(i)];
    if (static_cast<float>(left) >= known) return;
    known = static_cast<float>(left);
    open.push({known, i});
  };
  const double to_open = field.open_axis(to, accept_mm), from_open = field.open_axis(from, accept_mm);
  for (int i = 0; i * step_ <= to_open; ++i) {
    if (const auto at = index(to.center + i * step_ * to.axis); at >= 0) offer(at, i * step_);
  }
  std::vector<std::ptrdiff_t> starts;
  for (int i = 0; i * step_ <= from_open; ++i) starts.push_back(index(from.center + i * step_ * from.axis));
  double farthest = std::numeric_limits<double>::infinity();
  std::size_t looked_at = 0;
  while (!open.empty()) {
    const Entry top = open.top();
    open.pop();
    if (top.left > left_[static_cast<std::size_t>(top.index)]) continue;
    if (top.left > farthest) break;
    if (++looked_at > kMostCells || (looked_at % 256 == 0 && progress.cancelled())) return;
    if (!connects_ && std::find(starts.begin(), starts.end(), top.index) != starts.end()) {
      connects_ = true;
      farthest = beyond * top.left + 1000;
    }
    const std::ptrdiff_t x = top.index % n_[0], y = top.index / n_[0] % n_[1], z = top.index / (n_[0] * n_[1]);
    for (std::ptrdiff_t dz = -1; dz <= 1; ++dz) {
      for (std::ptrdiff_t dy = -1; dy <= 1; ++dy) {
        for (std::ptrdiff_t dx = -1; dx <= 1; ++dx) {
          const std::ptrdiff_t i = x + dx, j = y + dy, k = z + dz;
          if (i < 0 || j < 0 || k < 0 || i >= n_[0] || j >= n_[1] || k >= n_[2]) continue;
          const std::ptrdiff_t next = (k * n_[1] + j) * n_[0] + i;
          const double left = top.left + step_ * std::sqrt(static_cast<double>(dx * dx + dy * dy + dz * dz));
          if (static_cast<float>(left) >= left_[static_cast<std::size_t>(next)]) continue;
          const Vec3 p = box.lo + step_ * Vec3(static_cast<double>(i), static_cast<double>(j), static_cast<double>(k));
          if (!has_room(p, accept_mm)) continue;
          offer(next, left);
        }
      }
    }
  }
}

std::ptrdiff_t WayLeft::index(const Vec3& p) const {
  std::ptrdiff_t index = 0;
  for (int k = 2; k >= 0; --k) {
    const auto i = static_cast<std::ptrdiff_t>(std::lround(std::clamp((p[k] - field_.box().lo[k]) / step_, -1.0, 1e8)));
    if (i < 0 || i >= n_[k]) return -1;
    index = index * n_[k] + i;
  }
  return index;
}

double WayLeft::at(const Vec3& p) const {
  const std::ptrdiff_t i = index(p);
  return i < 0 ? std::numeric_limits<double>::infinity() : left_[static_cast<std::size_t>(i)];
}

}  // namespace baywright::routing
