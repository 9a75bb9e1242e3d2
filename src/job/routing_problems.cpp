#include "job/routing_problems.hpp"

#include <algorithm>
#include <map>

#include "geometry/base/near_word.hpp"
#include "geometry/base/words.hpp"
#include "job/job_problems.hpp"

namespace baywright::job {
namespace {

class RoutingExamination {
 public:
  explicit RoutingExamination(const Job& job) : job_(job) {}

  std::vector<JobProblem> run() {
    const RoutingWishes& wishes = job_.routing;
    const std::string at = "/routing";
    for (std::size_t i = 0; i < wishes.may_move.size(); ++i) move(wishes.may_move[i], item(at + "/may_move", i));
    std::map<std::string, std::string> names;
    for (std::size_t i = 0; i < wishes.keep_out.size(); ++i) {
      region(wishes.keep_out[i], names, item(at + "/keep_out", i));
    }
    for (std::size_t i = 0; i < wishes.prefer.size(); ++i) region(wishes.prefer[i], names, item(at + "/prefer", i));
    std::map<std::string, std::string> locked;
    for (std::size_t i = 0; i < wishes.locked.size(); ++i) lock(wishes.locked[i], locked, item(at + "/locked", i));
    return std::move(problems_);
  }

 private:
  void complain(const std::string& pointer, const std::string& message, const std::string& list = "") {
    problems_.push_back({pointer, message, list});
  }

  bool want(const std::string& id, const std::vector<std::string>& known, const std::string& noun,
            const std::string& pointer, const std::string& list) {
    if (id.empty() || std::find(known.begin(), known.end(), id) != known.end()) return true;
    const std::string near = nearest_word(id, known);
    std::string end = known.empty() ? "; the job has none" : "; known: " + joined(known);
    if (!near.empty()) end = "; did you mean \"" + near + "\"?";
    complain(pointer, "there is no " + noun + " \"" + id + "\"" + end, list);
    return false;
  }

  /// What moves twice would stand in two places.
  void once(const std::string& what, const std::string& pointer) {
    const auto [first, is_new] = moved_.emplace(what, pointer);
    if (!is_new) complain(pointer, "is moved by " + first->second + " already; name it once");
  }

  void move(const MayMove& may, const std::string& at) {
    const auto parts = ids_of(job_.parts), ports = ids_of(job_.ports);
    if (may.parts.empty() && may.ports.empty())
      complain(at, "names nothing that moves; name \"parts\", or \"ports\" that belong to no part");
    for (std::size_t i = 0; i < may.parts.size(); ++i) {
      const std::string where = item(at + "/parts", i);
      if (want(may.parts[i].value, parts, "part", where, "/parts")) once("part " + may.parts[i].value, where);
    }
    for (std::size_t i = 0; i < may.ports.size(); ++i) {
      const std::string where = item(at + "/ports", i);
      if (!want(may.ports[i].value, ports, "port", where, "/ports")) continue;
      once("port " + may.ports[i].value, where);
      for (const PortSpec& port : job_.ports) {
        if (port.id == may.ports[i] && port.part)
          complain(where, "belongs to part " + port.part->value + " and moves with it; name that in \"parts\" instead");
      }
    }
    if (may.slides.empty() && !may.turn && may.places.empty())
      complain(at, "does not say where to; give \"slides\", \"turn\" or \"places\"");
    for (std::size_t i = 0; i < may.slides.size(); ++i)
      range(may.slides[i].from_mm, may.slides[i].to_mm, "mm", item(at + "/slides", i));
    if (may.turn) range(to_degrees(may.turn->from), to_degrees(may.turn->to), "deg", at + "/turn");
    std::map<std::string, std::string> names;
    for (std::size_t i = 0; i < may.places.size(); ++i) place(may.places[i], names, item(at + "/places", i));
  }

  void range(double from, double to, const std::string& unit, const std::string& at) {
    if (from > to) {
      complain(at + "/from_" + unit, "is above to_" + unit + "; give the least first");
    } else if (from > 0) {
      complain(at + "/from_" + unit, "is above 0; 0 is the place as given, which is always allowed");
    } else if (to < 0) {
      complain(at + "/to_" + unit, "is below 0; 0 is the place as given, which is always allowed");
    } else if (from == to) {
      complain(at, "leaves no room to move; give from_" + unit + " below 0, or to_" + unit + " above 0");
    }
  }

