#include "job/job_problems.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "checks/asked_checks.hpp"
#include "checks/check.hpp"
#include "geometry/base/near_word.hpp"
#include "geometry/base/words.hpp"
#include "job/bore_doubt.hpp"
#include "job/flow_problems.hpp"
#include "job/opening_problems.hpp"
#include "job/routing_problems.hpp"

namespace baywright::job {
namespace {

/// The ids of one list, and complaints about references into it.
class Ids {
 public:
  /// `list`: where the job keeps them.
  Ids(std::string noun, std::vector<JobProblem>& problems, std::string list)
      : noun_(std::move(noun)), problems_(problems), list_(std::move(list)) {}

  void add(const std::string& id, const std::string& pointer) {
    if (id.empty()) {
      incomplete_ = true;
      return;
    }
    const auto [first, is_new] = where_.emplace(id, pointer);
    if (!is_new) {
      problems_.push_back({pointer + "/id", "\"" + id + "\" is already the id of the " + noun_ + " at " +
                                                first->second + "; every " + noun_ + " needs an id of its own"});
    }
  }
  bool has(const std::string& id) const { return where_.contains(id); }
  void want(const std::string& id, const std::string& pointer) {
    // With an id missing elsewhere in the list, this reference may well be right.
    if (id.empty() || incomplete_ || has(id)) return;
    std::vector<std::string> known;
    std::string list;
    for (const auto& [word, place] : where_) known.push_back(word);
    for (const std::string& word : known) list += (list.empty() ? "" : ", ") + word;
    const std::string near = nearest_word(id, known);
    std::string message = "there is no " + noun_ + " \"" + id + "\"";
    if (!near.empty()) {
      message += "; did you mean \"" + near + "\"?";
    } else {
      message += list.empty() ? "; the job has none" : "; known: " + list;
    }
    problems_.push_back({pointer, std::move(message), list_});
  }

 private:
  std::string noun_;
  std::vector<JobProblem>& problems_;
  std::string list_;
  std::map<std::string, std::string> where_;
  bool incomplete_ = false;
};

/// A hose covers one to two diameters of its spigot (common practice, no source); flanges and bosses beside it get one.
/// From here on a part is hot: above what rubber without a heat-resistant liner takes (common practice, no source).
constexpr double kHotSurface_C = 120;
constexpr double kLongestContact_OD = 3;

class Examination {
 public:
  explicit Examination(const Job& job) : job_(job) {}

  std::vector<JobProblem> run() {
    collect_ids();
    for (std::size_t i = 0; i < job_.bodies.size(); ++i) body(job_.bodies[i], item("/bodies", i));
    for (std::size_t i = 0; i < job_.parts.size(); ++i) part(job_.parts[i], item("/parts", i));
    for (std::size_t i = 0; i < job_.ports.size(); ++i) port(job_.ports[i], item("/ports", i));
    for (std::size_t i = 0; i < job_.ducts.size(); ++i) duct(job_.ducts[i], item("/ducts", i));
    one_duct_each();
    for (std::size_t i = 0; i < job_.answers.size(); ++i) answer(job_.answers[i], i);
    for (std::size_t i = 0; i < job_.filter_elements.size(); ++i) element(job_.filter_elements[i], i);
    air();
    return std::move(problems_);
  }

 private:
  void complain(std::string pointer, std::string message) {
    problems_.push_back({std::move(pointer), std::move(message)});
  }

  void collect_ids() {
    bodies_.add(bay::kVehicle.value, "(always there)");
    for (std::size_t i = 0; i < job_.bodies.size(); ++i) {
      // The vehicle may be listed once, to give it a name.
      if (job_.bodies[i].id == bay::kVehicle && !vehicle_listed_) {
        vehicle_listed_ = true;
        continue;
      }
      bodies_.add(job_.bodies[i].id.value, item("/bodies", i));
    }
    for (std::size_t i = 0; i < job_.parts.size(); ++i) parts_.add(job_.parts[i].id.value, item("/parts", i));
    for (std::size_t i = 0; i < job_.ports.size(); ++i) ports_.add(job_.ports[i].id.value, item("/ports", i));
    for (std::size_t i = 0; i < job_.ducts.size(); ++i) ducts_.add(job_.ducts[i].id.value, item("/ducts", i));
    for (std::size_t i = 0; i < job_.openings.size(); ++i)
      openings_.add(job_.openings[i].id.value, item("/openings", i));
  }

