#include "geometry/sharp_edges.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numeric>
#include <optional>
#include <unordered_map>
#include <vector>

namespace baywright {
namespace {

using Index = std::uint32_t;

constexpr double kWeld_mm = 0.01;
/// A facet lower than this has no direction of its own: float32 corners move by as much.
constexpr double kLeastHeight_mm = 1e-3;
/// Facets that turn by less are one flat face, and rounding of what turns by just the limit is not above it.
constexpr double kFlat_rad = std::numbers::pi / 180;
constexpr double kRounding_rad = kFlat_rad / 100;
/// Two facets folded upon one another: which way cannot be told from a turn of half a circle.
constexpr double kFolded_rad = std::numbers::pi - kFlat_rad;
/// Least sine between the edge and a facet's normal: what lies nearly square to the edge has no outline there.
constexpr double kLeastSine = 0.2;
/// Where along an edge its outline is looked at.
constexpr std::array kShares{0.5, 0.2, 0.8};
constexpr int kMostSteps = 64, kMostSlivers = 8;

/// Gives points within kWeld_mm of an earlier one that one's number.
class NearWeld {
 public:
  Index add(const Vec3& p) {
    const Cell lo = cell(p - Vec3::Constant(kWeld_mm)), hi = cell(p + Vec3::Constant(kWeld_mm));
    for (std::int64_t x = lo[0]; x <= hi[0]; ++x) {
      for (std::int64_t y = lo[1]; y <= hi[1]; ++y) {
        for (std::int64_t z = lo[2]; z <= hi[2]; ++z) {
          if (const auto known = in_cell({x, y, z}, p)) return *known;
        }
      }
    }
    const auto number = static_cast<Index>(points_.size());
    points_.push_back(p);
    const auto [at, is_new] = cells_.emplace(key(cell(p)), number);
    next_.push_back(is_new ? kNone : at->second);
    at->second = number;
    return number;
  }
  const std::vector<Vec3>& points() const { return points_; }

 private:
  using Cell = std::array<std::int64_t, 3>;
  static constexpr Index kNone = std::numeric_limits<Index>::max();

  std::optional<Index> in_cell(const Cell& c, const Vec3& p) const {
    const auto found = cells_.find(key(c));
    if (found == cells_.end()) return std::nullopt;
    for (Index k = found->second; k != kNone; k = next_[k]) {
      if ((points_[k] - p).squaredNorm() <= kWeld_mm * kWeld_mm) return k;
    }
    return std::nullopt;
  }
  /// Their borders lie off the round numbers that models are full of.
  static Cell cell(const Vec3& p) {
    constexpr double kCell_mm = 16 * kWeld_mm, kOff_mm = 0.37 * kCell_mm;
    const auto at = [](double x) { return static_cast<std::int64_t>(std::floor((x + kOff_mm) / kCell_mm)); };
    return {at(p.x()), at(p.y()), at(p.z())};
  }
  /// Cells that share a key only cost comparisons.
  static std::uint64_t key(const Cell& c) {
    std::uint64_t h = 0;
    for (const std::int64_t x : c) h = (h ^ static_cast<std::uint64_t>(x)) * 0x9E3779B97F4A7C15U + (h >> 29);
    return h;
  }

  std::vector<Vec3> points_;
  std::vector<Index> next_;
  std::unordered_map<std::uint64_t, Index> cells_;
};

struct Side {
  Index facet = 0;
  int edge = 0;  ///< from corner `edge` to the next one
};

/// An edge as one facet has it.
struct Half {
  std::uint64_t key = 0;  ///< both corners, the lower number first
  Side side;
  bool forward = false;  ///< from the lower number to the higher one
};

/// How far the outline has gone from an edge when it comes to a facet, and how it has turned until there.
struct Step {
  double width_mm = 0, angle_rad = 0;
};

class Finder {
 public:
  Finder(const TriMesh& mesh, const EdgeRule& rule) : rule_(rule) {
    out_.mesh.origin_mm = mesh.origin_mm;
    out_.mesh.chord_error_mm = mesh.chord_error_mm;
    weld(mesh);
    sort_halves();
    find_sides();
  }

