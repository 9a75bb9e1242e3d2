#include "routing/route_search.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <random>

#include "routing/corridor.hpp"
#include "routing/course_fit.hpp"
#include "routing/seeds.hpp"
#include "routing/settle.hpp"
#include "routing/trial.hpp"

namespace baywright::routing {
namespace {

/// Margin from which a tube alone is worth trying with its fittings and the motion.
constexpr double kWorthTrying_mm = -4;
/// Margin by which what goes to the full check is inside every clearance as the search takes it: more than the width
/// of a bracket.
constexpr double kInside_mm = 0.3;
constexpr double kWindow_mm = 8;
/// Fully checked in one round at most: the check looks at clamps and flow too, and takes its time.
constexpr std::size_t kJudgedInARound = 4;
constexpr std::size_t kNearMisses = 3;
/// Room that settling a bare tube aims at beyond what it needs, for hoses, clamps and the motion.
constexpr double kBareTarget_mm = 3;

using Clock = std::chrono::steady_clock;

/// A course with fittings, settled, that is ready for the full check.
struct Ready {
  Course course;
  duct::DuctSpec spec;
  double margin_mm = 0;
  double cost_mm = 0;
  int bends = 0;
};

class RouteSearch {
 public:
  RouteSearch(const job::Installation& installation, const duct::Duct& old, const SearchOptions& options,
              const Progress& progress, SearchResult& result, const Judge& judge, Clock::time_point start)
      : installation_(installation),
        old_(old),
        options_(options),
        progress_(progress),
        result_(result),
        judge_(judge),
        need_(result.requirements),
        room_(installation.bay, old.spec, result.requirements),
        start_(start) {}

  void run() {
    const int rounds = 2 * std::max(options_.effort, 1) + 2;
    for (int round = 0; round < rounds; ++round) {
      if (progress_.cancelled()) break;
      if (seconds() > options_.time_s) {
        result_.time_was_up = true;
        break;
      }
      progress_.report("round " + std::to_string(round + 1) + " of " + std::to_string(rounds) + ", " +
                           std::to_string(result_.routes.size()) + " routes so far",
                       static_cast<double>(round) / rounds);
      if (round == 0) {
        few_bends();
      } else if (round + 1 == rounds) {
        improve();
      } else if (round % 2 == 1) {
        corridor(round / 2);
      } else {
        scattered(static_cast<unsigned>(round));
      }
      if (!progress_.cancelled()) ++result_.rounds;
    }
    if (result_.routes.empty() && !progress_.cancelled()) near_misses();
    result_.cancelled = progress_.cancelled();
  }

 private:
  double seconds() const { return std::chrono::duration<double>(Clock::now() - start_).count(); }

  SeedOptions seed_options() const {
    SeedOptions o;
    o.radius_mm = need_.bend_radius_mm;
    o.diameter_mm = need_.outer_diameter_mm;
    o.least_straight_mm = need_.least_straight_mm;
    o.last_straight_mm = need_.fittings.before_end_mm;
    o.most_turning_rad = need_.most_turning ? need_.most_turning->si() : 0;
    return o;
  }

  void few_bends() {
    std::vector<Seed> seeds;
    for (int bends = 0; bends <= std::min(need_.most_bends, 1); ++bends) {
      if (auto course = only_course(room_.from(), room_.to(), bends, need_.bend_radius_mm)) {
        seeds.push_back({*course, 0});
      }
    }
    if (need_.most_bends >= 2) {
      for (Seed& seed : two_bend_seeds(room_, seed_options())) seeds.push_back(std::move(seed));
    }
    try_seeds(seeds);
  }

  void scattered(unsigned round) {
    constexpr int kTries = 4000;
    if (need_.most_bends < 3) return;
    std::mt19937 random(options_.seed * 9781U + round);
    try_seeds(three_bend_seeds(room_, seed_options(), random, kTries));
  }

