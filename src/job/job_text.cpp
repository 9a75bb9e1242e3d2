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

}  // namespace baywright::job
