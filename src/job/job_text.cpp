#include "job/job_text.hpp"

#include <algorithm>
#include <optional>
#include <string_view>
#include <utility>
#include <vector>

#include "job/job_file.hpp"
#include "job/node.hpp"

namespace baywright::job {
namespace {

/// Where a value stands in a text, as offsets.
struct Span {
  std::size_t begin = 0, end = 0;
};

/// Finds values in a text that is known to be good JSON, without making a tree of it: the offsets are what is wanted.
class TextSeeker {
 public:
  explicit TextSeeker(std::string_view text) : text_(text) {}

  Span root() const { return value_at(after_blanks(0)); }

  std::optional<Span> member(const Span& object, std::string_view key) const {
    std::size_t at = after_blanks(object.begin + 1);
    while (text_[at] == '"') {
      const std::size_t name_end = end_of_text(at);
      const std::string_view name = text_.substr(at + 1, name_end - at - 2);
      const std::size_t colon = after_blanks(name_end);
      const Span value = value_at(after_blanks(colon + 1));
      if (name == key) return value;
      at = after_blanks(value.end);
      if (text_[at] == ',') at = after_blanks(at + 1);
    }
    return std::nullopt;
  }

  std::vector<Span> items(const Span& array) const {
    std::vector<Span> out;
    std::size_t at = after_blanks(array.begin + 1);
    while (text_[at] != ']') {
      out.push_back(value_at(at));
      at = after_blanks(out.back().end);
      if (text_[at] == ',') at = after_blanks(at + 1);
    }
    return out;
  }

 private:
  std::size_t after_blanks(std::size_t at) const {
    return std::min(text_.find_first_not_of(" \t\r\n", at), text_.size());
  }

  /// Behind the closing quote of the text that opens at `at`.
  std::size_t end_of_text(std::size_t at) const {
    for (++at; text_[at] != '"'; ++at)
      if (text_[at] == '\\') ++at;
    return at + 1;
  }

  Span value_at(std::size_t at) const {
    if (text_[at] == '"') return {at, end_of_text(at)};
    if (text_[at] != '{' && text_[at] != '[')
      return {at, std::min(text_.find_first_of(",]} \t\r\n", at), text_.size())};
    const std::size_t begin = at;
    int depth = 0;
    do {
      if (text_[at] == '"') {
        at = end_of_text(at);
        continue;
      }
      if (text_[at] == '{' || text_[at] == '[') ++depth;
      if (text_[at] == '}' || text_[at] == ']') --depth;
      ++at;
    } while (depth > 0);
    return {begin, at};
  }

