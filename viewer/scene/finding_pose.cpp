#include "viewer/scene/finding_pose.hpp"

#include <cmath>

#include "measure/clearance_measure.hpp"

namespace baywright::viewer {

namespace {

/// Share of a load case below which two poses look the same: a slider has a hundred steps.
constexpr double kSamePose = 1e-3;

bool same(const BodyState& a, const BodyState& b) {
  const auto size = [](const BodyState& s) {
    double sum = 0;
    for (const double q : s.q) sum += q * q;
    return s.member < 0 ? 0.0 : std::sqrt(sum);
  };
  const double most = std::max(size(a), size(b));
  if (most == 0) return true;
  if (a.member != b.member || a.q.size() != b.q.size()) return false;
  for (std::size_t i = 0; i < a.q.size(); ++i)
    if (std::abs(a.q[i] - b.q[i]) > kSamePose * most) return false;
  return true;
}

bool same(const PosedState& a, const PosedState& b) {
  const BodyState rest;
  for (std::size_t i = 0; i < std::max(a.bodies.size(), b.bodies.size()); ++i)
    if (!same(i < a.bodies.size() ? a.bodies[i] : rest, i < b.bodies.size() ? b.bodies[i] : rest)) return false;
  return true;
}

}  // namespace

PosedFinding finding_at(const job::Installation& installation, const checks::Finding& finding, const Place& own,
                        const PosedState& state) {
  PosedFinding posed;
  posed.place = own;
  posed.own_pose = same(own.state, state);
  if (posed.own_pose) return posed;
  posed.place.state = state;
  posed.place.on_duct_mm.reset();
  posed.place.on_other_mm.reset();
  posed.place.interferes = false;
  const auto& measured = std::get<measure::Measured>(finding.outcome);
  const bool has_piece = own.piece.duct >= 0 && own.piece.piece >= 0;
  if (has_piece && measured.station_mm) {
    const auto& duct = installation.ducts[static_cast<std::size_t>(own.piece.duct)];
    posed.place.focus_mm = posed_station(installation, duct, *measured.station_mm, state);
  }
  if (!measured.witness || !has_piece || own.part < 0) return posed;
  const auto& duct = installation.ducts[static_cast<std::size_t>(own.piece.duct)];
  posed.here = measure::clearance_at_pose(installation.bay, duct, own.piece.piece, own.part, state, {});
  if (!posed.here) return posed;
  posed.place.on_duct_mm = posed.here->witness->on_duct_mm;
  posed.place.on_other_mm = posed.here->witness->on_other_mm;
  posed.place.focus_mm = 0.5 * (*posed.place.on_duct_mm + *posed.place.on_other_mm);
  posed.place.interferes = posed.here->hi < 0;
  return posed;
}

}  // namespace baywright::viewer