  void place(const OtherPlace& place, std::map<std::string, std::string>& names, const std::string& at) {
    own_name(place.name, names, at);
    const bool turns = place.roll.si() != 0 || place.pitch.si() != 0 || place.yaw.si() != 0;
    if (turns && !place.about_mm) complain(at, "turns about no point; give \"about_mm\"");
    if (!turns && place.shift_mm.isZero(0)) complain(at, "is the place as given; give a shift or a turn");
  }

  void own_name(const std::string& name, std::map<std::string, std::string>& names, const std::string& at) {
    const auto [first, is_new] = names.emplace(name, at);
    if (!is_new && !name.empty())
      complain(at + "/name", "\"" + name + "\" is already the name of " + first->second + "; give it one of its own");
  }

  void region(const Region& region, std::map<std::string, std::string>& names, const std::string& at) {
    own_name(region.name, names, at);
    if (const auto* box = std::get_if<BoxRegion>(&region.shape)) {
      for (int k = 0; k < 3; ++k) {
        if (box->from_mm[k] < box->to_mm[k]) continue;
        complain(at + "/shape/to_mm", std::string("is not above from_mm along ") + "xyz"[k] +
                                          "; from_mm is the corner with the least coordinates");
        return;
      }
    }
    if (const auto* hull = std::get_if<HullRegion>(&region.shape); hull && flat(hull->points_mm))
      complain(at + "/shape/points_mm", "lie in one plane, to 1 mm; a region needs room between its corners");
  }

  /// Whether all points lie in a plane, or there are too few that differ.
  static bool flat(const std::vector<Vec3>& points) {
    if (points.size() < 4) return false;  // complained about already
    constexpr double kThin_mm = 1;
    double thickest = 0;
    Vec3 along = Vec3::Zero(), normal = Vec3::Zero();
    for (const Vec3& p : points) {
      if ((p - points[0]).norm() > along.norm()) along = p - points[0];
    }
    for (const Vec3& p : points) {
      const Vec3 across = along.cross(p - points[0]);
      if (across.norm() > normal.norm()) normal = across;
    }
    if (normal.norm() <= 0) return true;
    for (const Vec3& p : points) thickest = std::max(thickest, std::abs((p - points[0]).dot(normal.normalized())));
    return thickest < kThin_mm;
  }

  void lock(const LockedPoints& locked, std::map<std::string, std::string>& ducts, const std::string& at) {
    if (!want(locked.duct.value, ids_of(job_.ducts), "duct", at + "/duct", "/ducts")) return;
    const auto [first, is_new] = ducts.emplace(locked.duct.value, at);
    if (!is_new) complain(at + "/duct", "has points locked by " + first->second + " already; name them there");
    for (const duct::DuctSpec& duct : job_.ducts) {
      if (duct.id == locked.duct) points(locked, duct.route, at);
    }
  }

  void points(const LockedPoints& locked, const duct::Route& route, const std::string& at) {
    const auto known = ids_of(route.points);
    std::optional<std::size_t> before;
    for (std::size_t i = 0; i < locked.points.size(); ++i) {
      const std::string where = item(at + "/points", i);
      const std::string& id = locked.points[i].value;
      if (!want(id, known, "route point", where, "/ducts") || id.empty()) return;
      const auto index = static_cast<std::size_t>(std::find(known.begin(), known.end(), id) - known.begin());
      if (index == 0 || index + 1 == known.size()) {
        complain(where, "\"" + id + "\" is an end of the route, which stays with its port; leave it out");
      } else if (before && index != *before + 1) {
        complain(where, "\"" + id + "\" does not follow \"" + known[*before] +
                            "\" on the route; lock points one behind the other");
      }
      before = index;
    }
  }

  const Job& job_;
  std::vector<JobProblem> problems_;
  std::map<std::string, std::string> moved_;
};

}  // namespace

std::vector<JobProblem> routing_problems(const Job& job) { return RoutingExamination(job).run(); }

}  // namespace baywright::job