  /// A new corridor and the courses that follow it, those of fewest bends first.
  void corridor(int number) {
    CorridorOptions options;
    // In turn: ways that a route may have to find more room in, and ways with room.
    const double accept[] = {-5, 1, -9};
    options.accept_mm = accept[number % 3];
    options.bend_radius_mm = need_.bend_radius_mm;
    Corridor way = find_corridor(room_, used_, options, progress_);
    if (way.empty()) return;
    if (std::any_of(used_.begin(), used_.end(), [&](const Corridor& used) { return same_way(used, way); })) return;
    ++result_.corridors;
    std::vector<Seed> seeds;
    for (int bends = 2; bends <= need_.most_bends; ++bends) {
      const auto course =
          fit_course(way, room_.from(), room_.to(), {bends, need_.bend_radius_mm, need_.least_straight_mm});
      if (course) seeds.push_back({*course, 0});
    }
    used_.push_back(std::move(way));
    try_seeds(seeds);
  }

  /// Whether a corridor keeps near another one all along.
  static bool same_way(const Corridor& known, const Corridor& way) {
    constexpr double kNear_mm = 25;
    return std::all_of(way.begin(), way.end(), [&](const Vec3& p) {
      return std::any_of(known.begin(), known.end(), [&](const Vec3& q) { return (p - q).norm() < kNear_mm; });
    });
  }

  void try_seeds(const std::vector<Seed>& seeds) {
    std::vector<Ready> ready;
    for (const Seed& seed : seeds) {
      if (progress_.cancelled()) return;
      if (auto one = prepare(seed.course)) ready.push_back(std::move(*one));
    }
    judge_best(std::move(ready));
  }

  /// Straights between bends as if no hose cut them, and that at the end.
  std::vector<double> least_straights(const Course& course) const {
    std::vector<double> least(course.points.size() - 1, need_.least_straight_mm);
    least.front() = 1;
    least.back() = std::max(need_.fittings.before_end_mm, 1.0);
    return least;
  }

  std::optional<Ready> prepare(const Course& start) {
    ++result_.tried;
    const Freedom freedom(room_.from(), room_.to(), start.bends());
    SettleOptions bare{kBareTarget_mm, kWindow_mm, 25, least_straights(start)};
    const ContactsOf tube = [this](const Course& c) {
      return room_.contacts(shape_of(c), kBareTarget_mm + kWindow_mm);
    };
    Settled settled = settle(start, freedom, tube, bare, progress_);
    // Fittings may ask for longer straights than the tube alone.
    Trial trial = try_course(installation_, old_, need_, settled.course);
    for (int attempt = 0; attempt < 3 && !trial.duct && trial.lacks_mm > 0 && freedom.count() > 0; ++attempt) {
      lengthen(settled.course, trial.lacks_mm, bare.least_straight_mm);
      settled = settle(settled.course, freedom, tube, bare, progress_);
      trial = try_course(installation_, old_, need_, settled.course);
    }
    if (!trial.duct) return std::nullopt;
    if (settled.margin_mm < kWorthTrying_mm) {
      keep_almost(ready_of(settled.course, settled.margin_mm, *trial.duct));
      return std::nullopt;
    }
    return with_fittings(settled.course);
  }

  /// The few courses that lack least room, for near-misses.
  void keep_almost(Ready one) {
    almost_.push_back(std::move(one));
    std::stable_sort(almost_.begin(), almost_.end(), before);
    if (almost_.size() > kNearMisses) almost_.resize(kNearMisses);
  }