  SharpEdges run() {
    for (std::size_t i = 0; i < halves_.size();) {
      std::size_t j = i + 1;
      while (j < halves_.size() && halves_[j].key == halves_[i].key) ++j;
      if (j - i == 1) {
        add(halves_[i]);
        ++out_.open;
      } else if (j - i == 2 ? is_sharp(halves_[i].side, halves_[i + 1].side) : any_fold(i, j)) {
        add(halves_[i]);
        ++out_.folds;
      }
      i = j;
    }
    return std::move(out_);
  }

 private:
  void weld(const TriMesh& mesh) {
    std::vector<std::optional<Index>> number(mesh.vertices.size());
    NearWeld weld;
    for (const TriMesh::Triangle& t : mesh.triangles) {
      TriMesh::Triangle corners{};
      bool finite = true;
      for (std::size_t c = 0; c < 3; ++c) {
        finite = finite && mesh.vertices[t[c]].allFinite();
        if (!finite) break;
        std::optional<Index>& n = number[t[c]];
        if (!n) n = weld.add(mesh.vertices[t[c]].cast<double>());
        corners[c] = *n;
      }
      if (!finite || corners[0] == corners[1] || corners[1] == corners[2] || corners[2] == corners[0]) continue;
      facets_.push_back(corners);
    }
    points_ = weld.points();
    for (Index f = 0; f < facets_.size(); ++f) {
      const Vec3 n = (at(f, 1) - at(f, 0)).cross(at(f, 2) - at(f, 0));
      double longest = 0;
      for (int e = 0; e < 3; ++e) longest = std::max(longest, (at(f, e + 1) - at(f, e)).norm());
      const bool sliver = n.norm() < kLeastHeight_mm * longest;
      normals_.push_back(sliver ? Vec3(Vec3::Zero()) : Vec3(n.normalized()));
    }
  }

  void sort_halves() {
    halves_.reserve(3 * facets_.size());
    for (Index f = 0; f < facets_.size(); ++f) {
      for (int e = 0; e < 3; ++e) {
        const Index a = corner(f, e), b = corner(f, e + 1);
        const auto [lo, hi] = std::minmax(a, b);
        halves_.push_back({std::uint64_t{lo} << 32 | hi, {f, e}, a < b});
      }
    }
    std::sort(halves_.begin(), halves_.end(), [](const Half& a, const Half& b) {
      return std::pair(a.key, a.side.facet) < std::pair(b.key, b.side.facet);
    });
  }

  /// Facets across edges of two, and pieces of the mesh that are closed and look outward.
  void find_sides() {
    across_.assign(facets_.size(), {});
    std::vector<Index> piece(facets_.size());
    std::iota(piece.begin(), piece.end(), Index{0});
    const auto root = [&](Index f) {
      while (piece[f] != f) f = piece[f] = piece[piece[f]];
      return f;
    };
    std::vector<Index> unbalanced;
    for (std::size_t i = 0; i < halves_.size();) {
      std::size_t j = i;
      int balance = 0;
      for (; j < halves_.size() && halves_[j].key == halves_[i].key; ++j) {
        balance += halves_[j].forward ? 1 : -1;
        const Index a = root(halves_[i].side.facet), b = root(halves_[j].side.facet);
        piece[std::max(a, b)] = std::min(a, b);
      }
      if (j - i == 2) {
        const Side one = halves_[i].side, other = halves_[i + 1].side;
        across_[one.facet][static_cast<std::size_t>(one.edge)] = other;
        across_[other.facet][static_cast<std::size_t>(other.edge)] = one;
      }
      if (balance != 0) unbalanced.push_back(halves_[i].side.facet);
      i = j;
    }
    std::vector<double> six(facets_.size(), 0);
    for (Index f = 0; f < facets_.size(); ++f) six[root(f)] += at(f, 0).dot(at(f, 1).cross(at(f, 2)));
    for (const Index f : unbalanced) six[root(f)] = 0;
    known_side_.resize(facets_.size());
    for (Index f = 0; f < facets_.size(); ++f) known_side_[f] = six[root(f)] > 0;
  }

