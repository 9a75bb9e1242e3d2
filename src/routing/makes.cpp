#include "routing/makes.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/words.hpp"
#include "routing/fit_out.hpp"

namespace baywright::routing {
namespace {

/// The fittings with one tube in place of another wherever that is the size downstream of them.
void replace_size(duct::FittingKind& kind, const duct::TubeSize& from, const duct::TubeSize& to) {
  if (auto* cone = std::get_if<duct::Reducer>(&kind); cone && cone->to == from) cone->to = to;
  if (auto* hose = std::get_if<duct::Coupler>(&kind); hose && hose->to == from) hose->to = to;
}

/// The duct made of another tube. Its layout is that of the job's: only the order of its fittings is looked at.
duct::Duct with_tube(duct::Duct duct, const duct::TubeSize& to) {
  const duct::TubeSize from = duct.spec.tube;
  duct.spec.tube = duct.layout.upstream_tube = to;
  for (duct::Fitting& fitting : duct.spec.fittings) replace_size(fitting.kind, from, to);
  for (duct::PlacedFitting& fitting : duct.layout.fittings) replace_size(fitting.kind, from, to);
  return duct;
}

bool fits(const duct::StockCoupler& row, double outer_diameter_mm) {
  return std::abs(row.for_outer_diameter_mm - outer_diameter_mm) <= duct::kSameDiameter_mm;
}

/// The duct with the coupler at each place among its fittings where the tube has its size, the last one first.
std::vector<duct::Duct> with_joint(const duct::Duct& duct, const duct::StockCoupler& row) {
  std::vector<duct::Duct> out;
  const auto& placed = duct.layout.fittings;
  for (std::size_t slot = placed.size() + 1; slot-- > 0;) {
    const double ahead = slot == 0 ? 0 : placed[slot - 1].station_to_mm;
    const double behind = slot == placed.size() ? duct.layout.length_mm : placed[slot].station_from_mm;
    const double middle = 0.5 * (ahead + behind);
    if (!fits(row, duct.layout.tube_at(middle).outer_diameter_mm)) continue;
    out.push_back(with_fitting_at(duct, row.id.value, row.coupler, slot, middle));
  }
  return out;
}

class StockMakes {
 public:
  StockMakes(const job::Installation& installation, const duct::Duct& duct, const duct::Stock& stock)
      : installation_(installation),
        duct_(duct),
        stock_(stock),
        lacks_joint_(crossing_without_joint(installation, duct)) {}

  Result<Makes> run() {
    for (const duct::StockTube& tube : stock_.tubes) {
      if (auto added = add(tube); !added) return tl::unexpected(added.error());
    }
    if (out_.makes.empty()) {
      return fail(ErrorCode::bad_value, "stock", "no tube of it can be used: " + joined(out_.left_out));
    }
    return std::move(out_);
  }

 private:
  Result<void> add(const duct::StockTube& tube) {
    const duct::Duct old = with_tube(duct_, tube.size);
    const auto radii = radii_allowed(installation_, old, tube);
    if (radii.empty()) {
      out_.left_out.push_back("tube " + tube.id.value + ": the sheet asks for larger bend radii than it has");
      return {};
    }
    std::vector<Make> makes;
    if (lacks_joint_) {
      for (const duct::StockCoupler& row : stock_.couplers) {
        auto olds = with_joint(old, row);
        if (olds.empty()) continue;
        makes.emplace_back();
        makes.back().olds = std::move(olds);
        makes.back().joint = row.id;
        if (makes.size() == kMostJoints) break;
      }
      if (makes.empty())
        out_.left_out.push_back("tube " + tube.id.value +
                                ": no coupler of the stock fits it; routes of it lack a soft joint between two "
                                "carriers, as the job's duct does");
    }
    if (makes.empty()) {
      makes.emplace_back();
      makes.back().olds = {old};
    }
    for (const Make& one : makes) {
      for (const double radius : radii) {
        const auto need = requirements_of(installation_, one.olds.front(), tube, radius);
        if (!need) return tl::unexpected(need.error());
        out_.makes.push_back(one);
        out_.makes.back().need = *need;
        out_.makes.back().tube = tube.id;
      }
    }
    return {};
  }

  const job::Installation& installation_;
  const duct::Duct& duct_;
  const duct::Stock& stock_;
  const bool lacks_joint_;
  Makes out_;
};

/// Whether the duct has its ports' sizes at both ends.
bool goes_onto_its_ports(const duct::Duct& duct, const bay::Bay& bay) {
  const auto fits = [&](const bay::PortId& id, double station_mm) {
    const bay::Port* port = bay.find_port(id);
    const double size_mm = duct.layout.tube_at(station_mm).outer_diameter_mm;
    return port && std::abs(size_mm - port->outer_diameter_mm) <= duct::kSameDiameter_mm;
  };
  return fits(duct.spec.from.port, 0) && fits(duct.spec.to.port, duct.layout.length_mm);
}

}  // namespace

std::optional<measure::GroupCrossing> crossing_without_joint(const job::Installation& installation,
                                                             const duct::Duct& duct) {
  for (const measure::GroupCrossing& crossing : measure::group_crossings(duct, installation.bay)) {
    if (!crossing.has_soft_joint) return crossing;
  }
  return std::nullopt;
}

Result<Makes> makes_of(const job::Installation& installation, const duct::Duct& duct, const duct::Stock* stock) {
  auto need = requirements_of(installation, duct);
  if (!need) return tl::unexpected(need.error());
  if (stock) return StockMakes(installation, duct, *stock).run();
  Makes out;
  out.makes.push_back({{duct}, *std::move(need), {}, {}});
  return out;
}

Result<Makes> with_own_tube(Makes makes, const job::Installation& installation, const duct::Duct& duct) {
  const bool some_go = std::any_of(makes.makes.begin(), makes.makes.end(), [&](const Make& make) {
    return goes_onto_its_ports(make.olds.front(), installation.bay);
  });
  if (some_go || !goes_onto_its_ports(duct, installation.bay)) return makes;
  auto own = makes_of(installation, duct, nullptr);
  if (!own) return own;
  makes.makes.insert(makes.makes.begin(), std::move(own->makes.front()));
  return makes;
}

}  // namespace baywright::routing
