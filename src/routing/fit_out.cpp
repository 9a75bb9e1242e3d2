#include "routing/fit_out.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <utility>

#include "routing/fitting_places.hpp"

namespace baywright::routing {
namespace {

using checks::Finding;
using checks::Verdict;

/// Ducts that are carried on from one step to the next.
constexpr std::size_t kKept = 4;
/// Places that are tried along a straight, mm apart.
constexpr double kPlaces_mm = 30;
/// What one fitting more counts beside what stands against a duct.
constexpr double kEach = 0.02;

bool is_of_joints(const std::string& check) {
  return check.starts_with("fx.") || check == "fb.stack" || check == "ch.support" || check == "ch.load";
}

/// How bad what stands against a duct is: whole for each that is not met, and more the farther it is from its limit, so
/// that a step in the right direction is seen.
double badness_of(const std::vector<Finding>& findings) {
  double sum = 0;
  for (const Finding& f : findings) {
    if (f.verdict != Verdict::not_met) {
      sum += 0.5;
      continue;
    }
    double over = 1;
    if (const auto room = checks::margin(f); room && f.limit) {
      constexpr double kScale = 10;  // mm, where a limit is 0
      over = std::min(-*room / (std::abs(f.limit->value) > 0 ? std::abs(f.limit->value) : kScale), 1.0);
    }
    sum += 1 + std::max(over, 0.0);
  }
  return sum;
}

struct Plan {
  duct::Duct duct;
  std::vector<Finding> against;
  double cost = 0;
  int added = 0;
};

class FittingOut {
 public:
  FittingOut(const job::Installation& installation, const Requirements& requirements, const duct::Stock& stock,
             const FittingFindings& findings, const Progress& progress)
      : installation_(installation),
        requirements_(requirements),
        stock_(stock),
        findings_(findings),
        progress_(progress) {}

  std::vector<FittedOut> run(const duct::Duct& duct, const std::vector<duct::FittingId>& own) {
    const double as_it_is = badness_of(findings_(duct));
    if (as_it_is == 0) return {};
    const auto bare = laid_out(without_others(duct.spec, own));
    if (!bare) return {};
    std::vector<Plan> kept = {plan_of(*bare, 0)}, best = kept;
    for (int added = 1; added <= kMostAdded && !best.front().against.empty() && !progress_.cancelled(); ++added) {
      std::vector<Plan> next;
      for (const Plan& plan : kept) step(plan, added, next);
      std::stable_sort(next.begin(), next.end(), [](const Plan& a, const Plan& b) { return a.cost < b.cost; });
      if (next.size() > kKept) next.resize(kKept);
      if (next.empty()) break;
      kept = std::move(next);
      if (kept.front().cost < best.front().cost) best = kept;
    }
    std::vector<FittedOut> out;
    for (Plan& plan : best) {
      if (badness_of(plan.against) < as_it_is) out.push_back({std::move(plan.duct), std::move(plan.against)});
    }
    return out;
  }

 private:
  static duct::DuctSpec without_others(duct::DuctSpec spec, const std::vector<duct::FittingId>& own) {
    std::erase_if(spec.fittings, [&](const duct::Fitting& fitting) {
      return std::find(own.begin(), own.end(), fitting.id) == own.end();
    });
    return spec;
  }

  std::optional<duct::Duct> laid_out(const duct::DuctSpec& spec) const {
    auto layout = duct::lay_out(spec, installation_.bay);
    if (!layout) return std::nullopt;
    return duct::Duct{spec, std::move(*layout)};
  }

  Plan plan_of(duct::Duct duct, int added) const {
    Plan plan{std::move(duct), {}, 0, added};
    plan.against = findings_(plan.duct);
    plan.cost = badness_of(plan.against) + kEach * added;
    return plan;
  }

  /// Every way to put one more on a duct.
  void step(const Plan& plan, int added, std::vector<Plan>& next) {
    bool joints = false, brackets = false;
    for (const Finding& f : plan.against) {
      joints = joints || is_of_joints(f.check);
      brackets = brackets || f.check == "fx.held" || f.check == "ch.support" || f.check == "ch.load";
    }
    for (const duct::StockCoupler& row : stock_.couplers) {
      if (!joints) break;
      for (const double station : places(plan.duct, &row.coupler))
        put(plan.duct, row.id.value, row.coupler, row.for_outer_diameter_mm, station, added, next);
    }
    for (const duct::StockBracket& row : stock_.brackets) {
      if (!brackets) break;
      for (const bay::BodyId& body : bodies(plan.duct)) {
        for (const double station : places(plan.duct, nullptr))
          put(plan.duct, row.id.value, duct::Bracket{body}, row.for_outer_diameter_mm, station, added, next);
      }
    }
  }

