#include "access/ways_out.hpp"

#include <algorithm>
#include <iterator>
#include <map>
#include <set>

#include "access/release.hpp"
#include "access/way_search.hpp"
#include "duct/piece_shapes.hpp"
#include "geometry/base/expects.hpp"
#include "geometry/base/words.hpp"

namespace baywright::access {
namespace {

/// Ways of freeing the two ends of a tube that are followed up by a search.
constexpr std::size_t kMostReleases = 6;

/// What of a group moves past what, on one move.
struct Passing {
  std::vector<Shape> shapes;
  std::vector<InWay> in_way;
};

class Dismantling {
 public:
  Dismantling(const WayInputs& inputs, const Progress& progress)
      : inputs_(inputs), progress_(progress), assembly_(inputs) {
    for (const bay::AccessOpening& opening : inputs.bay.openings) {
      openings_.emplace_back(opening, middle_of(inputs.ducts));
    }
    for (const Item& item : assembly_.items) {
      PieceWay way;
      way.duct = assembly_.duct_of(item).spec.id;
      way.piece = assembly_.name(item);
      ways_.push_back(std::move(way));
      blockers_.emplace_back();
      sweeps_.push_back(0);
    }
  }

  std::optional<WaysOut> run() {
    if (!assembly_.unknown().empty()) {
      for (PieceWay& way : ways_) tell_unknown(way);
      return WaysOut{std::move(ways_), assembly_.notes()};
    }
    std::vector<bool> tried(assembly_.items.size(), false);
    for (bool more = true; more;) {
      more = false;
      for (std::size_t i = 0; i < assembly_.items.size(); ++i) {
        if (assembly_.items[i].out || (tried[i] && !freed_since(i))) continue;
        progress_.report("looking for a way out of " + assembly_.name(assembly_.items[i]));
        tried[i] = true;
        blockers_[i].clear();
        more = take_out(i) || more;
        if (progress_.cancelled()) return std::nullopt;
      }
    }
    return WaysOut{std::move(ways_), assembly_.notes()};
  }

 private:
  void tell_unknown(PieceWay& way) const {
    std::vector<std::string> whats;
    for (const UnknownSize& unknown : assembly_.unknown()) {
      whats.push_back(unknown.what);
      way.missing.insert(way.missing.end(), unknown.keys.begin(), unknown.keys.end());
    }
    way.open = joined(whats, "; ");
  }
  bool spent(std::size_t item) const { return sweeps_[item] >= inputs_.most_for_one; }

  /// Whether something that it waits for has come out since it was tried.
  bool freed_since(std::size_t item) const {
    return std::any_of(blockers_[item].begin(), blockers_[item].end(),
                       [&](int other) { return assembly_.items[static_cast<std::size_t>(other)].out; });
  }
  void blocked_by(std::size_t item, int of) {
    const int first = assembly_.of_item(0);
    if (of >= first) blockers_[item].insert(of - first);
  }

  bool take_out(std::size_t item) {
    const Item& it = assembly_.items[item];
    PieceWay& way = ways_[item];
    way.open.clear();
    way.missing.clear();
    hindered_.clear();
    beyond_ = false;
    for (const int neighbour : {it.before, it.behind}) {
      if (neighbour >= 0) blockers_[item].insert(neighbour);
    }
    const int index = static_cast<int>(item);
    const Releases up = it.is_tube() ? releases_of_tube(assembly_, index, true) : releases_of_hose(assembly_, index);
    const Releases down = it.is_tube() ? releases_of_tube(assembly_, index, false) : Releases{{Release()}, "", {}};
    for (const Releases* end : {&up, &down}) {
      if (end->open.empty()) continue;
      way.open += (way.open.empty() ? "" : "; ") + end->open;
      way.missing.insert(way.missing.end(), end->missing.begin(), end->missing.end());
    }
    if (up.ways.empty() || down.ways.empty()) return false;
    // What needs no drawing off first.
    std::vector<std::pair<const Release*, const Release*>> both;
    for (const Release& a : up.ways) {
      for (const Release& b : down.ways) {
        if (!a.pulls || !b.pulls || a.axis.dot(b.axis) > kOneAxis) both.emplace_back(&a, &b);
      }
    }
    std::stable_sort(both.begin(), both.end(), [](const auto& x, const auto& y) {
      return x.first->pulls + x.second->pulls < y.first->pulls + y.second->pulls;
    });
    std::size_t searched = 0;
    for (const auto& [a, b] : both) {
      if (progress_.cancelled() || spent(item) || searched == kMostReleases) break;
      if (comes_out(item, {a, b}, searched)) return true;
    }
    explain(item, both.empty());
    return false;
  }

