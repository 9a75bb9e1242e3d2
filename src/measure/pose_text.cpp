#include <algorithm>
#include <charconv>
#include <cmath>

#include "geometry/base/unit.hpp"
#include "measure/clearance_measure.hpp"

namespace baywright::measure {
namespace {

std::string fixed(double value, int decimals) {
  char text[64];
  const auto end = std::to_chars(text, text + sizeof text, value, std::chars_format::fixed, decimals);
  std::string out(text, end.ptr);
  const bool zero = out.find_first_not_of("-0.") == std::string::npos;
  return zero && out.front() == '-' ? out.substr(1) : out;
}

std::string percent(double fraction) { return fixed(100 * fraction, 0) + " %"; }

/// "roll 1.2 degrees", "shift z -5.0 mm"; about another axis "turn 1.2 degrees".
std::string joint_text(const Joint& joint, double q, const DisplayUnits& units) {
  constexpr const char* kTurns[] = {"roll", "pitch", "yaw"};
  constexpr const char* kAxes[] = {" x", " y", " z"};
  Eigen::Index along = 0;
  const double part = joint.axis.cwiseAbs().maxCoeff(&along);
  const bool on_axis = part > 1 - 1e-9;
  const double sign = joint.axis[along] < 0 ? -1 : 1;
  const bool turn = joint.kind == Joint::Kind::rotation;
  const double amount = turn ? to_degrees(radians(q)) : q;
  std::string text = turn ? (on_axis ? kTurns[along] : "turn") : "shift";
  if (!turn && on_axis) text += kAxes[along];
  text += ' ';
  const double shown = on_axis ? sign * amount : amount;
  return text += turn ? fixed(shown, 1) + " degrees" : format(shown, Unit::mm, units);
}

std::string state_text(const MotionSet& motion, const BodyState& state, const DisplayUnits& units) {
  if (state.member < 0 || state.member >= static_cast<int>(motion.members().size())) return "at rest";
  const MotionMember& member = motion.members()[static_cast<std::size_t>(state.member)];
  if (member.shape == MotionMember::Shape::path) {
    const auto largest = std::max_element(member.to.begin(), member.to.end(),
                                          [](double a, double b) { return std::abs(a) < std::abs(b); });
    if (largest == member.to.end() || *largest == 0) return "at rest";
    const double q = state.q.at(static_cast<std::size_t>(largest - member.to.begin()));
    return q == 0 ? "at rest" : member.name + " at " + percent(q / *largest);
  }
  std::string text;
  for (std::size_t i = 0; i < member.joints.size(); ++i) {
    if (state.q.at(i) == 0) continue;
    text += (text.empty() ? "" : ", ") + joint_text(member.joints[i], state.q[i], units);
  }
  return text.empty() ? "at rest" : member.name + " (" + text + ")";
}

/// How a floating tube shares the play of its joints, as far as it is not midway; "" when it is.
std::string share_text(const PosedState& state) {
  constexpr double kMidway = 0.5, kSame = 1e-6;
  std::string text;
  if (std::abs(state.axial_share - kMidway) > kSame) text += "axial play " + percent(state.axial_share);
  if (std::abs(state.spin_share - kMidway) > kSame) {
    text += (text.empty() ? "twist " : ", twist ") + percent(state.spin_share);
  }
  return text.empty() ? "" : " (floating tube: " + text + " with its downstream joint)";
}

}  // namespace

std::string pose_text(const bay::Bay& bay, const PosedState& state) {
  const Kinematics kinematics = running_kinematics(bay);
  std::string text;
  for (std::size_t i = 0; i < bay.bodies.size(); ++i) {
    if (!kinematics.bodies[i].moves()) continue;
    const std::string where =
        i < state.bodies.size() ? state_text(kinematics.bodies[i], state.bodies[i], bay.units) : std::string("at rest");
    if (where == "at rest") continue;  // what moves says where it is; the rest rests
    const bay::Body& body = bay.bodies[i];
    text += (text.empty() ? "" : ", ") + (body.name.empty() ? body.id.value : body.name) + ": " + where;
  }
  if (text.empty()) return "at rest";
  return text + share_text(state);
}

}  // namespace baywright::measure
