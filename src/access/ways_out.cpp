#include "access/ways_out.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <iterator>
#include <map>
#include <set>
#include <tuple>

#include "access/release.hpp"
#include "access/way_search.hpp"
#include "duct/piece_shapes.hpp"
#include "geometry/base/expects.hpp"
#include "geometry/base/words.hpp"

namespace baywright::access {
namespace {

/// Ways of freeing all ends of a tube that are followed up by a search, and that are thought of.
constexpr std::size_t kMostReleases = 6, kMostTogether = 64;
/// By how much a hose is turned on its seat where it is hindered as it is; 0 first.
constexpr std::array kHoseTurns_deg = {0.0, 30.0, -30.0, 60.0, -60.0, 90.0, -90.0, 120.0, -120.0, 150.0, -150.0, 180.0};
/// A tube lies this near beside the end of a hose on its branch port, along the tube, as it is built.
constexpr double kBesideBranch_mm = 20;

/// What of a group moves past what, on one move.
struct Passing {
  std::vector<Shape> shapes;
  std::vector<InWay> in_way;
};

/// Of a tube, between two stations.
struct Stretch {
  double from_mm, to_mm;
};

void cut_out(std::vector<Stretch>& from, const Stretch& gone) {
  std::vector<Stretch> left;
  for (const Stretch& s : from) {
    if (std::min(s.to_mm, gone.from_mm) > s.from_mm) left.push_back({s.from_mm, std::min(s.to_mm, gone.from_mm)});
    if (s.to_mm > std::max(s.from_mm, gone.to_mm)) left.push_back({std::max(s.from_mm, gone.to_mm), s.to_mm});
  }
  from = std::move(left);
}

/// A release of each end of a piece.
using Freed = std::vector<const Release*>;

class Dismantling {
 public:
  Dismantling(const WayInputs& inputs, const Progress& progress)
      : inputs_(inputs), progress_(progress), assembly_(inputs) {
    Aabb parts;
    for (const bay::Part& part : inputs.bay.parts) {
      if (!part.tree.empty()) parts.grow(part.tree.bounds());
    }
    for (const bay::AccessOpening& opening : inputs.bay.openings) {
      openings_.emplace_back(opening, middle_of(inputs.ducts));
      // Its inside is where the ducts are; a plane through them is told by the parts as well, or by neither.
      if (!parts.empty() && openings_.back().outside_mm(parts.center()) > 0) {
        notes_.push_back(
            "which side of opening " + opening.id.value +
            " is inside is not clear: ducts and parts lie on different ones; no way through it is looked for");
        openings_.pop_back();
      }
    }
    for (const Item& item : assembly_.items) {
      PieceWay way;
      way.duct = assembly_.duct_of(item).spec.id;
      way.piece = assembly_.name(item);
      if (inputs.stays.contains(way.duct)) way.open = "somebody said of its duct that its pieces do not come out";
      ways_.push_back(std::move(way));
      blockers_.emplace_back();
      sweeps_.push_back(0);
    }
  }

  std::optional<WaysOut> run() {
    if (!assembly_.unknown().empty()) {
      for (PieceWay& way : ways_) tell_unknown(way);
      return WaysOut{std::move(ways_), notes()};
    }
    std::vector<bool> tried(assembly_.items.size(), false);
    for (bool more = true; more;) {
      more = false;
      for (std::size_t i = 0; i < assembly_.items.size(); ++i) {
        if (assembly_.items[i].out || stays(i) || (tried[i] && !freed_since(i))) continue;
        progress_.report("looking for a way out of " + assembly_.name(assembly_.items[i]));
        tried[i] = true;
        blockers_[i].clear();
        more = take_out(i) || more;
        if (progress_.cancelled()) return std::nullopt;
      }
    }
    return WaysOut{std::move(ways_), notes()};
  }