  void part(const PartSpec& spec, const std::string& at) {
    bodies_.want(spec.body.value, at + "/body");
    shield(spec, at + "/shielded_by");
    if (spec.part_class == bay::PartClass::plain && spec.surface_temperature &&
        *spec.surface_temperature >= celsius(kHotSurface_C)) {
      complain(
          at + "/surface_temperature_C",
          "is that of a hot part, but its class is \"plain\", which needs far less distance; say \"class\": \"hot\"");
    }
  }

  void shield(const PartSpec& spec, const std::string& at) {
    if (!spec.shielded_by) return;
    parts_.want(spec.shielded_by->value, at);
    if (*spec.shielded_by == spec.id)
      complain(at, "a part does not shield itself; name the part that stands before it");
    if (spec.part_class != bay::PartClass::hot) {
      complain(at, "only a part of class \"hot\" is shielded; this one is of class \"" +
                       std::string(bay::name(spec.part_class)) + "\"");
    }
  }

  void element(const checks::FilterElement& spec, std::size_t index) {
    const std::string at = item("/filter_elements", index);
    parts_.want(spec.housing.value, at + "/housing");
    const auto& components = job_.flow.components;
    const bool known = std::any_of(components.begin(), components.end(),
                                   [&](const flow::Component& c) { return c.id == spec.component; });
    if (!known) complain(at + "/component", "\"" + spec.component.value + "\" is no component of /flow/components");
  }

  void body(const BodySpec& spec, const std::string& at) {
    const bool moves = !std::holds_alternative<std::monostate>(spec.motion);
    if (spec.id == bay::kVehicle && moves) {
      complain(at + "/motion", "the vehicle is the reference and never moves; give the motion to another body");
    }
    if (const auto* cases = std::get_if<bay::LoadCaseMotion>(&spec.motion)) names(cases->cases, at + "/motion/cases");
    if (const auto* measured = std::get_if<bay::MeasuredMotion>(&spec.motion)) {
      names(measured->cases, at + "/motion/cases");
      Ids marks("mark", problems_, at + "/motion/marks");
      for (std::size_t i = 0; i < measured->marks.size(); ++i) {
        marks.add(measured->marks[i].id.value, item(at + "/motion/marks", i));
      }
    }
  }

  /// Findings name the load case, so two may not have one name.
  template <class Case>
  void names(const std::vector<Case>& cases, const std::string& at) {
    std::map<std::string, std::size_t> seen;
    for (std::size_t i = 0; i < cases.size(); ++i) {
      if (cases[i].name.empty()) continue;
      const auto [first, is_new] = seen.emplace(cases[i].name, i);
      if (!is_new)
        complain(item(at, i) + "/name", "\"" + cases[i].name + "\" is already the name of " + item(at, first->second));
    }
  }

  void port(const PortSpec& spec, const std::string& at) {
    bodies_.want(spec.body.value, at + "/body");
    if (spec.part) parts_.want(spec.part->value, at + "/part");
    bore(spec.bore_mm, spec.outer_diameter_mm, at);
    if (spec.outer_diameter_mm > 0 && spec.contact_length_mm > kLongestContact_OD * spec.outer_diameter_mm) {
      complain(at + "/contact_length_mm",
               "is more than 3 outer diameters of the port; only what sits on the spigot or "
               "flange touches by design, the rest has to be measured");
    }
    constexpr double kUnitEnough = 1e-6;
    if (std::abs(spec.axis.norm() - 1) > kUnitEnough) complain(at + "/axis", "does not have length 1");
  }

  void bore(double bore_mm, double outer_diameter_mm, const std::string& at) {
    if (!(bore_mm > 0 && outer_diameter_mm > 0)) return;
    const std::string mistake = bore_mistake(bore_mm, outer_diameter_mm);
    if (!mistake.empty()) complain(at + "/bore_mm", mistake);
  }

  void tube(const duct::TubeSize& tube, const std::string& at) {
    if (tube.outer_diameter_mm > 0 && tube.wall_mm > 0 && tube.bore_mm() <= 0) {
      complain(at + "/wall_mm", "leaves no bore in a tube of this outer diameter");
    }
  }

  void end(const duct::DuctSpec& spec, const duct::PortRef& ref, const std::string& at) {
    ports_.want(ref.port.value, at + "/port");
    if (ref.duct.empty()) return;
    if (ref.duct == spec.id) {
      complain(at + "/duct", "a duct cannot end on itself");
      return;
    }
    ducts_.want(ref.duct.value, at + "/duct");
    for (std::size_t i = 0; i < job_.ducts.size(); ++i) {
      if (job_.ducts[i].id == ref.duct) branch(i, ref.fitting, at + "/fitting");
    }
  }

