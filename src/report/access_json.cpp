#include "report/access_json.hpp"

namespace baywright::report {
namespace {

using access::ClampAccess;
using access::Reach;

const char* word(Reach reach) {
  switch (reach) {
    case Reach::seen:
      return "in sight";
    case Reach::by_feel:
      return "by feel";
    case Reach::special_tool:
      return "special tool";
    case Reach::not_found:
      return "no way found";
    case Reach::ways_unknown:
      return "ways unknown";
    case Reach::unreachable:
      break;
  }
  return "not reachable";
}

const char* word(access::WayStep::Kind kind) {
  using Kind = access::WayStep::Kind;
  return kind == Kind::hose_slid ? "hose slid" : kind == Kind::drawn_off ? "drawn off" : "carried";
}

/// Which way a screw faces; null where there is none.
Json faces(const ClampAccess& clamp, access::Side side) {
  return clamp.site.type.has_screw() ? Json(duct::name(side)) : Json();
}

void put_arc(Object& o, const access::Arc& arc) {
  o.number("free_arc_deg", to_degrees(arc.width()));
  o.set("strokes_per_turn", access::strokes(1, arc.width()));
}

Json choice_json(const ClampAccess& clamp, const access::Choice& choice) {
  if (choice.position < 0 || choice.tool < 0) return nullptr;
  const access::PositionAt& at = clamp.chart.positions[static_cast<std::size_t>(choice.position)];
  const auto& tool = clamp.chart.tools[static_cast<std::size_t>(choice.tool)];
  const access::ToolAt& used = at.tools[static_cast<std::size_t>(choice.tool)];
  Object o;
  o.number("clock_deg", to_degrees(at.position.clock));
  o.set("faces", faces(clamp, at.position.side));
  o.set("in_sight", choice.seen);
  o.text("tool", tool.name);
  if (tool.swing) put_arc(o, used.arc);
  return o.done();
}

/// Stretches of the clock at which a tool serves, as [first, last] position of each.
Json usable_json(const ClampAccess& clamp, std::size_t tool) {
  Json out = Json::array();
  const auto& positions = clamp.chart.positions;
  for (std::size_t i = 0; i < positions.size();) {
    if (!positions[i].tools[tool].usable()) {
      ++i;
      continue;
    }
    std::size_t last = i;
    while (last + 1 < positions.size() && last + 1 != clamp.declared_from && positions[last + 1].tools[tool].usable() &&
           positions[last + 1].position.side == positions[i].position.side &&
           positions[last + 1].seen == positions[i].seen) {
      ++last;
    }
    Object o;
    o.set("faces", faces(clamp, positions[i].position.side));
    o.number("from_deg", to_degrees(positions[i].position.clock));
    o.number("to_deg", to_degrees(positions[last].position.clock));
    o.set("in_sight", positions[i].seen);
    out.push_back(o.done());
    i = last + 1;
  }
  return out;
}

Json tool_json(const ClampAccess& clamp, std::size_t tool) {
  Object o;
  o.text("name", clamp.chart.tools[tool].name);
  o.set("usable", usable_json(clamp, tool));
  const auto widest = access::widest_arc(clamp.chart, tool);
  if (!widest) {
    o.set("widest_arc", nullptr);
    return o.done();
  }
  const access::PositionAt& at = clamp.chart.positions[*widest];
  Object w;
  w.number("clock_deg", to_degrees(at.position.clock));
  w.set("faces", faces(clamp, at.position.side));
  put_arc(w, at.tools[tool].arc);
  o.set("widest_arc", w.done());
  return o.done();
}

Json clamp_json(const ClampAccess& clamp) {
  Object o;
  o.text("name", clamp.site.name);
  o.text("type", clamp.site.type.id.value);
  o.number("station_mm", clamp.site.station_mm);
  o.text("reach", word(clamp.best.reach));
  o.number("declared_clock_deg", clamp.clock ? std::optional(to_degrees(*clamp.clock)) : std::nullopt);
  o.set("declared_faces", clamp.side ? Json(duct::name(*clamp.side)) : Json());
  o.set("taken", choice_json(clamp, clamp.best));
  o.set("recommended", clamp.declared_from > 0 ? choice_json(clamp, clamp.anywhere) : Json());
  Json out = Json::array();
  for (const bay::PartId& part : clamp.removed) out.push_back(part.value);
  o.set("reached_with_parts_out", access::is_reached_when_freed(clamp) ? out : Json::array());
  Json tools = Json::array();
  for (std::size_t i = 0; i < clamp.chart.tools.size(); ++i) tools.push_back(tool_json(clamp, i));
  o.set("tools", std::move(tools));
  return o.done();
}

Json move_json(const access::WayStep& step) {
  Object o;
  o.text("kind", word(step.kind));
  o.set("pieces", step.moved);
  o.point("along", step.move.along);
  if (step.move.turns) {
    o.number("turned_deg", to_degrees(radians(step.move.amount)));
    o.point("about_mm", step.move.point);
  } else {
    o.number("slid_mm", step.move.amount);
  }
  return o.done();
}

Json piece_json(const access::PieceWay& way) {
  Object o;
  o.text("duct", way.duct.value);
  o.text("piece", way.piece);
  o.set("order", way.found ? Json(way.order) : Json());
  o.text("with", way.with);
  o.text("opening", way.opening);
  o.text("freed", way.released);
  o.set("moves", array_of(way.steps, move_json));
  o.text("open", way.open);
  o.set("missing", way.missing);
  return o.done();
}

}  // namespace

Json clamps_json(std::span<const ClampAccess> clamps) { return array_of(clamps, clamp_json); }

Json ways_json(const access::WaysOut* ways) {
  if (ways == nullptr) return nullptr;
  Object o;
  o.set("notes", ways->notes);
  o.set("pieces", array_of(ways->pieces, piece_json));
  return o.done();
}

}  // namespace baywright::report
