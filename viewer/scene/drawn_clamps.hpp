#pragma once

#include <span>
#include <vector>

#include "access/clamp_site.hpp"
#include "checks/evaluation.hpp"
#include "job/assemble.hpp"
#include "viewer/scene/drawn.hpp"

namespace baywright::viewer {

/// One clamp of a duct as it is drawn.
struct PlacedClamp {
  access::ClampSite site;
  access::ScrewPosition position;
  Carriage carriage;  ///< what it moves with
  bool band = true;   ///< false: its band is a piece of the duct, drawn as such
};
/// Where the body of a clamp lies as far as was found, its position not being stated.
struct FoundClamp {
  duct::DuctId duct;
  duct::FittingId coupler;
  duct::HoseEnd end = duct::HoseEnd::upstream;
  access::ScrewPosition position;
};
std::vector<FoundClamp> found_clamps(const checks::Evaluation& evaluation);
/// The clamps of a duct whose type the workshop knows, at the positions that the job states, else at those found. One
/// whose position nobody knows has none to be drawn at.
std::vector<PlacedClamp> placed_clamps(const catalog::Workshop& workshop, const duct::Duct& duct,
                                       std::span<const FoundClamp> found);

/// A clamp at rest: its housing, as large as its type says, the hexagon of its screw at the end where a tool goes on,
/// and its band round the hose where that is not drawn already.
TriMesh clamp_mesh(const PlacedClamp& clamp);
/// Edges of housing and hexagon, as closed polylines.
std::vector<std::vector<Vec3>> clamp_edges(const PlacedClamp& clamp);

/// The clamps of one duct as actors of a renderer, which must outlive it.
class DrawnClamps {
 public:
  explicit DrawnClamps(vtkRenderer* renderer) : renderer_(renderer) {}

  void draw(const std::vector<PlacedClamp>& clamps);  ///< in the place of those drawn before
  void remove();
  void pose(const job::Installation& installation, const PosedState& state);
  void dress(bool faded, double line_scale);
  void set_visible(bool visible);
  void also_in(vtkRenderer* renderer) const;

 private:
  struct One {
    Drawn drawn;
    Carriage carriage;
    std::vector<Vec3> rest_surface, rest_edges;
  };

  vtkRenderer* renderer_;
  std::vector<One> clamps_;
  bool moved_ = false;
};

}  // namespace baywright::viewer
