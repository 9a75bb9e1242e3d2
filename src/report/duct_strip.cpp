#include <algorithm>
#include <cmath>
#include <functional>

#include "checks/profile_steps.hpp"
#include "flow/pressure_line.hpp"
#include "report/page.hpp"
#include "report/wording.hpp"

namespace baywright::report {
namespace {

// Sizes in units of the drawing, 1000 wide; it scales with the page.
constexpr double kLeft = 86, kRight = 992;
constexpr double kCharacter = 6.4;  // mean width of a character at 12 units

Markup box(const char* css_class, double x1, double x2, double y, double height, const std::string& title) {
  return "<rect class=\""_h + text(css_class) + "\" x=\""_h + coordinate(x1) + "\" y=\""_h + coordinate(y) +
         "\" width=\""_h + coordinate(std::max(x2 - x1, 1.0)) + "\" height=\""_h + coordinate(height) + "\"><title>"_h +
         text(title) + "</title></rect>"_h;
}

/// Puts labels on rows so that none covers its neighbour: the first row that is free from `x` on.
class Rows {
 public:
  int place(double center, std::size_t characters) {
    const double half = 0.5 * kCharacter * static_cast<double>(characters) + 5;
    for (std::size_t row = 0; row < end_.size(); ++row) {
      if (center - half >= end_[row]) {
        end_[row] = center + half;
        return static_cast<int>(row);
      }
    }
    end_.push_back(center + half);
    return static_cast<int>(end_.size()) - 1;
  }
  std::size_t count() const { return end_.size(); }

 private:
  std::vector<double> end_;
};

struct Strip {
  Strip(const Page& of, const duct::Duct& shown) : page(of), duct(shown), to_mm(shown.layout.length_mm) {
    // The hose of a coupler at a port reaches beyond the end of the centerline.
    for (const duct::Piece& p : duct.layout.pieces) {
      from_mm = std::min(from_mm, p.station_from_mm);
      to_mm = std::max(to_mm, p.station_to_mm);
    }
    scale = (kRight - kLeft) / std::max(to_mm - from_mm, 1.0);
  }
  const Page& page;
  const duct::Duct& duct;
  double from_mm = 0, to_mm = 0, scale = 1;

  double x(double station_mm) const { return kLeft + scale * (station_mm - from_mm); }
  std::string mm(double value) const { return page.figures.number(value, Unit::mm); }

  const char* css_of(const duct::Piece& piece) const {
    if (piece.kind != duct::Piece::Kind::tube) return "p_soft";
    if (piece.carriage.second) return "p_both";
    if (piece.carriage.first.kind == RigidCarriage::Kind::link) return "p_float";
    return piece.carriage.first.a == 0 ? "p_fixed" : "p_engine";
  }

  /// Words for the looks that occur.
  std::string legend() const {
    const std::pair<std::string_view, const char*> looks[] = {{"p_fixed", "light, rides on the vehicle"},
                                                              {"p_engine", "filled, rides on a body that moves"},
                                                              {"p_float", "dashed, floats between two soft joints"},
                                                              {"p_both", "thick outline, held rigidly by two bodies"},
                                                              {"p_soft", "tall outline, soft joint"}};
    std::string out;
    for (const auto& [css, words_for_it] : looks) {
      const auto& all = duct.layout.pieces;
      const bool occurs =
          std::any_of(all.begin(), all.end(), [&, look = css](const auto& p) { return look == css_of(p); });
      if (!occurs) continue;
      out += out.empty() ? "Pieces: " : "; ";
      out += words_for_it;
    }
    return "Unrolled along the centerline, flow from left to right. " + out + ".";
  }

