#include "routing/make_search.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "routing/angle_steps.hpp"
#include "routing/course_fit.hpp"

namespace baywright::routing {
namespace {

/// Margin from which a tube alone is worth trying with its fittings and the motion.
constexpr double kWorthTrying_mm = -4;
/// Margin from which other radii at its bends are worth trying.
constexpr double kWorthMixing_mm = -15;
/// Courses settled with another radius at one bend, in one round at most.
constexpr int kMixesInARound = 40;
/// Margin by which what goes to the full check is inside every clearance as the search takes it: more than the width
/// of a bracket.
constexpr double kInside_mm = 0.3;
constexpr double kWindow_mm = 8;
constexpr std::size_t kMostAlmost = 3;
/// Room that settling a bare tube aims at beyond what it needs, for hoses, clamps and the motion.
constexpr double kBareTarget_mm = 3;

/// Whether a corridor keeps near another one all along.
bool same_way(const Corridor& known, const Corridor& way) {
  constexpr double kNear_mm = 25;
  return std::all_of(way.begin(), way.end(), [&](const Vec3& p) {
    return std::any_of(known.begin(), known.end(), [&](const Vec3& q) { return (p - q).norm() < kNear_mm; });
  });
}

/// Asks the longest straight to grow by what is lacking.
void lengthen(const Course& course, double lacks_mm, std::vector<double>& least) {
  const CourseShape shape = shape_of(course);
  std::size_t longest = 0;
  for (std::size_t i = 0; i < shape.legs.size(); ++i) {
    if (shape.legs[i].spare_mm > shape.legs[longest].spare_mm) longest = i;
  }
  constexpr double kMore_mm = 2;
  least[longest] = std::max(shape.legs[longest].spare_mm, 0.0) + lacks_mm + kMore_mm;
}

}  // namespace

bool sooner(const Ready& a, const Ready& b) {
  const bool room_a = a.margin_mm >= 0, room_b = b.margin_mm >= 0;
  if (room_a != room_b) return room_a;
  if (!room_a) return a.margin_mm > b.margin_mm;
  if (a.bends != b.bends) return a.bends < b.bends;
  return a.cost_mm < b.cost_mm;
}

MakeSearch::MakeSearch(const job::Installation& installation, const PartEdges& edges, const Make& make,
                       const PreferredRegions& preferred, unsigned seed, const Progress& progress)
    : installation_(installation),
      edges_(edges),
      make_(make),
      need_(make.need),
      preferred_(preferred),
      locked_(locked_run(installation.job.routing, make.olds.front().spec)),
      seed_(seed),
      progress_(progress),
      room_(installation.bay, make.olds.front().spec, make.need) {}

SeedOptions MakeSearch::seed_options() const {
  SeedOptions o;
  o.radius_mm = need_.bend_radius_mm;
  o.diameter_mm = need_.outer_diameter_mm;
  o.least_straight_mm = need_.least_straight_mm;
  o.last_straight_mm = std::max(need_.fittings.before_end_mm, need_.end_straight_mm);
  o.most_turning_rad = need_.most_turning ? need_.most_turning->si() : 0;
  return o;
}

Freedom MakeSearch::freedom_of(const Course& course) const {
  if (locked_.empty()) return {room_.from(), room_.to(), course.bends()};
  std::vector<char> fixed;
  for (std::size_t bend = 0; bend + 2 < course.points.size(); ++bend)
    fixed.push_back(bend_is_locked(course, bend) ? 1 : 0);
  return {room_.from(), room_.to(), course.bends(), std::move(fixed)};
}

bool MakeSearch::bend_is_locked(const Course& course, std::size_t bend) const {
  return locked_.has(course.points[bend + 1]);
}

std::vector<Seed> MakeSearch::locked_courses(int number, double accept_mm) {
  LockedOptions options;
  options.seeds = seed_options();
  options.seeds.accept_mm = accept_mm;
  options.most_bends = need_.most_bends;
  std::mt19937 random(seed_ + static_cast<unsigned>(number));
  return locked_seeds(room_, locked_, options, random);
}

std::vector<Ready> MakeSearch::through_locked(int number) { return prepared(locked_courses(number, accept_mm())); }

std::vector<Ready> MakeSearch::few_bends() {
  if (!locked_.empty()) return through_locked(0);
  std::vector<Seed> seeds;
  for (int bends = 0; bends <= std::min(need_.most_bends, 1); ++bends) {
    if (auto course = only_course(room_.from(), room_.to(), bends, need_.bend_radius_mm)) {
      seeds.push_back({*course, 0});
    }
  }
  if (need_.most_bends >= 2) {
    for (Seed& seed : two_bend_seeds(room_, seed_options())) seeds.push_back(std::move(seed));
  }
  return prepared(seeds);
}

double MakeSearch::cost_mm(const CourseShape& shape) const {
  constexpr double kOfPreferred = 0.5;  // a length there counts as half of it
  return equivalent_length_mm(shape, need_.outer_diameter_mm) - kOfPreferred * preferred_.length_inside_mm(shape);
}

/// Room that a grown course may lack: settling mends only so much, and it has to be less than the tube needs.
double MakeSearch::accept_mm() const {
  constexpr double kMost_mm = 12, kShareOfRadius = 0.4;
  return -std::min(kMost_mm, kShareOfRadius * room_.tube_radius_mm());
}

std::vector<Ready> MakeSearch::grown(int number) {
  if (!locked_.empty()) return through_locked(number + 1);
  // Courses of two bends were all tried without growing.
  if (need_.most_bends < 3 || !connected_) return {};
  if (!field_) field_.emplace(room_, room_.neighbourhood());
  const bool backwards = number % 2 == 1;
  std::optional<WayLeft>& left = backwards ? left_to_start_ : left_to_end_;
  if (!left) {
    constexpr double kBeyond = 1.5;
    const CourseEnd &from = backwards ? room_.to() : room_.from(), &to = backwards ? room_.from() : room_.to();
    left.emplace(*field_, from, to, accept_mm(), kBeyond, progress_);
    connected_ = left->connects();
    if (!connected_) return {};
  }
  GrowOptions options;
  options.seeds = seed_options();
  options.seeds.accept_mm = accept_mm();
  options.most_bends = need_.most_bends;
  options.turned = seed_ + static_cast<unsigned>(number / 2);
  options.backwards = backwards;
  if (number >= 2) options.kept *= 2;
  if (number / 2 % 2 == 1) options.quarter_mm = 200;
  std::vector<Seed> seeds = grown_seeds(*field_, *left, options, progress_);
  // Where a way is so narrow that none of the directions follows it, twice as many may.
  if (seeds.empty()) {
    options.directions *= 2;
    seeds = grown_seeds(*field_, *left, options, progress_);
  }
  return prepared(seeds);
}

void MakeSearch::let_go() {
  left_to_end_.reset();
  left_to_start_.reset();
  field_.reset();
}

/// Courses of fewest bends first.
std::vector<Ready> MakeSearch::corridor(int number) {
  if (!locked_.empty()) return {};
  CorridorOptions options;
  // In turn: ways that a route may have to find more room in, and ways with room.
  const double accept[] = {-5, 1, -9};
  options.accept_mm = accept[number % 3];
  options.bend_radius_mm = need_.bend_radius_mm;
  Corridor way = find_corridor(room_, used_, options, progress_);
  if (way.empty()) return {};
  if (std::any_of(used_.begin(), used_.end(), [&](const Corridor& used) { return same_way(used, way); })) return {};
  ++corridors_;
  std::vector<Seed> seeds;
  for (int bends = 2; bends <= need_.most_bends; ++bends) {
    const auto course =
        fit_course(way, room_.from(), room_.to(), {bends, need_.bend_radius_mm, need_.least_straight_mm});
    if (course) seeds.push_back({*course, 0});
  }
  used_.push_back(std::move(way));
  return prepared(seeds);
}

std::vector<Ready> MakeSearch::prepared(const std::vector<Seed>& seeds) {
  mixes_left_ = kMixesInARound;
  std::vector<Ready> ready;
  for (const Seed& seed : seeds) {
    if (progress_.cancelled()) break;
    if (auto one = prepare(seed.course)) ready.push_back(std::move(*one));
  }
  std::stable_sort(ready.begin(), ready.end(), sooner);
  return ready;
}

/// Straights between bends as if no hose cut them, and those at the ends.
std::vector<double> MakeSearch::least_straights(const Course& course) const {
  std::vector<double> least(course.points.size() - 1, need_.least_straight_mm);
  least.front() = std::max(need_.end_straight_mm, 1.0);
  least.back() = std::max({need_.fittings.before_end_mm, need_.end_straight_mm, 1.0});
  return least;
}

std::optional<Ready> MakeSearch::prepare(const Course& start) {
  ++tried_;
  const Freedom freedom = freedom_of(start);
  SettleOptions bare{kBareTarget_mm, kWindow_mm, 25, least_straights(start)};
  const ContactsOf tube = [this](const Course& c) { return room_.contacts(shape_of(c), kBareTarget_mm + kWindow_mm); };
  Settled settled = with_other_radii(settle(start, freedom, tube, bare, progress_), freedom, tube, bare);
  if (need_.angle_step.si() > 0) {
    bare.angle_step_rad = need_.angle_step.si();
    settled = settle(settled.course, freedom, tube, bare, progress_);
    if (settled.margin_mm <= kNoAngles_mm) return std::nullopt;
  }
  const Trial trial = try_lengthened(settled, freedom, tube, bare);
  if (!trial.duct) return std::nullopt;
  if (settled.margin_mm < kWorthTrying_mm) {
    keep_almost(ready_of(settled.course, settled.margin_mm, *trial.duct));
    return std::nullopt;
  }
  return with_fittings(settled.course);
}

/// Fittings may ask for longer straights than the tube alone.
Trial MakeSearch::try_lengthened(Settled& settled, const Freedom& freedom, const ContactsOf& contacts,
                                 SettleOptions& options) {
  Trial trial = try_course(installation_, make_.olds, need_, settled.course);
  for (int attempt = 0; attempt < 3 && !trial.duct && trial.lacks_mm > 0 && freedom.count() > 0; ++attempt) {
    lengthen(settled.course, trial.lacks_mm, options.least_straight_mm);
    settled = settle(settled.course, freedom, contacts, options, progress_);
    trial = try_course(installation_, make_.olds, need_, settled.course);
  }
  return trial;
}

std::optional<Ready> MakeSearch::mended(const Course& drawn) {
  if (!locked_.is_in(drawn)) return std::nullopt;
  ++tried_;
  const Freedom freedom = freedom_of(drawn);
  Course course = freedom.on_axes(drawn, 1);
  constexpr double kRounding = 1e-9;
  for (std::size_t bend = 0; bend + 2 < course.points.size(); ++bend) {
    if (course.radius_of(bend) < need_.least_radius_mm * (1 - kRounding) && !bend_is_locked(course, bend))
      course = course.with_radius(bend, need_.bend_radius_mm);
  }
  SettleOptions bare{kInside_mm, kWindow_mm, 25, least_straights(course)};
  const ContactsOf tube = [this](const Course& c) { return room_.contacts(shape_of(c), kInside_mm + kWindow_mm); };
  Settled settled = settle(course, freedom, tube, bare, progress_);
  const Trial trial = try_lengthened(settled, freedom, tube, bare);
  if (!trial.duct) return std::nullopt;
  return with_fittings(settled.course);
}

bool MakeSearch::may_have(const Course& course) const {
  const std::set<double> radii(course.radii_mm.begin(), course.radii_mm.end());
  return static_cast<int>(radii.size()) <= need_.most_radii;
}

/// Another radius at one bend after the other, where that gives a course the room it lacks.
Settled MakeSearch::with_other_radii(Settled settled, const Freedom& freedom, const ContactsOf& contacts,
                                     const SettleOptions& options) {
  if (settled.margin_mm < kWorthMixing_mm || need_.most_radii < 2) return settled;
  constexpr double kGain_mm = 0.2;
  for (std::size_t bend = 0; bend + 2 < settled.course.points.size(); ++bend) {
    if (bend_is_locked(settled.course, bend)) continue;
    for (const double radius : need_.radii_mm) {
      if (settled.margin_mm >= options.target_mm || mixes_left_ <= 0 || progress_.cancelled()) return settled;
      const Course course = settled.course.with_radius(bend, radius);
      if (radius == settled.course.radius_of(bend) || !may_have(course)) continue;
      --mixes_left_;
      Settled other = settle(course, freedom, contacts, options, progress_);
      if (other.margin_mm > settled.margin_mm + kGain_mm) settled = std::move(other);
    }
  }
  return settled;
}

/// The few courses that lack least room, for near-misses.
void MakeSearch::keep_almost(std::optional<Ready> one) {
  if (!one) return;
  almost_.push_back(std::move(*one));
  std::stable_sort(almost_.begin(), almost_.end(), sooner);
  if (almost_.size() > kMostAlmost) almost_.resize(kMostAlmost);
}

void MakeSearch::try_as_they_are(const std::vector<Course>& courses) {
  for (const Course& course : courses) {
    const Freedom freedom = freedom_of(course);
    std::optional<Course> made = course;
    if (need_.angle_step.si() > 0) {
      made.reset();
      for (const auto& angles : angles_on_steps(shape_of(course).angles_rad(), need_.angle_step.si())) {
        if (!made) made = with_angles(course, freedom, angles);
      }
    }
    if (!made) continue;
    const Trial trial = try_course(installation_, make_.olds, need_, *made);
    const double margin = least_margin(room_.contacts(shape_of(*made), kWindow_mm), kWindow_mm);
    if (trial.duct) keep_almost(ready_of(*made, margin, *trial.duct));
  }
}

void MakeSearch::through_everything() {
  if (!locked_.empty()) {
    std::vector<Course> through;
    for (const Seed& seed : locked_courses(0, -1e9)) through.push_back(seed.course);
    try_as_they_are(through);
    return;
  }
  CorridorOptions options;
  options.bend_radius_mm = need_.bend_radius_mm;
  options.accept_mm = -1e9;  // through everything, at a price
  options.haste = 2.5;
  const Corridor way = find_corridor(room_, {}, options, progress_);
  std::vector<Course> courses;
  // As they follow the corridor: settling what has no room pushes it out of all shape.
  for (int bends = 2; bends <= std::max(need_.most_bends, 2) && !way.empty(); ++bends) {
    const auto course =
        fit_course(way, room_.from(), room_.to(), {bends, need_.bend_radius_mm, need_.least_straight_mm});
    if (course) courses.push_back(*course);
  }
  try_as_they_are(courses);
  if (!almost_.empty()) return;
  // Whatever is in the way: ducts of few bends that could be made.
  SeedOptions any = seed_options();
  any.accept_mm = -1e9;
  std::mt19937 random(seed_);
  courses.clear();
  for (const Seed& seed : two_bend_seeds(room_, any)) courses.push_back(seed.course);
  for (const Seed& seed : three_bend_seeds(room_, any, random, 1000)) courses.push_back(seed.course);
  try_as_they_are(courses);
}

std::optional<Ready> MakeSearch::ready_of(const Course& course, double margin_mm, const duct::Duct& duct) const {
  if (!keeps_stock(duct.layout, need_)) return std::nullopt;
  const CourseShape shape = shape_of(course);
  return Ready{course, duct.spec, margin_mm, cost_mm(shape), course.bends()};
}

std::optional<Ready> MakeSearch::with_fittings(const Course& course) const {
  const Freedom freedom = freedom_of(course);
  SettleOptions options{kInside_mm, kWindow_mm, 15, least_straights(course)};
  options.angle_step_rad = need_.angle_step.si();
  const ContactsOf contacts =
      contacts_of_duct(installation_, edges_, make_.olds, need_, room_, kInside_mm + kWindow_mm, progress_);
  const Settled settled = settle(course, freedom, contacts, options, progress_);
  const Trial trial = try_course(installation_, make_.olds, need_, settled.course);
  if (!trial.duct) return std::nullopt;
  return ready_of(settled.course, settled.margin_mm, *trial.duct);
}

/// A course with one coordinate, or the radius of one bend, changed.
std::vector<Course> MakeSearch::neighbours(const Course& course, const Freedom& freedom, double step_mm) const {
  std::vector<Course> out;
  for (int k = 0; k < 2 * freedom.count(); ++k) {
    const double by = k % 2 == 0 ? step_mm : -step_mm;
    out.push_back(freedom.on_axes(freedom.moved(course, by * Eigen::VectorXd::Unit(freedom.count(), k / 2)), 1));
  }
  for (std::size_t bend = 0; bend + 2 < course.points.size(); ++bend) {
    if (bend_is_locked(course, bend)) continue;
    for (const double radius : need_.radii_mm) {
      Course other = course.with_radius(bend, radius);
      if (radius != course.radius_of(bend) && may_have(other)) out.push_back(std::move(other));
    }
  }
  if (need_.angle_step.si() <= 0) return out;
  const auto angles = shape_of(course).angles_rad();
  std::vector<Course> kept;
  for (const Course& other : out) {
    if (auto back = with_angles(other, freedom, angles)) kept.push_back(std::move(*back));
  }
  return kept;
}

std::optional<Ready> MakeSearch::improved(const Course& start) const {
  const Freedom freedom = freedom_of(start);
  if (freedom.count() == 0) return std::nullopt;
  const auto cost_of = [this](const Course& c) { return cost_mm(shape_of(c)); };
  constexpr int kPasses = 6;
  constexpr double kLess_mm = 0.1, kWorthwhile_mm = 1;
  Course best = start;
  double cost = cost_of(best);
  const double before = cost;
  for (const double step : {24.0, 12.0, 6.0, 3.0}) {
    bool more = true;
    for (int pass = 0; pass < kPasses && more && !progress_.cancelled(); ++pass) {
      more = false;
      const std::size_t count = neighbours(best, freedom, step).size();
      for (std::size_t k = 0; k < count; ++k) {
        const std::vector<Course> all = neighbours(best, freedom, step);
        if (k >= all.size() || cost_of(all[k]) >= cost - kLess_mm || !has_room(all[k])) continue;
        best = all[k];
        cost = cost_of(best);
        more = true;
      }
    }
  }
  if (cost > before - kWorthwhile_mm) return std::nullopt;
  const Trial trial = try_course(installation_, make_.olds, need_, best);
  if (!trial.duct) return std::nullopt;
  return ready_of(best, kInside_mm, *trial.duct);
}

bool MakeSearch::has_room(const Course& course) const {
  const CourseShape shape = shape_of(course);
  const auto least = least_straights(course);
  for (std::size_t i = 0; i < least.size(); ++i) {
    if (shape.legs[i].spare_mm < least[i]) return false;
  }
  if (least_margin(room_.contacts(shape, kInside_mm), kInside_mm) < kInside_mm) return false;
  const Trial trial = try_course(installation_, make_.olds, need_, course);
  if (!trial.duct) return false;
  return duct_contacts(installation_, edges_, *trial.duct, shape, kInside_mm, progress_).empty();
}

}  // namespace baywright::routing
