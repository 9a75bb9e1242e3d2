#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "access/beside_piece.hpp"
#include "access/scene.hpp"
#include "access/ways_out.hpp"
#include "duct/layout.hpp"

namespace baywright::access {

/// Unit vectors with a greater product lie on one axis.
inline constexpr double kOneAxis = 1 - 1e-9;

/// A duct that ends on a branch port of a tube.
struct Branch {
  int item = -1;               ///< its last piece there
  bool upstream = false;       ///< it begins there
  double station_mm = 0;       ///< of the branch port
  double half_mm = 0;          ///< of the tube, to either side, that lies beside what sits on the branch port
  Vec3 tip_mm = Vec3::Zero();  ///< open end of the branch port, on its axis
  /// Whether a shape on the tube is the branch port, or the bead on it.
  bool owns(const Primitive& p) const;
};

/// A tube, or a hose with the clamps on it, while an installation is taken apart.
struct Item {
  std::size_t duct = 0;
  const duct::Piece* piece = nullptr;
  const duct::PlacedFitting* fitting = nullptr;  ///< hoses: their coupler
  std::vector<Primitive> shapes;                 ///< as drawn, with beads and bodies of clamps
  TriTree tree;
  double chord_error_mm = 0;
  int before = -1, behind = -1;  ///< neighbours in the same duct; -1: its end
  std::vector<Branch> branches;  ///< tubes: what ends on them
  double slid_mm = 0;            ///< hoses: along the flow from where they are drawn
  double turned_rad = 0;         ///< hoses: about the flow, from how they are drawn
  bool out = false;
  bool is_tube() const { return piece->kind == duct::Piece::Kind::tube; }
};

/// What an end of a duct is attached to.
struct Anchor {
  std::string name;                 ///< "port filter-out"
  std::string key;                  ///< of its spigot's length, as the job names it
  std::optional<double> spigot_mm;  ///< absent: not stated
  int obstacle = -1;                ///< part that it belongs to, as InWay::of; -1: none is named
  int item = -1;                    ///< tube of another duct whose branch port it is
  bool open = false;                ///< it ends in the open air, or on a part that is out first: nothing holds it
  std::vector<InWay> rest;          ///< what stays of the part or tube when the spigot itself is left out
};

/// What an end of a hose sits on.
struct Under {
  bool present = false;  ///< it is there and the hose lies on it
  int item = -1;         ///< tube; -1: the duct's end
  const Anchor* anchor = nullptr;
  double engaged_mm = 0;           ///< as the hose lies now
  std::optional<double> plain_mm;  ///< how far from its end it is plain straight tube; absent: not stated
  double near_mm = 0;              ///< the same, but that what nobody states the size of counts as nothing
};

/// All pieces of a job's ducts and what stands around them. References into the inputs, which must outlive it.
class Assembly {
 public:
  explicit Assembly(const WayInputs& inputs);

  std::vector<Item> items;
  const std::vector<std::string>& notes() const { return scene_.notes; }
  const WayInputs& inputs() const { return inputs_; }
  /// What may be larger than it is drawn, on any piece: past it, and with it, no way can be proven.
  const std::vector<UnknownSize>& unknown() const { return unknown_; }

  const duct::Duct& duct_of(const Item& item) const { return inputs_.ducts[item.duct]; }
  const Anchor& anchor(std::size_t duct, bool upstream) const { return anchors_[2 * duct + (upstream ? 0 : 1)]; }
  /// Unit vector along the flow at a side of a hose's gap.
  Vec3 along(const Item& hose, bool upstream_side) const;
  /// Straight or hump, of one size, on one axis: it can be slid along what it sits on.
  bool slides(const Item& hose) const;
  Under under(const Item& hose, bool upstream_side) const;
  /// From a tube's end to the first bend, cone, boss, branch, bracket, tap or drain on it; of those whose size nobody
  /// states none lies where a hose is drawn.
  double plain_mm(const Item& tube, bool upstream_end) const { return plain_mm(tube, upstream_end, true); }

  Pose place(const Item& item) const;
  std::string name(const Item& item) const { return item.piece->name; }
  std::string full_name(const Item& item) const;  ///< with its duct
  /// Among pieces of a duct: of one of another with that duct's name before it.
  std::string name_among(const Item& item, std::size_t duct) const {
    return item.duct == duct ? name(item) : full_name(item);
  }
  std::string name_of(int of) const;  ///< of an InWay
  int of_item(std::size_t item) const { return static_cast<int>(scene_.obstacles.size() + item); }
  /// Room demanded from it by pieces of a duct.
  double room_mm(int of, std::size_t duct) const;
  /// Everything still in that is none of `without`, for these pieces of any duct.
  std::vector<InWay> standing(std::span<const int> pieces, std::span<const int> without) const;
  /// What of a tube lies beyond its plain length at one end (none: all of it is plain).
  std::optional<InWay> beyond_plain(int item, bool upstream_end) const;
  /// Whether it is a part that stands opened: the bonnet and what is on it.
  bool opened(int of) const;
  /// The closed part that holds p inside, as InWay::of.
  std::optional<int> holding(const Vec3& p) const;

 private:
  void add_items(std::size_t duct);
  Anchor anchor_at(std::size_t duct, bool upstream);
  int end_item(std::size_t duct, bool upstream) const;
  std::vector<InWay> rest_of_port(const bay::Port& port, int obstacle) const;
  double plain_mm(const Item& tube, bool upstream_end, bool unstated_too) const;
  /// Puts the bead on the branch port, too.
  Branch add_branch(std::size_t duct, bool upstream, Item& tube, const duct::PlacedFitting& fitting);
  std::vector<InWay> rest_of_branch(int item, const Branch& branch) const;

  const WayInputs& inputs_;
  Scene scene_;  ///< of parts alone
  std::vector<Anchor> anchors_;
  std::vector<UnknownSize> unknown_;
};

/// Unit and not: shapes of primitives, carried.
std::vector<Shape> shapes_at(std::span<const Primitive> shapes, const Pose& X = {});

}  // namespace baywright::access