  /// Frees the ends and searches; puts hoses back where that leads nowhere.
  bool comes_out(std::size_t item, const std::vector<const Release*>& ends, std::size_t& searched) {
    std::vector<double> slid;
    for (const Item& i : assembly_.items) slid.push_back(i.slid_mm);
    steps_.clear();
    group_ = {static_cast<int>(item)};
    for (const Release* end : ends) {
      for (const int hose : end->with) group_.push_back(hose);
    }
    if (slides_free(item, ends) && drawn_off(item, ends) && carried_out(item, searched)) {
      take_note(item, ends);
      return true;
    }
    for (std::size_t i = 0; i < slid.size(); ++i) assembly_.items[i].slid_mm = slid[i];
    return false;
  }

  bool passes(std::size_t item, const Passing& passing, const Pose& from, const WayMove& move) {
    ++sweeps_[item];
    const auto by = hindered(passing.shapes, from, move, passing.in_way);
    if (!by) return true;
    ++hindered_[*by];
    blocked_by(item, *by);
    return false;
  }

  std::vector<Shape> shapes_of(int item) const {
    const Item& it = assembly_.items[static_cast<std::size_t>(item)];
    return shapes_at(it.shapes, assembly_.place(it));
  }
  void note_step(WayStep::Kind kind, std::span<const int> moved, const std::vector<Shape>& shapes, const WayMove& move,
                 std::vector<std::string> on) {
    WayStep step{kind, {}, shapes, move, std::move(on)};
    for (const int i : moved) step.moved.push_back(assembly_.name(assembly_.items[static_cast<std::size_t>(i)]));
    steps_.push_back(std::move(step));
  }

  bool slides_free(std::size_t item, const std::vector<const Release*>& ends) {
    for (const Release* end : ends) {
      for (const HoseSlide& slide : end->slides) {
        Item& hose = assembly_.items[static_cast<std::size_t>(slide.hose)];
        const Vec3 along = assembly_.along(hose, true);
        const WayMove move{false, slide.mm < 0 ? Vec3(-along) : along, Vec3::Zero(), std::abs(slide.mm)};
        Passing passing{shapes_of(slide.hose), assembly_.standing(hose.duct, slide.left_out)};
        passing.in_way.insert(passing.in_way.end(), slide.rest.begin(), slide.rest.end());
        if (!passes(item, passing, Pose(), move)) return false;
        note_step(WayStep::Kind::hose_slid, {&slide.hose, 1}, passing.shapes, move, slide.on);
        hose.slid_mm += slide.mm;
      }
    }
    return true;
  }

  /// What stands besides the group, with some of it replaced by what is left of it.
  std::vector<InWay> around(std::size_t item, std::vector<int> left_out, const std::vector<InWay>& rest) const {
    for (const int i : group_) left_out.push_back(assembly_.of_item(static_cast<std::size_t>(i)));
    std::vector<InWay> out = assembly_.standing(assembly_.items[item].duct, left_out);
    out.insert(out.end(), rest.begin(), rest.end());
    return out;
  }

  bool drawn_off(std::size_t item, const std::vector<const Release*>& ends) {
    at_ = Pose();
    WayMove move;
    std::vector<std::string> on;
    const Item& it = assembly_.items[item];
    double from = it.piece->station_from_mm, to = it.piece->station_to_mm;
    std::vector<Passing> passings;
    std::vector<Shape> others;
    for (std::size_t e = 0; e < ends.size(); ++e) {
      const Release& end = *ends[e];
      std::vector<Shape> hoses;
      for (const int hose : end.with) append(hoses, shapes_of(hose));
      if (!end.pulls) {
        append(others, hoses);
        continue;
      }
      move = {false, end.axis, Vec3::Zero(), std::max(move.amount, end.length_mm)};
      on.insert(on.end(), end.on.begin(), end.on.end());
      if (!it.is_tube()) {
        hoses = shapes_of(static_cast<int>(item));
      } else if (e == 0) {
        append(hoses,
               shapes_at(duct::cut_to(it.shapes, it.piece->station_from_mm, it.piece->station_from_mm + end.plain_mm)));
        from = it.piece->station_from_mm + end.plain_mm;
      } else {
        append(hoses,
               shapes_at(duct::cut_to(it.shapes, it.piece->station_to_mm - end.plain_mm, it.piece->station_to_mm)));
        to = it.piece->station_to_mm - end.plain_mm;
      }
      passings.push_back({std::move(hoses), around(item, end.left_out, end.rest)});
    }
    if (passings.empty()) return true;
    if (it.is_tube() && to > from) append(others, shapes_at(duct::cut_to(it.shapes, from, to)));
    passings.push_back({std::move(others), around(item, {}, {})});
    for (const Passing& passing : passings) {
      if (!passing.shapes.empty() && !passes(item, passing, Pose(), move)) return false;
    }
    note_step(WayStep::Kind::drawn_off, group_, group_shapes(Pose()), move, std::move(on));
    at_ = move.whole();
    return true;
  }

  std::vector<Shape> group_shapes(const Pose& X) const {
    std::vector<Shape> out;
    for (const int i : group_) {
      for (const Shape& shape : shapes_of(i)) out.push_back(moved(shape, X));
    }
    return out;
  }

