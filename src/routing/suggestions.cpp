#include "routing/suggestions.hpp"

#include <algorithm>
#include <cmath>

#include "checks/check.hpp"
#include "geometry/base/unit.hpp"
#include "routing/port_moves.hpp"

namespace baywright::routing {
namespace {

/// A job to search in.
struct Change {
  std::string text;
  job::Installation installation;
  Makes makes;
  std::string not_run;  ///< why there is nothing to search
};

class Suggesting {
 public:
  Suggesting(const job::Installation& installation, const duct::Duct& duct, const Judge& judge,
             const SearchOptions& options, const SearchResult& found, const std::function<bool()>& may_start,
             const Progress& progress)
      : installation_(installation),
        duct_(duct),
        judge_(judge),
        options_(options),
        found_(found),
        may_start_(may_start),
        progress_(progress) {}

  std::vector<Suggestion> run() {
    radii();
    tubes();
    more_bends();
    joint();
    for (const bay::PortId& port : {duct_.spec.from.port, duct_.spec.to.port}) moves(port);
    return std::move(out_);
  }

 private:
  std::string text(double mm) const { return length_text(mm, installation_.bay.units); }

  /// The tube that was searched with first, to be bent otherwise.
  duct::StockTube tube_of(double outer_diameter_mm, double radius_mm) const {
    const Make& first = found_.makes.front();
    duct::StockTube tube;
    tube.id = first.tube.empty() ? duct::StockTubeId("job") : first.tube;
    tube.size = first.olds.front().spec.tube;
    tube.size.outer_diameter_mm = outer_diameter_mm;
    tube.bend_radii_mm = {radius_mm};
    tube.least_straight_mm = first.need.stock_straight_mm;
    tube.end_straight_mm = first.need.end_straight_mm;
    tube.angle_step = first.need.angle_step;
    return tube;
  }
  double diameter_mm() const { return found_.makes.front().olds.front().spec.tube.outer_diameter_mm; }

  duct::Stock stock_of(const duct::StockTube& tube) const {
    duct::Stock stock = options_.stock ? *options_.stock : duct::Stock();
    stock.tubes = {tube};
    return stock;
  }

  /// Limits on the bend radius lowered to a ratio; their ids.
  std::string allow_ratio(job::Installation& changed, double ratio) const {
    std::string lowered;
    for (const char* id : {"in.radius", "ch.radius"}) {
      const auto& services = checks::find_check(id)->services;
      const auto limit = changed.sheet.limits.find(id);
      if (limit == changed.sheet.limits.end() || changed.sheet.not_required.contains(id)) continue;
      if (std::find(services.begin(), services.end(), duct_.spec.service) == services.end()) continue;
      if (limit->second.value <= ratio) continue;
      lowered += (lowered.empty() ? "" : ", ") + std::string(id);
      limit->second.value = ratio;
    }
    return lowered;
  }

  void radii() {
    double smallest = found_.makes.front().need.bend_radius_mm;
    for (const Make& make : found_.makes) {
      if (make.need.outer_diameter_mm == found_.makes.front().need.outer_diameter_mm)
        smallest = std::min(smallest, make.need.bend_radius_mm);
    }
    const double diameter = found_.makes.front().need.outer_diameter_mm;
    for (const double ratio : {1.5, 1.0}) {
      const double radius = std::ceil(ratio * diameter);
      constexpr double kWorthwhile_mm = 3;
      if (radius > smallest - kWorthwhile_mm) continue;
      Change change;
      change.installation = installation_;
      const std::string lowered = allow_ratio(change.installation, radius / diameter * (1 - 1e-9));
      change.text = "bends of " + text(radius) + " instead of " + text(smallest);
      if (!lowered.empty())
        change.text += ", which the sheet does not allow (" + lowered + "); the limit was set aside for this";
      try_stock(std::move(change), tube_of(diameter_mm(), radius));
    }
  }

  void tubes() {
    for (const double share : {0.9, 0.8}) {
      const double outer = std::round(share * diameter_mm());
      const duct::StockTube tube = tube_of(outer, std::ceil(1.5 * outer));
      if (outer >= diameter_mm() || tube.size.bore_mm() <= 0) continue;
      Change change;
      change.installation = installation_;
      change.text = "a tube of " + text(outer) + " instead of " + text(diameter_mm()) + ", bends of " +
                    text(tube.bend_radii_mm.front());
      try_stock(std::move(change), tube);
    }
  }

  /// Every limit of an intake on bends and turning raised by so many right angles; their ids.
  std::string allow_bends(job::Installation& changed, int more) const {
    std::string raised;
    for (const auto& [id, each] : {std::pair("in.bends", 1.0), std::pair("in.turn", 90.0)}) {
      const auto limit = changed.sheet.limits.find(id);
      if (limit == changed.sheet.limits.end() || changed.sheet.not_required.contains(id)) continue;
      limit->second.value += more * each;
      raised += (raised.empty() ? "" : ", ") + std::string(id);
    }
    return raised;
  }

