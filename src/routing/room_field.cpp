#include "routing/room_field.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <queue>

namespace baywright::routing {

struct RoomField::Block {
  std::atomic<float> spare_mm[kBlock * kBlock * kBlock];  ///< not a number: not asked yet
  Block() {
    for (auto& spare : spare_mm) spare.store(std::numeric_limits<float>::quiet_NaN(), std::memory_order_relaxed);
  }
};

RoomField::RoomField(const Room& room, const Aabb& box) : room_(room), box_(box) {
  const Vec3 size = box.size().cwiseMax(1.0);
  for (step_ = kGrid_mm;; step_ *= 1.25) {
    double points = 1;
    for (int k = 0; k < 3; ++k) points *= std::ceil(size[k] / step_) + 1;
    if (points <= kMostPoints) break;
  }
  std::ptrdiff_t count = 1;
  for (int k = 0; k < 3; ++k) {
    n_[k] = static_cast<std::ptrdiff_t>(std::ceil(size[k] / step_)) + 1;
    blocks_[k] = (n_[k] + kBlock - 1) / kBlock;
    count *= blocks_[k];
  }
  known_ = std::vector<std::atomic<Block*>>(static_cast<std::size_t>(count));
}

RoomField::~RoomField() {
  for (auto& block : known_) delete block.load(std::memory_order_relaxed);
}

RoomField::Block& RoomField::block(std::ptrdiff_t index) const {
  std::atomic<Block*>& place = known_[static_cast<std::size_t>(index)];
  Block* there = place.load(std::memory_order_acquire);
  if (there) return *there;
  auto made = std::make_unique<Block>();
  // Where another thread was first, its block stays.
  if (place.compare_exchange_strong(there, made.get(), std::memory_order_acq_rel)) return *made.release();
  return *there;
}

double RoomField::at(const Vec3& p) const {
  std::ptrdiff_t index = 0, within = 0;
  Vec3 point;
  for (int k = 2; k >= 0; --k) {
    const auto i = static_cast<std::ptrdiff_t>(std::lround(std::clamp((p[k] - box_.lo[k]) / step_, -1.0, 1e8)));
    if (i < 0 || i >= n_[k]) return room_.at(p).spare_mm;
    index = index * blocks_[k] + i / kBlock;
    within = within * kBlock + i % kBlock;
    point[k] = box_.lo[k] + static_cast<double>(i) * step_;
  }
  std::atomic<float>& known = block(index).spare_mm[static_cast<std::size_t>(within)];
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
    for (const double by : {-0.5 * step_, 0.5 * step_}) {
      if (field_.at(p + by * Vec3::Unit(k)) >= accept_mm) return true;
    }
  }
  return false;
}

WayLeft::WayLeft(const RoomField& field, const CourseEnd& from, const CourseEnd& to, double accept_mm, double beyond,
                 const Progress& progress)
    : field_(field), from_(from), to_(to), step_(2 * field.step_mm()) {
  constexpr double kCoarser = 1.5;
  const double most = 4 * field.room().tube_radius_mm();
  while (!spread(accept_mm, beyond, progress) && !connects_ && kCoarser * step_ <= most && !progress.cancelled()) {
    step_ *= kCoarser;
  }
}

bool WayLeft::spread(double accept_mm, double beyond, const Progress& progress) {
  const CourseEnd &from = from_, &to = to_;
  const Aabb& box = field_.box();
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
  const double to_open = field_.open_axis(to, accept_mm), from_open = field_.open_axis(from, accept_mm);
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
    if (++looked_at > kMostCells || (looked_at % 256 == 0 && progress.cancelled())) return false;
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
  return true;
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