  /// Stations along the straights at which a hose's gap, or a bracket, may begin; with the ends of the duct, where a
  /// hose lies on the port's own spigot.
  std::vector<double> places(const duct::Duct& duct, const duct::Coupler* hose) const {
    constexpr double kAtEnd_mm = 2;
    const double length_mm = hose ? hose->gap_mm : 0;
    const double from = hose && holds(duct.spec.from.port, *hose) ? 0 : kAtEnd_mm;
    const double to = duct.layout.length_mm - length_mm - (hose && holds(duct.spec.to.port, *hose) ? 0 : kAtEnd_mm);
    std::vector<double> out;
    for (const duct::Straight& s : duct.layout.straights()) {
      const double first = std::max(s.station_from_mm, from), last = std::min(s.station_to_mm - length_mm, to);
      if (last < first) continue;
      const int count = static_cast<int>(std::ceil((last - first) / kPlaces_mm));
      for (int i = 0; i <= count; ++i) out.push_back(count == 0 ? last : first + (last - first) * i / count);
    }
    return out;
  }

  /// Whether a port's spigot is known to be as long as one end of the hose.
  bool holds(const bay::PortId& id, const duct::Coupler& hose) const {
    const bay::Port* port = installation_.bay.find_port(id);
    return port && port->spigot_length_mm && *port->spigot_length_mm >= 0.5 * (hose.length_mm - hose.gap_mm);
  }

  /// Bodies that hold the duct's ends.
  std::vector<bay::BodyId> bodies(const duct::Duct& duct) const {
    std::vector<bay::BodyId> out;
    for (const duct::Hold& hold : duct.layout.holds) {
      for (const bay::BodyId& body : hold.bodies) {
        if (std::find(out.begin(), out.end(), body) == out.end()) out.push_back(body);
      }
    }
    return out;
  }

  void put(const duct::Duct& duct, const std::string& row, const duct::FittingKind& kind, double outer_diameter_mm,
           double station_mm, int added, std::vector<Plan>& next) {
    if (progress_.cancelled()) return;
    const double there = duct.layout.tube_at(station_mm).outer_diameter_mm;
    if (std::abs(there - outer_diameter_mm) > duct::kSameDiameter_mm) return;
    const auto& placed = duct.layout.fittings;
    const auto slot = std::count_if(placed.begin(), placed.end(),
                                    [&](const duct::PlacedFitting& p) { return p.station_from_mm <= station_mm; });
    duct::Duct with = with_fitting_at(duct, row, kind, static_cast<std::size_t>(slot), station_mm);
    const auto legs = duct::lay_out_route(with.spec.route);
    if (!legs) return;
    auto fittings = place_again(with, *legs, requirements_);
    if (!std::holds_alternative<std::vector<duct::Fitting>>(fittings)) return;
    with.spec.fittings = std::get<std::vector<duct::Fitting>>(std::move(fittings));
    if (!is_new(with.spec)) return;
    if (auto ready = laid_out(with.spec)) next.push_back(plan_of(std::move(*ready), added));
  }

  /// The same places come from several wishes, and in another order. What sits where counts, whatever it is called.
  bool is_new(const duct::DuctSpec& spec) {
    std::vector<std::pair<std::string, duct::FittingKind>> fittings;
    for (const duct::Fitting& f : spec.fittings) {
      fittings.emplace_back(
          f.anchor.leg.value + "/" + std::to_string(f.anchor.offset_mm) + "/" + std::to_string(f.kind.index()), f.kind);
    }
    std::sort(fittings.begin(), fittings.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    std::string key;
    for (const auto& [place, kind] : fittings) key += place + ";";
    auto& known = seen_[key];
    if (std::find(known.begin(), known.end(), fittings) != known.end()) return false;
    known.push_back(std::move(fittings));
    return true;
  }

  const job::Installation& installation_;
  const Requirements& requirements_;
  const duct::Stock& stock_;
  const FittingFindings& findings_;
  const Progress progress_;
  std::map<std::string, std::vector<std::vector<std::pair<std::string, duct::FittingKind>>>> seen_;
};

}  // namespace

std::vector<FittedOut> fitted_out(const job::Installation& installation, const duct::Duct& duct,
                                  const std::vector<duct::FittingId>& own, const Requirements& requirements,
                                  const duct::Stock& stock, const FittingFindings& findings, const Progress& progress) {
  return FittingOut(installation, requirements, stock, findings, progress).run(duct, own);
}

duct::Duct with_fitting_at(duct::Duct duct, const std::string& wanted_id, const duct::FittingKind& kind,
                           std::size_t slot, double station_mm) {
  const auto taken = [&](const std::string& id) {
    return std::any_of(duct.spec.fittings.begin(), duct.spec.fittings.end(),
                       [&](const duct::Fitting& f) { return f.id.value == id; });
  };
  duct::Fitting fitting;
  fitting.id = duct::FittingId(wanted_id);
  for (int number = 2; taken(fitting.id.value); ++number)
    fitting.id = duct::FittingId(wanted_id + "-" + std::to_string(number));
  fitting.kind = kind;
  duct::PlacedFitting at;
  at.id = fitting.id;
  at.kind = kind;
  at.station_from_mm = at.station_to_mm = station_mm;
  if (const auto* hose = std::get_if<duct::Coupler>(&kind)) at.station_to_mm += hose->gap_mm;
  auto& placed = duct.layout.fittings;
  placed.insert(placed.begin() + static_cast<std::ptrdiff_t>(slot), std::move(at));
  duct.spec.fittings.push_back(std::move(fitting));
  return duct;
}

}  // namespace baywright::routing