  void more_bends() {
    const int most = found_.makes.front().need.most_bends;
    if (duct_.spec.service != duct::Service::intake) return;
    for (int more = 1; more <= 2 && most + more <= kMostBends; ++more) {
      Change change;
      change.installation = installation_;
      const std::string raised = allow_bends(change.installation, more);
      if (raised.empty()) return;
      change.text = std::to_string(most + more) + " bends instead of at most " + std::to_string(most) +
                    ", which the sheet does not allow (" + raised + "); the limit was set aside for this";
      change.makes.makes = found_.makes;
      for (Make& make : change.makes.makes) {
        make.need.most_bends += more;
        if (make.need.most_turning) make.need.most_turning = *make.need.most_turning + degrees(90.0 * more);
      }
      if (run_one(change)) return;
    }
  }

  /// Where the carrier changes and no row that was searched brings a soft joint, nobody knows which one to try.
  void joint() {
    const auto lacks = crossing_without_joint(installation_, duct_);
    const auto adds = [](const Make& make) { return !make.joint.empty(); };
    if (!lacks || std::any_of(found_.makes.begin(), found_.makes.end(), adds)) return;
    Change change;
    change.text = "a soft joint between " + lacks->from_hold + " and " + lacks->to_hold;
    change.not_run = "no coupler that fits the tube is known; name some in a stock file";
    run_one(change);
  }

  bool try_stock(Change change, const duct::StockTube& tube) {
    const duct::Stock stock = stock_of(tube);
    auto makes = makes_of(change.installation, duct_, &stock);
    if (!makes) return false;  // nothing to search: the sheet asks for larger bends of that tube
    change.makes = std::move(*makes);
    return run_one(change);
  }

  /// Away from what stands in the way of the nearest miss; zero: nothing that has a place does.
  Vec3 away() const {
    for (const JudgedRoute& miss : found_.near_misses) {
      for (const checks::Finding& f : miss.in_the_way) {
        const auto* measured = std::get_if<measure::Measured>(&f.outcome);
        if (f.pair.empty() || !measured || !measured->witness) continue;
        const Vec3 way = measured->witness->on_duct_mm - measured->witness->on_other_mm;
        if (way.norm() > 1e-6) return measured->lo < 0 ? Vec3(-way.normalized()) : Vec3(way.normalized());
      }
    }
    return Vec3::Zero();
  }

  void moves(const bay::PortId& port) {
    const Vec3 way = away();
    if (way.norm() < 0.5) return;
    const std::string stays = why_port_stays(installation_, duct_.spec.id, port);
    std::vector<int> axes = {0, 1, 2};
    std::stable_sort(axes.begin(), axes.end(), [&](int a, int b) { return std::abs(way[a]) > std::abs(way[b]); });
    axes.resize(2);
    for (const int axis : axes) {
      const Vec3 direction = (way[axis] < 0 ? -1.0 : 1.0) * Vec3::Unit(axis);
      for (const double distance : {30.0, 60.0}) {
        Change change;
        const bay::Port& p = *installation_.bay.find_port(port);
        change.text = "port " + port.value + (p.part ? " with its part " + p.part->value : "") + " moved by " +
                      text(distance) + " along " + (way[axis] < 0 ? "-" : "+") + "xyz"[axis];
        change.not_run = stays;
        if (stays.empty()) {
          change.installation = with_port_moved(installation_, port, Pose::translation(distance * direction));
          change.makes.makes = found_.makes;
        }
        if (run_one(change) || !stays.empty()) break;
      }
      if (!stays.empty()) break;
    }
  }

  /// Whether there is a route with the change.
  bool run_one(const Change& change) {
    Suggestion suggestion;
    suggestion.change = change.text;
    suggestion.not_run = change.not_run;
    if (change.not_run.empty()) {
      if (progress_.cancelled()) return false;
      if (!may_start_()) {
        suggestion.not_run = "the time was up";
        out_.push_back(std::move(suggestion));
        return false;
      }
      SearchOptions options = options_;
      options.effort = 1;
      options.time_s = 1e9;  // a search that has begun is finished: what it finds must not hang on the clock
      options.most_routes = 1;
      options.near_misses = 1;
      options.suggest = options.repair = false;
      const SearchResult result = search_routes(change.installation, change.makes, {},
                                                judge_.elsewhere(change.installation), options, progress_);
      if (result.cancelled) return false;
      if (!result.routes.empty()) suggestion.route = result.routes.front();
      if (result.routes.empty() && !result.near_misses.empty())
        suggestion.in_the_way = result.near_misses.front().in_the_way;
    }
    out_.push_back(std::move(suggestion));
    return out_.back().route.has_value();
  }

  const job::Installation& installation_;
  const duct::Duct& duct_;
  const Judge& judge_;
  const SearchOptions& options_;
  const SearchResult& found_;
  const std::function<bool()>& may_start_;
  const Progress& progress_;
  std::vector<Suggestion> out_;
};

}  // namespace

std::vector<Suggestion> suggestions(const job::Installation& installation, const duct::Duct& duct, const Judge& judge,
                                    const SearchOptions& options, const SearchResult& found,
                                    const std::function<bool()>& may_start, const Progress& progress) {
  return Suggesting(installation, duct, judge, options, found, may_start, progress).run();
}

}  // namespace baywright::routing