  /// Openings that have all of the group on their inside as it is drawn and as it lies before it is drawn off: through
  /// another it may be out already, or not, and nobody can tell.
  std::vector<OpeningView> begun_inside() const {
    std::vector<Shape> begun = group_shapes(Pose());
    for (const int i : group_) append(begun, shapes_at(assembly_.items[static_cast<std::size_t>(i)].shapes));
    std::vector<OpeningView> out;
    std::copy_if(openings_.begin(), openings_.end(), std::back_inserter(out),
                 [&](const OpeningView& opening) { return wholly_inside(opening, begun); });
    return out;
  }

  bool carried_out(std::size_t item, std::size_t& searched) {
    const Passing all{group_shapes(at_), around(item, {}, {})};
    // Nothing is touched any more, wherever it was drawn.
    if (!passes(item, all, Pose(), WayMove())) return false;
    for (const Shape& shape : all.shapes) {
      const auto part = assembly_.holding(balls_around({&shape, 1}).front().center);
      if (!part) continue;
      ++hindered_[*part];
      return false;
    }
    ++searched;
    const std::vector<OpeningView> openings = begun_inside();
    WaySearch search{all.shapes,
                     all.in_way,
                     openings,
                     steps_.empty() ? Vec3(Vec3::UnitZ()) : steps_.back().move.along,
                     std::min(inputs_.most_sweeps, inputs_.most_for_one - sweeps_[item]),
                     [this] { return progress_.cancelled(); }};
    const WayFound found = find_way(search);
    sweeps_[item] += found.sweeps;
    for (const auto& [of, times] : found.hindered) {
      hindered_[of] += times;
      blocked_by(item, of);
    }
    beyond_ = beyond_ || !found.usable;
    if (!found.found()) return false;
    opening_ = openings[static_cast<std::size_t>(found.opening)].name();
    Pose at;
    for (const WayMove& move : found.moves) {
      std::vector<Shape> shapes;
      for (const Shape& shape : all.shapes) shapes.push_back(moved(shape, at));
      note_step(WayStep::Kind::carried, group_, shapes, move, {});
      at = move.whole() * at;
    }
    return true;
  }

  void take_note(std::size_t item, const std::vector<const Release*>& ends) {
    ++order_;
    std::vector<std::string> words;
    for (const Release* end : ends) {
      if (!end->words.empty()) words.push_back(end->words);
    }
    for (const int i : group_) {
      assembly_.items[static_cast<std::size_t>(i)].out = true;
      PieceWay& way = ways_[static_cast<std::size_t>(i)];
      way.found = true;
      way.order = order_;
      way.opening = opening_;
      way.released = joined(words);
      way.steps = steps_;
      way.open.clear();
      way.missing.clear();
      if (static_cast<std::size_t>(i) != item) way.with = ways_[item].piece;
    }
  }

  void explain(std::size_t item, bool both_drawn) {
    PieceWay& way = ways_[item];
    if (!way.open.empty()) way.open += "; ";
    if (both_drawn) {
      way.open += "it would have to be drawn off both ends at once, along different lines";
      return;
    }
    if (spent(item)) {
      way.open += "the search ended after " + std::to_string(inputs_.most_for_one) + " moves tried for it";
      return;
    }
    if (openings_.empty()) {
      way.open += "the job states no access opening that it could come out through";
      way.missing.emplace_back("openings");
      return;
    }
    way.open += "no way out was found among those tried, which is no proof that there is none";
    if (beyond_) {
      way.open += "; it does not begin wholly inside any access opening";
      return;
    }
    std::vector<std::pair<int, int>> worst;
    for (const auto& [of, times] : hindered_) worst.emplace_back(-times, of);
    std::sort(worst.begin(), worst.end());
    std::vector<std::string> names;
    for (std::size_t i = 0; i < std::min<std::size_t>(2, worst.size()); ++i) {
      if (worst[i].second >= 0) names.push_back(assembly_.name_of(worst[i].second));
    }
    if (!names.empty()) way.open += "; most in the way: " + joined(names);
  }

  static void append(std::vector<Shape>& to, std::vector<Shape> more) { to.insert(to.end(), more.begin(), more.end()); }

  const WayInputs& inputs_;
  const Progress& progress_;
  Assembly assembly_;
  std::vector<int> sweeps_;  ///< per item: moves tried
  std::vector<OpeningView> openings_;
  std::vector<PieceWay> ways_;
  std::vector<std::set<int>> blockers_;  ///< per item: items that it met
  std::vector<int> group_;
  std::vector<WayStep> steps_;
  std::map<int, int> hindered_;
  std::string opening_;
  Pose at_;
  bool beyond_ = false;
  int order_ = 0;
};

}  // namespace

std::optional<WaysOut> ways_out(const WayInputs& inputs, const Progress& progress) {
  EXPECTS(inputs.part_mm.size() == inputs.bay.parts.size() && inputs.duct_mm.size() == inputs.ducts.size());
  return Dismantling(inputs, progress).run();
}

}  // namespace baywright::access
