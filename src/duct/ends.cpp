#include "duct/ends.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <numbers>

#include "geometry/base/words.hpp"

namespace baywright::duct {
namespace {

constexpr double kAtPort_mm = 0.5;
constexpr Angle kAlongAxis = degrees(1);
constexpr Angle kReversed = degrees(5);

std::optional<DuctEnd> port_of_bay(const PortRef& ref, const std::string& which, const bay::Bay& bay,
                                   Trouble& trouble) {
  const bay::Port* port = bay.find_port(ref.port);
  if (!port) {
    trouble.add(which, "the bay has no port '" + ref.port.value + "'");
    return std::nullopt;
  }
  const std::string name = named("port", ref.port.value);
  const bay::BodyId body = bay.bodies[static_cast<std::size_t>(port->body)].id;
  return DuctEnd{port->center_mm,
                 port->axis,
                 port->outer_diameter_mm,
                 port->bore_mm,
                 {0, Carriage::on(port->body), {body}, name},
                 name,
                 true};
}

std::optional<DuctEnd> branch_of_duct(const PortRef& ref, const std::string& which, std::span<const Duct> others,
                                      Trouble& trouble) {
  const auto duct = std::find_if(others.begin(), others.end(), [&](const Duct& d) { return d.spec.id == ref.duct; });
  if (duct == others.end()) {
    trouble.add(which, "leads to duct '" + ref.duct.value + "', which is missing or could not be laid out itself");
    return std::nullopt;
  }
  const Layout& layout = duct->layout;
  const PlacedFitting* fitting = layout.find(ref.fitting);
  const auto* branch = fitting ? std::get_if<BranchPort>(&fitting->kind) : nullptr;
  if (!branch) {
    trouble.add(which, "duct '" + ref.duct.value + "' has no branch port '" + ref.fitting.value + "'");
    return std::nullopt;
  }
  const double station = fitting->station_from_mm;
  const StationFrame frame = layout.at(station);
  const Vec3 axis = nipple_axis(frame.tangent, *branch);
  const double lean = std::sin(branch->angle.value_or(degrees(90)).si());
  const double reach = 0.5 * layout.tube_at(station).outer_diameter_mm / lean + branch->height_mm;
  const std::string name = named("branch port", ref.fitting.value) + " of duct " + ref.duct.value;
  DuctEnd end{frame.p_mm + reach * axis, axis, branch->outer_diameter_mm, branch->bore_mm, {}, name};
  end.hold.by = "duct " + ref.duct.value;
  for (const Piece& piece : layout.pieces) {
    if (piece.kind != Piece::Kind::tube || piece.station_from_mm > station || piece.station_to_mm < station) continue;
    end.hold.carriage = piece.carriage;
    end.hold.bodies = piece.held_by;
  }
  return end;
}

/// Nearer to the opposite of the axis than a bend at the port could be meant.
bool is_reversal(double angle_rad) { return std::numbers::pi - angle_rad <= kReversed.si(); }

/// "[0, -1, 0]" as a job states it.
std::string axis_text(const Vec3& axis) {
  std::string text = "[";
  for (int i = 0; i < 3; ++i) {
    std::array<char, 32> digits{};
    const double shown = std::round(axis[i] * 1e6) / 1e6 + 0.0;  // + 0 turns -0 into 0
    const auto end = std::to_chars(digits.data(), digits.data() + digits.size(), shown).ptr;
    text.append(i > 0 ? ", " : "").append(digits.data(), end);
  }
  return text + "]";
}

std::string point_text(const Vec3& p, const Trouble& trouble) {
  std::string text = "(";
  text += trouble.length(p.x()) + ", " + trouble.length(p.y()) + ", " + trouble.length(p.z());
  return text += ")";
}

}  // namespace

std::optional<DuctEnd> find_end(const PortRef& ref, const std::string& which, const bay::Bay& bay,
                                std::span<const Duct> others, Trouble& trouble) {
  if (!ref.port.empty()) return port_of_bay(ref, which, bay, trouble);
  if (!ref.duct.empty()) return branch_of_duct(ref, which, others, trouble);
  trouble.add(which, "names neither a port of the bay nor a branch port of another duct");
  return std::nullopt;
}

void check_end(const DuctEnd& end, const RoutePoint& point, const Vec3& outward_direction, Trouble& trouble) {
  const std::string where = "point " + point.id.value;
  const double apart = (point.p_mm - end.center_mm).norm();
  if (!(apart <= kAtPort_mm)) {
    trouble.add(where, "lies " + trouble.length(apart) + " away from " + end.name + "; move it to " +
                           point_text(end.center_mm, trouble));
  }
  const double angle = std::atan2(outward_direction.cross(end.axis).norm(), outward_direction.dot(end.axis));
  if (!(angle <= kAlongAxis.si())) {
    std::string message = "the route leaves " + end.name + " at " + degree_text(to_degrees(radians(angle))) +
                          " to its axis; at most 1 degree is allowed, ";
    message += end.axis_stated && is_reversal(angle)
                   ? "and this is the other way: an axis points out of the part, the way the duct goes; if it points "
                     "into the part, write \"axis\": " +
                         axis_text(-end.axis) + " there"
                   : "move the next point onto the port's axis";
    trouble.add(where, std::move(message));
  }
}

}  // namespace baywright::duct