  Index corner(Index facet, int c) const { return facets_[facet][static_cast<std::size_t>(c % 3)]; }
  const Vec3& at(Index facet, int c) const { return points_[corner(facet, c)]; }
  bool sliver(Index facet) const { return normals_[facet].isZero(0); }

  void add(const Half& half) {
    const auto put = [&](const Vec3& p) {
      out_.mesh.vertices.emplace_back(p.cast<float>());
      return static_cast<Index>(out_.mesh.vertices.size() - 1);
    };
    const Index a = put(at(half.side.facet, half.side.edge)), b = put(at(half.side.facet, half.side.edge + 1));
    out_.mesh.triangles.push_back({a, b, b});
  }

  /// The facet that the outline comes to through an edge, past slivers, which have no direction.
  std::optional<Side> past_slivers(std::optional<Side> to, const Vec3& p) const {
    for (int i = 0; to && sliver(to->facet); ++i) {
      if (i == kMostSlivers) return std::nullopt;
      to = across_[to->facet][static_cast<std::size_t>(way_through(*to, p))];
    }
    return to;
  }
  /// Through a sliver: by its longest edge, and from that one by the nearer of the two others.
  int way_through(const Side& in, const Vec3& p) const {
    int longest = 0;
    const auto length = [&](int e) { return (at(in.facet, e + 1) - at(in.facet, e)).norm(); };
    for (int e = 1; e < 3; ++e) longest = length(e) > length(longest) ? e : longest;
    if (longest != in.edge) return longest;
    const Vec3 apex = at(in.facet, in.edge + 2), from = at(in.facet, in.edge), way = at(in.facet, in.edge + 1) - from;
    return (p - apex).dot(way) > 0 ? (in.edge + 1) % 3 : (in.edge + 2) % 3;
  }

  /// Unit vector of the outline, from an edge into a facet, in the plane square to `along`; none: it has no outline.
  std::optional<Vec3> into(const Side& side, const Vec3& along) const {
    const Vec3 way = along.cross(normals_[side.facet]);
    const double sine = way.norm();
    if (sine < kLeastSine) return std::nullopt;
    const Vec3 from = at(side.facet, side.edge);
    const Vec3 edge = (at(side.facet, side.edge + 1) - from).normalized();
    const Vec3 apex = at(side.facet, side.edge + 2) - from;
    return Vec3((way.dot(apex - apex.dot(edge) * edge) < 0 ? -1 : 1) / sine * way);
  }

  static double turn(const Vec3& from, const Vec3& to, const Vec3& axis) {
    return std::atan2(axis.dot(from.cross(to)), from.dot(to));
  }

  /// The outline from point p of an edge on, as far as a turn may reach.
  void follow(Side side, Vec3 p, const Vec3& along, const Vec3& axis, double angle, std::vector<Step>& steps) const {
    const double most = std::numbers::pi * rule_.radius_mm, level = along.dot(p);
    std::optional<Vec3> way = into(side, along);
    double width = 0;
    for (int i = 0; way && i < kMostSteps; ++i) {
      steps.push_back({width, angle});
      const auto height = [&](int c) { return along.dot(at(side.facet, side.edge + c)) - level; };
      const bool with_first = (height(2) > 0) == (height(0) > height(1));
      const int exit = with_first ? 1 : 2;  // the apex lies on the first corner's side: out between the second and it
      const double h0 = height(exit), h1 = height(exit + 1);
      const double share = h0 == h1 ? 0.5 : std::clamp(h0 / (h0 - h1), 0.0, 1.0);
      const Vec3 a = at(side.facet, side.edge + exit), b = at(side.facet, side.edge + exit + 1);
      const Vec3 out = a + share * (b - a);
      width += (out - p).norm();
      if (width >= most) return;
      const int edge = (side.edge + exit) % 3;
      const auto next = past_slivers(across_[side.facet][static_cast<std::size_t>(edge)], out);
      if (!next) return;
      const std::optional<Vec3> on = into(*next, along);
      if (!on) return;
      angle += turn(*way, *on, axis);
      way = on;
      side = *next;
      p = out;
    }
  }

