#include "job/opening_problems.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "geometry/base/unit.hpp"

namespace baywright::job {
namespace {

// Common practice, no source: a gap of 1 mm lets nothing through, and hands and tools keep several mm from a rim.
constexpr double kNarrowest_mm = 1;
constexpr double kFlatAnyway_mm = 5;
constexpr double kFlatEnough = 0.02;  ///< of the greatest distance between two corners

struct Outline {
  double size_mm = 0;      ///< greatest distance between two corners
  double area_mm2 = 0;     ///< seen along its mean normal
  double off_flat_mm = 0;  ///< greatest distance of a corner from the plane through their middle
};

/// The plane is the one the outline is laid into (access::OpeningView).
Outline outline_of(const std::vector<Vec3>& corners) {
  Outline out;
  Vec3 middle = Vec3::Zero(), normal = Vec3::Zero();
  for (const Vec3& p : corners) middle += p / static_cast<double>(corners.size());
  for (std::size_t i = 0; i < corners.size(); ++i) {
    // About the middle, so that a far-off origin costs no digits.
    normal += (corners[i] - middle).cross(corners[(i + 1) % corners.size()] - middle);
    for (std::size_t k = 0; k < i; ++k) out.size_mm = std::max(out.size_mm, (corners[i] - corners[k]).norm());
  }
  out.area_mm2 = 0.5 * normal.norm();
  if (normal.norm() <= 0) return out;
  normal.normalize();
  for (const Vec3& p : corners) out.off_flat_mm = std::max(out.off_flat_mm, std::abs(normal.dot(p - middle)));
  return out;
}

}  // namespace

std::vector<JobProblem> opening_problems(const Job& job) {
  std::vector<JobProblem> found;
  for (std::size_t i = 0; i < job.openings.size(); ++i) {
    const std::vector<Vec3>& corners = job.openings[i].outline_mm;
    if (corners.size() < 3) continue;
    const std::string at = item("/openings", i) + "/outline_mm";
    const Outline outline = outline_of(corners);
    const double allowed_mm = std::max(kFlatAnyway_mm, kFlatEnough * outline.size_mm);
    if (outline.area_mm2 <= kNarrowest_mm * outline.size_mm) {
      found.push_back({at,
                       "encloses no area: the corners lie on one line, or the outline crosses itself; give the corners "
                       "in order round the opening"});
    } else if (outline.off_flat_mm > allowed_mm) {
      found.push_back({at, "is not flat: its corners lie up to " + length_text(outline.off_flat_mm, job.units) +
                               " off one plane, where " + length_text(allowed_mm, job.units) +
                               " are allowed; correct them, or state the opening as several that are flat"});
    }
  }
  return found;
}

}  // namespace baywright::job