  /// Where nothing meets: what comes nearest, with the requirements that stand in its way.
  void near_misses() {
    if (almost_.empty()) {
      CorridorOptions options;
      options.bend_radius_mm = need_.bend_radius_mm;
      options.accept_mm = -1e9;  // through everything, at a price
      options.haste = 2.5;
      const Corridor way = find_corridor(room_, {}, options, progress_);
      for (int bends = 2; bends <= std::max(need_.most_bends, 2) && !way.empty(); ++bends) {
        const auto course =
            fit_course(way, room_.from(), room_.to(), {bends, need_.bend_radius_mm, need_.least_straight_mm});
        if (!course) continue;
        // As it follows the corridor: settling what has no room pushes it out of all shape.
        const Trial trial = try_course(installation_, old_, need_, *course);
        const double margin = least_margin(room_.contacts(shape_of(*course), kWindow_mm), kWindow_mm);
        if (trial.duct) keep_almost(ready_of(*course, margin, *trial.duct));
      }
    }
    if (almost_.empty()) {
      // Whatever is in the way: ducts of few bends that could be made.
      SeedOptions any = seed_options();
      any.accept_mm = -1e9;
      std::mt19937 random(options_.seed);
      std::vector<Seed> seeds = two_bend_seeds(room_, any);
      for (Seed& seed : three_bend_seeds(room_, any, random, 1000)) seeds.push_back(std::move(seed));
      for (const Seed& seed : seeds) {
        const Trial trial = try_course(installation_, old_, need_, seed.course);
        const double margin = least_margin(room_.contacts(shape_of(seed.course), kWindow_mm), kWindow_mm);
        if (trial.duct) keep_almost(ready_of(seed.course, margin, *trial.duct));
      }
    }
    const std::vector<Ready> almost = almost_;
    for (const Ready& one : almost) {
      if (!progress_.cancelled()) judge(one);
    }
  }

  /// Asks the longest straight to grow by what is lacking.
  static void lengthen(const Course& course, double lacks_mm, std::vector<double>& least) {
    const CourseShape shape = shape_of(course);
    std::size_t longest = 0;
    for (std::size_t i = 0; i < shape.legs.size(); ++i) {
      if (shape.legs[i].spare_mm > shape.legs[longest].spare_mm) longest = i;
    }
    constexpr double kMore_mm = 2;
    least[longest] = std::max(shape.legs[longest].spare_mm, 0.0) + lacks_mm + kMore_mm;
  }

  Ready ready_of(const Course& course, double margin_mm, const duct::Duct& duct) const {
    const CourseShape shape = shape_of(course);
    return {course, duct.spec, margin_mm, equivalent_length_mm(shape, need_.outer_diameter_mm), course.bends()};
  }

  std::optional<Ready> with_fittings(const Course& course) const {
    const Freedom freedom(room_.from(), room_.to(), course.bends());
    const SettleOptions options{kInside_mm, kWindow_mm, 15, least_straights(course)};
    const ContactsOf contacts = contacts_of_duct(installation_, old_, need_, room_, kInside_mm + kWindow_mm, progress_);
    const Settled settled = settle(course, freedom, contacts, options, progress_);
    const Trial trial = try_course(installation_, old_, need_, settled.course);
    if (!trial.duct) return std::nullopt;
    return ready_of(settled.course, settled.margin_mm, *trial.duct);
  }

  /// Those that have room first, cheapest first; then those that have least too little.
  static bool before(const Ready& a, const Ready& b) {
    const bool room_a = a.margin_mm >= 0, room_b = b.margin_mm >= 0;
    if (room_a != room_b) return room_a;
    if (!room_a) return a.margin_mm > b.margin_mm;
    if (a.bends != b.bends) return a.bends < b.bends;
    return a.cost_mm < b.cost_mm;
  }

  void judge_best(std::vector<Ready> ready) {
    std::stable_sort(ready.begin(), ready.end(), before);
    std::size_t looked_at = 0;
    for (const Ready& one : ready) {
      if (looked_at >= kJudgedInARound || progress_.cancelled()) return;
      // What is known not to have room is looked at only for what stands in its way, while nothing better is known.
      if (one.margin_mm < 0 && (looked_at >= 1 || !result_.routes.empty())) return;
      ++looked_at;
      judge(one);
    }
  }

  void judge(const Ready& one) {
    ++result_.judged;
    auto judged = judge_.judge(one.spec, one.course, progress_);
    if (!judged) return;  // cancelled, or no duct beside the job's others
    if (judged->meets && result_.first_after_s < 0) result_.first_after_s = seconds();
    const bool meets = judged->meets;
    keep(std::move(*judged), meets ? result_.routes : result_.near_misses,
         meets ? std::max(options_.most_routes, std::size_t{1}) : kNearMisses);
  }