  std::string_view text_;
};

struct Change {
  Span where;
  std::string by;
};

std::string json_number(double value) {
  std::string text = to_json(Node::of(value));
  while (!text.empty() && text.back() == '\n') text.pop_back();
  return text;
}

tl::unexpected<Error> not_in_place(const std::string& what) {
  return fail(ErrorCode::not_supported, "job.json", "cannot be changed in place: " + what);
}

/// `to` with the places and radii of `from`: equal to it where nothing else differs.
Job without_route_values(Job to, const Job& from) {
  for (std::size_t d = 0; d < std::min(to.ducts.size(), from.ducts.size()); ++d) {
    auto& points = to.ducts[d].route.points;
    const auto& old = from.ducts[d].route.points;
    for (std::size_t p = 0; p < std::min(points.size(), old.size()); ++p) {
      points[p].p_mm = old[p].p_mm;
      points[p].bend_radius_mm = old[p].bend_radius_mm;
    }
  }
  return to;
}

/// What has to be written for one point; nullopt: the text is not as expected.
std::optional<std::vector<Change>> changes_of(const TextSeeker& seeker, const Span& object,
                                              const duct::RoutePoint& from, const duct::RoutePoint& to) {
  std::vector<Change> out;
  const auto place = seeker.member(object, "at_mm");
  if (!place) return std::nullopt;
  const std::vector<Span> numbers = seeker.items(*place);
  if (numbers.size() != 3) return std::nullopt;
  for (int k = 0; k < 3; ++k)
    if (from.p_mm[k] != to.p_mm[k]) out.push_back({numbers[static_cast<std::size_t>(k)], json_number(to.p_mm[k])});
  if (from.bend_radius_mm == to.bend_radius_mm) return out;
  const auto radius = seeker.member(object, "bend_radius_mm");
  if (!radius) return std::nullopt;
  out.push_back({*radius, json_number(to.bend_radius_mm)});
  return out;
}

/// What a fitting leads the tube over to; nullptr: nothing.
const duct::TubeSize* leads_to(const duct::FittingKind& kind) {
  if (const auto* cone = std::get_if<duct::Reducer>(&kind)) return &cone->to;
  if (const auto* hose = std::get_if<duct::Coupler>(&kind); hose && hose->to) return &*hose->to;
  return nullptr;
}

/// `to` with the routes and tubes of `from`, the places of its fittings, what they lead over to and the clock angles of
/// its sensors, and without fittings that are new at the end.
Job without_routes(Job to, const Job& from) {
  for (std::size_t d = 0; d < std::min(to.ducts.size(), from.ducts.size()); ++d) {
    to.ducts[d].route = from.ducts[d].route;
    to.ducts[d].tube = from.ducts[d].tube;
    auto& fittings = to.ducts[d].fittings;
    const auto& old = from.ducts[d].fittings;
    if (fittings.size() > old.size()) fittings.resize(old.size());
    for (std::size_t i = 0; i < fittings.size(); ++i) {
      fittings[i].anchor = old[i].anchor;
      auto* sensor = std::get_if<duct::SensorTube>(&fittings[i].kind);
      const auto* old_sensor = std::get_if<duct::SensorTube>(&old[i].kind);
      if (sensor && old_sensor) sensor->clock = old_sensor->clock;
      if (auto* cone = std::get_if<duct::Reducer>(&fittings[i].kind); cone && leads_to(old[i].kind))
        cone->to = *leads_to(old[i].kind);
      if (auto* hose = std::get_if<duct::Coupler>(&fittings[i].kind); hose && hose->to && leads_to(old[i].kind))
        hose->to = *leads_to(old[i].kind);
    }
  }
  return to;
}

/// `to` with parts, ports and filter elements where they stand in `from`.
Job without_moves(Job to, const Job& from) {
  for (std::size_t i = 0; i < std::min(to.parts.size(), from.parts.size()); ++i) {
    to.parts[i].placement = from.parts[i].placement;
    if (to.parts[i].alignment && from.parts[i].alignment)
      to.parts[i].alignment->datum_mm = from.parts[i].alignment->datum_mm;
  }
  for (std::size_t i = 0; i < std::min(to.ports.size(), from.ports.size()); ++i) {
    PortSpec& port = to.ports[i];
    const PortSpec& old = from.ports[i];
    port.center_mm = old.center_mm;
    port.axis = old.axis;
    if (!port.hood || !old.hood) continue;
    port.hood->faces = old.hood->faces;
    if (port.hood->lowest_mm && old.hood->lowest_mm) port.hood->lowest_mm = old.hood->lowest_mm;
  }
  for (std::size_t i = 0; i < std::min(to.filter_elements.size(), from.filter_elements.size()); ++i) {
    to.filter_elements[i].from_mm = from.filter_elements[i].from_mm;
    to.filter_elements[i].axis = from.filter_elements[i].axis;
    to.filter_elements[i].draw = from.filter_elements[i].draw;
  }
  to.routing.may_move = from.routing.may_move;
  return to;
}

/// An object in a text.
struct Place {
  const TextSeeker& seeker;
  Span object;
};

/// Keys of one duct or fitting that have to be written anew, as `written` has them.
class NewValues {
 public:
  explicit NewValues(const std::string& written) : written_(written) {}

  void value(const Place& at, const Place& source, const char* key) {
    const auto old = at.seeker.member(at.object, key), now = source.seeker.member(source.object, key);
    if (old && now) {
      changes_.push_back({*old, text_of(*now)});
    } else {
      good_ = false;
    }
  }

  /// A value that may not be there yet: then it is put behind the key `behind`. Or that is no longer written: then
  /// `empty` stands for it.
  void value_or(const Place& at, const std::optional<Place>& source, const char* key, const char* empty,
                const char* behind) {
    const auto old = at.seeker.member(at.object, key), after = at.seeker.member(at.object, behind);
    const auto now = source ? source->seeker.member(source->object, key) : std::nullopt;
    const std::string text = now ? text_of(*now) : empty;
    if (old) {
      changes_.push_back({*old, text});
    } else if (after) {
      changes_.push_back({{after->end, after->end}, ", \"" + std::string(key) + "\": " + text});
    } else {
      good_ = false;
    }
  }

