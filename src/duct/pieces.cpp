#include "duct/pieces.hpp"

#include <algorithm>
#include <iterator>

#include "duct/carriers.hpp"
#include "duct/fitting_layout.hpp"
#include "duct/piece_shapes.hpp"

namespace baywright::duct {
namespace {

/// Rigid tube shorter than this between two gaps or at an end is nothing that could be made: it is rounding of stations
/// given to a tenth of a millimetre, and the coupler sits on the port's own spigot.
constexpr double kNoTube_mm = 1;

struct Run {
  std::vector<PlacedFitting*> couplers;
  std::vector<Stretch> stretches;
  std::vector<SoftJoint> joints;
};

/// Where a coupler's gap lies. A hose of less gap than a tube must have length is taken as having none.
SoftJoint joint_of(const Layout& layout, const PlacedFitting& fitting, const Coupler& coupler, bool one_size) {
  SoftJoint joint;
  joint.name = fitting_name(fitting.id, fitting.kind);
  joint.middle_mm = layout.at(0.5 * (fitting.station_from_mm + fitting.station_to_mm)).p_mm;
  joint.separates = coupler.shape != CouplerShape::straight;
  if (fitting.station_to_mm - fitting.station_from_mm > kNoTube_mm) {
    const auto [hose_from, hose_to] = hose_stations(fitting, coupler);
    joint.gap = Gap{layout.at(fitting.station_from_mm).p_mm, layout.at(fitting.station_to_mm).p_mm,
                    hose_from < fitting.station_from_mm && hose_to > fitting.station_to_mm};
  }
  joint.bends_as_curve = coupler.shape != CouplerShape::elbow && one_size;
  return joint;
}

/// Diameters of the spigots under a coupler that has no tube on that side, else 0.
std::pair<double, double> spigots_of(const Layout& layout, const PlacedFitting& fitting,
                                     std::pair<double, double> end_diameter_mm) {
  const bool first = fitting.station_from_mm <= kNoTube_mm;
  const bool last = layout.length_mm - fitting.station_to_mm <= kNoTube_mm;
  return {first ? end_diameter_mm.first : 0, last ? end_diameter_mm.second : 0};
}

Run run_of(Layout& layout, std::pair<double, double> end_diameter_mm) {
  Run run;
  double from = 0;
  for (PlacedFitting& fitting : layout.fittings) {
    const auto* coupler = std::get_if<Coupler>(&fitting.kind);
    if (!coupler) continue;
    run.couplers.push_back(&fitting);
    run.stretches.push_back({from, fitting.station_from_mm});
    const auto [upstream, downstream] = spigots_of(layout, fitting, end_diameter_mm);
    run.joints.push_back(joint_of(layout, fitting, *coupler, one_size(layout, fitting, upstream, downstream)));
    from = fitting.station_to_mm;
  }
  run.stretches.push_back({from, layout.length_mm});
  return run;
}

std::string tube_name(int number) {
  std::string name = "tube ";
  return name += std::to_string(number);
}

Piece piece_of(const Carried& carried, double from_mm, double to_mm) {
  Piece piece;
  piece.station_from_mm = from_mm;
  piece.station_to_mm = to_mm;
  piece.carriage = carried.carriage;
  piece.held_by = carried.held_by;
  piece.note = carried.note;
  return piece;
}

}  // namespace

void make_pieces(Layout& layout, std::pair<double, double> end_diameter_mm, Trouble& trouble) {
  Run run = run_of(layout, end_diameter_mm);
  const Carriers carriers = carry(run.stretches, run.joints, layout.holds, trouble);
  int tubes = 0;
  std::vector<Piece> clamps;
  for (std::size_t i = 0; i < run.stretches.size(); ++i) {
    const Stretch& stretch = run.stretches[i];
    if (stretch.to_mm - stretch.from_mm > kNoTube_mm) {
      Piece piece = piece_of(carriers.stretches[i], stretch.from_mm, stretch.to_mm);
      piece.name = tube_name(++tubes);
      piece.shapes = tube_shapes(layout, stretch.from_mm, stretch.to_mm);
      layout.pieces.push_back(std::move(piece));
    }
    if (i == run.joints.size()) break;
    PlacedFitting& fitting = *run.couplers[i];
    fitting.separates = run.joints[i].separates;
    const auto& coupler = std::get<Coupler>(fitting.kind);
    const auto [from, to] = hose_stations(fitting, coupler);
    Piece piece = piece_of(carriers.joints[i], from, to);
    piece.kind = Piece::Kind::coupler;
    piece.name = run.joints[i].name;
    piece.fitting = fitting.id;
    const auto [upstream, downstream] = spigots_of(layout, fitting, end_diameter_mm);
    piece.shapes = coupler_shapes(layout, fitting, upstream, downstream, piece.carriage.flexible());
    Piece bands = piece;
    bands.kind = Piece::Kind::clamps;
    bands.carriage = carriers.clamps[i];
    bands.name = "clamps of " + fitting.id.value;
    bands.shapes = clamp_shapes(layout, fitting, upstream, downstream);
    layout.pieces.push_back(std::move(piece));
    if (!bands.shapes.empty()) clamps.push_back(std::move(bands));
  }
  std::move(clamps.begin(), clamps.end(), std::back_inserter(layout.pieces));
  for (std::size_t i = 0; i < layout.pieces.size(); ++i) {
    for (Primitive& primitive : layout.pieces[i].shapes) primitive.owner = static_cast<int>(i);
  }
}

}  // namespace baywright::duct
