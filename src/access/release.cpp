#include "access/release.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/unit.hpp"

namespace baywright::access {
namespace {

/// What is apart is so by this beyond the room that is demanded.
constexpr double kClear_mm = 1;
constexpr double kRounding_mm = 1e-6;
/// So far beyond its seat the plain length of a tube, or any tube that ends there without a hose, is taken to lie
/// beside it; what is farther counts in full.
constexpr double kNearSeat_mm = 20;

void append(std::vector<InWay>& to, const std::optional<InWay>& more) {
  if (more) to.push_back(*more);
}
void append(std::vector<InWay>& to, const std::vector<InWay>& more) { to.insert(to.end(), more.begin(), more.end()); }

/// One end of a hose with what it sits on, as a thing that the hose may slide on.
class Seat {
 public:
  Seat(const Assembly& assembly, int hose, bool upstream_side)
      : assembly_(assembly),
        hose_(assembly.items[static_cast<std::size_t>(hose)]),
        upstream_side_(upstream_side),
        under_(assembly.under(hose_, upstream_side)) {}

  const Under& under() const { return under_; }
  bool is_tube() const { return under_.item >= 0; }
  /// Whose surface it is; -1: of nothing that stands (a port of no part).
  int of() const {
    if (is_tube()) return assembly_.of_item(static_cast<std::size_t>(under_.item));
    if (under_.anchor->item >= 0) return assembly_.of_item(static_cast<std::size_t>(under_.anchor->item));
    return under_.anchor->obstacle;
  }
  std::vector<InWay> rest() const {
    std::vector<InWay> out;
    if (is_tube()) {
      append(out, assembly_.beyond_plain(under_.item, !upstream_side_));
    } else {
      append(out, under_.anchor->rest);
    }
    return out;
  }
  std::string name() const {
    return is_tube() ? assembly_.name(assembly_.items[static_cast<std::size_t>(under_.item)]) : under_.anchor->name;
  }
  bool known() const { return under_.plain_mm.has_value(); }
  std::string key() const { return is_tube() ? "" : under_.anchor->key; }
  /// Room for `more_mm` of hose than lies on it now.
  bool takes(double more_mm) const {
    const double beside = is_tube() ? kBesideHose_mm : 0;
    return known() && *under_.plain_mm >= under_.engaged_mm + more_mm + (more_mm > 0 ? beside : 0) - kRounding_mm;
  }
  /// How far apart from it the hose, and what else of another duct moves with it, must end up.
  double apart_mm(std::size_t duct) const {
    if (of() < 0) return kClear_mm + kWayRoom_mm;
    return kClear_mm + std::max(assembly_.room_mm(of(), hose_.duct), assembly_.room_mm(of(), duct));
  }

