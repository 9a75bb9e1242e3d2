#include "routing/route_search.hpp"

#include <algorithm>
#include <chrono>
#include <memory>
#include <optional>

#include "routing/make_search.hpp"
#include "routing/suggestions.hpp"

namespace baywright::routing {
namespace {

/// Fully checked in one round at most, over all makes, but one of each at least: the check looks at clamps and flow
/// too, and takes its time.
constexpr std::size_t kJudgedInARound = 4;

using Clock = std::chrono::steady_clock;

class RouteSearch {
 public:
  RouteSearch(const job::Installation& installation, const SearchOptions& options, const Progress& progress,
              SearchResult& result, const Judge& judge, Clock::time_point start)
      : options_(options), progress_(progress), result_(result), judge_(judge), start_(start) {
    for (const Make& make : result.makes) {
      searches_.push_back(std::make_unique<MakeSearch>(installation, make, options.seed, progress));
    }
  }

  void run(const Course& drawn) {
    if (options_.repair) {
      repair(drawn);
    } else {
      search();
    }
    for (const auto& search : searches_) {
      result_.tried += search->tried();
      result_.corridors += search->corridors();
    }
    result_.cancelled = progress_.cancelled();
  }

 private:
  void search() {
    const int rounds = 2 * std::max(options_.effort, 1) + 2;
    for (int round = 0; round < rounds && !result_.time_was_up && !progress_.cancelled(); ++round) {
      if (round + 1 == rounds) {
        if (may_start(round, rounds, 0)) improve();
      } else {
        for (std::size_t i = 0; i < searches_.size() && may_start(round, rounds, i); ++i) one_round(round, i);
      }
      if (!progress_.cancelled() && !result_.time_was_up) ++result_.rounds;
    }
    if (result_.routes.empty() && !progress_.cancelled()) near_misses();
  }

  /// The drawn course; without one of its points; with one more.
  static std::vector<std::vector<Course>> variants_of(const Course& drawn) {
    std::vector<std::vector<Course>> groups(3);
    groups[0] = {drawn};
    const std::size_t n = drawn.points.size();
    std::vector<double> radii;
    for (std::size_t bend = 0; bend + 2 < n; ++bend) radii.push_back(drawn.radius_of(bend));
    for (std::size_t i = 1; i + 1 < n && n > 3; ++i) {
      Course fewer{drawn.points, drawn.radius_mm, radii};
      fewer.points.erase(fewer.points.begin() + static_cast<std::ptrdiff_t>(i));
      fewer.radii_mm.erase(fewer.radii_mm.begin() + static_cast<std::ptrdiff_t>(i - 1));
      groups[1].push_back(std::move(fewer));
    }
    for (std::size_t i = 1; i + 2 < n; ++i) {
      Course more{drawn.points, drawn.radius_mm, radii};
      const auto at = static_cast<std::ptrdiff_t>(i);
      more.points.insert(more.points.begin() + at + 1, 0.5 * (drawn.points[i] + drawn.points[i + 1]));
      more.radii_mm.insert(more.radii_mm.begin() + at, drawn.radius_mm);
      groups[2].push_back(std::move(more));
    }
    return groups;
  }

  static double farthest(const Course& from, const Course& other) {
    const CourseShape shape = shape_of(from), base = shape_of(other);
    constexpr double kStep_mm = 5;
    double far = 0;
    for (double s = 0; s < shape.length_mm(); s += kStep_mm)
      far = std::max(far, base.nearest(shape.at(s).p).distance_mm);
    return far;
  }

  void repair(const Course& drawn) {
    struct Mended {
      Ready ready;
      double change_mm = 0;
    };
    for (const auto& group : variants_of(drawn)) {
      if (result_.rounds > 0 && !may_start(result_.rounds, 3, 0)) return;
      std::vector<Mended> mended;
      for (const Course& course : group) {
        if (auto one = searches_.front()->mended(course))
          mended.push_back({*one, std::max(farthest(one->course, drawn), farthest(drawn, one->course))});
      }
      std::stable_sort(mended.begin(), mended.end(), [](const Mended& a, const Mended& b) {
        if ((a.ready.margin_mm >= 0) != (b.ready.margin_mm >= 0)) return a.ready.margin_mm >= 0;
        return a.change_mm < b.change_mm;
      });
      for (std::size_t i = 0; i < std::min(mended.size(), kJudgedInARound) && !progress_.cancelled(); ++i)
        judge(mended[i].ready, 0, mended[i].change_mm);
      if (!progress_.cancelled()) ++result_.rounds;
      std::stable_sort(result_.routes.begin(), result_.routes.end(),
                       [](const auto& a, const auto& b) { return a.change_mm < b.change_mm; });
      if (!result_.routes.empty()) return;
    }
  }

  double seconds() const { return std::chrono::duration<double>(Clock::now() - start_).count(); }

  bool may_start(int round, int rounds, std::size_t i) {
    if (progress_.cancelled()) return false;
    if (seconds() > options_.time_s) {
      result_.time_was_up = true;
      return false;
    }
    const auto makes = static_cast<double>(searches_.size());
    std::string text = "round " + std::to_string(round + 1) + " of " + std::to_string(rounds);
    if (searches_.size() > 1) {
      text += ", way of making " + std::to_string(i + 1) + " of " + std::to_string(searches_.size());
    }
    progress_.report(text + ", " + std::to_string(result_.routes.size()) + " routes so far",
                     (round + static_cast<double>(i) / makes) / rounds);
    return true;
  }