  void branch(std::size_t other, const duct::FittingId& id, const std::string& at) {
    Ids branches("branch port", problems_, item("/ducts", other) + "/fittings");
    for (const duct::Fitting& fitting : job_.ducts[other].fittings) {
      if (std::holds_alternative<duct::BranchPort>(fitting.kind) && !branches.has(fitting.id.value)) {
        branches.add(fitting.id.value, "");
      }
    }
    branches.want(id.value, at);
  }

  void duct(const duct::DuctSpec& spec, const std::string& at) {
    end(spec, spec.from, at + "/from");
    end(spec, spec.to, at + "/to");
    if (!(spec.from == duct::PortRef{}) && spec.from == spec.to) complain(at + "/to", "is the same end as \"from\"");
    tube(spec.tube, at + "/tube");
    Ids points("route point", problems_, at + "/route");
    const auto& route = spec.route.points;
    for (std::size_t i = 0; i < route.size(); ++i) {
      points.add(route[i].id.value, item(at + "/route", i));
      const bool is_end = i == 0 || i + 1 == route.size();
      if (is_end && route[i].bend_radius_mm != 0) {
        complain(item(at + "/route", i) + "/bend_radius_mm",
                 "stands at an end of the route, where nothing bends; remove it");
      }
      if (is_end && route[i].pieces)
        complain(item(at + "/route", i) + "/pieces", "stands at an end of the route, where nothing bends; remove it");
      if (!is_end && route[i].bend_radius_mm == 0) {
        complain(item(at + "/route", i), "has no \"bend_radius_mm\"; every point between the ends needs one");
      }
    }
    const auto fitted = [&](auto is_one) {
      return std::find_if(spec.fittings.begin(), spec.fittings.end(), [&](const auto& f) { return is_one(f.kind); });
    };
    const auto sensor = fitted([](const auto& kind) { return std::holds_alternative<duct::SensorTube>(kind); });
    const auto branch = fitted([](const auto& kind) { return std::holds_alternative<duct::BranchPort>(kind); });
    if (spec.no_sensor && sensor != spec.fittings.end()) {
      complain(at + "/sensor", "says none, but the fitting \"" + sensor->id.value + "\" is a sensor tube");
    }
    if (spec.no_breather && branch != spec.fittings.end()) {
      complain(at + "/breather", "says none, but the fitting \"" + branch->id.value + "\" is a branch port");
    }
    one_sensor(spec, at);
    Ids fittings("fitting", problems_, at + "/fittings");
    for (std::size_t i = 0; i < spec.fittings.size(); ++i) {
      fittings.add(spec.fittings[i].id.value, item(at + "/fittings", i));
      fitting(spec, spec.fittings[i], points, item(at + "/fittings", i));
    }
  }

  /// Straights and clocking are judged at one sensor; a second one would pass unseen.
  void one_sensor(const duct::DuctSpec& spec, const std::string& at) {
    const duct::Fitting* first = nullptr;
    for (std::size_t i = 0; i < spec.fittings.size(); ++i) {
      if (!std::holds_alternative<duct::SensorTube>(spec.fittings[i].kind)) continue;
      if (first) {
        complain(item(at + "/fittings", i), "is a second sensor tube beside \"" + first->id.value +
                                                "\"; a duct has one, model the other as a branch port");
      }
      if (!first) first = &spec.fittings[i];
    }
  }

  /// An open end takes one duct.
  void one_duct_each() {
    std::map<std::string, std::string> taken;  // port -> who holds it
    for (std::size_t i = 0; i < job_.ducts.size(); ++i) {
      const duct::DuctSpec& spec = job_.ducts[i];
      for (const auto& [ref, key] : {std::pair(&spec.from, "/from"), std::pair(&spec.to, "/to")}) {
        const std::string end = ref->duct.empty() ? ref->port.value : ref->duct.value + "/" + ref->fitting.value;
        if (end.empty()) continue;
        const auto [holder, is_new] = taken.emplace(end, spec.id.value);
        if (!is_new && holder->second != spec.id.value) {
          complain(item("/ducts", i) + key,
                   "is already an end of duct \"" + holder->second + "\"; an open end takes one duct");
        }
      }
    }
  }

