#include "access/arm.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/shape_kernels.hpp"

namespace baywright::access {
namespace {

constexpr double kArmRadius_mm = 0.5 * kArmDiameter_mm;
/// The hand itself has been looked at: the arm begins behind it.
constexpr double kBehindHand_mm = 60;
/// Points of an opening that are tried, along each side: by hands and arms, and by eyes.
constexpr int kWays = 3, kLooks = 5;

/// Straight out and four directions 45 degrees from it: for what is outside already.
std::vector<Vec3> fan(const Vec3& outward) {
  const Vec3 x = any_perpendicular(outward), y = outward.cross(x);
  std::vector<Vec3> out = {outward};
  for (const Vec3& side : {x, y, Vec3(-x), Vec3(-y)}) out.push_back((outward + side).normalized());
  return out;
}

bool free_length(const Around& around, const Vec3& from, const Vec3& to) {
  const StandingShape length = Cylinder{from, to, kArmRadius_mm};
  return around.room_left({&length, 1}, Asking::arm, 1e-6).room_mm > 0;
}

/// Ends for an arm that is at p: points of the opening, or beyond p where that is outside.
std::vector<Vec3> arm_ends(const OpeningView& opening, const Vec3& p) {
  if (opening.outside_mm(p) < 0) return opening.targets(kArmRadius_mm, kWays);
  std::vector<Vec3> out;
  for (const Vec3& d : fan(opening.outward())) out.emplace_back(p + kArmLength_mm * d);
  return out;
}

}  // namespace

std::vector<Vec3> all_round() {
  std::vector<Vec3> out;
  for (int x = -1; x <= 1; ++x) {
    for (int y = -1; y <= 1; ++y) {
      for (int z = -1; z <= 1; ++z) {
        if (x || y || z) out.push_back(Vec3(x, y, z).normalized());
      }
    }
  }
  return out;
}

std::vector<Vec3> ways_to(const OpeningView& opening, const Vec3& from, const Vec3& first) {
  std::vector<Vec3> ways;
  if (opening.outside_mm(from) >= 0) {
    ways = fan(opening.outward());
  } else {
    ways.push_back(opening.outward());
    for (const Vec3& target : opening.targets(0, kWays)) ways.push_back((target - from).normalized());
  }
  std::erase_if(ways, [&](const Vec3& d) { return d.dot(opening.outward()) < kLeastRise; });
  std::stable_sort(ways.begin(), ways.end(),
                   [&](const Vec3& a, const Vec3& b) { return a.dot(opening.outward()) > b.dot(opening.outward()); });
  if (first.dot(opening.outward()) >= kLeastRise) ways.insert(ways.begin(), first);
  return ways;
}

bool arm_reaches(const Around& around, const Vec3& hand, const OpeningView& opening) {
  for (const Vec3& end : arm_ends(opening, hand)) {
    const double length = (end - hand).norm();
    if (length <= kBehindHand_mm) return true;  // the hand is in the opening
    if (free_length(around, hand + kBehindHand_mm / length * (end - hand), end)) return true;
  }
  static const std::vector<Vec3> directions = all_round();
  for (const Vec3& d : directions) {
    const Vec3 elbow = hand + kArmLength_mm * d;
    // Out past the opening's rim is no way: an elbow outside is one of the ends above.
    if (opening.outside_mm(hand) < 0 && opening.outside_mm(elbow) >= 0) continue;
    if (!free_length(around, hand + kBehindHand_mm * d, elbow)) continue;
    for (const Vec3& end : arm_ends(opening, elbow)) {
      if (free_length(around, elbow, end)) return true;
    }
  }
  return false;
}

bool is_seen(const Around& around, const Screw& screw, const OpeningView& opening) {
  const double aside = std::cos(kLookAside.si());
  const auto looks = [&](const Vec3& d, double length) {
    return d.dot(screw.axis) >= aside && !around.hides(screw.head + screw.axis, screw.head + length * d);
  };
  if (opening.outside_mm(screw.head) >= 0) {
    const std::vector<Vec3> ways = fan(opening.outward());
    return std::any_of(ways.begin(), ways.end(), [&](const Vec3& d) { return looks(d, kEyeBeyond_mm); });
  }
  const std::vector<Vec3> targets = opening.targets(0, kLooks);
  return std::any_of(targets.begin(), targets.end(), [&](const Vec3& target) {
    const double length = (target - screw.head).norm();
    return length > 0 && looks((target - screw.head) / length, length + kEyeBeyond_mm);
  });
}

}  // namespace baywright::access