 private:
  std::vector<std::string> notes() const {
    std::vector<std::string> out = assembly_.notes();
    out.insert(out.end(), notes_.begin(), notes_.end());
    return out;
  }
  void tell_unknown(PieceWay& way) const {
    std::vector<std::string> whats;
    for (const UnknownSize& unknown : assembly_.unknown()) {
      whats.push_back(unknown.what);
      way.missing.insert(way.missing.end(), unknown.keys.begin(), unknown.keys.end());
    }
    way.open = joined(whats, "; ");
  }
  bool stays(std::size_t item) const { return inputs_.stays.contains(ways_[item].duct); }
  bool spent(std::size_t item) const { return sweeps_[item] >= inputs_.most_for_one; }

  /// Whether something that it waits for has come out since it was tried.
  bool freed_since(std::size_t item) const {
    return std::any_of(blockers_[item].begin(), blockers_[item].end(),
                       [&](int other) { return assembly_.items[static_cast<std::size_t>(other)].out; });
  }
  void blocked_by(std::size_t item, int of) {
    const int first = assembly_.of_item(0);
    if (of >= first) waits_for(item, of - first);
  }
  void waits_for(std::size_t item, int other) {
    if (!assembly_.items[static_cast<std::size_t>(other)].out) blockers_[item].insert(other);
  }

  bool take_out(std::size_t item) {
    const Item& it = assembly_.items[item];
    PieceWay& way = ways_[item];
    way.open.clear();
    way.missing.clear();
    hindered_.clear();
    beyond_ = false;
    for (const int neighbour : {it.before, it.behind}) {
      if (neighbour >= 0) waits_for(item, neighbour);
    }
    for (const Branch& branch : it.branches) waits_for(item, branch.item);
    const std::vector<Releases> ends = ends_of(static_cast<int>(item));
    for (const Releases& end : ends) {
      if (end.open.empty()) continue;
      way.open += (way.open.empty() ? "" : "; ") + end.open;
      way.missing.insert(way.missing.end(), end.missing.begin(), end.missing.end());
    }
    if (std::any_of(ends.begin(), ends.end(), [](const Releases& end) { return end.ways.empty(); })) return false;
    const std::vector<Freed> together = together_of(ends);
    searched_ = 0;
    for (const Freed& freed : together) {
      if (progress_.cancelled() || spent(item) || searched_ == kMostReleases) break;
      if (comes_out(item, freed)) return true;
    }
    explain(item, together.empty());
    return false;
  }

  std::vector<Releases> ends_of(int item) const {
    const Item& it = assembly_.items[static_cast<std::size_t>(item)];
    if (!it.is_tube()) return {releases_of_hose(assembly_, item)};
    std::vector<Releases> out = {releases_of_tube(assembly_, item, true), releases_of_tube(assembly_, item, false)};
    for (const Branch& branch : it.branches) out.push_back(releases_of_branch(assembly_, item, branch));
    for (Releases& end : out) {
      std::string staying;
      std::erase_if(end.ways, [&](const Release& release) {
        const auto hose = std::find_if(release.with.begin(), release.with.end(),
                                       [&](int with) { return stays(static_cast<std::size_t>(with)); });
        if (hose == release.with.end()) return false;
        staying = assembly_.full_name(assembly_.items[static_cast<std::size_t>(*hose)]);
        return true;
      });
      if (!staying.empty() && end.ways.empty()) {
        end.open += (end.open.empty() ? "" : "; ") + staying +
                    " would come out on it, and somebody said of its duct that its pieces do not come out";
      }
    }
    return out;
  }