  Markup pieces(double top) const {
    Markup out = drawn_words("q", 0, top + 16, "Pieces");
    int number = 0;
    for (const duct::Piece& p : duct.layout.pieces) {
      if (p.kind == duct::Piece::Kind::clamps) continue;  // drawn with their hose, as on screen
      ++number;
      const bool soft = p.kind == duct::Piece::Kind::coupler;
      const double x1 = x(p.station_from_mm), x2 = x(p.station_to_mm);
      out += box(css_of(p), x1, x2, soft ? top - 4 : top, soft ? 30 : 22, p.name + ": " + carrier_text(page.bay(), p));
      const std::string label = std::to_string(number);
      const std::string full = label + "  " + p.name;
      const bool fits = !soft && kCharacter * static_cast<double>(full.size()) < x2 - x1 - 30;
      out += drawn_words(soft ? "m b" : "m halo", 0.5 * (x1 + x2), soft ? top - 9 : top + 15, fits ? full : label);
    }
    return out;
  }

  Markup bends(double top) const {
    Markup out = drawn_words("q", 0, top + 12, "Bends") + drawn_line("axis", kLeft, top + 8, kRight, top + 8);
    for (const duct::Bend& b : duct.layout.bends) {
      const double x1 = x(b.station_from_mm), x2 = x(b.station_to_mm);
      out += box("bar", x1, x2, top + 3, 10, b.at.value);
      out += drawn_words(
          "m", 0.5 * (x1 + x2), top + 27,
          b.at.value + "  " + page.figures.value(to_degrees(b.angle), Unit::degree) + "  R " + mm(b.radius_mm));
    }
    return out;
  }

  /// Sensor, ports, taps, brackets, cones: couplers are pieces and stand above.
  Markup fittings(double top, std::size_t& rows_used) const {
    Markup out = drawn_words("q", 0, top + 16, "Fittings");
    Rows rows;
    for (const duct::PlacedFitting& p : duct.layout.fittings) {
      if (std::holds_alternative<duct::Coupler>(p.kind)) continue;
      double from = p.station_from_mm, to = p.station_to_mm, mark = 0.5 * (from + to);
      std::string label = p.id.value;
      if (const auto* s = std::get_if<duct::SensorTube>(&p.kind)) mark = from + s->sensor_offset_mm;
      label += "  " + mm(mark);
      const double half = 0.5 * kCharacter * static_cast<double>(label.size());
      const double at = std::clamp(x(mark), kLeft + half, kRight - half);
      const int row = rows.place(at, label.size());
      const double y = top + 16 + 15 * row;
      out += drawn_line("step", x(mark), top - 6, x(mark), y - 10);
      if (to > from) out += box("gauge", x(from), x(to), top - 9, 6, p.id.value);
      out += drawn_words("m halo", at, y, label);
    }
    rows_used = std::max<std::size_t>(rows.count(), 1);
    return out;
  }

  Markup axis(double top) const {
    Markup out = drawn_words("q", 0, top + 4, "Station, " + page.figures.symbol(Unit::mm)) +
                 drawn_line("axis", kLeft, top, kRight, top);
    const bool inch = page.figures.units().length == LengthUnit::inch;
    const double step =
        (inch ? kMillimetresPerInch : 1.0) * (duct.layout.length_mm > 1200 ? (inch ? 8 : 200) : (inch ? 4 : 100));
    for (int i = 0; i * step <= duct.layout.length_mm + 1e-9; ++i) {
      const double at = x(i * step);
      out += drawn_line("axis", at, top, at, top + 5);
      out += drawn_words("q m", at, top + 18, fixed(to_display(i * step, Unit::mm, page.figures.units()), 0));
    }
    return out;
  }