  /// New items behind those that a list has; the list itself behind `behind` where it is not there yet.
  void added(const Place& at, const Place& source, const char* list, std::size_t had, const char* behind) {
    const auto old = at.seeker.member(at.object, list), now = source.seeker.member(source.object, list);
    const auto after = at.seeker.member(at.object, behind);
    if (!now || !after) {
      good_ = false;
      return;
    }
    if (!old) {
      changes_.push_back({{after->end, after->end}, ",\n      \"" + std::string(list) + "\": " + text_of(*now)});
      return;
    }
    const auto items = at.seeker.items(*old), new_items = source.seeker.items(*now);
    const std::size_t end = items.empty() ? old->begin + 1 : items.back().end;
    std::string text;
    for (std::size_t i = had; i < new_items.size(); ++i)
      text += (i == 0 ? "\n        " : ",\n        ") + text_of(new_items[i]);
    changes_.push_back({{end, end}, text});
  }

  /// nullopt: a key was not found in the text.
  std::optional<std::vector<Change>> take() const { return good_ ? std::optional(changes_) : std::nullopt; }

 private:
  std::string text_of(const Span& s) const { return written_.substr(s.begin, s.end - s.begin); }

  const std::string& written_;
  std::vector<Change> changes_;
  bool good_ = true;
};

void fitting_values(const Place& at, const Place& source, const duct::Fitting& from, const duct::Fitting& to,
                    NewValues& values) {
  values.value(at, source, "at");
  const auto* sensor = std::get_if<duct::SensorTube>(&to.kind);
  const auto* old_sensor = std::get_if<duct::SensorTube>(&from.kind);
  if (sensor && old_sensor && !(sensor->clock == old_sensor->clock)) values.value(at, source, "clock_deg");
  const duct::TubeSize *size = leads_to(to.kind), *old_size = leads_to(from.kind);
  if (size && old_size && !(*size == *old_size)) values.value(at, source, "to");
}

/// What `to` has otherwise than `from`, as `written` has it; nullopt: the text is not as expected.
std::optional<std::vector<Change>> duct_values(const Place& at, const Place& source, const duct::DuctSpec& from,
                                               const duct::DuctSpec& to, const std::string& written) {
  NewValues values(written);
  values.value(at, source, "route");
  if (!(from.tube == to.tube)) values.value(at, source, "tube");
  const auto list = at.seeker.member(at.object, "fittings"), new_list = source.seeker.member(source.object, "fittings");
  const auto items = list ? at.seeker.items(*list) : std::vector<Span>();
  const auto new_items = new_list ? source.seeker.items(*new_list) : std::vector<Span>();
  for (std::size_t i = 0; i < std::min(items.size(), new_items.size()); ++i)
    fitting_values({at.seeker, items[i]}, {source.seeker, new_items[i]}, from.fittings[i], to.fittings[i], values);
  if (to.fittings.size() > from.fittings.size()) values.added(at, source, "fittings", from.fittings.size(), "route");
  return values.take();
}

/// Where moved things stand in one list of the job.
class MovedItems {
 public:
  MovedItems(const TextSeeker& seeker, const TextSeeker& source, const std::string& written)
      : seeker_(seeker), source_(source), values_(written) {}

  /// Two objects, the old one's and the new one's; none: the texts are not as expected.
  std::optional<std::pair<Place, Place>> item(const char* list, std::size_t index) const {
    const auto old = seeker_.member(seeker_.root(), list), now = source_.member(source_.root(), list);
    if (!old || !now) return std::nullopt;
    const auto items = seeker_.items(*old), new_items = source_.items(*now);
    if (index >= items.size() || index >= new_items.size()) return std::nullopt;
    return std::pair(Place{seeker_, items[index]}, Place{source_, new_items[index]});
  }
  NewValues& values() { return values_; }

