#include "viewer/scene/sight.hpp"

namespace baywright::viewer {

namespace {

/// Coarse is enough to ask whether something is in the way, mm.
constexpr double kSightChord_mm = 1.0;

TriMesh all_ducts(const job::Installation& installation, const PosedState& state) {
  std::vector<TriMesh> meshes;
  for (const auto& duct : installation.ducts) {
    for (const auto& piece : duct.layout.pieces) {
      TriMesh mesh = piece_mesh(piece, kSightChord_mm);
      std::vector<Vec3> points;
      points.reserve(mesh.vertices.size());
      for (std::uint32_t i = 0; i < mesh.vertices.size(); ++i) points.push_back(mesh.vertex(i));
      points = carried(installation, piece, state, points);
      for (std::size_t i = 0; i < points.size(); ++i) mesh.vertices[i] = (points[i] - mesh.origin_mm).cast<float>();
      meshes.push_back(std::move(mesh));
    }
  }
  return merged(meshes);
}

}  // namespace

Sight::Sight(const job::Installation& installation, const PosedState& state)
    : installation_(installation), ducts_(TriTree::over(all_ducts(installation, state))) {
  for (const auto& part : installation.bay.parts)
    from_vehicle_.push_back(body_pose(installation.bay, part.body, state).inverse());
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
