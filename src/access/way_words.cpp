#include "access/way_words.hpp"

#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"
#include "geometry/direction_text.hpp"

namespace baywright::access {
namespace {

std::string place(const Vec3& p, const DisplayUnits& units) {
  const auto number = [&](double v) { return format_number(v, Unit::mm, units); };
  return "(" + number(p.x()) + ", " + number(p.y()) + ", " + number(p.z()) + ")";
}

}  // namespace

std::string words_of(const WayStep& step, const DisplayUnits& units) {
  using Kind = WayStep::Kind;
  const WayMove& move = step.move;
  const std::string hose = step.kind == Kind::hose_slid ? joined(step.moved) + " " : "";
  if (move.turns) {
    return hose + "turned " + format(to_degrees(radians(move.amount)), Unit::degree, units) + " about " +
           direction_text(move.along) + " through " + place(move.point, units);
  }
  const char* how = step.kind == Kind::hose_slid ? "slid " : step.kind == Kind::drawn_off ? "drawn off " : "carried ";
  const std::string along = direction_text(move.along);
  return hose + how + length_text(move.amount, units) + " " + vehicle_words(move.along) + " " +
         (along.starts_with("(") ? along : "(" + along + ")");
}

}  // namespace baywright::access