  void fitting(const duct::DuctSpec& spec, const duct::Fitting& fitting, Ids& points, const std::string& at) {
    points.want(fitting.anchor.leg.value, at + "/at/leg");
    const auto& route = spec.route.points;
    if (!route.empty() && !fitting.anchor.leg.empty() && fitting.anchor.leg == route.back().id) {
      complain(at + "/at/leg",
               "\"" + fitting.anchor.leg.value +
                   "\" is the last point of the route; no leg starts there (name the point at which the leg starts)");
    }
    if (const auto* sensor = std::get_if<duct::SensorTube>(&fitting.kind)) {
      tube(sensor->tube, at + "/tube");
      if (sensor->length_mm > 0 && sensor->sensor_offset_mm > sensor->length_mm) {
        complain(at + "/sensor_offset_mm", "lies beyond the end of the sensor tube (length_mm)");
      }
    }
    if (const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind)) {
      if (coupler->length_mm > 0 && coupler->length_mm <= coupler->gap_mm) {
        complain(at + "/length_mm", "is not longer than the gap; the hose must overlap both tube ends");
      }
      hose(*coupler, at);
    }
    if (const auto* reducer = std::get_if<duct::Reducer>(&fitting.kind)) tube(reducer->to, at + "/to");
    if (const auto* branch = std::get_if<duct::BranchPort>(&fitting.kind)) {
      bore(branch->bore_mm, branch->outer_diameter_mm, at);
    }
    if (const auto* bracket = std::get_if<duct::Bracket>(&fitting.kind)) {
      bodies_.want(bracket->body.value, at + "/body");
    }
  }

  void hose(const duct::Coupler& coupler, const std::string& at) {
    for (std::size_t i = 0; i < coupler.clamps.size(); ++i) {
      const auto& range = coupler.clamps[i].range_mm;
      if (range && (*range)[0] >= (*range)[1]) {
        complain(item(at + "/clamps", i) + "/range_mm", "is upside down; give the least diameter first");
      }
    }
    for (std::size_t i = 0; i < coupler.tube_ends.size(); ++i) {
      const duct::TubeEnd& end = coupler.tube_ends[i];
      const std::string where = item(at + "/tube_ends", i);
      if (i > 0 && end.end == coupler.tube_ends[0].end) {
        complain(where + "/end", "is stated twice; a hose has one tube under each end");
      }
      if (!end.no_bead && end.foot_mm > 0 && 0.5 * end.foot_mm > end.crest_mm) {
        complain(where + "/foot_mm", "is so wide that the bead begins beyond the tube's end (crest_mm)");
      }
    }
    if (coupler.working_pressure && coupler.burst_pressure && *coupler.burst_pressure < *coupler.working_pressure) {
      complain(at + "/burst_pressure_kPa", "is below working_pressure_kPa");
    }
  }

  void curve(const std::optional<flow::FilterCurve>& curve, const std::string& at) {
    if (!curve) return;
    for (std::size_t i = 1; i < curve->points.size(); ++i) {
      if (curve->points[i].flow.si() > 0 && curve->points[i].flow <= curve->points[i - 1].flow) {
        complain(item(at + "/points", i) + "/flow_m3_per_s",
                 "is not above the flow of the point before it; list points in order of flow");
      }
    }
    if (curve->kind == flow::PressureKind::static_ && curve->outlet_bore_mm <= 0) {
      complain(at, "is a static curve without \"outlet_bore_mm\"; without the bore the total loss cannot be found");
    }
  }

  /// Answers go to checks that ask, once each.
  void answer(const checks::Answer& given, std::size_t index) {
    const std::string at = item("/answers", index);
    if (!given.duct.empty()) ducts_.want(given.duct.value, at + "/duct");
    std::vector<std::string> asking;
    for (const checks::CheckDef& check : checks::registry()) {
      if (checks::takes_answers(check)) asking.push_back(check.id);
    }
    const checks::CheckDef* check = checks::find_check(given.check);
    if (check == nullptr || !checks::takes_answers(*check)) {
      const std::string near = nearest_word(given.check, asking);
      complain(at + "/check",
               "\"" + given.check + "\" " + (check ? "is measured, not asked" : "is no check") +
                   (near.empty() ? "; checks that ask: " + joined(asking) : "; did you mean \"" + near + "\"?"));
    } else if (!given.duct.empty() && check->services.empty()) {
      complain(at + "/duct", "check " + given.check + " concerns the job as a whole; leave the duct out");
    }
    for (std::size_t k = 0; k < index; ++k) {
      if (job_.answers[k].check != given.check || job_.answers[k].duct != given.duct) continue;
      complain(at, "answers the same as " + item("/answers", k) + "; keep one of them");
      break;
    }
  }
  void air() {
    const auto& all = job_.flow.components;
    for (std::size_t i = 0; i < all.size(); ++i) {
      const std::string at = item("/flow/components", i);
      components_.add(all[i].id.value, at);
      if (all[i].inlet) ports_.want(all[i].inlet->value, at + "/inlet");
      ports_.want(all[i].outlet.value, at + "/outlet");
      if (all[i].inlet == all[i].outlet) complain(at + "/outlet", "is the same port as \"inlet\"");
      for (std::size_t k = 0; k < i; ++k) {
        if (all[k].outlet == all[i].outlet && !all[i].outlet.empty()) {
          complain(at + "/outlet", "is already the outlet of " + item("/flow/components", k));
        }
      }
      curve(all[i].clean, at + "/clean");
      curve(all[i].dirty, at + "/dirty");
    }
    const auto& charge = job_.flow.charge;
    if (charge && charge->boost && charge->peak_boost && *charge->peak_boost < *charge->boost) {
      complain("/flow/charge/peak_boost_kPa", "is below boost_kPa; it is the greatest there ever is");
    }
  }