  /// The best of each way, best first.
  static void keep(JudgedRoute route, std::vector<JudgedRoute>& list, std::size_t most) {
    const bool beaten = std::any_of(list.begin(), list.end(),
                                    [&](const JudgedRoute& r) { return !different(r, route) && !better(route, r); });
    if (beaten) return;
    std::erase_if(list, [&](const JudgedRoute& r) { return !different(r, route); });
    list.push_back(std::move(route));
    std::stable_sort(list.begin(), list.end(), better);
    if (list.size() > most) list.resize(most);
  }

  /// Moves the points of the best routes to where they lose less, as long as everything keeps its room.
  void improve() {
    const std::vector<JudgedRoute> found = result_.routes;
    for (const JudgedRoute& route : found) {
      if (progress_.cancelled()) return;
      if (auto one = improved(route.course)) judge(*one);
    }
  }

  std::optional<Ready> improved(const Course& start) const {
    const Freedom freedom(room_.from(), room_.to(), start.bends());
    if (freedom.count() == 0) return std::nullopt;
    Course best = start;
    double cost = equivalent_length_mm(shape_of(best), need_.outer_diameter_mm);
    const double before = cost;
    for (const double step : {24.0, 12.0, 6.0, 3.0}) {
      bool more = true;
      for (int pass = 0; pass < 6 && more && !progress_.cancelled(); ++pass) {
        more = false;
        for (int k = 0; k < 2 * freedom.count(); ++k) {
          const double by = k % 2 == 0 ? step : -step;
          const Course next =
              freedom.on_axes(freedom.moved(best, by * Eigen::VectorXd::Unit(freedom.count(), k / 2)), 1);
          const double next_cost = equivalent_length_mm(shape_of(next), need_.outer_diameter_mm);
          if (next_cost >= cost - 0.1 || !has_room(next)) continue;
          best = next;
          cost = next_cost;
          more = true;
        }
      }
    }
    if (cost > before - 1) return std::nullopt;
    const Trial trial = try_course(installation_, old_, need_, best);
    if (!trial.duct) return std::nullopt;
    return ready_of(best, kInside_mm, *trial.duct);
  }

  bool has_room(const Course& course) const {
    const CourseShape shape = shape_of(course);
    const auto least = least_straights(course);
    for (std::size_t i = 0; i < least.size(); ++i) {
      if (shape.legs[i].spare_mm < least[i]) return false;
    }
    if (least_margin(room_.contacts(shape, kInside_mm), kInside_mm) < kInside_mm) return false;
    const Trial trial = try_course(installation_, old_, need_, course);
    if (!trial.duct) return false;
    return duct_contacts(installation_, *trial.duct, shape, kInside_mm, progress_).empty();
  }

  const job::Installation& installation_;
  const duct::Duct& old_;
  const SearchOptions options_;
  const Progress progress_;
  SearchResult& result_;
  const Judge& judge_;
  const Requirements& need_;
  Room room_;
  const Clock::time_point start_;
  std::vector<Corridor> used_;
  std::vector<Ready> almost_;
};

}  // namespace

Result<SearchResult> find_routes(const job::Installation& installation, const duct::DuctId& id,
                                 const SearchOptions& options, const Progress& progress) {
  const auto& ducts = installation.ducts;
  const auto it = std::find_if(ducts.begin(), ducts.end(), [&](const duct::Duct& d) { return d.spec.id == id; });
  if (it == ducts.end()) return fail(ErrorCode::bad_value, "job", "there is no duct '" + id.value + "'");
  const Clock::time_point start = Clock::now();
  auto requirements = requirements_of(installation, *it);
  if (!requirements) return tl::unexpected(requirements.error());
  progress.report("checking the job as it is");
  const auto judge = Judge::of(installation, id, progress);
  if (!judge) return tl::unexpected(judge.error());
  SearchResult result;
  result.as_given = judge->as_given();
  result.requirements = *std::move(requirements);
  RouteSearch(installation, *it, options, progress, result, *judge, start).run();
  return result;
}

}  // namespace baywright::routing
