#include "viewer/scene/sight.hpp"

#include <algorithm>

namespace baywright::viewer {

namespace {

/// Coarse is enough to ask whether something is in the way, mm.
constexpr double kSightChord_mm = 1.0;

TriMesh posed_mesh(const job::Installation& installation, const duct::Piece& piece, const PosedState& state) {
  TriMesh mesh = piece_mesh(piece, kSightChord_mm);
  std::vector<Vec3> points;
  points.reserve(mesh.vertices.size());
  for (std::uint32_t i = 0; i < mesh.vertices.size(); ++i) points.push_back(mesh.vertex(i));
  points = carried(installation, piece, state, points);
  for (std::size_t i = 0; i < points.size(); ++i) mesh.vertices[i] = (points[i] - mesh.origin_mm).cast<float>();
  return mesh;
}

}  // namespace

Sight::Sight(const job::Installation& installation, const PosedState& state)
    : installation_(installation), state_(state) {
  for (const auto& part : installation.bay.parts)
    from_vehicle_.push_back(body_pose(installation.bay, part.body, state).inverse());
  for (int d = 0; d < static_cast<int>(installation.ducts.size()); ++d) {
    const auto& pieces = installation.ducts[static_cast<std::size_t>(d)].layout.pieces;
    for (int p = 0; p < static_cast<int>(pieces.size()); ++p)
      pieces_.push_back({{d, p}, TriTree::over(posed_mesh(installation, pieces[static_cast<std::size_t>(p)], state))});
  }
}

bool Sight::duct_hit(const Vec3& p, const Vec3& toward) const {
  return std::any_of(pieces_.begin(), pieces_.end(),
                     [&](const PieceTree& piece) { return piece.tree.first_hit(p, toward).has_value(); });
}

std::optional<Sight::Hit> Sight::first(const Vec3& p, const Vec3& direction, const std::function<bool(int)>& seen_part,
                                       const std::function<bool(int)>& seen_duct,
                                       const std::function<double(int)>& start) const {
  std::optional<Hit> nearest;
  const auto offer = [&](int part, PieceRef piece, double distance_mm) {
    if (!nearest || distance_mm < nearest->distance_mm)
      nearest = Hit{part, piece, p + distance_mm * direction, distance_mm};
  };
  for (int i = 0; i < static_cast<int>(from_vehicle_.size()); ++i) {
    if (!seen_part(i)) continue;
    const auto& X = from_vehicle_[static_cast<std::size_t>(i)];
    const double from_mm = start(i);
    const auto hit = installation_.bay.parts[static_cast<std::size_t>(i)].tree.first_hit(
        X * Vec3(p + from_mm * direction), X.R * direction);
    if (hit) offer(i, {-1, -1}, from_mm + hit->distance_mm);
  }
  for (const auto& piece : pieces_) {
    if (!seen_duct(piece.piece.duct)) continue;
    if (const auto hit = piece.tree.first_hit(p, direction)) offer(-1, piece.piece, hit->distance_mm);
  }
  return nearest;
}

bool Sight::part_hit(int part, const Vec3& p, const Vec3& toward) const {
  const auto i = static_cast<std::size_t>(part);
  const auto& X = from_vehicle_[i];
  return installation_.bay.parts[i].tree.first_hit(X * p, X.R * toward).has_value();
}

std::vector<int> Sight::parts_hit(const Vec3& p, const Vec3& toward) const {
  std::vector<int> hit;
  for (int i = 0; i < static_cast<int>(from_vehicle_.size()); ++i)
    if (part_hit(i, p, toward)) hit.push_back(i);
  return hit;
}

}  // namespace baywright::viewer
