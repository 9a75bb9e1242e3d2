#include "routing/route_search.hpp"

#include <algorithm>
#include <chrono>
#include <deque>
#include <memory>
#include <optional>

#include "routing/comes_out.hpp"
#include "routing/fit_out.hpp"
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
              SearchResult& result, const Judge& judge, const Places& places, Clock::time_point start)
      : installation_(installation),
        options_(options),
        progress_(progress),
        result_(result),
        judge_(judge),
        start_(start),
        settings_(places),
        keep_outs_(keep_out_parts(installation.job.routing)),
        preferred_(installation.job.routing),
        makes_(result.makes.begin(), result.makes.end()) {
    for (const duct::Duct& duct : installation.ducts) {
      if (duct.spec.id != result.makes.front().olds.front().spec.id) continue;
      for (const duct::Fitting& fitting : duct.spec.fittings) own_.push_back(fitting.id);
    }
    for (Make& make : makes_) {
      const PartNeed need = need_of_keep_out(make.olds.front());
      make.need.of_part.insert(make.need.of_part.end(), keep_outs_.size(), need);
    }
    places_.emplace_back();
    values_.emplace_back();
    places_.front().arena = arena_of(installation);
    places_.front().edges = std::make_unique<PartEdges>(*places_.front().arena);
    for (std::size_t make = 0; make < makes_.size(); ++make) add_search(make, 0);
  }

  void run(const Course& drawn) {
    if (options_.repair) {
      repair(drawn);
    } else {
      search();
    }
    result_.tried = tried_and_left_;
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
        for (std::size_t i = 0; i < result_.makes.size() && may_start(round, rounds, i); ++i) one_round(round, i);
        if (options_.places && settings_.any() && !result_.time_was_up) elsewhere(round, rounds);
      }
      if (!progress_.cancelled() && !result_.time_was_up) ++result_.rounds;
    }
    if (result_.routes.empty() && !progress_.cancelled()) as_given();
    if (result_.routes.empty() && !progress_.cancelled()) near_misses();
  }

  /// What is searched in: the keep-outs are parts there.
  std::unique_ptr<job::Installation> arena_of(const job::Installation& installation) const {
    auto arena = std::make_unique<job::Installation>(installation);
    arena->bay.parts.insert(arena->bay.parts.end(), keep_outs_.begin(), keep_outs_.end());
    return arena;
  }

  void add_search(std::size_t make, std::size_t place) {
    places_[place].searches.push_back(searches_.size());
    push_search(make, place, searches_.size());
  }

  void push_search(std::size_t make, std::size_t place, std::size_t base) {
    searches_.push_back(std::make_unique<MakeSearch>(*places_[place].arena, *places_[place].edges, makes_[make],
                                                     preferred_, options_.seed, progress_));
    where_.push_back({make, place, base});
    of_search_.emplace_back();
  }

  /// Takes back the last search, and the way of making that it alone had.
  void pop_search() {
    tried_and_left_ += searches_.back()->tried();
    searches_.pop_back();
    where_.pop_back();
    of_search_.pop_back();
    makes_.pop_back();
  }

  /// Makes that are searched where things are moved: those that did best as given.
  std::vector<std::size_t> best_makes() const {
    constexpr std::size_t kMostElsewhere = 2;
    std::vector<std::size_t> makes;
    for (std::size_t make = 0; make < result_.makes.size(); ++make) makes.push_back(make);
    std::stable_sort(makes.begin(), makes.end(),
                     [&](std::size_t a, std::size_t b) { return of_search_[a].better_than(of_search_[b]); });
    if (makes.size() > kMostElsewhere) makes.resize(kMostElsewhere);
    return makes;
  }

  /// New settings of what the job lets move, and a further round of the best of those known.
  void elsewhere(int round, int rounds) {
    if (best_place_ > 0 && !rounds_of(best_place_, round, rounds, places_[best_place_].rounds + 1)) return;
    for (const Setting& setting : settings_.next(values_)) {
      if (progress_.cancelled() || result_.time_was_up) return;
      std::size_t place = places_.size();
      places_.emplace_back();
      values_.emplace_back();
      places_[place].moves = setting;
      auto moved = std::make_unique<job::Installation>(installation_);
      for (const PartMove& move : setting) *moved = with_moved(*moved, move);
      places_[place].installation = std::move(moved);
      places_[place].judge = std::make_unique<Judge>(judge_.elsewhere(*places_[place].installation));
      places_[place].arena = arena_of(*places_[place].installation);
      places_[place].edges = std::make_unique<PartEdges>(*places_[place].arena);
      for (const std::size_t make : best_makes()) add_search(make, place);
      constexpr int kFirstRounds = 2;
      if (!rounds_of(place, round, rounds, kFirstRounds)) return;
      ++result_.places;
      // Room that was measured is kept for the one that goes on.
      if (best_place_ == 0 || values_[place].better_than(values_[best_place_])) std::swap(best_place_, place);
      for (const std::size_t i : places_[place].searches) {
        if (place > 0) searches_[i]->let_go();
      }
    }
  }

  /// Whether the rounds of a setting up to a number were all finished.
  bool rounds_of(std::size_t place, int round, int rounds, int up_to) {
    for (; places_[place].rounds < up_to; ++places_[place].rounds) {
      for (const std::size_t i : places_[place].searches) {
        if (!may_start(round, rounds, result_.makes.size(), setting_text(place))) return false;
        one_round(places_[place].rounds, i);
      }
    }
    return true;
  }

  std::string setting_text(std::size_t place) const {
    std::string text;
    for (const PartMove& move : places_[place].moves) text += (text.empty() ? "" : ", ") + move.text;
    return text;
  }

  /// A course without one of its inner points.
  static Course without(const Course& course, std::size_t point) {
    Course fewer{course.points, course.radius_mm, {}};
    for (std::size_t bend = 0; bend + 2 < course.points.size(); ++bend) {
      if (bend + 1 != point) fewer.radii_mm.push_back(course.radius_of(bend));
    }
    fewer.points.erase(fewer.points.begin() + static_cast<std::ptrdiff_t>(point));
    return fewer;
  }

  /// A course with one point more, in the middle of a leg.
  static Course with_one_on(const Course& course, std::size_t leg) {
    Course more{course.points, course.radius_mm, {}};
    for (std::size_t bend = 0; bend + 2 < course.points.size(); ++bend) more.radii_mm.push_back(course.radius_of(bend));
    const auto at = static_cast<std::ptrdiff_t>(leg);
    more.points.insert(more.points.begin() + at + 1, 0.5 * (course.points[leg] + course.points[leg + 1]));
    more.radii_mm.insert(more.radii_mm.begin() + at, course.radius_mm);
    return more;
  }

  /// The drawn course; without one of its points; with one more; without two. Those of more bends than a route may have
  /// are left out, but for the drawn one.
  std::vector<std::vector<Course>> variants_of(const Course& drawn) const {
    const std::size_t n = drawn.points.size();
    const auto most = static_cast<std::size_t>(makes_.front().need.most_bends);
    std::vector<std::vector<Course>> groups(4);
    groups[0] = {drawn};
    for (std::size_t i = 1; i + 1 < n && n > 3; ++i) groups[1].push_back(without(drawn, i));
    for (std::size_t i = 1; i + 2 < n && n - 1 <= most; ++i) groups[2].push_back(with_one_on(drawn, i));
    for (std::size_t i = 1; i + 1 < n && n > 4; ++i) {
      for (std::size_t k = i + 1; k + 1 < n; ++k) groups[3].push_back(without(without(drawn, k), i));
    }
    if (n - 3 > most) groups[1].clear();
    if (n > 4 && n - 4 > most) groups[3].clear();
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
    drawn_ = drawn;
    struct Mended {
      Ready ready;
      double change_mm = 0;
    };
    for (const auto& group : variants_of(drawn)) {
      if (group.empty()) continue;
      if (result_.rounds > 0 && !may_start(result_.rounds, 4, 0)) return;
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
        judge(mended[i].ready, 0);
      if (!progress_.cancelled()) ++result_.rounds;
      std::stable_sort(result_.routes.begin(), result_.routes.end(),
                       [](const auto& a, const auto& b) { return a.change_mm < b.change_mm; });
      if (!result_.routes.empty()) return;
    }
  }

  double seconds() const { return std::chrono::duration<double>(Clock::now() - start_).count(); }

  bool may_start(int round, int rounds, std::size_t i, const std::string& setting = "") {
    if (progress_.cancelled()) return false;
    if (seconds() > options_.time_s) {
      result_.time_was_up = true;
      return false;
    }
    const auto makes = static_cast<double>(result_.makes.size());
    std::string text = "round " + std::to_string(round + 1) + " of " + std::to_string(rounds);
    if (!setting.empty()) {
      text += ", " + setting;
    } else if (result_.makes.size() > 1) {
      text += ", way of making " + std::to_string(i + 1) + " of " + std::to_string(result_.makes.size());
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
    const std::size_t place = where_[i].place;
    const std::size_t most = place > 0 ? 1 : std::max(kJudgedInARound / result_.makes.size(), std::size_t{1});
    std::size_t looked_at = 0;
    note_room(i, ready);
    for (const Ready& one : ready) {
      if (looked_at >= most || progress_.cancelled()) return;
      // What is known not to have room is looked at only for what stands in its way, while nothing better is known.
      const bool enough =
          place > 0 || looked_at >= 1 || !result_.routes.empty() || (i > 0 && !result_.near_misses.empty());
      if (one.margin_mm < 0 && enough) return;
      ++looked_at;
      judge(one, i);
    }
  }

  /// What came nearest to having room, with one make and at its setting.
  void note_room(std::size_t i, const std::vector<Ready>& ready) {
    const auto note = [&](double margin_mm) {
      for (PlaceValue* value : {&of_search_[i], &values_[where_[i].place]})
        value->margin_mm = std::max(value->margin_mm, margin_mm);
    };
    for (const Ready& one : ready) note(one.margin_mm);
    for (const Ready& one : searches_[i]->almost()) note(one.margin_mm);
  }

  void note_route(std::size_t i, const JudgedRoute& route) {
    const double sum = weighted(route, options_.weights);
    // What was fitted out counts for the way of making that it came of.
    for (PlaceValue* value : {&of_search_[where_[i].base], &values_[where_[i].place]})
      value->weighted = std::min(value->weighted.value_or(sum), sum);
  }

  const Judge& judge_at(std::size_t place) const { return place > 0 ? *places_[place].judge : judge_; }

  /// A course with what the stock adds to its duct, settled again with that on it, as the last of all searches; none:
  /// nothing that is added leaves less against it.
  std::optional<Ready> fitted(const Ready& one, std::size_t i) {
    constexpr double kWorthFitting_mm = -4;
    const duct::Stock* stock = options_.stock;
    if (!stock || (stock->couplers.empty() && stock->brackets.empty()) || one.margin_mm < kWorthFitting_mm)
      return std::nullopt;
    const std::size_t make = where_[i].make, place = where_[i].place;
    const job::Installation& arena = *places_[place].arena;
    auto layout = duct::lay_out(one.spec, arena.bay);
    if (!layout) return std::nullopt;
    const Judge& here = judge_at(place);
    const auto against = [&here](const duct::Duct& duct) { return here.of_fittings(duct); };
    const auto ways =
        fitted_out(arena, {one.spec, std::move(*layout)}, own_, makes_[make].need, *stock, against, progress_);
    std::optional<Ready> roomiest;
    std::size_t its_way = 0;
    for (std::size_t way = 0; way < ways.size(); ++way) {
      auto ready = settled_with(ways[way].duct, one.course, i);
      if (ready && ready->margin_mm >= 0) return ready;
      if (!ready) continue;
      pop_search();
      if (roomiest && roomiest->margin_mm >= ready->margin_mm) continue;
      roomiest = std::move(ready);
      its_way = way;
    }
    // Without room it is a near-miss still, and the one that says most.
    return roomiest ? settled_with(ways[its_way].duct, one.course, i) : std::nullopt;
  }

  /// A course with these fittings on it, by a search of its own that comes last; none, and no such search: it is no
  /// duct.
  std::optional<Ready> settled_with(const duct::Duct& fittings, const Course& course, std::size_t base) {
    makes_.push_back(makes_[where_[base].make]);
    makes_.back().olds = {fittings};
    push_search(makes_.size() - 1, where_[base].place, where_[base].base);
    auto ready = searches_.back()->mended(course);
    if (!ready) pop_search();
    return ready;
  }

  void judge(const Ready& one, std::size_t i) {
    if (const auto better = fitted(one, i)) {
      if (!judge_one(*better, searches_.size() - 1)) pop_search();
    } else {
      judge_one(one, i);
    }
  }

  /// Whether it meets.
  bool judge_one(const Ready& one, std::size_t i) {
    ++result_.judged;
    const std::size_t place = where_[i].place;
    auto judged = judge_at(place).judge(one.spec, one.course, progress_);
    if (!judged) return false;  // cancelled, or no duct beside the job's others
    judged->make = where_[where_[i].base].make;
    judged->search = i;
    judged->place = place;
    judged->moves = places_[place].moves;
    if (drawn_) judged->change_mm = std::max(farthest(one.course, *drawn_), farthest(*drawn_, one.course));
    judged->tube = searches_[i]->make().tube;
    for (const duct::Fitting& fitting : one.spec.fittings) {
      if (std::find(own_.begin(), own_.end(), fitting.id) == own_.end()) judged->added.push_back(fitting.id);
    }
    const bool meets = judged->meets;
    if (meets) note_route(i, *judged);
    if (meets && result_.first_after_s < 0) result_.first_after_s = seconds();
    if (meets) {
      keep_on_front(std::move(*judged), result_.routes, std::max(options_.most_routes, std::size_t{1}),
                    options_.weights);
    } else {
      keep_near(std::move(*judged));
    }
    return meets;
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

  /// Where nothing better was found, the route that the job has may meet all the same.
  void as_given() {
    JudgedRoute given = judge_.as_given();
    if (!given.meets) return;
    given.change_mm = 0;
    result_.routes.push_back(std::move(given));
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
    for (std::size_t i = 0; i < result_.makes.size() && almost.empty(); ++i) {
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
      if (auto one = searches_[route.search]->improved(route.course)) judge(*one, route.search);
    }
  }

  /// A setting of what the job lets move; the first one is as given.
  struct Place {
    Setting moves;
    std::unique_ptr<job::Installation> installation;  ///< none: the job's own
    std::unique_ptr<job::Installation> arena;
    std::unique_ptr<PartEdges> edges;  ///< of the arena
    std::unique_ptr<Judge> judge;
    std::vector<std::size_t> searches;  ///< one for each make
    int rounds = 0;
  };
  struct Where {
    std::size_t make = 0, place = 0;
    std::size_t base = 0;  ///< the search of a make of SearchResult whose route it fits out; else itself
  };

  const job::Installation& installation_;
  const SearchOptions options_;
  const Progress progress_;
  SearchResult& result_;
  const Judge& judge_;
  const Clock::time_point start_;
  Places settings_;
  const std::vector<bay::Part> keep_outs_;
  const PreferredRegions preferred_;
  std::vector<duct::FittingId> own_;  ///< fittings of the job's duct
  std::optional<Course> drawn_;       ///< that is mended; none: nothing is
  /// With what they need to the keep-outs: the search's own, then one for each route that was fitted out. Searches
  /// refer to them.
  std::deque<Make> makes_;
  std::vector<Place> places_;
  std::vector<PlaceValue> values_;                     ///< of the places
  std::size_t best_place_ = 0;                         ///< of those that are not as given; 0: none yet
  std::vector<std::unique_ptr<MakeSearch>> searches_;  ///< first those of all makes as given
  std::vector<Where> where_;                           ///< of the searches
  std::size_t tried_and_left_ = 0;                     ///< courses settled by searches that were taken back
  std::vector<PlaceValue> of_search_;                  ///< of the searches, each with its one make
};

void look_for_ways_out(const job::Installation& installation, SearchResult& result, const Progress& progress) {
  std::shared_ptr<const access::WaysOut> as_given;
  for (std::size_t i = 0; i < result.routes.size() && !progress.cancelled(); ++i) {
    const std::string count = std::to_string(i + 1) + " of " + std::to_string(result.routes.size());
    progress.report("how route " + count + " comes out");
    result.routes[i].comes_out = how_it_comes_out(installation, result.routes[i], as_given, progress);
  }
  result.cancelled = progress.cancelled();
}

}  // namespace

