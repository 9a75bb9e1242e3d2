#include "job/job_text.hpp"

#include <algorithm>
#include <optional>
#include <string_view>
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

std::string number_text(double value) {
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
    if (from.p_mm[k] != to.p_mm[k]) out.push_back({numbers[static_cast<std::size_t>(k)], number_text(to.p_mm[k])});
  if (from.bend_radius_mm == to.bend_radius_mm) return out;
  const auto radius = seeker.member(object, "bend_radius_mm");
  if (!radius) return std::nullopt;
  out.push_back({*radius, number_text(to.bend_radius_mm)});
  return out;
}

/// `to` with the routes of `from`, the places of its fittings and the clock angles of its sensors.
Job without_routes(Job to, const Job& from) {
  for (std::size_t d = 0; d < std::min(to.ducts.size(), from.ducts.size()); ++d) {
    to.ducts[d].route = from.ducts[d].route;
    auto& fittings = to.ducts[d].fittings;
    const auto& old = from.ducts[d].fittings;
    for (std::size_t i = 0; i < std::min(fittings.size(), old.size()); ++i) {
      fittings[i].anchor = old[i].anchor;
      auto* sensor = std::get_if<duct::SensorTube>(&fittings[i].kind);
      const auto* old_sensor = std::get_if<duct::SensorTube>(&old[i].kind);
      if (sensor && old_sensor) sensor->clock = old_sensor->clock;
    }
  }
  return to;
}

/// An object in a text.
struct Place {
  const TextSeeker& seeker;
  Span object;
};

/// Route and places of the fittings of one duct, as `written` has them; nullopt: the text is not as expected.
/// `turned`: of each fitting, whether it is a sensor with another clock angle.
std::optional<std::vector<Change>> new_values(const Place& duct, const Place& source, const std::string& written,
                                              const std::vector<bool>& turned) {
  const auto text_of = [&written](const Span& s) { return written.substr(s.begin, s.end - s.begin); };
  const auto route = duct.seeker.member(duct.object, "route"), new_route = source.seeker.member(source.object, "route");
  if (!route || !new_route) return std::nullopt;
  std::vector<Change> out = {{*route, text_of(*new_route)}};
  const auto fittings = duct.seeker.member(duct.object, "fittings");
  const auto new_fittings = source.seeker.member(source.object, "fittings");
  if (!fittings || !new_fittings) return out;
  const auto items = duct.seeker.items(*fittings), new_items = source.seeker.items(*new_fittings);
  for (std::size_t i = 0; i < std::min(items.size(), new_items.size()); ++i) {
    const auto at = duct.seeker.member(items[i], "at"), new_at = source.seeker.member(new_items[i], "at");
    if (!at || !new_at) return std::nullopt;
    out.push_back({*at, text_of(*new_at)});
    const auto clock = duct.seeker.member(items[i], "clock_deg");
    const auto new_clock = source.seeker.member(new_items[i], "clock_deg");
    if (turned[i] && (!clock || !new_clock)) return std::nullopt;
    if (turned[i]) out.push_back({*clock, text_of(*new_clock)});
  }
  return out;
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
  if (!(without_routes(to, from) == from)) return not_in_place("more than routes and places of fittings differs");
  const std::string written = write_job(to);
  const TextSeeker seeker(text), source(written);
  const auto ducts = seeker.member(seeker.root(), "ducts"), new_ducts = source.member(source.root(), "ducts");
  std::vector<Change> changes;
  for (std::size_t d = 0; d < from.ducts.size(); ++d) {
    if (from.ducts[d] == to.ducts[d]) continue;
    const std::string place = "the keys of duct " + from.ducts[d].id.value + " are not found";
    if (!ducts || !new_ducts) return not_in_place(place);
    std::vector<bool> turned;
    for (std::size_t i = 0; i < to.ducts[d].fittings.size(); ++i) {
      const auto* sensor = std::get_if<duct::SensorTube>(&to.ducts[d].fittings[i].kind);
      const auto* old_sensor = std::get_if<duct::SensorTube>(&from.ducts[d].fittings[i].kind);
      turned.push_back(sensor && !(sensor->clock == old_sensor->clock));
    }
    const auto found =
        new_values({seeker, seeker.items(*ducts).at(d)}, {source, source.items(*new_ducts).at(d)}, written, turned);
    if (!found) return not_in_place(place);
    changes.insert(changes.end(), found->begin(), found->end());
  }
  return changed(text, std::move(changes), to);
}

}  // namespace baywright::job
