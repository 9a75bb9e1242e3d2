#include "viewer/scene/drawn_clamps.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <vtkPolyData.h>
#include <vtkProperty.h>
#include <vtkRenderer.h>

#include "access/clamp_place.hpp"
#include "viewer/scene/palette.hpp"
#include "viewer/scene/part_shapes.hpp"
#include "viewer/scene/posed.hpp"

namespace baywright::viewer {
namespace {

/// Steel of a band, drawn a little proud of the hose so that it is seen. Its own thickness is 0.6 to 0.9 mm.
constexpr double kBand_mm = 0.8;
constexpr int kBandSides = 72;
/// A hexagon is about as high as its size, 0.7 s (from memory of hexagon nuts and heads).
constexpr double kHeadHeight = 0.7;

/// Corners of one flat face after the other along an axis: the prism between two closed outlines.
struct Prism {
  std::vector<Vec3> from, to;
};

TriMesh prism_mesh(const Prism& prism) {
  TriMesh mesh;
  mesh.origin_mm = prism.from.front();
  const auto n = static_cast<std::uint32_t>(prism.from.size());
  for (const auto* ring : {&prism.from, &prism.to}) {
    for (const Vec3& p : *ring) mesh.vertices.emplace_back((p - mesh.origin_mm).cast<float>());
  }
  for (std::uint32_t i = 0; i < n; ++i) {
    const std::uint32_t k = (i + 1) % n;
    mesh.triangles.push_back({i, k, n + i});
    mesh.triangles.push_back({k, n + k, n + i});
  }
  for (std::uint32_t i = 1; i + 1 < n; ++i) {
    mesh.triangles.push_back({0, i + 1, i});
    mesh.triangles.push_back({n, n + i, n + i + 1});
  }
  return mesh;
}

void add_edges(const Prism& prism, std::vector<std::vector<Vec3>>& lines) {
  for (const auto* ring : {&prism.from, &prism.to}) {
    lines.push_back(*ring);
    lines.back().push_back(ring->front());
  }
  for (std::size_t i = 0; i < prism.from.size(); ++i) lines.push_back({prism.from[i], prism.to[i]});
}

/// The housing, less the hexagon at its end.
Prism housing(const PlacedClamp& clamp) {
  const access::Screw screw = access::screw_at(clamp.site, clamp.position);
  const catalog::ClampType& type = clamp.site.type;
  const Vec3 across = screw.axis.cross(screw.out);
  const Vec3 foot = clamp.site.center + clamp.site.hose_radius_mm * screw.out;
  const double back = 0.5 * type.body_length_mm;
  const double front = std::max(back - kHeadHeight * type.hexagon_mm, -back);  // a body may be all hexagon
  Prism out;
  for (const auto& [side, up] : {std::pair{0.5, 0.0}, {-0.5, 0.0}, {-0.5, 1.0}, {0.5, 1.0}}) {
    const Vec3 corner = foot + side * type.body_width_mm * across + up * type.body_height_mm * screw.out;
    out.from.emplace_back(corner - back * screw.axis);
    out.to.emplace_back(corner + front * screw.axis);
  }
  return out;
}

Prism hexagon(const PlacedClamp& clamp) {
  const access::Screw screw = access::screw_at(clamp.site, clamp.position);
  const double size = clamp.site.type.hexagon_mm;
  Prism out;
  for (int i = 0; i < 6; ++i) {
    const Vec3 corner =
        screw.head + size / std::numbers::sqrt3 * screw.swing(radians((2 * i + 1) * std::numbers::pi / 6));
    out.from.emplace_back(corner - kHeadHeight * size * screw.axis);
    out.to.push_back(corner);
  }
  return out;
}

/// Outer face of the band and its two flat sides.
TriMesh band(const access::ClampSite& site) {
  const Vec3 e0 = site.along.unitOrthogonal(), e1 = site.along.cross(e0);
  TriMesh mesh;
  mesh.origin_mm = site.center;
  const double inner = site.hose_radius_mm - kBand_mm, outer = site.hose_radius_mm + kBand_mm,
               half = 0.5 * site.type.band_width_mm;
  const std::array<std::pair<double, double>, 4> profile{
      {{inner, -half}, {outer, -half}, {outer, half}, {inner, half}}};
  for (int i = 0; i < kBandSides; ++i) {
    const double t = 2 * std::numbers::pi * i / kBandSides;
    const Vec3 d = std::cos(t) * e0 + std::sin(t) * e1;
    for (const auto& [radius, along] : profile) {
      mesh.vertices.emplace_back((radius * d + along * site.along).cast<float>());
    }
  }
  for (std::uint32_t i = 0; i < kBandSides; ++i) {
    const std::uint32_t a = 4 * i, b = 4 * ((i + 1) % kBandSides);
    for (std::uint32_t k = 0; k < 3; ++k) {
      mesh.triangles.push_back({a + k, b + k, a + k + 1});
      mesh.triangles.push_back({b + k, b + k + 1, a + k + 1});
    }
  }
  return mesh;
}

}  // namespace

std::vector<FoundClamp> found_clamps(const checks::Evaluation& evaluation) {
  std::vector<FoundClamp> out;
  for (const auto& result : evaluation.ducts) {
    for (const access::ClampAccess& clamp : result.measures.clamps) {
      const auto position = access::body_position(clamp);
      if (position) out.push_back({result.duct, clamp.site.coupler, clamp.site.end, *position});
    }
  }
  return out;
}

std::vector<PlacedClamp> placed_clamps(const catalog::Workshop& workshop, const duct::Duct& duct,
                                       std::span<const FoundClamp> found) {
  std::vector<PlacedClamp> out;
  for (const duct::PlacedFitting& fitting : duct.layout.fittings) {
    const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
    if (coupler == nullptr || coupler->clamps.empty()) continue;
    const auto piece = static_cast<std::size_t>(access::clamp_piece(duct, fitting.id));
    const bool drawn = duct.layout.pieces[piece].kind == duct::Piece::Kind::clamps;
    for (const duct::HoseClamp& clamp : coupler->clamps) {
      const catalog::ClampType* type = catalog::find_clamp(workshop.clamps, clamp.type);
      if (type == nullptr) continue;
      const auto at = std::find_if(found.begin(), found.end(), [&](const FoundClamp& f) {
        return f.duct == duct.spec.id && f.coupler == fitting.id && f.end == clamp.end;
      });
      if (!clamp.screw_clock && at == found.end()) continue;
      const bool stated = clamp.screw_clock && (clamp.screw_side || at == found.end());
      const access::ScrewPosition position =
          stated ? access::ScrewPosition{*clamp.screw_clock, clamp.screw_side.value_or(access::Side::clockwise)}
                 : at->position;
      out.push_back({access::site_of(duct, fitting.id, clamp, *type), position,
                     access::clamp_carriage(duct, fitting.id, clamp.end), !drawn});
    }
  }
  return out;
}

TriMesh clamp_mesh(const PlacedClamp& clamp) {
  std::vector<TriMesh> meshes = {prism_mesh(housing(clamp))};
  if (clamp.site.type.has_screw()) meshes.push_back(prism_mesh(hexagon(clamp)));
  if (clamp.band) meshes.push_back(band(clamp.site));
  return merged(meshes);
}

std::vector<std::vector<Vec3>> clamp_edges(const PlacedClamp& clamp) {
  std::vector<std::vector<Vec3>> lines;
  add_edges(housing(clamp), lines);
  if (clamp.site.type.has_screw()) add_edges(hexagon(clamp), lines);
  return lines;
}

void DrawnClamps::draw(const std::vector<PlacedClamp>& clamps) {
  remove();
  for (const PlacedClamp& clamp : clamps) {
    One one;
    one.carriage = clamp.carriage;
    one.drawn.surface = actor_of(mapper_of(shaded_surface(clamp_mesh(clamp), kSolidCrease_deg)));
    one.drawn.edges = actor_of(mapper_of(polylines(clamp_edges(clamp))));
    one.drawn.surface->GetMapper()->SetStatic(0);
    one.drawn.edges->GetMapper()->SetStatic(0);
    one.rest_surface = points_of(vtkPolyData::SafeDownCast(one.drawn.surface->GetMapper()->GetInput()));
    one.rest_edges = points_of(vtkPolyData::SafeDownCast(one.drawn.edges->GetMapper()->GetInput()));
    add(renderer_, one.drawn);
    clamps_.push_back(std::move(one));
  }
}

void DrawnClamps::remove() {
  for (const One& one : clamps_) viewer::remove(renderer_, one.drawn);
  clamps_.clear();
  moved_ = false;
}

void DrawnClamps::pose(const job::Installation& installation, const PosedState& state) {
  const bool moves = !is_at_rest(state);
  if (!moves && !moved_) return;
  moved_ = moves;
  duct::Piece rides;
  for (const One& one : clamps_) {
    rides.carriage = one.carriage;
    put_points(one.drawn.surface, carried(installation, rides, state, one.rest_surface));
    put_points(one.drawn.edges, carried(installation, rides, state, one.rest_edges));
  }
}

void DrawnClamps::dress(bool faded, double line_scale) {
  for (const One& one : clamps_) {
    auto* surface = one.drawn.surface->GetProperty();
    glossy(surface, kSteel);
    surface->SetOpacity(faded ? kFaded : 1.0);
    surface->SetBackfaceCulling(faded);
    ink_lines(one.drawn.edges->GetProperty(), faded ? kGhost : kInk, line_scale * kEdgeWidth_px);
  }
}

void DrawnClamps::set_visible(bool visible) {
  for (const One& one : clamps_) {
    one.drawn.surface->SetVisibility(visible);
    one.drawn.edges->SetVisibility(visible);
  }
}

void DrawnClamps::also_in(vtkRenderer* renderer) const {
  for (const One& one : clamps_) add(renderer, one.drawn);
}

}  // namespace baywright::viewer
