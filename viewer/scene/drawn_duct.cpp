#include "viewer/scene/drawn_duct.hpp"

#include <algorithm>
#include <variant>

#include <vtkPolyData.h>
#include <vtkProperty.h>
#include <vtkRenderer.h>

#include "viewer/scene/palette.hpp"
#include "viewer/scene/part_shapes.hpp"

namespace baywright::viewer {

namespace {

constexpr double kSeeThrough = 0.5;

/// All that a shape is made of.
std::vector<double> numbers_of(const Shape& shape) {
  std::vector<double> out;
  const auto put = [&](const Vec3& v) { out.insert(out.end(), v.data(), v.data() + 3); };
  if (const auto* c = std::get_if<Cylinder>(&shape)) {
    put(c->a), put(c->b);
    out.push_back(c->radius_mm);
  } else if (const auto* t = std::get_if<TorusSegment>(&shape)) {
    put(t->center), put(t->e0), put(t->e1);
    out.insert(out.end(), {t->bend_radius_mm, t->angle_rad, t->radius_mm});
  } else if (const auto* k = std::get_if<Cone>(&shape)) {
    put(k->a), put(k->b);
    out.insert(out.end(), {k->radius_a_mm, k->radius_b_mm});
  } else if (const auto* l = std::get_if<Collar>(&shape)) {
    put(l->a), put(l->b);
    out.push_back(l->radius_mm);
  }
  return out;
}

/// The same surfaces in the same places.
bool same_shapes(const std::vector<Primitive>& a, const std::vector<Primitive>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](const Primitive& x, const Primitive& y) {
    if (x.shape.index() != y.shape.index()) return false;
    const auto p = numbers_of(x.shape), q = numbers_of(y.shape);
    return p == q;
  });
}

}  // namespace

DrawnDuct::DrawnPiece DrawnDuct::draw_piece(const duct::Piece& piece, double chord_error_mm) {
  const TriMesh mesh = piece_mesh(piece, chord_error_mm);
  DrawnPiece made;
  made.drawn.surface = actor_of(mapper_of(shaded_surface(mesh, kSolidCrease_deg)));
  made.drawn.edges = actor_of(mapper_of(polylines(piece_rims(piece))));
  made.drawn.surface->GetMapper()->SetStatic(0);
  made.drawn.edges->GetMapper()->SetStatic(0);
  made.rest_surface = points_of(vtkPolyData::SafeDownCast(made.drawn.surface->GetMapper()->GetInput()));
  made.rest_edges = points_of(vtkPolyData::SafeDownCast(made.drawn.edges->GetMapper()->GetInput()));
  return made;
}

void DrawnDuct::draw(const duct::Duct& duct, double chord_error_mm) {
  const auto& pieces = duct.layout.pieces;
  for (std::size_t p = pieces.size(); p < pieces_.size(); ++p) viewer::remove(renderer_, pieces_[p].drawn);
  pieces_.resize(pieces.size());
  shapes_.resize(pieces.size());
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    if (pieces_[p].drawn.surface && same_shapes(shapes_[p], pieces[p].shapes)) continue;
    viewer::remove(renderer_, pieces_[p].drawn);
    pieces_[p] = draw_piece(pieces[p], chord_error_mm);
    shapes_[p] = pieces[p].shapes;
    add(renderer_, pieces_[p].drawn);
  }
}

void DrawnDuct::remove() {
  for (const auto& piece : pieces_) viewer::remove(renderer_, piece.drawn);
  pieces_.clear();
  shapes_.clear();
  clamps_.remove();
}

void DrawnDuct::pose(const job::Installation& installation, const duct::Duct& duct, const PosedState& state) {
  const bool moves = !is_at_rest(state);
  for (std::size_t p = 0; p < pieces_.size(); ++p) {
    auto& one = pieces_[p];
    if (!moves && !one.moved) continue;
    const auto& piece = duct.layout.pieces[p];
    put_points(one.drawn.surface, carried(installation, piece, state, one.rest_surface));
    put_points(one.drawn.edges, carried(installation, piece, state, one.rest_edges));
    one.moved = moves;
  }
  clamps_.pose(installation, state);
}

void DrawnDuct::dress(const duct::Duct& duct, const Look& look) {
  for (std::size_t p = 0; p < pieces_.size(); ++p) {
    const auto& drawn = pieces_[p].drawn;
    const bool marked = look.highlit == static_cast<int>(p);
    const bool glassy = faded_ || (marked && look.see_through);
    auto* surface = drawn.surface->GetProperty();
    glossy(surface, piece_color(duct.layout.pieces[p], static_cast<int>(p)));
    surface->SetOpacity(faded_ ? kFaded : glassy ? kSeeThrough : 1.0);
    surface->SetBackfaceCulling(glassy);
    ink_lines(drawn.edges->GetProperty(), faded_ ? kGhost : kInk,
              look.line_scale * kEdgeWidth_px * (marked ? 1.8 : 1.0));
  }
  clamps_.dress(faded_, look.line_scale);
  set_visible(visible_);
}

void DrawnDuct::set_visible(bool visible) {
  visible_ = visible;
  for (const auto& piece : pieces_) {
    piece.drawn.surface->SetVisibility(visible);
    piece.drawn.edges->SetVisibility(visible);
  }
  clamps_.set_visible(visible);
}

void DrawnDuct::also_in(vtkRenderer* renderer) const {
  for (const auto& piece : pieces_) add(renderer, piece.drawn);
  clamps_.also_in(renderer);
}

}  // namespace baywright::viewer
