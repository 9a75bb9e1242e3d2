#pragma once

#include <vector>

#include "job/assemble.hpp"
#include "viewer/scene/drawn.hpp"
#include "viewer/scene/drawn_clamps.hpp"
#include "viewer/scene/posed.hpp"

namespace baywright::viewer {

/// The pieces of one duct as actors of a renderer, which must outlive it.
class DrawnDuct {
 public:
  explicit DrawnDuct(vtkRenderer* renderer) : renderer_(renderer), clamps_(renderer) {}

  /// Draws the pieces whose shapes are not those drawn already, and takes away what is no longer there.
  /// @param chord_error_mm  of the surfaces that are made
  void draw(const duct::Duct& duct, double chord_error_mm);
  void draw_clamps(const std::vector<PlacedClamp>& clamps) { clamps_.draw(clamps); }
  void remove();
  /// What is drawn is coarse: the next call of draw makes everything anew.
  void forget_shapes() { shapes_.assign(shapes_.size(), {}); }
  /// Moves what is drawn to where `duct`, which must be the one drawn, is in `state`.
  void pose(const job::Installation& installation, const duct::Duct& duct, const PosedState& state);

  struct Look {
    int highlit = -1;          ///< piece with a heavier outline; -1: none
    bool see_through = false;  ///< that piece half transparent
    double line_scale = 1;
  };
  void dress(const duct::Duct& duct, const Look& look);
  void set_visible(bool visible);
  void set_faded(bool faded) { faded_ = faded; }  ///< all of it half transparent with faint edges, from the next dress
  bool faded() const { return faded_; }
  void also_in(vtkRenderer* renderer) const;

 private:
  struct DrawnPiece {
    Drawn drawn;
    std::vector<Vec3> rest_surface, rest_edges;
    bool moved = false;
  };
  static DrawnPiece draw_piece(const duct::Piece& piece, double chord_error_mm);

  vtkRenderer* renderer_;
  DrawnClamps clamps_;
  std::vector<DrawnPiece> pieces_;
  std::vector<std::vector<Primitive>> shapes_;  ///< what the pieces were made of
  bool visible_ = true, faded_ = false;
};

}  // namespace baywright::viewer
