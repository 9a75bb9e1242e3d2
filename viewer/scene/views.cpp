#include "viewer/scene/views.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include <Eigen/Geometry>

#include "measure/clearance_measure.hpp"
#include "viewer/scene/palette.hpp"
#include "viewer/scene/sight.hpp"

namespace baywright::viewer {

namespace {

using View = report::PictureRequest::View;

Vec3 up_for(const Vec3& toward) { return std::abs(toward.z()) > 0.95 ? Vec3(Vec3::UnitX()) : Vec3(Vec3::UnitZ()); }

/// Extent of points in the picture plane and along the line of sight.
struct Frame {
  Vec3 right, up, toward;
  Aabb box;  ///< x right, y up, z toward the eye
  explicit Frame(const Vec3& toward_eye) : toward(toward_eye) {
    right = up_for(toward).cross(toward).normalized();
    up = toward.cross(right);
  }
  void grow(const Vec3& p) { box.grow(Vec3(right.dot(p), up.dot(p), toward.dot(p))); }
  Vec3 world(const Vec3& q) const { return q.x() * right + q.y() * up + q.z() * toward; }
};

/// A point of a duct's surface turned to the eye, and the radius there.
struct Sample {
  Vec3 axis;
  double radius_mm;
};

std::vector<Sample> duct_samples(const job::Installation& installation, const PosedState& state) {
  constexpr double kStep_mm = 20;
  std::vector<Sample> samples;
  for (const auto& duct : installation.ducts) {
    const int count = std::max(2, static_cast<int>(std::ceil(duct.layout.length_mm / kStep_mm)));
    for (int i = 0; i <= count; ++i) {
      const double s = duct.layout.length_mm * i / count;
      samples.push_back({posed_station(installation, duct, s, state), duct.layout.tube_at(s).outer_diameter_mm / 2});
    }
  }
  return samples;
}

void grow_by_samples(Frame& frame, const std::vector<Sample>& samples) {
  for (const auto& sample : samples) {
    frame.grow(sample.axis + sample.radius_mm * Vec3::Ones());
    frame.grow(sample.axis - sample.radius_mm * Vec3::Ones());
  }
}

void grow_by_bounds(Frame& frame, const Aabb& box) {
  if (box.empty()) return;
  for (int i = 0; i < 8; ++i)
    frame.grow({i & 1 ? box.hi.x() : box.lo.x(), i & 2 ? box.hi.y() : box.lo.y(), i & 4 ? box.hi.z() : box.lo.z()});
}

Shot framed(const Frame& frame, double aspect, double margin, double around_mm) {
  Shot shot;
  shot.toward = frame.toward;
  shot.up = frame.up;
  shot.focal_mm = frame.world(frame.box.center());
  const Vec3 size = frame.box.size();
  shot.half_height_mm = 0.5 * std::max(size.y(), size.x() / aspect) * margin + around_mm;
  shot.direction = direction_words(frame.toward);
  return shot;
}

/// Outlines a solid part; cuts a scan in front of depth `keep_mm` (along the line of sight).
void take_away(Shot& shot, const job::Installation& installation, int part, double keep_mm) {
  const auto& one = installation.bay.parts[static_cast<std::size_t>(part)];
  if (is_scan(one) && one.part_class != bay::PartClass::bonnet)
    shot.cuts.push_back({part, keep_mm * shot.toward, -shot.toward});
  else
    shot.outlined.push_back(part);
}

/// Evenly spread unit vectors (golden-angle spiral), not from far below.
std::vector<Vec3> directions() {
  constexpr int kCount = 300;
  constexpr double kLowest = -0.35;
  std::vector<Vec3> all;
  for (int i = 0; i < kCount; ++i) {
    const double z = 1 - 2 * (i + 0.5) / kCount;
    if (z < kLowest) break;
    const double turn = i * std::numbers::pi * (3 - std::sqrt(5.0));
    const double r = std::sqrt(1 - z * z);
    all.emplace_back(r * std::cos(turn), r * std::sin(turn), z);
  }
  return all;
}

/// Points that must be seen of a place, from the one most wanted on.
std::vector<Vec3> points_to_see(const job::Installation& installation, const Place& place, const Vec3& toward) {
  if (place.on_duct_mm && place.on_other_mm) {
    const Vec3 a = *place.on_duct_mm, w = *place.on_other_mm - *place.on_duct_mm;
    if (place.interferes) return {*place.on_other_mm, *place.on_duct_mm};
    return {a + 0.5 * w, a + 0.12 * w, a + 0.88 * w};
  }
  double radius_mm = 0;
  if (place.piece.duct >= 0)
    radius_mm =
        installation.ducts[static_cast<std::size_t>(place.piece.duct)].layout.upstream_tube.outer_diameter_mm / 2;
  return {place.focus_mm + (1.3 * radius_mm + 2) * toward};
}

double view_size_mm(const job::Installation& installation, const Place& place) {
  double od_mm = 60;
  if (place.piece.duct >= 0)
    od_mm = installation.ducts[static_cast<std::size_t>(place.piece.duct)].layout.upstream_tube.outer_diameter_mm;
  const double witness_mm =
      place.on_duct_mm && place.on_other_mm ? (*place.on_other_mm - *place.on_duct_mm).norm() : 0.0;
  return std::max(1.2 * od_mm, 2.2 * witness_mm);
}

/// Piece a value was measured on. Tubes end under their couplers: where several cover the station the one whose
/// distance it is.
int measured_piece(const job::Installation& installation, const Place& place, const measure::Measured& measured) {
  constexpr double kEnds_mm = 1;  // a witness on a rim may lie just beyond the piece's last station
  const auto& duct = installation.ducts[static_cast<std::size_t>(place.piece.duct)];
  int best = piece_at(duct.layout, *measured.station_mm);
  if (!measured.witness || place.part < 0) return best;
  double least = std::numeric_limits<double>::infinity();
  for (int i = 0; i < static_cast<int>(duct.layout.pieces.size()); ++i) {
    const auto& piece = duct.layout.pieces[static_cast<std::size_t>(i)];
    if (*measured.station_mm < piece.station_from_mm - kEnds_mm ||
        *measured.station_mm > piece.station_to_mm + kEnds_mm)
      continue;
    const auto here = measure::clearance_at_pose(installation.bay, duct, i, place.part, place.state, {});
    if (!here || std::abs(here->hi - measured.hi) >= least) continue;
    least = std::abs(here->hi - measured.hi);
    best = i;
  }
  return best;
}

}  // namespace

std::string direction_words(const Vec3& toward) {
  constexpr double kNamed = 0.38;  // a direction is named when it lies within about 68 degrees of the axis
  std::string plan;
  if (std::abs(toward.x()) > kNamed) plan = toward.x() > 0 ? "front" : "rear";
  if (std::abs(toward.y()) > kNamed) {
    if (!plan.empty()) plan += ' ';
    plan += toward.y() > 0 ? "left" : "right";
  }
  if (std::abs(toward.z()) <= kNamed) return plan.empty() ? "from the side" : "from the " + plan;
  const std::string height = toward.z() > 0 ? "from above" : "from below";
  return plan.empty() ? height : height + ", " + plan;
}

std::optional<Place> place_of(const job::Installation& installation, const checks::Finding& finding) {
  const auto* measured = std::get_if<measure::Measured>(&finding.outcome);
  if (measured == nullptr) return std::nullopt;
  Place place;
  place.state = measured->pose.value_or(at_rest(installation));
  place.piece.duct = find_duct(installation, finding.duct);
  if (finding.part) place.part = find_part(installation, *finding.part);
  const bool has_duct = place.piece.duct >= 0;
  if (has_duct && measured->station_mm) {
    const auto& duct = installation.ducts[static_cast<std::size_t>(place.piece.duct)];
    place.piece.piece = measured_piece(installation, place, *measured);
    place.focus_mm = posed_station(installation, duct, *measured->station_mm, place.state);
  }
  if (measured->at_mm) place.focus_mm = *measured->at_mm;
  if (measured->witness) {
    place.on_duct_mm = measured->witness->on_duct_mm;
    place.on_other_mm = measured->witness->on_other_mm;
    place.focus_mm = 0.5 * (*place.on_duct_mm + *place.on_other_mm);
    place.interferes = measured->unit == Unit::mm && measured->hi < 0;
  } else if (!measured->at_mm && !(has_duct && measured->station_mm)) {
    return std::nullopt;
  }
  return place;
}

Shot whole_bay(const job::Installation& installation, const Vec3& toward, double aspect) {
  Frame frame(toward.normalized());
  for (const auto& part : installation.bay.parts) grow_by_bounds(frame, part.tree.bounds());
  for (const auto& duct : installation.ducts)
    for (const auto& piece : duct.layout.pieces)
      for (const auto& primitive : piece.shapes) grow_by_bounds(frame, bounds(primitive.shape));
  if (frame.box.empty()) frame.grow(Vec3::Zero());
  return framed(frame, aspect, 1.06, 10);
}

Shot ducts_framed(const job::Installation& installation, const Vec3& toward, double aspect, const PosedState& state) {
  const auto samples = duct_samples(installation, state);
  if (samples.empty()) return whole_bay(installation, toward, aspect);
  Frame frame(toward.normalized());
  grow_by_samples(frame, samples);
  return framed(frame, aspect, 1.25, 90);
}

std::vector<int> covering_parts(const job::Installation& installation, const Vec3& toward, const PosedState& state) {
  constexpr double kMuchHidden = 0.02;  // share of the ducts' length a part may cover
  const auto samples = duct_samples(installation, state);
  const Sight sight(installation, state);
  std::vector<int> covered(installation.bay.parts.size(), 0), covering;
  for (const auto& sample : samples)
    for (const int part : sight.parts_hit(sample.axis + (sample.radius_mm + 3) * toward, toward))
      ++covered[static_cast<std::size_t>(part)];
  for (std::size_t i = 0; i < covered.size(); ++i)
    if (covered[i] > kMuchHidden * static_cast<double>(samples.size()) ||
        installation.bay.parts[i].part_class == bay::PartClass::bonnet)
      covering.push_back(static_cast<int>(i));
  return covering;
}

namespace {

/// From the front and above, from the side that sees more of the ducts.
Vec3 oblique_direction(const job::Installation& installation, const PosedState& state) {
  const auto samples = duct_samples(installation, state);
  const Sight sight(installation, state);
  const auto hides = [&](int part) {
    return installation.bay.parts[static_cast<std::size_t>(part)].part_class != bay::PartClass::bonnet;
  };
  Vec3 best = Vec3(0.75, 0.55, 0.75).normalized();
  int most = -1;
  for (const double side : {0.55, -0.55}) {
    const Vec3 toward = Vec3(0.75, side, 0.75).normalized();
    int seen = 0;
    for (const auto& sample : samples) {
      const auto hit = sight.parts_hit(sample.axis + (sample.radius_mm + 3) * toward, toward);
      seen += std::none_of(hit.begin(), hit.end(), hides);
    }
    if (seen <= most) continue;
    most = seen;
    best = toward;
  }
  return best;
}

}  // namespace

Shot standard_view(const job::Installation& installation, View view, double aspect, const PosedState& state) {
  const Vec3 toward = view == View::from_top     ? Vec3(Vec3::UnitZ())
                      : view == View::from_front ? Vec3(Vec3::UnitX())
                      : view == View::oblique    ? oblique_direction(installation, state)
                                                 : Vec3(Vec3::UnitY());
  Shot shot = ducts_framed(installation, toward, aspect, state);
  const auto samples = duct_samples(installation, state);
  if (samples.empty()) return shot;
  Frame frame(toward);
  grow_by_samples(frame, samples);
  for (const int part : covering_parts(installation, toward, state)) {
    // An oblique view shows the bay as it is; nobody looks into it through a closed bonnet.
    const bool bonnet = installation.bay.parts[static_cast<std::size_t>(part)].part_class == bay::PartClass::bonnet;
    if (view != View::oblique || bonnet) take_away(shot, installation, part, frame.box.hi.z() + 10);
  }
  return shot;
}

Shot close_up(const job::Installation& installation, const Place& place, double aspect) {
  const Sight sight(installation, place.state);
  const bool has_line = place.on_duct_mm && place.on_other_mm;
  Vec3 line = Vec3::Zero();
  if (has_line && (*place.on_other_mm - *place.on_duct_mm).norm() > 1e-6)
    line = (*place.on_other_mm - *place.on_duct_mm).normalized();

  // Nobody looks into a closed bay: bonnets are out of the way unless they are what it is about.
  const auto in_the_way = [&](int part) {
    return part != place.part &&
           installation.bay.parts[static_cast<std::size_t>(part)].part_class != bay::PartClass::bonnet;
  };
  // Ducts hidden by nothing else may hide themselves; overlapping pairs are drawn see-through, so there they do not.
  const auto hidden_share = [&](const Vec3& toward) {
    const auto points = points_to_see(installation, place, toward);
    double hidden = 0;
    for (const auto& p : points) {
      const Vec3 start = p + 0.05 * toward;
      bool blocked = !place.interferes && has_line && sight.duct_hit(start, toward);
      for (const int part : sight.parts_hit(start, toward))
        blocked = blocked || in_the_way(part) || (part == place.part && !place.interferes);
      hidden += blocked;
    }
    return hidden / static_cast<double>(points.size());
  };
  // Surroundings that must not be covered: a ring in the picture plane around the place.
  const double ring_mm = 0.5 * view_size_mm(installation, place);
  const auto covered_share = [&](const Vec3& toward) {
    constexpr int kRays = 8;
    const Frame frame(toward);
    int covered = 0;
    for (int i = 0; i < kRays; ++i) {
      const double t = 2 * std::numbers::pi * i / kRays;
      const Vec3 p = place.focus_mm + ring_mm * (std::cos(t) * frame.right + std::sin(t) * frame.up);
      bool blocked = false;
      for (const int part : sight.parts_hit(p, toward)) blocked = blocked || in_the_way(part);
      covered += blocked;
    }
    return static_cast<double>(covered) / kRays;
  };
  Vec3 best = Vec3::UnitY();
  double best_score = -1e9;
  for (const auto& toward : directions()) {
    const double across = 1 - std::pow(line.dot(toward), 2);  // 1: line square to the line of sight
    const double height = 1 - std::abs(toward.z() - 0.45);    // a person looks slightly down
    const double score = -4 * hidden_share(toward) - 1.5 * covered_share(toward) + 2.5 * across + 0.6 * height;
    if (score > best_score) {
      best_score = score;
      best = toward;
    }
  }
  Frame frame(best);
  frame.grow(place.focus_mm);
  Shot shot = framed(frame, aspect, 1, view_size_mm(installation, place));
  for (int i = 0; i < static_cast<int>(installation.bay.parts.size()); ++i)
    if (i != place.part && !in_the_way(i)) shot.outlined.push_back(i);
  for (const auto& p : points_to_see(installation, place, best)) {
    for (const int part : sight.parts_hit(p + 0.05 * best, best)) {
      const bool known = std::find(shot.outlined.begin(), shot.outlined.end(), part) != shot.outlined.end() ||
                         std::any_of(shot.cuts.begin(), shot.cuts.end(), [&](const Cut& c) { return c.part == part; });
      if (!known && part != place.part) take_away(shot, installation, part, best.dot(place.focus_mm) + 5);
    }
  }
  return shot;
}

}  // namespace baywright::viewer
