#include "checks/inlet_rise.hpp"

#include <algorithm>
#include <cmath>

#include "checks/check_groups.hpp"
#include "checks/subjects.hpp"
#include "flow/duct_heat.hpp"
#include "flow/unstated_air.hpp"
#include "geometry/base/words.hpp"
#include "measure/heat_seen.hpp"

namespace baywright::checks {
namespace {

using measure::Measured;
using measure::NotAssessed;

constexpr double kStefanBoltzmann_W_m2K4 = 5.670374e-8;
/// What surfaces take up of radiant heat (from memory: oxidised aluminium 0.1 to 0.3, stainless steel as it comes 0.2
/// to 0.5, painted or rusty steel and rubber 0.8 to 0.95).
constexpr double kDull = 0.95;
constexpr double kStainless = 0.5;
constexpr double kAluminium = 0.3;
/// Of a hot part whose temperature nobody stated: exhaust parts of a diesel under load (common practice, no source).
constexpr double kUsualHot_C = 600;

double absorbs(const duct::Duct& duct, const flow::HeatedLength& length) {
  if (length.rubber_m2K_W > 0 || !duct.spec.metal) return kDull;
  switch (*duct.spec.metal) {
    case duct::Metal::aluminium:
      return kAluminium;
    case duct::Metal::stainless_steel:
      return kStainless;
    case duct::Metal::steel:
      break;
  }
  return kDull;
}

/// Parts that shine on a duct: stated to be hotter than the bay's air, or of class hot.
std::vector<const bay::Part*> hot_parts(const bay::Bay& bay, Temperature bay_air) {
  std::vector<const bay::Part*> hot;
  for (const bay::Part& part : bay.parts) {
    const bool shines =
        part.surface_temperature ? *part.surface_temperature > bay_air : part.part_class == bay::PartClass::hot;
    if (shines) hot.push_back(&part);
  }
  return hot;
}

/// Gathers what the air passes, and what of it nobody stated.
class Way {
 public:
  explicit Way(const Context& context) : context_(context), bay_air_(*context.flow.bay_air) {
    hot_ = hot_parts(context.bay, bay_air_);
    if (hot_.empty()) miss("no part of the job is hot, so what shines on the duct is not known", "parts/class: hot");
    for (const bay::Part* part : hot_) {
      if (part->doubted() || part->tree.empty()) {
        miss("the shape of " + name_of(*part) + " is not known", "parts/" + part->id.value + "/file");
      }
    }
    if (!context.flow.source_air) miss("how warm the air is where it is drawn in is not stated", "flow/source_air_C");
    const flow::Component* cleaner = flow::component_ahead(context.duct.spec, context.flow);
    if (!cleaner || !cleaner->housing_cm2) {
      miss("the surface of the air cleaner in the bay is not stated", "flow/components/housing_cm2");
    } else {
      way.housing_cm2 = *cleaner->housing_cm2;
    }
    const bool drawn = std::any_of(context.ducts.begin(), context.ducts.end(),
                                   [](const duct::Duct& d) { return d.spec.service == duct::Service::raw_air; });
    const auto& loss = context.flow.raw_air_loss;
    if (cleaner && cleaner->inlet) {
      add_raw_air(*cleaner->inlet);
    } else if (drawn) {
      miss("the job has a raw air duct, and at which port the air enters the air cleaner is not stated",
           "flow/components/inlet");
    } else if (!loss || loss->si() != 0) {
      miss("the job does not draw what leads to the air cleaner (a loss of 0 there says that nothing does)",
           "ducts: raw air");
    }
    way.behind = shone_on(context.duct);
  }

  flow::HeatedWay way;
  std::vector<std::string> reasons, missing;

 private:
  void miss(std::string reason, std::string key) {
    reasons.push_back(std::move(reason));
    missing.push_back(std::move(key));
  }

  void add_raw_air(const bay::PortId& inlet) {
    const auto duct_to = [&](const bay::PortId& port) {
      return std::find_if(context_.ducts.begin(), context_.ducts.end(),
                          [&](const duct::Duct& d) { return !port.empty() && d.spec.to.port == port; });
    };
    auto found = duct_to(inlet);
    if (found == context_.ducts.end()) {
      return miss("the job has no duct to the inlet of the air cleaner", "ducts: to port " + inlet.value);
    }
    for (std::size_t i = 0; found != context_.ducts.end() && i < context_.ducts.size(); ++i) {
      const auto lengths = shone_on(*found);
      way.ahead.insert(way.ahead.begin(), lengths.begin(), lengths.end());
      found = duct_to(found->spec.from.port);  // one behind the other, up to where the air is drawn in
    }
  }

  /// Lengths of a duct with what hot parts send into each.
  std::vector<flow::HeatedLength> shone_on(const duct::Duct& duct) {
    std::vector<flow::HeatedLength> lengths = flow::heated_lengths(duct);
    for (flow::HeatedLength& length : lengths) {
      const duct::StationFrame frame = duct.layout.at(length.middle_mm());
      for (const bay::Part* part : hot_) {
        const double share = measure::share_seen(context_.bay, frame, *part);
        if (!(share > 0)) continue;
        const double hot_K = part->surface_temperature.value_or(celsius(kUsualHot_C)).si();
        const double over = std::pow(hot_K, 4) - std::pow(bay_air_.si(), 4);
        length.radiant_W_m2 += absorbs(duct, length) * share * kStefanBoltzmann_W_m2K4 * std::max(0.0, over);
        if (!part->surface_temperature && way.radiant_stand_in.empty()) {
          way.radiant_stand_in = "parts/" + part->id.value + "/surface_temperature_C";
        }
      }
    }
    return lengths;
  }

