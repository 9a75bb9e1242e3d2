#pragma once

#include <string>

#include "flow/compressible.hpp"
#include "flow/flow_model.hpp"
#include "flow/flow_path.hpp"

namespace baywright::flow {

/// Total pressure along a way of several ducts and what stands between them, element by element. What does not let the
/// flow through ends it: further elements are not taken, and Restriction::chokes_at says where.
class March {
 public:
  explicit March(Pressure start) : start_(start), total_(start) {}

  Pressure total() const { return total_; }
  bool choked() const { return way_.choked(); }
  void note(std::string text) { way_.notes.push_back(std::move(text)); }
  void add(const Contribution& c) { further_.push_back(c); }  ///< a doubt about the sum, in pascal

  /// An element whose loss is known. It chokes where that is more than there is.
  void pass(const ElementLoss& element);
  /// The elements of a duct at the total temperature of `stream`: losses on the state the air has there, their bands,
  /// and the path's notes. `prefix` stands before their names. Returns what all of them lose.
  Pressure along(const FlowPath& path, const Stream& stream, const std::string& prefix = "");
  /// The same of a duct ahead of the one whose stations count: its elements stand at station 0.
  Pressure ahead_along(const FlowPath& path, const Stream& stream, const std::string& prefix);
  /// All of it: elements, their sum and its band.
  Restriction finished() const;

 private:
  void choke_at(const std::string& name);

  Pressure start_, total_;
  double highest_mach_ = 0;
  Restriction way_;
  std::vector<Contribution> further_;
};

/// Outside air at rated flow. EXPECTS both.
Stream stream_of(const FlowInputs& inputs);

/// Share of an element that lies ahead of a station.
double share_ahead(const ElementLoss& element, double station_mm);

/// Part of a band that is already expanded, in pascal.
Contribution expanded_share(const std::string& source, double low, double high, const std::string& group);

/// Air where it enters something that has a curve.
struct CurveAir {
  VolumeFlow flow;
  double density_kg_m3 = 0;
  double viscosity_Pa_s = 0;
};
/// Loss by the fit of a curve, its band: `stated` of it for the curve itself, the misfit, and what lies beyond its
/// ends. `what` the curve is of, in texts: "filter".
ElementLoss loss_of_curve(const std::string& name, const std::string& what, double reference_density_kg_m3,
                          const FilterFit& fitted, const CurveAir& air, double stated);

inline constexpr double kDefaultRoughness_mm = 0.01;  ///< rubber, drawn tube: common practice, no source

}  // namespace baywright::flow
