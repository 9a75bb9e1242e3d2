#include "flow/charge_loss.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "flow/march.hpp"
#include "geometry/base/words.hpp"

namespace baywright::flow {
namespace {

using measure::NotAssessed;

constexpr double kStatedLossBand = 0.20;   // common practice, no source
constexpr double kCoolerCurveBand = 0.05;  // as a filter's: flow within 2 % doubles in a quadratic curve

class Walk {
 public:
  Walk(const ChargeWay& way, const FlowInputs& inputs) : way_(way), inputs_(inputs) {}

  ChargeLoss whole() {
    const auto start = begin();
    March march(start.value_or(Pressure()));
    to_behind_cooler(march, start.has_value());
    duct(march, way_.cold, way_.cold_air, "charge cold", start.has_value());
    if (start) out_.way = march.finished();
    return std::move(out_);
  }

  std::variant<Pressure, NotAssessed> behind_cooler() {
    const auto start = begin();
    March march(start.value_or(Pressure()));
    to_behind_cooler(march, start.has_value());
    if (!out_.lacking.empty()) return NotAssessed{joined(out_.lacking), out_.missing};
    if (march.choked()) return NotAssessed{"the rated flow does not come as far as behind the cooler", {"flow"}};
    return march.total();
  }

 private:
  /// Total pressure at the compressor outlet; none: the flow cannot be followed.
  std::optional<Pressure> begin() {
    const auto start = charge_pressure(inputs_);
    if (!rated_flow(inputs_)) lack("the rated flow is not stated", {rated_flow_key(inputs_)});
    if (lack(start) || !rated_flow(inputs_)) return std::nullopt;
    if (!(std::isfinite(rated_flow(inputs_)->si()) && rated_flow(inputs_)->si() > 0)) {
      lack("the rated flow must be above 0 kg/s", {"flow/rated_kg_per_s"});
      return std::nullopt;
    }
    return std::get<Pressure>(start);
  }

  void to_behind_cooler(March& march, bool goes) {
    const ChargeCooler cooler = inputs_.charge ? inputs_.charge->cooler.value_or(ChargeCooler()) : ChargeCooler();
    if (!cooler.curve && cooler.loss) {
      if (goes) stated(march, *cooler.loss);
      return;
    }
    duct(march, way_.hot, way_.hot_air, "charge hot", goes);
    core(march, cooler, goes);
  }

  void lack(std::string reason, const std::vector<std::string>& missing) {
    const auto add = [](std::vector<std::string>& to, std::string text) {
      if (std::find(to.begin(), to.end(), text) == to.end()) to.push_back(std::move(text));
    };
    add(out_.lacking, std::move(reason));
    for (const std::string& key : missing) add(out_.missing, key);
  }
  template <class Known>
  bool lack(const Known& known) {
    if (const auto* unknown = std::get_if<NotAssessed>(&known)) {
      lack(unknown->reason, unknown->missing);
      return true;
    }
    return false;
  }

  void stated(March& march, Pressure loss) {
    ElementLoss e;
    e.name = "compressor to behind the cooler, as stated";
    e.loss = loss;
    const double amount = kStatedLossBand * loss.si();
    e.band = {expanded_share("loss to behind the cooler as stated, common practice, no source", amount, amount,
                             "cooler as stated")};
    march.pass(e);
  }

  void duct(March& march, const duct::Duct* duct, const ChargeTemperatureOrNot& air, const std::string& service,
            bool goes) {
    if (!duct) return lack("the job has no duct for " + service + " air", {"ducts: " + service});
    const bool unknown = lack(air);
    FrictionInputs friction{kilograms_per_second(0.1), viscosity_Pa_s(celsius(20)), kDefaultRoughness_mm};
    if (goes && !unknown) {
      friction = {*rated_flow(inputs_), viscosity_Pa_s(std::get<ChargeTemperature>(air).value),
                  inputs_.wall_roughness_mm.value_or(kDefaultRoughness_mm)};
    }
    const FlowPath path = flow_path(*duct, friction);
    // What is known is lost all the same: without the fitting the air behind it is denser and loses less, so the sum is
    // a lower bound.
    for (const std::string& key : path.missing) {
      const std::string fitting = key.substr(0, key.rfind('/'));
      lack("the loss of fitting " + fitting.substr(fitting.rfind('/') + 1) + " of duct " + duct->spec.id.value +
               " is not stated",
           {key});
    }
    if (!goes || unknown) return;
    const auto& known = std::get<ChargeTemperature>(air);
    const Stream stream{.mass_flow = *rated_flow(inputs_), .total_temperature = known.value};
    const Pressure lost = march.along(path, stream, duct->spec.id.value + ": ");
    add_in_proportion(march, lost, known);
  }

  /// At one mass flow a loss goes with the volume, and that with the temperature. One cause works on both sides of the
  /// cooler alike.
  void add_in_proportion(March& march, Pressure lost, const ChargeTemperature& air) {
    for (Contribution c : air.band.contributions()) {
      c.low *= lost.si() / air.value.si();
      c.high *= lost.si() / air.value.si();
      c.group = c.source;
      march.add(c);
    }
  }

  void core(March& march, const ChargeCooler& cooler, bool goes) {
    if (!cooler.curve) {
      return lack("neither the curve of the cooler nor a loss is stated", {"flow/charge/cooler/curve"});
    }
    const auto fitted = fit(*cooler.curve);
    if (!fitted) return lack(to_line(fitted.error()), {"flow/charge/cooler/curve"});
    const bool hot_unknown = lack(way_.hot_air), cold_unknown = lack(way_.cold_air);
    if (!goes || hot_unknown || cold_unknown || march.choked()) return;
    const Temperature hot = std::get<ChargeTemperature>(way_.hot_air).value;
    const Temperature cold = std::get<ChargeTemperature>(way_.cold_air).value;
    const auto density = [&](Temperature t) { return march.total().si() / (Stream().gas_constant_J_kgK * t.si()); };
    const auto at = [&](double density_kg_m3) {
      const VolumeFlow flow = cubic_metres_per_second(rated_flow(inputs_)->si() / density_kg_m3);
      return CurveAir{flow, density_kg_m3, viscosity_Pa_s(0.5 * (hot + cold))};
    };
    const auto loss_at = [&](double density_kg_m3) {
      return loss_of_curve("cooler", "cooler", cooler.curve->reference_density_kg_m3, *fitted, at(density_kg_m3),
                           kCoolerCurveBand);
    };
    const double mean = 0.5 * (density(hot) + density(cold));
    ElementLoss e = loss_at(mean);
    const double thin = loss_at(std::min(density(hot), density(cold))).loss.si();
    const double dense = loss_at(std::max(density(hot), density(cold))).loss.si();
    e.band.push_back(expanded_share("air cools on its way through the cooler", e.loss.si() - dense, thin - e.loss.si(),
                                    "density in the cooler"));
    const VolumeFlow flow = at(mean).flow;
    if (flow < fitted->lowest || flow > fitted->highest) {
      march.note("rated flow lies outside the curve of the cooler: the curve is extended");
    }
    march.pass(e);
  }

  const ChargeWay& way_;
  const FlowInputs& inputs_;
  ChargeLoss out_;
};

}  // namespace

ChargeLoss charge_loss(const ChargeWay& way, const FlowInputs& inputs) { return Walk(way, inputs).whole(); }

std::variant<Pressure, NotAssessed> pressure_behind_cooler(const ChargeWay& way, const FlowInputs& inputs) {
  return Walk(way, inputs).behind_cooler();
}

}  // namespace baywright::flow