  const Job& job_;
  std::vector<JobProblem> problems_;
  Ids bodies_{"body", problems_, "/bodies"};
  Ids parts_{"part", problems_, "/parts"};
  Ids ports_{"port", problems_, "/ports"};
  Ids ducts_{"duct", problems_, "/ducts"};
  Ids openings_{"opening", problems_, "/openings"};
  Ids components_{"component", problems_, "/flow/components"};
  bool vehicle_listed_ = false;
};

}  // namespace

std::vector<JobProblem> problems_of(const Job& job) {
  std::vector<JobProblem> problems = Examination(job).run();
  for (JobProblem& problem : flow_problems(job)) problems.push_back(std::move(problem));
  for (JobProblem& problem : opening_problems(job)) problems.push_back(std::move(problem));
  for (JobProblem& problem : routing_problems(job)) problems.push_back(std::move(problem));
  return problems;
}

namespace {

/// What a coupler names that the table does not have, or has otherwise.
class UnknownRows {
 public:
  explicit UnknownRows(const catalog::Workshop& workshop)
      : workshop_(workshop), clamps_(ids_of(workshop.clamps)), materials_(ids_of(workshop.materials)) {}

  void look_at(const duct::Coupler& coupler, const std::string& at) {
    for (std::size_t k = 0; k < coupler.clamps.size(); ++k) {
      const catalog::ClampTypeId& type = coupler.clamps[k].type;
      const catalog::ClampType* known = catalog::find_clamp(workshop_.clamps, type);
      if (known && !known->has_screw() && coupler.clamps[k].screw_side) {
        found_.push_back(
            {item(at + "/clamps", k) + "/screw_faces",
             "is of a screw, and clamp \"" + type.value + "\" is a spring band without one; leave it out"});
      }
      if (type.empty() || known) continue;
      complain(item(at + "/clamps", k) + "/type", "clamp", type.value, clamps_);
    }
    if (!coupler.material.empty() && !catalog::find_material(workshop_.materials, coupler.material)) {
      complain(at + "/material", "material", coupler.material.value, materials_);
    }
  }
  std::vector<JobProblem> take() { return std::move(found_); }

 private:
  void complain(const std::string& pointer, const std::string& noun, const std::string& id,
                const std::vector<std::string>& known) {
    const std::string near = nearest_word(id, known);
    const std::string has = known.empty() ? "; it has none" : "; it has " + joined(known);
    found_.push_back({pointer, "there is no " + noun + " \"" + id + "\" in the table of tools and clamps" +
                                   (near.empty() ? has : "; did you mean \"" + near + "\"?")});
  }

  const catalog::Workshop& workshop_;
  std::vector<std::string> clamps_, materials_;
  std::vector<JobProblem> found_;
};

}  // namespace

std::vector<JobProblem> not_in_workshop(const Job& job, const catalog::Workshop& workshop) {
  UnknownRows unknown(workshop);
  for (std::size_t d = 0; d < job.ducts.size(); ++d) {
    const auto& fittings = job.ducts[d].fittings;
    for (std::size_t i = 0; i < fittings.size(); ++i) {
      const auto* coupler = std::get_if<duct::Coupler>(&fittings[i].kind);
      if (coupler) unknown.look_at(*coupler, item(item("/ducts", d) + "/fittings", i));
    }
  }
  return unknown.take();
}

}  // namespace baywright::job
