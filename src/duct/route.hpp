#pragma once

#include <array>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "bay/ids.hpp"
#include "catalog/clamp_type.hpp"
#include "catalog/hose_material.hpp"
#include "geometry/base/id.hpp"
#include "geometry/base/quantity.hpp"
#include "geometry/vec.hpp"

namespace baywright::duct {

using DuctId = Id<struct DuctTag>;
using PointId = Id<struct PointTag>;
using FittingId = Id<struct FittingTag>;

enum class Service { raw_air, intake, charge_hot, charge_cold, breather };
std::string_view name(Service s);  ///< "raw air", "intake"...

struct TubeSize {
  double outer_diameter_mm = 0;
  double wall_mm = 0;
  double bore_mm() const { return outer_diameter_mm - 2 * wall_mm; }
  bool operator==(const TubeSize&) const = default;
};

/// Intersection point of two legs (or an end of the route). `bend_radius_mm` is 0 at the two ends.
struct RoutePoint {
  PointId id;
  Vec3 p_mm = Vec3::Zero();
  double bend_radius_mm = 0;
  /// Straight pieces the bend is welded of, those at its ends included (2: one mitre); absent: bent smooth.
  std::optional<int> pieces = {};
  bool operator==(const RoutePoint&) const = default;
};

/// Centerline in flow order: from the upstream to the downstream port.
struct Route {
  std::vector<RoutePoint> points;
  bool operator==(const Route&) const = default;
};

/// Place of a fitting: on the leg that starts at point `leg`, `offset_mm` along it from that intersection point (or,
/// when `from_end`, back from the leg's downstream point). Stays with its leg when other points move.
struct Anchor {
  PointId leg;
  double offset_mm = 0;
  bool from_end = false;
  bool operator==(const Anchor&) const = default;
};

// What sits on a route. Every length along the axis; `Anchor` marks the upstream end of fittings with a length.

/// The supplier's tube that carries the air-mass sensor.
struct SensorTube {
  double length_mm = 0;
  double sensor_offset_mm = 0;  ///< from its upstream end to the sensing element's plane
  Angle clock;                  ///< of the sensor's outward axis: from up, positive clockwise seen along the flow
  TubeSize tube;                ///< as calibrated
  std::optional<double> loss_coefficient;  ///< K of the insert on its own bore; without it the loss is not checked
  double boss_radius_mm = 0;               ///< envelope of boss and connector: cylinder of this radius...
  double boss_height_mm = 0;               ///< ...standing this far above the tube surface; 0: none
  std::optional<std::array<double, 2>> measured_bore_mm = {};  ///< least and greatest, on the tube as fitted
  bool operator==(const SensorTube&) const = default;
};

enum class HoseEnd { upstream, downstream };
std::string_view name(HoseEnd end);
/// Which way round a hose clamp is put on: where its screw's head faces, seen along the flow.
enum class ScrewSide { clockwise, counter_clockwise };
std::string_view name(ScrewSide side);

/// A clamp on one end of a hose.
struct HoseClamp {
  HoseEnd end = HoseEnd::upstream;
  catalog::ClampTypeId type;
  std::optional<Angle> screw_clock = {};  ///< of the middle of its body; absent: not decided yet
  std::optional<ScrewSide> screw_side = {};
  std::optional<double> from_hose_end_mm = {};  ///< band's edge from the end of the hose; absent: where it belongs
  std::optional<std::array<double, 2>> range_mm =
      {};  ///< diameters the size that was bought goes round, least and greatest
  bool operator==(const HoseClamp&) const = default;
};

/// The tube under one end of a hose: the raised ring that keeps the hose from slipping off, or none.
struct TubeEnd {
  HoseEnd end = HoseEnd::upstream;
  bool no_bead = false;
  double crest_mm = 0;   ///< from the tube's end to the top of the bead
  double height_mm = 0;  ///< of the bead above the tube
  double foot_mm = 0;    ///< width of the bead at the tube's surface, even on both sides of its top
  bool operator==(const TubeEnd&) const = default;
};

enum class CouplerShape { straight, hump, reducer, elbow };
/// Soft joint over a gap between two tube ends. The anchor marks the upstream tube's end (start of the gap). An elbow's
/// gap lies over one bend of the route: it starts on the anchor's leg and ends on the next one.
struct Coupler {
  CouplerShape shape = CouplerShape::straight;
  double gap_mm = 0;
  double length_mm = 0;        ///< of the hose, centred on the gap
  double wall_mm = 5;          ///< common practice, no source: 4-ply
  double hump_height_mm = 0;   ///< radial height of the hump above the hose
  double clamp_height_mm = 0;  ///< radial height of bands and screws above the hose, all round; 0: none modelled
  double axial_mm = 0;         ///< capability +-
  double lateral_mm = 0;
  Angle angle;
  std::optional<double> loss_coefficient;
  std::optional<TubeSize> to;        ///< reducer shape: tube size downstream of the gap
  std::vector<HoseClamp> clamps;     ///< empty: not stated
  std::vector<TubeEnd> tube_ends;    ///< at most one for each end; one that is absent is not stated
  catalog::HoseMaterialId material;  ///< empty: not stated
  std::optional<int> plies;
  std::optional<bool> wire;                                  ///< a coil of wire in its wall
  std::optional<Pressure> working_pressure, burst_pressure;  ///< gauge, as its maker states them
  std::optional<bool> tether;                                ///< a strap keeps its two tubes from coming apart
  std::optional<double> end_squareness_mm;                   ///< tolerance, +-: how far an end may lie out of square
  std::optional<double> length_tolerance_mm;                 ///< tolerance, +-
  std::optional<double> corrugation_mm;                      ///< pitch of its corrugations; absent: smooth inside
  bool operator==(const Coupler&) const = default;
};

/// Cone between two tube sizes; downstream of it the tube is `to`.
struct Reducer {
  double length_mm = 0;
  TubeSize to;
  bool operator==(const Reducer&) const = default;
};

/// Nipple for a branch (the breather).
struct BranchPort {
  double bore_mm = 0;
  double outer_diameter_mm = 0;
  Angle clock;
  double height_mm = 0;  ///< above the tube surface
  /// Between its axis, inward, and the flow: 90 square, less with the flow. Absent: not stated, drawn square.
  std::optional<Angle> angle = {};
  std::optional<double> intrusion_mm = {};  ///< how far it reaches into the tube's bore
  bool operator==(const BranchPort&) const = default;
};

/// Holds the tube to a body.
struct Bracket {
  bay::BodyId body;
  bool operator==(const Bracket&) const = default;
};

struct RestrictionTap {
  bool operator==(const RestrictionTap&) const = default;
};
/// Lets water out at the floor of the tube. The only fitting that may lie in a bend of its leg: its offset goes on
/// along the arc.
struct Drain {
  double bore_mm = 0;
  std::optional<bool> self_closing;  ///< shut while the engine draws; absent: not stated
  bool operator==(const Drain&) const = default;
};
struct FlowStraightener {
  double length_mm = 0;
  double loss_coefficient = 0;
  bool operator==(const FlowStraightener&) const = default;
};

using FittingKind =
    std::variant<SensorTube, Coupler, Reducer, BranchPort, Bracket, RestrictionTap, FlowStraightener, Drain>;
std::string_view kind_name(const FittingKind& kind);  ///< "sensor tube", "coupler"...

struct Fitting {
  FittingId id;
  Anchor anchor;
  FittingKind kind;
  bool operator==(const Fitting&) const = default;
};

/// Where a duct starts or ends: a port of the bay, or a fitting on another duct (the breather ends on the intake).
struct PortRef {
  bay::PortId port;  ///< empty when on a duct
  DuctId duct;
  FittingId fitting;
  bool operator==(const PortRef&) const = default;
};

/// What whoever bends the tube holds, standard uncertainties.
struct BendingTolerance {
  Angle angle;           ///< of each bend
  Angle rotation;        ///< of the turn between the planes of two bends
  double length_mm = 0;  ///< of each straight
  bool operator==(const BendingTolerance&) const = default;
};

// How outside air enters a duct that starts in the open.

/// Sharp and flush with a wall.
struct FlushEntry {
  bool operator==(const FlushEntry&) const = default;
};
/// The tube reaches into the open by half a bore or more, its edge as thick as its wall.
struct ReentrantEntry {
  bool operator==(const ReentrantEntry&) const = default;
};
/// Rounded lip.
struct Bellmouth {
  double radius_mm = 0;
  bool in_wall = false;  ///< false: it stands free, as on a snorkel
  bool operator==(const Bellmouth&) const = default;
};
/// Cone flush with a wall, its wide end outside.
struct ConeEntry {
  double length_mm = 0;
  Angle full_angle;
  bool operator==(const ConeEntry&) const = default;
};
/// A hood, a grille, a pre-cleaner: what it loses up to the duct's bore at rated flow, as its supplier states it.
struct StatedEntry {
  Pressure loss;
  bool operator==(const StatedEntry&) const = default;
};
using Entry = std::variant<FlushEntry, ReentrantEntry, Bellmouth, ConeEntry, StatedEntry>;

/// How the bent tubes are made: from one bend program, or of stock bends tacked together in place on the vehicle and
/// then welded, so that their ends are where they belong.
enum class Making { one_bend_program, tacked_in_place };
/// What the tubes are made of.
enum class Metal { steel, stainless_steel, aluminium };

/// A duct as the user (or the router) states it; everything else follows from it.
struct DuctSpec {
  DuctId id;
  std::string name;
  Service service = Service::intake;
  PortRef from, to;
  TubeSize tube;         ///< at the upstream end
  std::string material;  ///< in words, for the report
  std::optional<Metal> metal;
  std::optional<Making> made;
  Route route;
  std::vector<Fitting> fittings;
  /// Standard uncertainty of the as-built surface position, mm (declared by the shop). Absent: unknown, not 0.
  std::optional<double> bend_tolerance_mm;
  /// Standard uncertainty of where a fitting or a tube's end sits, along the tube and around it at its surface, mm.
  std::optional<double> fitting_tolerance_mm;
  /// Followed along the tube, bend by bend, this takes the place of `bend_tolerance_mm` in clearances.
  std::optional<BendingTolerance> bending;
  bool no_sensor = false;            ///< the job says that there is none; else a duct without one is not checked
  bool no_breather = false;          ///< likewise for the branch port of the breather
  std::optional<double> exposed_mm;  ///< of a breather: length of it in the wind; absent: not stated
  std::optional<bool> insulated;     ///< whether that length is; raw air, intake: all of it
  std::optional<Entry> entry = {};   ///< of a raw air duct: how the air enters it; absent: not stated
  bool operator==(const DuctSpec&) const = default;
};

}  // namespace baywright::duct