 private:
  const Assembly& assembly_;
  const Item& hose_;
  bool upstream_side_;
  Under under_;
};

std::string by_words(const Assembly& assembly, double mm) {
  return length_text(std::abs(mm), assembly.inputs().bay.units);
}

/// The hose slid towards one of its sides, until it is off the other by `apart_mm`.
HoseSlide slide(const Assembly& assembly, int hose, const Seat& onto, const Seat& off, double mm) {
  HoseSlide out{hose, mm, {assembly.of_item(static_cast<std::size_t>(hose))}, {}, {onto.name(), off.name()}};
  for (const Seat* seat : {&onto, &off}) {
    if (seat->of() < 0) continue;
    out.left_out.push_back(seat->of());
    append(out.rest, seat->rest());
  }
  return out;
}

double near_seat_mm(const Under& under) { return std::min(under.near_mm, under.engaged_mm + kNearSeat_mm); }

void keep(Releases& out, Release release) { out.ways.push_back(std::move(release)); }

/// Tube and hose between them and a neighbour that is still there. `upstream_end`: the tube lies downstream of it.
void add_joined(const Assembly& assembly, int tube, int hose, bool upstream_end, Releases& out) {
  const Item& h = assembly.items[static_cast<std::size_t>(hose)];
  const std::size_t duct = assembly.items[static_cast<std::size_t>(tube)].duct;
  const Seat own(assembly, hose, !upstream_end), other(assembly, hose, upstream_end);
  const std::string name = assembly.name_among(h, duct),
                    tube_name = assembly.name(assembly.items[static_cast<std::size_t>(tube)]);
  const double into = upstream_end ? 1 : -1;  // along the flow, from the hose to the tube
  const int of_tube = assembly.of_item(static_cast<std::size_t>(tube));
  const int of_hose = assembly.of_item(static_cast<std::size_t>(hose));
  const double own_apart = kClear_mm + assembly.room_mm(of_hose, duct);
  const bool slides = assembly.slides(h) && other.takes(0) && own.takes(0);
  if (slides) {
    const double back = own.under().engaged_mm + own_apart, on = other.under().engaged_mm + other.apart_mm(duct);
    if (other.takes(back)) {
      Release r;
      r.words = name + " is slid onto " + other.name() + " by " + by_words(assembly, back);
      r.slides = {slide(assembly, hose, other, own, -into * back)};
      keep(out, r);
    }
    if (own.takes(on)) {
      Release r;
      r.words = name + " is slid onto " + tube_name + " by " + by_words(assembly, on);
      r.slides = {slide(assembly, hose, own, other, into * on)};
      r.with = {hose};
      keep(out, r);
    }
  }
  if (own.takes(0)) {
    Release r;
    r.pulls = true;
    r.axis = into * assembly.along(h, !upstream_end);
    r.length_mm = own.under().engaged_mm + own_apart;
    r.words = tube_name + " is drawn out of " + name + " by " + by_words(assembly, r.length_mm);
    r.plain_mm = near_seat_mm(own.under());
    r.left_out = {of_hose};
    r.on = {name};
    if (slides && other.of() >= 0 && other.of() != of_tube) {
      r.left_out.push_back(other.of());
      r.rest = other.rest();
      r.on.push_back(other.name());
    }
    keep(out, r);
  }
  if (slides) {
    Release r;
    r.pulls = true;
    r.axis = into * assembly.along(h, upstream_end);
    r.length_mm = other.under().engaged_mm + other.apart_mm(duct);
    r.words = tube_name + " is drawn off " + other.name() + " with " + name + " by " + by_words(assembly, r.length_mm);
    r.plain_mm = near_seat_mm(own.under());
    r.with = {hose};
    if (other.of() >= 0) {
      r.left_out = {other.of()};
      r.rest = other.rest();
    }
    r.on = {other.name()};
    keep(out, r);
  }
  if (!other.known() && !other.key().empty()) {
    out.open = "how far " + name + " can go on " + other.name() + " is not stated";
    out.missing = {other.key()};
  } else if (out.ways.empty()) {
    out.open = name + " has no plain straight length on either side to be slid along, nor can " + tube_name +
               " be drawn straight out of it";
  }
}

/// A tube that begins on what a duct's end is attached to, without a hose.
void add_direct(const Assembly& assembly, int tube, bool upstream_end, Releases& out) {
  const Item& t = assembly.items[static_cast<std::size_t>(tube)];
  const Anchor& anchor = assembly.anchor(t.duct, upstream_end);
  if (anchor.open) {
    keep(out, {});
    return;
  }
  if (anchor.item >= 0 || anchor.name.empty()) {
    out.open = "how " + assembly.name(t) + " is held on " + (anchor.name.empty() ? "its end" : anchor.name) +
               " is not stated: there is no hose between them";
    out.missing = {"ducts/" + assembly.duct_of(t).spec.id.value + "/fittings: coupler"};
    return;
  }
  if (!anchor.spigot_mm) {
    out.open = "how far " + assembly.name(t) + " must be drawn off " + anchor.name + " is not stated";
    out.missing = {anchor.key};
    return;
  }
  const duct::Layout& layout = assembly.duct_of(t).layout;
  Release r;
  r.pulls = true;
  r.axis = upstream_end ? layout.at(0).tangent : Vec3(-layout.at(layout.length_mm).tangent);
  r.length_mm =
      *anchor.spigot_mm + kClear_mm + (anchor.obstacle >= 0 ? assembly.room_mm(anchor.obstacle, t.duct) : kWayRoom_mm);
  r.words = assembly.name(t) + " is drawn off " + anchor.name + " by " + by_words(assembly, r.length_mm);
  // Bent or not: what is built up to the spigot's end lies beside it.
  r.plain_mm = std::min(t.piece->station_to_mm - t.piece->station_from_mm, kNearSeat_mm);
  if (anchor.obstacle >= 0) {
    r.left_out = {anchor.obstacle};
    r.rest = anchor.rest;
  }
  r.on = {anchor.name};
  keep(out, r);
}

}  // namespace

Releases releases_of_tube(const Assembly& assembly, int tube, bool upstream_end) {
  Releases out;
  const Item& t = assembly.items[static_cast<std::size_t>(tube)];
  const int hose = upstream_end ? t.before : t.behind;
  if (hose < 0) {
    add_direct(assembly, tube, upstream_end, out);
    return out;
  }
  const Item& h = assembly.items[static_cast<std::size_t>(hose)];
  if (h.out || !assembly.under(h, !upstream_end).present) {
    keep(out, {});
  } else if (!assembly.under(h, upstream_end).present) {
    Release r;
    r.with = {hose};
    keep(out, r);
  } else {
    add_joined(assembly, tube, hose, upstream_end, out);
  }
  return out;
}

Releases releases_of_branch(const Assembly& assembly, int tube, const Branch& branch) {
  Releases out;
  const Item& last = assembly.items[static_cast<std::size_t>(branch.item)];
  if (last.out) {
    keep(out, {});
  } else if (last.is_tube()) {
    out.open = "how " + assembly.name_of(assembly.of_item(static_cast<std::size_t>(branch.item))) + " is held on " +
               assembly.anchor(last.duct, branch.upstream).name + " is not stated: there is no hose between them";
    out.missing = {"ducts/" + assembly.duct_of(last).spec.id.value + "/fittings: coupler"};
  } else if (!assembly.under(last, branch.upstream).present) {
    keep(out, {});
  } else if (!assembly.under(last, !branch.upstream).present) {
    Release r;
    r.with = {branch.item};
    keep(out, r);
  } else {
    add_joined(assembly, tube, branch.item, !branch.upstream, out);
    for (Release& r : out.ways) r.branch = branch;
  }
  return out;
}

Releases releases_of_hose(const Assembly& assembly, int hose) {
  Releases out;
  const Item& h = assembly.items[static_cast<std::size_t>(hose)];
  const Seat up(assembly, hose, true), down(assembly, hose, false);
  if (!up.under().present && !down.under().present) {
    keep(out, {});
    return out;
  }
  if (up.under().present && down.under().present) {
    out.open = "it sits on " + up.name() + " and on " + down.name() +
               " and comes free with one of them; that it is bent off is not tried";
    return out;
  }
  const bool upstream = up.under().present;
  const Seat& seat = upstream ? up : down;
  if (!seat.takes(0) || !assembly.slides(h)) {
    out.open = "how " + assembly.name(h) + " comes off " + seat.name() + " is not known";
    if (!seat.known() && !seat.key().empty()) out.missing = {seat.key()};
    return out;
  }
  Release r;
  r.pulls = true;
  r.axis = (upstream ? 1 : -1) * assembly.along(h, upstream);
  r.length_mm = seat.under().engaged_mm + seat.apart_mm(h.duct);
  r.words = assembly.name(h) + " is drawn off " + seat.name() + " by " + by_words(assembly, r.length_mm);
  if (seat.of() >= 0) {
    r.left_out = {seat.of()};
    r.rest = seat.rest();
  }
  r.on = {seat.name()};
  keep(out, r);
  return out;
}

}  // namespace baywright::access