 private:
  const TextSeeker &seeker_, &source_;
  NewValues values_;
};

/// Where parts, ports and filter elements of `to` stand otherwise than in `from`; nullopt: the text is not as expected.
std::optional<std::vector<Change>> moved_values(const TextSeeker& seeker, const TextSeeker& source, const Job& from,
                                                const Job& to, const std::string& written) {
  MovedItems moved(seeker, source, written);
  NewValues& values = moved.values();
  for (std::size_t i = 0; i < from.parts.size(); ++i) {
    if (from.parts[i] == to.parts[i]) continue;
    const auto item = moved.item("parts", i);
    if (!item) return std::nullopt;
    values.value_or(item->first, item->second, "placement", "{}", "file");
    if (!(from.parts[i].alignment == to.parts[i].alignment)) values.value(item->first, item->second, "alignment");
  }
  for (std::size_t i = 0; i < from.ports.size(); ++i) {
    if (from.ports[i] == to.ports[i]) continue;
    const auto item = moved.item("ports", i);
    if (!item) return std::nullopt;
    values.value(item->first, item->second, "center_mm");
    if (from.ports[i].axis != to.ports[i].axis) values.value(item->first, item->second, "axis");
    if (!(from.ports[i].hood == to.ports[i].hood)) values.value(item->first, item->second, "hood");
  }
  for (std::size_t i = 0; i < from.filter_elements.size(); ++i) {
    if (from.filter_elements[i] == to.filter_elements[i]) continue;
    const auto item = moved.item("filter_elements", i);
    if (!item) return std::nullopt;
    for (const char* key : {"from_mm", "axis", "draw"}) values.value(item->first, item->second, key);
  }
  if (!(from.routing.may_move == to.routing.may_move)) {
    const auto old = seeker.member(seeker.root(), "routing"), now = source.member(source.root(), "routing");
    if (!old) return std::nullopt;
    const auto source_place = now ? std::optional(Place{source, *now}) : std::nullopt;
    values.value_or({seeker, *old}, source_place, "may_move", "[]", "may_move");
  }
  return values.take();
}

/// The text with its changes, which must then read as `to`.
Result<std::string> changed(const std::string& text, std::vector<Change> changes, const Job& to) {
  std::sort(changes.begin(), changes.end(),
            [](const Change& a, const Change& b) { return a.where.begin > b.where.begin; });
  std::string out = text;
  for (const Change& change : changes)
    out.replace(change.where.begin, change.where.end - change.where.begin, change.by);
  // What is written must be what is meant, whatever the text looked like.
  const auto read = read_job(out, "job.json");
  if (!read) return tl::unexpected<Error>(read.error().front());
  if (!(*read == to)) return not_in_place("the text does not read as the job that was opened");
  return out;
}

}  // namespace

Result<std::string> with_route_values(const std::string& text, const Job& from, const Job& to) {
  if (!(without_route_values(to, from) == from)) return not_in_place("more than the route's values differs");
  const TextSeeker seeker(text);
  std::vector<Change> changes;
  for (std::size_t d = 0; d < from.ducts.size(); ++d) {
    const auto& old = from.ducts[d].route.points;
    for (std::size_t p = 0; p < old.size(); ++p) {
      const auto& now = to.ducts[d].route.points[p];
      if (old[p] == now) continue;
      const std::string place = "the keys of point " + now.id.value + " are not found";
      const auto ducts = seeker.member(seeker.root(), "ducts");
      const auto route = ducts ? seeker.member(seeker.items(*ducts).at(d), "route") : std::nullopt;
      if (!route) return not_in_place(place);
      const auto found = changes_of(seeker, seeker.items(*route).at(p), old[p], now);
      if (!found) return not_in_place(place);
      changes.insert(changes.end(), found->begin(), found->end());
    }
  }
  return changed(text, std::move(changes), to);
}

Result<std::string> with_routes(const std::string& text, const Job& from, const Job& to) {
  if (!(without_moves(without_routes(to, from), from) == from))
    return not_in_place("more than routes, tubes and places of fittings, parts and ports differs");
  const std::string written = write_job(to);
  const TextSeeker seeker(text), source(written);
  const auto ducts = seeker.member(seeker.root(), "ducts"), new_ducts = source.member(source.root(), "ducts");
  std::vector<Change> changes;
  for (std::size_t d = 0; d < from.ducts.size(); ++d) {
    if (from.ducts[d] == to.ducts[d]) continue;
    const std::string place = "the keys of duct " + from.ducts[d].id.value + " are not found";
    if (!ducts || !new_ducts) return not_in_place(place);
    const auto found = duct_values({seeker, seeker.items(*ducts).at(d)}, {source, source.items(*new_ducts).at(d)},
                                   from.ducts[d], to.ducts[d], written);
    if (!found) return not_in_place(place);
    changes.insert(changes.end(), found->begin(), found->end());
  }
  const auto moved = moved_values(seeker, source, from, to, written);
  if (!moved) return not_in_place("the keys of what was moved are not found");
  changes.insert(changes.end(), moved->begin(), moved->end());
  return changed(text, std::move(changes), to);
}

}  // namespace baywright::job
