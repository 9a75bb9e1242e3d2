#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "access/room_field.hpp"
#include "bay/bay.hpp"
#include "duct/layout.hpp"
#include "geometry/clearance/standing.hpp"

namespace baywright::access {

/// Room demanded around what is put into the bay, common practice, no source: of tools and hands against everything,
/// of a clamp's body against parts, and against hoses and wires, which move.
inline constexpr double kToolRoom_mm = 3;
inline constexpr double kBodyRoom_mm = 5;
inline constexpr double kBodyRoomSoft_mm = 10;

/// Room that is proven roughly need not be known better from here on.
inline constexpr double kAmple_mm = 8;

/// Ducts are turned into triangles that lie this near to them.
inline constexpr double kDuctChordError_mm = 0.2;

/// What asks for room. An arm needs none beside its own.
enum class Asking { tool, body, arm };

/// One surface of the finished assembly, where it stands while clamps are worked.
struct Obstacle {
  std::string name;  ///< "part battery", "duct intake, tube 1"
  TriTree tree;
  Pose X;                     ///< from where the tree has it to where it is
  double chord_error_mm = 0;  ///< the true surface may stand this much farther out
  bool soft = false;          ///< a hose, a line or a wire
  bool encloses = false;      ///< inside is occupied
  int part = -1;              ///< index in the bay; -1: a piece of a duct
  // Pieces of ducts only.
  duct::DuctId duct;
  std::optional<duct::FittingId> fitting;
  duct::Piece::Kind kind = duct::Piece::Kind::tube;
  std::optional<duct::HoseEnd> end;  ///< of clamps: which end of the hose
};

/// The finished assembly at rest with the bonnet open.
struct Scene {
  std::vector<Obstacle> obstacles;
  std::vector<std::string> notes;  ///< what was left out or opened, one line each
};

struct SceneOptions {
  std::vector<bay::PartId> removed;              ///< parts that are taken out first
  std::span<const catalog::ClampType> clamps{};  ///< types of clamps; those it lacks have no bodies in the scene
};
/// Parts of the bay and pieces of its ducts. Parts of class bonnet, and others on their body, stand at the open end of
/// its hinge or slide; where it has none, they are left out, and a note says so. Ducts are turned into triangles within
/// kDuctChordError_mm. Clamps are one obstacle for each end of a hose: the band as drawn, where its height is stated,
/// and the body, where its clock angle is.
Scene make_scene(const bay::Bay& bay, std::span<const duct::Duct> ducts, const SceneOptions& options = {});

/// Middle of the box about the routes: what openings are taken to open to.
Vec3 middle_of(std::span<const duct::Duct> ducts);

/// Room that is left around solids: distance less what is demanded.
struct RoomLeft {
  double room_mm = 0;  ///< at most what was asked for
  int obstacle = -1;   ///< index into the scene: the one that leaves least; -1: there is more room than asked for
};

/// What surrounds one clamp. References into the scene, which must outlive it.
class Around {
 public:
  /// Everything but the clamp on this end of this coupler's hose; the hose may be touched by tools and hands.
  Around(const Scene& scene, const duct::DuctId& duct, const duct::FittingId& coupler, duct::HoseEnd end);
  /// Everything; nothing may be touched.
  explicit Around(const Scene& scene);

  /// Only what comes within `reach_mm` of p.
  Around within(const Vec3& p, double reach_mm) const;
  /// With a field of the room about p, out to `reach_mm` each way: thousands of solids are told apart quickly then.
  Around with_field(const Vec3& p, double reach_mm) const;
  /// The least of all obstacles and solids; the answer is exact below `up_to_mm` (> 0). 0 or less: too near. With a
  /// field it is never more than there is, and exact only below kAmple_mm.
  RoomLeft room_left(std::span<const StandingShape> shapes, Asking asking, double up_to_mm) const;
  bool has_room(std::span<const StandingShape> shapes, Asking asking) const;
  /// The obstacle that holds p inside.
  std::optional<int> holding(const Vec3& p) const;
  /// The obstacle that a straight look from one point to the other meets first.
  std::optional<int> hides(const Vec3& from, const Vec3& to) const;

  const Obstacle& obstacle(int index) const { return scene_->obstacles[static_cast<std::size_t>(index)]; }

 private:
  struct Entry {
    int index = 0;
    bool touchable = false;
    Aabb bounds;  ///< in the tree's frame
  };
  double demanded_mm(const Entry& entry, Asking asking) const;
  RoomField::At room_at(const Vec3& p) const;

  const Scene* scene_;
  std::vector<Entry> entries_;
  std::shared_ptr<const RoomField> field_;  ///< of tools
};

}  // namespace baywright::access