  const Context& context_;
  Temperature bay_air_;
  std::vector<const bay::Part*> hot_;
};

std::string note_of(const Context& context, const flow::InletRise& rise) {
  const auto degrees_text = [&](Temperature t) { return format(t.si(), Unit::kelvin, context.bay.units); };
  const auto step = [&](double amount_K) { return format(amount_K, Unit::kelvin_difference, context.bay.units); };
  const Temperature outside = context.flow.ambient->temperature;
  std::string note = "outside " + degrees_text(outside) + ", at the compressor " +
                     degrees_text(outside + kelvins(rise.rise_K)) + ": " + step(rise.source_K) +
                     " where it is drawn in";
  if (rise.ahead_K != 0) note += ", " + step(rise.ahead_K) + " by the raw air duct";
  return note + ", " + step(rise.housing_K) + " by the air cleaner, " + step(rise.behind_K) + " by this duct";
}

constexpr const char* kSubject = "air at the compressor";

/// Why nothing can be said of the rise; none: it can.
std::optional<Subject> refused(const Context& context) {
  const flow::FlowInputs& in = context.flow;
  std::vector<std::string> missing = flow::unstated_air(in);
  const std::optional<MassFlow> rated = flow::rated_flow(in);
  if (!in.bay_air) missing.emplace_back("flow/bay_air_C");
  if (!missing.empty())
    return not_assessed(kSubject, "what warms the air, or how much of it there is, is not stated", missing);
  if (!(std::isfinite(rated->si()) && rated->si() > 0))
    return not_assessed(kSubject, "the rated flow must be above 0 kg/s", {"flow/rated_kg_per_s"});
  return std::nullopt;
}

/// Whether what is not known of the way can only make the air warmer: where the bay is warmer than the air.
bool unknown_adds(const flow::FlowInputs& in) {
  const Temperature source = in.source_air.value_or(in.ambient->temperature);
  return *in.bay_air >= source && *in.bay_air >= in.ambient->temperature;
}

std::vector<Subject> measure_rise(const Context& context) {
  const flow::FlowInputs& in = context.flow;
  if (auto none = refused(context)) return {*std::move(none)};
  const Way gathered(context);
  const flow::InletRise rise = flow::inlet_rise(gathered.way, in);
  Subject s;
  s.subject = kSubject;
  Measured m = Measured::exact(rise.rise_K, Unit::kelvin_difference);
  m.band = rise.band;
  m.station_mm = context.duct.layout.length_mm;
  m.at_mm = context.duct.layout.at(context.duct.layout.length_mm).p_mm;
  m.note = note_of(context, rise);
  const auto limit = limit_of(context.sheet, "ht.rise");
  if (!gathered.missing.empty() && !(unknown_adds(in) && limit && decide(m, *limit) == Verdict::not_met)) {
    s.outcome = NotAssessed{joined(gathered.reasons), gathered.missing};
    return {s};
  }
  if (!gathered.missing.empty()) m.note += "; what is not known comes on top: " + joined(gathered.reasons);
  s.outcome = std::move(m);
  return {s};
}

CheckDef rise() {
  CheckDef c;
  c.id = "ht.rise";
  c.title = "Cool air at the compressor";
  c.question = "Does the engine get air that is hardly warmer than outside?";
  c.definition =
      "Temperature of the air at the compressor inlet over that outside, at the rating: what it has more where it is "
      "drawn in, and what it takes up through the walls of raw air duct, air cleaner and intake from the bay's air, "
      "length by length, as a heat exchanger with the bay's air on one side (docs/flow.md). In the uncertainty: a film "
      "of the bay's air between 5 and 30 W/(m2 K), and what hot parts radiate, added above only, with everything at "
      "rest and nothing but parts of the job in between. Not in it, so that the air may be warmer still: heat led over "
      "from the compressor and from brackets, and what hot ducts radiate.";
  c.unit = Unit::kelvin_difference;
  c.comparison = Comparison::at_most;
  c.severity = Severity::major;
  c.services = {duct::Service::intake};
  c.inputs = {"ducts/route",
              "ducts/tube",
              "parts",
              "flow/rated_kg_per_s",
              "flow/ambient",
              "flow/bay_air_C",
              "flow/source_air_C",
              "flow/components/housing_cm2"};
  c.hint = "draw the air in from outside the bay, seal the box of the filter, insulate duct and air cleaner";
  c.measure = measure_rise;
  return c;
}

}  // namespace

bool too_warm_ahead(const Judged& judged, const duct::Duct& intake) {
  const DuctMeasures none;
  const Context context{judged.bay,   intake,          judged.flow,    judged.sheet,       none,
                        judged.ducts, judged.workshop, judged.answers, judged.surroundings};
  const auto limit = limit_of(context.sheet, "ht.rise");
  if (!limit || intake.spec.service != duct::Service::intake || refused(context)) return false;
  Way gathered(context);
  // Where the bay is colder than the air, the intake cools it, and a longer one the more.
  if (!unknown_adds(context.flow)) return false;
  gathered.way.behind.clear();
  const flow::InletRise rise = flow::inlet_rise(gathered.way, context.flow);
  Measured m = Measured::exact(rise.rise_K, Unit::kelvin_difference);
  m.band = rise.band;
  return decide(m, *limit) == Verdict::not_met;
}

std::vector<CheckDef> inlet_rise_checks() { return {rise()}; }

}  // namespace baywright::checks