  Markup clearance(double top, double height) const;
  /// Of an intake whose restriction is known: pressures below outside, falling downward.
  Markup pressure(double top, double height) const;
  Markup profile(const checks::DuctMeasures& measures, const std::function<double(double)>& y) const;
};

const char* dot_class(checks::Verdict verdict) {
  return verdict == checks::Verdict::not_met     ? "d_not_met"
         : verdict == checks::Verdict::undecided ? "d_undecided"
                                                 : "d_met";
}

/// Along the whole duct: the nearest part from at rest down to the worst of the motion as a band, the part with the
/// least room as a line, and what it needs as a dashed one.
Markup Strip::profile(const checks::DuctMeasures& measures, const std::function<double(double)>& y) const {
  const auto area = [&](const checks::ProfileStep& s, double top_mm, double bottom_mm) {
    return "M"_h + coordinate(x(s.from_mm)) + " "_h + coordinate(y(top_mm)) + "H"_h + coordinate(x(s.to_mm)) + "V"_h +
           coordinate(y(bottom_mm)) + "H"_h + coordinate(x(s.from_mm)) + "Z"_h;
  };
  Markup band, room, limit, hover;
  double before_room = -1e9, before_limit = -1e9, end = -1e9;
  const auto level = [&](Markup& path, double value_mm, double& before, const checks::ProfileStep& s) {
    const bool on = end == s.from_mm && before > -1e9;
    if (!on) path += "M"_h + coordinate(x(s.from_mm)) + " "_h + coordinate(y(value_mm));
    if (on && before != value_mm) path += "V"_h + coordinate(y(value_mm));
    path += "H"_h + coordinate(x(s.to_mm));
    before = value_mm;
  };
  for (const checks::ProfileStep& s : checks::profile_steps(measures)) {
    if (std::isfinite(s.moving_mm)) band += area(s, s.rest_mm, s.moving_mm);
    if (s.tightest) {
      level(room, s.tightest->lo_mm, before_room, s);
      level(limit, s.tightest->need_mm, before_limit, s);
      const auto& part = page.bay().parts[static_cast<std::size_t>(s.tightest->part)];
      const auto& piece = duct.layout.pieces[static_cast<std::size_t>(s.piece)];
      hover += "<path class=\"hover\" d=\""_h + area(s, 60, std::min(s.tightest->lo_mm, 0.0)) + "\"><title>"_h +
               text("Station " + mm(s.from_mm) + " to " + mm(s.to_mm) + ": " + piece.name + " - " +
                    (part.name.empty() ? part.id.value : part.name) + ", " + mm(s.tightest->lo_mm) +
                    " over the motion, needs " + mm(s.tightest->need_mm)) +
               "</title></path>"_h;
    } else {
      before_room = before_limit = -1e9;
    }
    end = s.to_mm;
  }
  const auto path = [](const char* css_class, const Markup& d) {
    return d.empty() ? Markup() : "<path class=\""_h + text(css_class) + "\" d=\""_h + d + "\"/>"_h;
  };
  return path("near", band) + path("room", room) + path("limit", limit) + hover;
}

/// The smallest margins where they are: the interval as a bar, the attained value as a dot, the limit as a dash.
Markup Strip::clearance(double top, double height) const {
  constexpr double kShownMm = 60;
  constexpr std::size_t kMost = 16;
  std::vector<const checks::Finding*> shown;
  for (const checks::Finding& f : page.evaluation.findings) {
    const auto* m = std::get_if<measure::Measured>(&f.outcome);
    if (f.duct == duct.spec.id && is_clearance(f) && f.limit && m && m->station_mm && std::isfinite(m->hi)) {
      shown.push_back(&f);
    }
  }
  const auto* result = page.result_of(duct.spec.id);
  const bool any_near = result != nullptr && !result->measures.profile_over_motion.slices.empty();
  if (shown.empty() && !any_near) return {};
  std::stable_sort(shown.begin(), shown.end(), [](const auto* a, const auto* b) {
    const std::optional<double> margin_a = checks::margin(*a), margin_b = checks::margin(*b);
    return margin_a < margin_b;
  });
  shown.resize(std::min(shown.size(), kMost));
  double least = 0;
  for (const auto* f : shown) least = std::min(least, std::get<measure::Measured>(f->outcome).lowest());
  if (any_near) {
    for (const checks::ProfileStep& s : checks::profile_steps(result->measures)) {
      if (std::isfinite(s.moving_mm)) least = std::min(least, s.moving_mm);
    }
  }
  least = std::max(least, -kShownMm);
  const auto y = [&](double value_mm) {
    return top + height * (kShownMm - std::clamp(value_mm, least, kShownMm)) / (kShownMm - least);
  };
  Markup out = drawn_words("q", 0, top - 8, "Clearance, " + page.figures.symbol(Unit::mm));
  const DisplayUnits& units = page.figures.units();
  const double rung_mm = units.length == LengthUnit::inch ? kMillimetresPerInch : 20.0;
  for (int i = 0; i * rung_mm <= kShownMm; ++i) {
    const double value_mm = i * rung_mm;
    out += drawn_line(i == 0 ? "axis" : "grid", kLeft, y(value_mm), kRight, y(value_mm)) +
           drawn_words("q e", kLeft - 5, y(value_mm) + 4, fixed(to_display(value_mm, Unit::mm, units), 0));
  }
  if (any_near) out += profile(result->measures, y);
  std::vector<std::pair<double, double>> labelled;  // worst first: a label that would cover an earlier one is left out
  for (const auto* f : shown) {
    const auto& m = std::get<measure::Measured>(f->outcome);
    const double at = x(*m.station_mm);
    const bool covered = std::any_of(labelled.begin(), labelled.end(), [&](const auto& p) {
      return std::abs(p.first - at) < 22 && std::abs(p.second - y(m.hi)) < 13;
    });
    out += "<g class=\""_h + text(dot_class(f->verdict)) + "\"><title>"_h +
           text("No. " + std::to_string(page.number_of(*f)) + ", " + f->subject + ", " + f->title + ": " +
                page.figures.measured(m)) +
           "</title>"_h + drawn_line("whisker", at, y(m.lowest()), at, y(m.highest())) +
           drawn_line("limit", at - 7, y(f->limit->value), at + 7, y(f->limit->value)) + "<circle cx=\""_h +
           coordinate(at) + "\" cy=\""_h + coordinate(y(m.hi)) + "\" r=\"4\"/>"_h +
           (covered ? Markup() : drawn_words("halo", at + 6, y(m.hi) + 4, std::to_string(page.number_of(*f)))) +
           "</g>"_h;
    if (!covered) labelled.emplace_back(at, y(m.hi));
  }
  return out;
}

/// A round step (1, 2 or 5 times a power of ten) of which at most five fit into the span.
double round_step(double span) {
  double step = std::pow(10.0, std::floor(std::log10(span)) - 1);
  while (true) {
    for (const double factor : {1.0, 2.0, 5.0}) {
      if (span / (factor * step) <= 5) return factor * step;
    }
    step *= 10;
  }
}

const flow::Restriction* known(const std::variant<flow::Restriction, measure::NotAssessed>& outcome) {
  return std::get_if<flow::Restriction>(&outcome);
}

Markup Strip::pressure(double top, double height) const {
  const auto* result = page.result_of(duct.spec.id);
  if (result == nullptr || duct.spec.service != duct::Service::intake) return {};
  const flow::Restriction* clean = known(result->measures.clean);
  const flow::Restriction* shown = clean ? clean : known(result->measures.dirty);
  const flow::FlowInputs& air = page.installation.job.flow;
  if (!shown || !flow::rated_flow(air) || !air.ambient) return {};
  const auto points = flow::pressure_line(duct, *shown, air);
  if (points.size() < 2) return {};
  const DisplayUnits& units = page.figures.units();
  const double unit_Pa = 1.0 / to_display(1.0, Unit::pascal, units);
  double least = points.front().total_loss.si(), most = least;
  for (const flow::PressurePoint& p : points) {
    least = std::min(least, p.total_loss.si());
    most = std::max(most, p.reading.si());
  }
  const double step = round_step(std::max(most - least, 1.0) / unit_Pa) * unit_Pa;
  const double first = step * std::floor(least / step), last = step * std::ceil(most / step);
  const auto y = [&](double Pa) { return top + height * (Pa - first) / (last - first); };
  Markup out = drawn_words("q", 0, top - 8,
                           std::string("Below outside, ") + page.figures.symbol(Unit::pascal) +
                               (clean ? ", clean filter" : ", filter due for change"));
  const int rungs = static_cast<int>(std::lround((last - first) / step));
  for (int i = 0; i <= rungs; ++i) {
    const double Pa = first + i * step;
    const double value = Pa / unit_Pa, step_shown = step / unit_Pa;
    out += drawn_line("grid", kLeft, y(Pa), kRight, y(Pa)) + drawn_words("q e", kLeft - 5, y(Pa) + 4,
                                                                         fixed(value, step_shown < 0.1 ? 2
                                                                                      : step_shown < 1 ? 1
                                                                                                       : 0));
  }
  Markup total, gauge;
  for (const flow::PressurePoint& p : points) {
    const Markup to = (total.empty() ? "M"_h : "L"_h) + coordinate(x(p.station_mm)) + " "_h;
    total += to + coordinate(y(p.total_loss.si()));
    gauge += to + coordinate(y(p.reading.si()));
  }
  out += "<path class=\"total_line\" d=\""_h + total + "\"/><path class=\"room\" d=\""_h + gauge + "\"/>"_h;
  out += drawn_words("halo", kLeft + 6, y(points.front().total_loss.si()) - 4, "total") +
         drawn_words("halo", kLeft + 6, y(points.front().reading.si()) - 4, "static");
  for (std::size_t i = flow::elements_ahead(*shown); i < shown->elements.size(); ++i) {
    const flow::ElementLoss& e = shown->elements[i];
    const double from = std::min(x(e.station_from_mm), x(e.station_to_mm) - 3);
    out += box("hover", from, std::max(x(e.station_to_mm), from + 6), top, height,
               e.name + ": " + page.figures.value(e.loss.si(), Unit::pascal) + " lost; behind it " +
                   page.figures.value((air.ambient->pressure - e.total_behind).si(), Unit::pascal) + " total" +
                   (e.static_behind
                        ? ", " + page.figures.value((air.ambient->pressure - *e.static_behind).si(), Unit::pascal) +
                              " static below outside"
                        : std::string(" below outside")));
  }
  return out;
}

}  // namespace

Markup duct_strip(const Page& page, const duct::Duct& duct) {
  const Strip strip(page, duct);
  constexpr double kFittings = 104, kClearanceHeight = 120, kPressureHeight = 84;
  std::size_t rows = 0;
  const Markup fittings = strip.fittings(kFittings, rows);
  const double below = kFittings + 15 * static_cast<double>(rows) + 10;
  const Markup clearance = strip.clearance(below + 18, kClearanceHeight);
  const double under = clearance.empty() ? below : below + kClearanceHeight + 26;
  const Markup pressure = strip.pressure(under + 18, kPressureHeight);
  const double axis = pressure.empty() ? under + 6 : under + kPressureHeight + 32;
  Markup out = "<figure><svg viewBox=\"0 0 1000 "_h + coordinate(axis + 24) +
               "\" role=\"img\" aria-label=\"The duct unrolled along its stations\">"_h + strip.pieces(18) +
               strip.bends(56) + fittings + clearance + pressure + strip.axis(axis) + "</svg>"_h;
  out += tag("figcaption", "small",
             text(strip.legend()) +
                 (clearance.empty() ? ""_h
                                    : " Clearance: shaded, the nearest part, from at rest down "
                                      "to the worst of the motion; line, the part with the least "
                                      "room over the motion, and dashed what the sheet asks there, "
                                      "both without the uncertainty; dot, a finding with its "
                                      "number; bar, the interval of its true value."_h) +
                 (pressure.empty() ? ""_h
                                   : " Below outside: dashed, the total pressure lost so far, raw air side and filter "
                                     "in it; line, what a gauge on a wall tap would show there. Their distance is the "
                                     "dynamic pressure; the uncertainty stands in the restriction's tables."_h));
  return out + "</figure>\n"_h;
}

}  // namespace baywright::report