  /// The fold of two facets along an edge, positive: towards the material of the first.
  struct Fold {
    Vec3 axis;
    double angle_rad = 0;
  };
  std::optional<Fold> fold(const Side& one, const Side& other, const Vec3& along) const {
    const auto left = into(one, along), right = into(other, along);
    if (!left || !right) return std::nullopt;
    const Vec3 axis = normals_[one.facet].cross(-*left).normalized();
    return Fold{axis, turn(-*left, *right, axis)};
  }
  bool turns_enough(double angle_rad, bool known_side) const {
    return (known_side ? angle_rad : std::abs(angle_rad)) > rule_.turn_rad + kRounding_rad;
  }
  bool is_fold(double angle_rad, bool known_side) const {
    return turns_enough(angle_rad, known_side) || std::abs(angle_rad) > kFolded_rad;
  }

  bool is_sharp(const Side& one, const Side& other) const {
    const Vec3 from = at(one.facet, one.edge), way = at(one.facet, one.edge + 1) - from;
    const Vec3 along = way.normalized();
    const bool known = known_side_[one.facet];
    return std::any_of(kShares.begin(), kShares.end(), [&](double share) {
      const Vec3 p = from + share * way;
      const auto left = past_slivers(one, p), right = past_slivers(other, p);
      if (!left || !right) return true;  // nobody can tell how it turns there
      const auto here = fold(*left, *right, along);
      if (!here) return false;
      if (is_fold(here->angle_rad, known)) return true;
      if (std::abs(here->angle_rad) < kFlat_rad) return false;
      std::vector<Step> before, behind;
      follow(*left, p, along, here->axis, 0, before);
      follow(*right, p, along, here->axis, here->angle_rad, behind);
      for (const Step& a : before) {
        for (const Step& b : behind) {
          const double angle = b.angle_rad - a.angle_rad;
          if (turns_enough(angle, known) && a.width_mm + b.width_mm < rule_.radius_mm * std::abs(angle)) return true;
        }
      }
      return false;
    });
  }

  bool any_fold(std::size_t from, std::size_t to) const {
    for (std::size_t i = from; i < to; ++i) {
      for (std::size_t j = i + 1; j < to; ++j) {
        const Side one = halves_[i].side, other = halves_[j].side;
        const bool known = known_side_[one.facet];
        if (sliver(one.facet) || sliver(other.facet)) continue;
        if (known && halves_[i].forward == halves_[j].forward) continue;
        const auto here = fold(one, other, (at(one.facet, one.edge + 1) - at(one.facet, one.edge)).normalized());
        // Two that lie upon one another are of two bodies that touch.
        if (here && std::abs(here->angle_rad) < kFolded_rad && turns_enough(here->angle_rad, known)) return true;
      }
    }
    return false;
  }

  const EdgeRule rule_;
  std::vector<Vec3> points_;
  std::vector<TriMesh::Triangle> facets_;
  std::vector<Vec3> normals_;  ///< zero: a sliver
  std::vector<Half> halves_;
  std::vector<std::array<std::optional<Side>, 3>> across_;
  std::vector<bool> known_side_;
  SharpEdges out_;
};

}  // namespace

SharpEdges sharp_edges(const TriMesh& mesh, const EdgeRule& rule) { return Finder(mesh, rule).run(); }

}  // namespace baywright