  /// One release of each end, in all ways that go together: what is drawn off is so along one line. What needs no
  /// drawing off first.
  static std::vector<Freed> together_of(const std::vector<Releases>& ends) {
    const auto pulls = [](const Freed& freed) {
      return std::count_if(freed.begin(), freed.end(), [](const Release* r) { return r->pulls; });
    };
    std::vector<Freed> out = {{}};
    for (const Releases& end : ends) {
      std::vector<Freed> more;
      for (const Freed& before : out) {
        for (const Release& release : end.ways) {
          const bool other_line = release.pulls && std::any_of(before.begin(), before.end(), [&](const Release* r) {
                                    return r->pulls && r->axis.dot(release.axis) <= kOneAxis;
                                  });
          if (other_line) continue;
          more.push_back(before);
          more.back().push_back(&release);
        }
      }
      std::stable_sort(more.begin(), more.end(), [&](const Freed& x, const Freed& y) { return pulls(x) < pulls(y); });
      more.resize(std::min(more.size(), kMostTogether));
      out = std::move(more);
    }
    return out;
  }

  /// Frees the ends and searches; puts hoses back where that leads nowhere.
  bool comes_out(std::size_t item, const Freed& ends) {
    std::vector<std::pair<double, double>> before;
    for (const Item& i : assembly_.items) before.emplace_back(i.slid_mm, i.turned_rad);
    steps_.clear();
    group_ = {static_cast<int>(item)};
    for (const Release* end : ends) {
      for (const int hose : end->with) group_.push_back(hose);
    }
    if (slides_free(item, slides_of(ends), 0, [&] { return drawn_off_and_out(item, ends); })) {
      take_note(item, ends);
      return true;
    }
    for (std::size_t i = 0; i < before.size(); ++i) {
      std::tie(assembly_.items[i].slid_mm, assembly_.items[i].turned_rad) = before[i];
    }
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
  void note_step(std::size_t duct, WayStep::Kind kind, std::span<const int> moved, const std::vector<Shape>& shapes,
                 const WayMove& move, std::vector<std::string> on) {
    WayStep step{kind, {}, {moved.begin(), moved.end()}, shapes, move, std::move(on)};
    for (const int i : moved) {
      step.moved.push_back(assembly_.name_among(assembly_.items[static_cast<std::size_t>(i)], duct));
    }
    steps_.push_back(std::move(step));
  }

  /// What came of a move and of all that follows it.
  enum class Led { out, nowhere, hindered };

  /// Tries something with a hose as it is, then with it turned on its seat: loosened clamps turn with it.
  template <class Try>
  bool turned_until(std::size_t item, int hose, const std::vector<InWay>& in_way, const std::vector<std::string>& on,
                    const Try& does) {
    Item& h = assembly_.items[static_cast<std::size_t>(hose)];
    for (const double turn_deg : kHoseTurns_deg) {
      if (spent(item) || searched_ == kMostReleases || progress_.cancelled()) return false;
      const std::size_t steps = steps_.size();
      const double before = h.turned_rad;
      if (turn_deg != 0) {
        const Vec3 axis = (turn_deg > 0 ? 1.0 : -1.0) * assembly_.along(h, true);
        const Vec3 point = duct_of(h).layout.at(h.fitting->station_from_mm).p_mm;
        const WayMove turn{true, axis, point, degrees(std::abs(turn_deg)).si()};
        const Passing passing{shapes_of(hose), in_way};
        if (!passes(item, passing, Pose(), turn)) continue;
        note_step(assembly_.items[item].duct, WayStep::Kind::hose_slid, {&hose, 1}, passing.shapes, turn, on);
        h.turned_rad += degrees(turn_deg).si();
      }
      const Led led = does();
      if (led == Led::out) return true;
      h.turned_rad = before;
      steps_.resize(steps);
      // Where it passes as it is, a turn is no help against what comes after.
      if (turn_deg == 0 && led == Led::nowhere) return false;
    }
    return false;
  }
  const duct::Duct& duct_of(const Item& item) const { return assembly_.duct_of(item); }

  /// Hoses are slid, from the `from`-th on, and then what follows is done; put back where that leads nowhere.
  bool slides_free(std::size_t item, const std::vector<const HoseSlide*>& slides, std::size_t from,
                   const std::function<bool()>& then) {
    if (from == slides.size()) return then();
    const HoseSlide& slide = *slides[from];
    Item& hose = assembly_.items[static_cast<std::size_t>(slide.hose)];
    const Vec3 along = assembly_.along(hose, true);
    const WayMove move{false, slide.mm < 0 ? Vec3(-along) : along, Vec3::Zero(), std::abs(slide.mm)};
    std::vector<InWay> in_way = assembly_.standing({&slide.hose, 1}, slide.left_out);
    in_way.insert(in_way.end(), slide.rest.begin(), slide.rest.end());
    return turned_until(item, slide.hose, in_way, slide.on, [&] {
      const Passing passing{shapes_of(slide.hose), in_way};
      if (!passes(item, passing, Pose(), move)) return Led::hindered;
      note_step(assembly_.items[item].duct, WayStep::Kind::hose_slid, {&slide.hose, 1}, passing.shapes, move, slide.on);
      hose.slid_mm += slide.mm;
      if (slides_free(item, slides, from + 1, then)) return Led::out;
      hose.slid_mm -= slide.mm;
      return Led::nowhere;
    });
  }
  static std::vector<const HoseSlide*> slides_of(const Freed& ends) {
    std::vector<const HoseSlide*> out;
    for (const Release* end : ends) {
      for (const HoseSlide& slide : end->slides) out.push_back(&slide);
    }
    return out;
  }

  /// What stands besides the group, with some of it replaced by what is left of it.
  std::vector<InWay> around(std::vector<int> left_out, const std::vector<InWay>& rest) const {
    for (const int i : group_) left_out.push_back(assembly_.of_item(static_cast<std::size_t>(i)));
    std::vector<InWay> out = assembly_.standing(group_, left_out);
    out.insert(out.end(), rest.begin(), rest.end());
    return out;
  }

  /// What of a tube slides in or on its seat where an end of it is drawn off.
  static Stretch drawn_stretch(const Item& tube, const Release& end, bool upstream) {
    const double from = tube.piece->station_from_mm, to = tube.piece->station_to_mm;
    if (end.branch) {
      const double half = end.branch->half_mm + kBesideBranch_mm, middle = end.branch->station_mm;
      return {std::max(from, middle - half), std::min(to, middle + half)};
    }
    return upstream ? Stretch{from, from + end.plain_mm} : Stretch{to - end.plain_mm, to};
  }

  static std::size_t branch_hose(const Release& end) { return static_cast<std::size_t>(end.branch->item); }

  /// Shapes of a stretch of a tube that is drawn off.
  struct Seated {
    std::vector<Shape> on_seat;   ///< slides in or on the seat
    std::vector<Shape> beside;    ///< the tube beside a branch port that is the seat
    std::vector<Shape> standing;  ///< other branch ports and bosses there
  };
  static Seated seated_on(const Item& tube, const Release& end, const Freed& ends, const Stretch& seat) {
    Seated out;
    for (const Primitive& p : duct::cut_to(tube.shapes, seat.from_mm, seat.to_mm)) {
      const bool stands = p.station_from_mm == p.station_to_mm;
      if (!end.branch) {
        out.on_seat.push_back(p.shape);
      } else if (end.branch->owns(p)) {
        out.on_seat.push_back(p.shape);
      } else if (!stands) {
        out.beside.push_back(p.shape);
      } else if (std::none_of(ends.begin(), ends.end(), [&](const Release* other) {
                   return other->pulls && other->branch && other->branch->owns(p);
                 })) {
        out.standing.push_back(p.shape);
      }
    }
    return out;
  }

  bool drawn_off_and_out(std::size_t item, const Freed& ends) {
    const Item& it = assembly_.items[item];
    const Release& end = *ends.front();
    const auto drawn_and_out = [&] {
      if (!drawn_as_it_is(item, ends)) return Led::hindered;
      return carried_out(item) ? Led::out : Led::nowhere;
    };
    if (it.is_tube() || !end.pulls) return drawn_and_out() == Led::out;
    return turned_until(item, static_cast<int>(item), around(end.left_out, end.rest), end.on, drawn_and_out);
  }

  bool drawn_as_it_is(std::size_t item, const Freed& ends) {
    at_ = Pose();
    WayMove move;
    std::vector<std::string> on;
    const Item& it = assembly_.items[item];
    std::vector<Stretch> left = {{it.piece->station_from_mm, it.piece->station_to_mm}};
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
      if (it.is_tube()) {
        const Stretch seat = drawn_stretch(it, end, e == 0);
        Seated seated = seated_on(it, end, ends, seat);
        append(hoses, std::move(seated.on_seat));
        append(others, std::move(seated.standing));
        cut_out(left, seat);
        // Beside a branch port the tube itself may lie near the hose on it, and no nearer to anything else than always.
        if (end.branch)
          passings.push_back({std::move(seated.beside), around({assembly_.of_item(branch_hose(end))}, {})});
      } else {
        hoses = shapes_of(static_cast<int>(item));
      }
      passings.push_back({std::move(hoses), around(end.left_out, end.rest)});
    }
    if (passings.empty()) return true;
    if (it.is_tube()) {
      for (const Stretch& s : left) append(others, shapes_at(duct::cut_to(it.shapes, s.from_mm, s.to_mm)));
    }
    passings.push_back({std::move(others), around({}, {})});
    for (const Passing& passing : passings) {
      if (!passing.shapes.empty() && !passes(item, passing, Pose(), move)) return false;
    }
    note_step(it.duct, WayStep::Kind::drawn_off, group_, group_shapes(Pose()), move, std::move(on));
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

  /// Openings that have all of the group inside as it is drawn and until it is freed: through another it may be out
  /// already, or not, and nobody can tell.
  std::vector<OpeningView> begun_inside() const {
    std::vector<Shape> drawn;
    for (const int i : group_) append(drawn, shapes_at(assembly_.items[static_cast<std::size_t>(i)].shapes));
    const auto begun = [&](const OpeningView& opening) {
      return stays_inside(opening, drawn, WayMove()) && stays_inside(opening, group_shapes(Pose()), WayMove()) &&
             std::all_of(steps_.begin(), steps_.end(),
                         [&](const WayStep& step) { return stays_inside(opening, step.shapes, step.move); });
    };
    std::vector<OpeningView> out;
    std::copy_if(openings_.begin(), openings_.end(), std::back_inserter(out), begun);
    return out;
  }

  std::vector<Vec3> end_axes(std::size_t item) const {
    const Item& it = assembly_.items[item];
    const duct::Layout& layout = assembly_.duct_of(it).layout;
    return {layout.at(it.piece->station_from_mm).tangent, layout.at(it.piece->station_to_mm).tangent};
  }

  bool carried_out(std::size_t item) {
    const Passing all{group_shapes(at_), around({}, {})};
    // Nothing is touched any more, wherever it was drawn.
    if (!passes(item, all, Pose(), WayMove())) return false;
    for (const Shape& shape : all.shapes) {
      const auto part = assembly_.holding(balls_around({&shape, 1}).front().center);
      if (!part) continue;
      ++hindered_[*part];
      return false;
    }
    ++searched_;
    const std::vector<OpeningView> openings = begun_inside();
    std::vector<InWay> overhead;
    std::copy_if(all.in_way.begin(), all.in_way.end(), std::back_inserter(overhead),
                 [&](const InWay& w) { return !assembly_.opened(w.of); });
    WaySearch search{all.shapes,
                     all.in_way,
                     overhead,
                     openings,
                     steps_.empty() ? Vec3(Vec3::UnitZ()) : steps_.back().move.along,
                     end_axes(item),
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
      note_step(assembly_.items[item].duct, WayStep::Kind::carried, group_, shapes, move, {});
      at = move.whole() * at;
    }
    return true;
  }

  /// Names in a way that was found for a piece of one duct, as a piece of another that comes out with it has them.
  void name_for(int with, std::size_t freed, PieceWay& way) const {
    const std::size_t duct = assembly_.items[static_cast<std::size_t>(with)].duct;
    const Item& item = assembly_.items[freed];
    if (duct == item.duct) return;
    way.released = "duct " + assembly_.duct_of(item).spec.id.value + ": " + way.released;
    for (WayStep& step : way.steps) {
      step.moved.clear();
      for (const int i : step.items) {
        step.moved.push_back(assembly_.name_among(assembly_.items[static_cast<std::size_t>(i)], duct));
      }
    }
  }

  void take_note(std::size_t item, const Freed& ends) {
    ++order_;
    std::vector<std::string> words;
    // As it is done: hoses first.
    for (const bool pulls : {false, true}) {
      for (const Release* end : ends) {
        if (end->pulls == pulls && !end->words.empty()) words.push_back(end->words);
      }
    }
    for (const int i : group_) {
      assembly_.items[static_cast<std::size_t>(i)].out = true;
      PieceWay& way = ways_[static_cast<std::size_t>(i)];
      way.found = true;
      way.order = order_;
      way.opening = opening_;
      way.released = joined(words);
      way.steps = steps_;
      name_for(i, item, way);
      way.open.clear();
      way.missing.clear();
      const std::size_t duct = assembly_.items[static_cast<std::size_t>(i)].duct;
      if (static_cast<std::size_t>(i) != item) way.with = assembly_.name_among(assembly_.items[item], duct);
    }
  }

  void explain(std::size_t item, bool never_together) {
    PieceWay& way = ways_[item];
    if (!way.open.empty()) way.open += "; ";
    if (openings_.empty() && !notes_.empty()) {
      way.open += joined(notes_, "; ");
      way.missing.emplace_back("openings");
    } else if (openings_.empty()) {
      way.open += "the job states no access opening that it could come out through";
      way.missing.emplace_back("openings");
    } else if (never_together) {
      way.open += "it would have to be drawn off several things at once, along different lines, with all the others in";
    } else if (spent(item)) {
      way.open += "the search ended after " + std::to_string(inputs_.most_for_one) + " moves tried for it";
    } else {
      way.open += "no way out was found among those tried, which is no proof that there is none";
      if (beyond_) {
        way.open += "; it reaches beyond the plane of every opening, beside the outline";
      } else if (const std::string most = most_in_the_way(); !most.empty()) {
        way.open += "; most in the way: " + most;
      }
    }
    if (!openings_.empty() && clamps_all_round(item)) {
      way.open += "; clamps are taken as high all round where their clock angle is not stated (screw_clock_deg)";
    }
  }
  std::string most_in_the_way() const {
    std::vector<std::pair<int, int>> worst;
    for (const auto& [of, times] : hindered_) worst.emplace_back(-times, of);
    std::sort(worst.begin(), worst.end());
    std::vector<std::string> names;
    for (std::size_t i = 0; i < std::min<std::size_t>(2, worst.size()); ++i) {
      if (worst[i].second >= 0) names.push_back(assembly_.name_of(worst[i].second));
    }
    return joined(names, "; ");
  }
  /// Whether a clamp on the hoses of its duct is looked at with its screw at every clock angle.
  bool clamps_all_round(std::size_t item) const {
    for (const duct::PlacedFitting& fitting : duct_of(assembly_.items[item]).layout.fittings) {
      const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
      if (!coupler) continue;
      if (std::any_of(coupler->clamps.begin(), coupler->clamps.end(), [](const auto& c) { return !c.screw_clock; })) {
        return true;
      }
    }
    return false;
  }

  static void append(std::vector<Shape>& to, std::vector<Shape> more) { to.insert(to.end(), more.begin(), more.end()); }

  const WayInputs& inputs_;
  const Progress& progress_;
  Assembly assembly_;
  std::size_t searched_ = 0;  ///< ways of freeing the piece in hand that were followed up
  std::vector<int> sweeps_;   ///< per item: moves tried
  std::vector<OpeningView> openings_;
  std::vector<std::string> notes_;  ///< beside those of the assembly
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