  void one_round(int round, std::size_t i) {
    MakeSearch& search = *searches_[i];
    std::vector<Ready> ready = round == 0       ? search.few_bends()
                               : round % 2 == 1 ? search.grown(round / 2)
                                                : search.corridor(round / 2 - 1);
    const std::size_t most = std::max(kJudgedInARound / searches_.size(), std::size_t{1});
    std::size_t looked_at = 0;
    for (const Ready& one : ready) {
      if (looked_at >= most || progress_.cancelled()) return;
      // What is known not to have room is looked at only for what stands in its way, while nothing better is known.
      const bool enough = looked_at >= 1 || !result_.routes.empty() || (i > 0 && !result_.near_misses.empty());
      if (one.margin_mm < 0 && enough) return;
      ++looked_at;
      judge(one, i);
    }
  }

  void judge(const Ready& one, std::size_t make, std::optional<double> change_mm = {}) {
    ++result_.judged;
    auto judged = judge_.judge(one.spec, one.course, progress_);
    if (!judged) return;  // cancelled, or no duct beside the job's others
    judged->make = make;
    judged->change_mm = change_mm;
    judged->tube = searches_[make]->make().tube;
    judged->joint = searches_[make]->make().joint;
    if (judged->meets && result_.first_after_s < 0) result_.first_after_s = seconds();
    if (judged->meets) {
      keep_on_front(std::move(*judged), result_.routes, std::max(options_.most_routes, std::size_t{1}),
                    options_.weights);
    } else {
      keep_near(std::move(*judged));
    }
  }

  /// The best of each way, best first.
  void keep_near(JudgedRoute route) {
    auto& list = result_.near_misses;
    const bool beaten = std::any_of(list.begin(), list.end(),
                                    [&](const JudgedRoute& r) { return !other_way(r, route) && !better(route, r); });
    if (beaten) return;
    std::erase_if(list, [&](const JudgedRoute& r) { return !other_way(r, route); });
    list.push_back(std::move(route));
    std::stable_sort(list.begin(), list.end(), better);
    if (list.size() > options_.near_misses) list.resize(options_.near_misses);
  }

  /// Where nothing meets: what comes nearest, with the requirements that stand in its way.
  void near_misses() {
    struct Almost {
      Ready ready;
      std::size_t make = 0;
    };
    std::vector<Almost> almost;
    const auto gather = [&] {
      for (std::size_t i = 0; i < searches_.size(); ++i) {
        for (const Ready& one : searches_[i]->almost()) almost.push_back({one, i});
      }
    };
    gather();
    for (std::size_t i = 0; i < searches_.size() && almost.empty(); ++i) {
      searches_[i]->through_everything();
      gather();
    }
    std::stable_sort(almost.begin(), almost.end(),
                     [](const Almost& a, const Almost& b) { return sooner(a.ready, b.ready); });
    if (almost.size() > options_.near_misses) almost.resize(options_.near_misses);
    for (const Almost& one : almost) {
      if (!progress_.cancelled()) judge(one.ready, one.make);
    }
  }

  /// Moves the points of the best routes to where they lose less, as long as everything keeps its room.
  void improve() {
    const std::vector<JudgedRoute> found = result_.routes;
    for (const JudgedRoute& route : found) {
      if (progress_.cancelled()) return;
      if (auto one = searches_[route.make]->improved(route.course)) judge(*one, route.make);
    }
  }

  const SearchOptions options_;
  const Progress progress_;
  SearchResult& result_;
  const Judge& judge_;
  const Clock::time_point start_;
  std::vector<std::unique_ptr<MakeSearch>> searches_;
};

}  // namespace

SearchResult search_routes(const job::Installation& installation, const Makes& makes, const Judge& judge,
                           const SearchOptions& options, const Progress& progress) {
  SearchResult result;
  result.makes = makes.makes;
  result.left_out = makes.left_out;
  RouteSearch(installation, options, progress, result, judge, Clock::now()).run(judge.as_given().course);
  return result;
}

Result<SearchResult> find_routes(const job::Installation& installation, const duct::DuctId& id,
                                 const SearchOptions& options, const Progress& progress) {
  const auto& ducts = installation.ducts;
  const auto it = std::find_if(ducts.begin(), ducts.end(), [&](const duct::Duct& d) { return d.spec.id == id; });
  if (it == ducts.end()) return fail(ErrorCode::bad_value, "job", "there is no duct '" + id.value + "'");
  const Clock::time_point start = Clock::now();
  const auto since = [start] { return std::chrono::duration<double>(Clock::now() - start).count(); };
  if (options.repair && options.stock) {
    return fail(ErrorCode::bad_usage, "repair", "keeps the tube and the radii of the job's route; leave the stock out");
  }
  const auto makes = makes_of(installation, *it, options.stock);
  if (!makes) return tl::unexpected(makes.error());
  progress.report("checking the job as it is");
  const auto judge = Judge::of(installation, id, progress);
  if (!judge) return tl::unexpected(judge.error());
  const double spent_s = since();
  SearchOptions left = options;
  left.time_s -= spent_s;
  SearchResult result = search_routes(installation, *makes, *judge, left, progress);
  if (result.first_after_s >= 0) result.first_after_s += spent_s;
  result.as_given = judge->as_given();
  if (!options.suggest || !result.routes.empty() || result.cancelled) return result;
  const auto may_start = [&] {
    const bool may = since() <= options.time_s;
    result.time_was_up = result.time_was_up || !may;
    if (may) progress.report("trying what would free it");
    return may;
  };
  result.suggestions = suggestions(installation, *it, *judge, options, result, may_start, progress);
  result.cancelled = progress.cancelled();
  return result;
}

}  // namespace baywright::routing
