#include "measure/joint_offset.hpp"

#include <Eigen/Geometry>
#include <cmath>

namespace baywright::measure {

JointOffset joint_offset(const TubeEnd& upstream, const TubeEnd& downstream) {
  const Vec3 apart = downstream.p_mm - upstream.p_mm;
  const Vec3 into = -downstream.axis;
  JointOffset offset;
  offset.gap_mm = apart.dot(upstream.axis);
  offset.lateral_mm = (apart - offset.gap_mm * upstream.axis).norm();
  // Well conditioned near 0, where acos of the cosine is not.
  offset.angle = radians(std::atan2(upstream.axis.cross(into).norm(), upstream.axis.dot(into)));
  return offset;
}

bool takes(const duct::Coupler& coupler, const JointOffset& offset, double share) {
  return std::abs(offset.gap_mm - coupler.gap_mm) <= share * coupler.axial_mm &&
         offset.lateral_mm <= share * coupler.lateral_mm && offset.angle.si() <= share * coupler.angle.si();
}

}  // namespace baywright::measure