SearchResult search_routes(const job::Installation& installation, const Makes& makes, const Places& places,
                           const Judge& judge, const SearchOptions& options, const Progress& progress) {
  SearchResult result;
  result.makes = makes.makes;
  result.left_out = makes.left_out;
  RouteSearch(installation, options, progress, result, judge, places, Clock::now()).run(judge.as_given().course);
  return result;
}

Result<SearchResult> find_routes(const job::Installation& installation, const duct::DuctId& id,
                                 const SearchOptions& options, const Progress& progress) {
  const auto& ducts = installation.ducts;
  const auto it = std::find_if(ducts.begin(), ducts.end(), [&](const duct::Duct& d) { return d.spec.id == id; });
  if (it == ducts.end()) return fail(ErrorCode::bad_value, "job", "there is no duct '" + id.value + "'");
  const Clock::time_point start = Clock::now();
  const auto since = [start] { return std::chrono::duration<double>(Clock::now() - start).count(); };
  auto makes = makes_of(installation, *it, options.repair ? nullptr : options.stock);
  if (makes) makes = with_own_tube(*std::move(makes), installation, *it);
  if (!makes) return tl::unexpected(makes.error());
  const auto places = Places::of(installation, *it);
  if (!places) return tl::unexpected(places.error());
  progress.report("checking the job as it is");
  const auto judge = Judge::of(installation, id, progress);
  if (!judge) return tl::unexpected(judge.error());
  const double spent_s = since();
  SearchOptions left = options;
  left.time_s -= spent_s;
  SearchResult result = search_routes(installation, *makes, *places, *judge, left, progress);
  if (result.first_after_s >= 0) result.first_after_s += spent_s;
  result.as_given = judge->as_given();
  if (options.ways_out) look_for_ways_out(installation, result, progress);
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
