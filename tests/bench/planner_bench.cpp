// Our search for routes beside a plain sampling planner of a general-purpose library (OMPL: RRT-Connect for the tube's
// section, its path shortened by the library's own simplifier), on the same planted bays with the same time. The
// planner sees the same room (routing::Room at rest), starts and ends where a right angle has room on the ports' axes,
// and is started again with other random numbers until the time is up. Its path becomes a duct in two ways: as it is,
// and settled by our own step. Both are judged by the full check.
//   planner_bench [BAYS] [SECONDS] [DEAD_ENDS] [BLOCKS] [MARGIN_MM] [FIRST_SEED] [PLANNER: 0 leaves it out]
#include <ompl/base/ScopedState.h>
#include <ompl/base/spaces/RealVectorStateSpace.h>
#include <ompl/geometric/PathSimplifier.h>
#include <ompl/geometric/planners/rrt/RRTConnect.h>
#include <ompl/util/Console.h>
#include <ompl/util/RandomNumbers.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <memory>
#include <optional>
#include <vector>

#include "routing/route_search.hpp"
#include "routing/settle.hpp"
#include "routing/trial.hpp"
#include "tests/support/planted_bay.hpp"

namespace baywright::routing {
namespace {

namespace ob = ompl::base;
namespace og = ompl::geometric;
using Clock = std::chrono::steady_clock;

const duct::DuctId kDuct("intake");
constexpr double kRadius_mm = 90;

double since(Clock::time_point start) { return std::chrono::duration<double>(Clock::now() - start).count(); }

/// What one way of finding routes came to on one bay.
struct Outcome {
  std::optional<JudgedRoute> best;
  double first_after_s = -1;

  void take(JudgedRoute route, double after_s) {
    if (!route.meets) return;
    if (first_after_s < 0) first_after_s = after_s;
    if (!best || better(route, *best)) best = std::move(route);
  }
};

struct Planned {
  int paths = 0, attempts = 0;
  Outcome outcome;
};

class Planner {
 public:
  Planner(const test::PlantedBay& bay, const Judge& judge)
      : bay_(bay),
        old_(bay.installation.ducts.front()),
        judge_(judge),
        need_(*requirements_of(bay.installation, old_)),
        edges_(bay.installation),
        room_(bay.installation.bay, old_.spec, need_),
        space_(std::make_shared<ob::RealVectorStateSpace>(3)) {
    Aabb box;
    for (const bay::Part& part : bay.installation.bay.parts) box.grow(part.tree.bounds());
    ob::RealVectorBounds bounds(3);
    for (unsigned k = 0; k < 3; ++k) {
      bounds.setLow(k, box.lo[k]);
      bounds.setHigh(k, box.hi[k]);
    }
    space_->setBounds(bounds);
    info_ = std::make_shared<ob::SpaceInformation>(space_);
    info_->setStateValidityChecker([this](const ob::State* s) { return room_.at(point(s)).spare_mm > 0; });
    info_->setStateValidityCheckingResolution(5 / box.size().norm());
    info_->setup();
  }

  Planned run(double time_s, bool settle_it) {
    Planned out;
    const auto start = Clock::now();
    while (since(start) < time_s) {
      ++out.attempts;
      const auto points = path(time_s - since(start));
      if (points.empty()) continue;
      ++out.paths;
      const Course course = course_of(points);
      if (course.bends() > need_.most_bends) continue;
      if (auto route = judged(settle_it ? settled(course) : course)) out.outcome.take(*route, since(start));
    }
    return out;
  }

 private:
  static Vec3 point(const ob::State* s) {
    const auto* v = s->as<ob::RealVectorStateSpace::StateType>();
    return {(*v)[0], (*v)[1], (*v)[2]};
  }

  /// Room on the axis for a bend of 90 degrees.
  double reach() const { return need_.bend_radius_mm + std::max(need_.fittings.before_end_mm, 1.0); }

  ob::ScopedState<> state(const CourseEnd& end) const {
    ob::ScopedState<> s(space_);
    const Vec3 p = end.center + reach() * end.axis;
    for (unsigned k = 0; k < 3; ++k) s[k] = p[k];
    return s;
  }

  std::vector<Vec3> path(double time_s) {
    auto problem = std::make_shared<ob::ProblemDefinition>(info_);
    problem->setStartAndGoalStates(state(room_.from()), state(room_.to()));
    og::RRTConnect planner(info_);
    planner.setProblemDefinition(problem);
    planner.setup();
    if (planner.solve(ob::timedPlannerTerminationCondition(time_s)) != ob::PlannerStatus::EXACT_SOLUTION) return {};
    auto& found = *problem->getSolutionPath()->as<og::PathGeometric>();
    og::PathSimplifier simplifier(info_);
    simplifier.reduceVertices(found, 200, 200, 1.0);
    simplifier.collapseCloseVertices(found);
    simplifier.shortcutPath(found, 200, 200, 1.0);
    simplifier.reduceVertices(found, 200, 200, 1.0);
    std::vector<Vec3> points;
    for (const ob::State* s : found.getStates()) points.push_back(point(s));
    return points;
  }

  /// From port to port, without points where the way hardly turns.
  Course course_of(const std::vector<Vec3>& path) const {
    constexpr double kStraight = 0.9994;  // cosine of 2 degrees
    Course course;
    course.radius_mm = need_.bend_radius_mm;
    course.points = {room_.from().center};
    for (std::size_t i = 0; i < path.size(); ++i) {
      const Vec3 next = i + 1 < path.size() ? path[i + 1] : room_.to().center;
      const Vec3 in = (path[i] - course.points.back()).normalized(), out = (next - path[i]).normalized();
      if (in.dot(out) < kStraight) course.points.push_back(path[i]);
    }
    course.points.push_back(room_.to().center);
    return course;
  }

  Course settled(const Course& course) const {
    const Freedom freedom(room_.from(), room_.to(), course.bends());
    if (freedom.count() == 0) return course;
    std::vector<double> least(course.points.size() - 1, need_.least_straight_mm);
    least.front() = 1;
    least.back() = std::max(need_.fittings.before_end_mm, 1.0);
    const ContactsOf tube = [this](const Course& c) { return room_.contacts(shape_of(c), 9); };
    const Settled bare = settle(course, freedom, tube, {3, 6, 25, least});
    const ContactsOf whole = contacts_of_duct(bay_.installation, edges_, {&old_, 1}, need_, room_, 7, {});
    return settle(bare.course, freedom, whole, {1, 6, 15, least}).course;
  }

  std::optional<JudgedRoute> judged(const Course& course) const {
    const Trial trial = try_course(bay_.installation, {&old_, 1}, need_, course);
    if (!trial.duct) return std::nullopt;
    auto route = judge_.judge(trial.duct->spec, course, {});
    if (!route) return std::nullopt;
    return *std::move(route);
  }

  const test::PlantedBay& bay_;
  const duct::Duct& old_;
  const Judge& judge_;
  const Requirements need_;
  const PartEdges edges_;
  const Room room_;
  std::shared_ptr<ob::RealVectorStateSpace> space_;
  ob::SpaceInformationPtr info_;
};

/// Sums over all bays of one way.
struct Column {
  const char* name;
  int solved = 0, no_more_bends = 0;
  std::vector<double> first_s = {}, loss_ratio = {};

  void add(const std::optional<JudgedRoute>& best, double first_after_s, const JudgedRoute& known) {
    if (!best) return;
    ++solved;
    no_more_bends += best->bends <= known.bends;
    first_s.push_back(first_after_s);
    if (best->restriction_Pa && known.restriction_Pa)
      loss_ratio.push_back(*best->restriction_Pa / *known.restriction_Pa);
  }
  static double median(std::vector<double> v) {
    if (v.empty()) return -1;
    std::nth_element(v.begin(), v.begin() + static_cast<std::ptrdiff_t>(v.size() / 2), v.end());
    return v[v.size() / 2];
  }
  void print(int bays) const {
    if (solved == 0) {
      std::printf("%-36s solved none of %d\n", name, bays);
      return;
    }
    std::printf(
        "%-36s solved %d of %d, no more bends than planted %d, median of first %.2f s, of restriction to planted "
        "%.3f\n",
        name, solved, bays, no_more_bends, median(first_s), median(loss_ratio));
  }
};

int number(int argc, char** argv, int i, int usual) { return argc > i ? std::atoi(argv[i]) : usual; }

int run(int argc, char** argv) {
  ompl::msg::noOutputHandler();
  ompl::RNG::setSeed(1);
  const int bays = number(argc, argv, 1, 20);
  const double time_s = number(argc, argv, 2, 10);
  test::PlantOptions options;
  options.dead_ends = number(argc, argv, 3, 0);
  options.blocks = number(argc, argv, 4, 160);
  options.margin_mm = number(argc, argv, 5, 10);
  Column ours{"ours"}, plain{"sampling planner, path as it is"}, settled{"sampling planner, path settled by us"};
  int with_path = 0;
  std::printf(
      "seed planted | ours bends first_s loss | paths attempts | as it is bends first_s | settled bends first_s\n");
  const int first = number(argc, argv, 6, 1);
  const int with_planner = number(argc, argv, 7, 1);
  for (int seed = first; seed < first + bays; ++seed) {
    options.seed = static_cast<unsigned>(seed);
    options.bends = 2 + seed % 5;
    options.motion = seed % 2 == 0;
    const test::PlantedBay bay = test::planted_bay(options);
    const auto judge = *Judge::of(bay.installation, kDuct, {});
    Course planted;
    for (const auto& point : bay.planted.route.points) planted.points.push_back(point.p_mm);
    planted.radius_mm = kRadius_mm;
    const JudgedRoute known = *judge.judge(bay.planted, planted, {});
    const auto result = *find_routes(bay.installation, kDuct, {.effort = 4, .time_s = time_s});
    std::optional<JudgedRoute> best;
    if (!result.routes.empty()) best = result.routes.front();
    const Planned theirs = Planner(bay, judge).run(with_planner * time_s, false);
    const Planned theirs_settled = Planner(bay, judge).run(with_planner * time_s, true);
    if (!known.meets) std::printf("the planted duct of the next does not meet\n");
    ours.add(best, result.first_after_s, known);
    plain.add(theirs.outcome.best, theirs.outcome.first_after_s, known);
    settled.add(theirs_settled.outcome.best, theirs_settled.outcome.first_after_s, known);
    with_path += theirs.paths > 0;
    const auto bends = [](const std::optional<JudgedRoute>& r) { return r ? r->bends : -1; };
    std::printf("%4d %d | %d %.2f %.3f | %d %d | %d %.2f | %d %.2f\n", seed, known.bends, bends(best),
                result.first_after_s,
                best && best->restriction_Pa ? *best->restriction_Pa / *known.restriction_Pa : 0.0, theirs.paths,
                theirs.attempts, bends(theirs.outcome.best), theirs.outcome.first_after_s,
                bends(theirs_settled.outcome.best), theirs_settled.outcome.first_after_s);
    std::fflush(stdout);
  }
  std::printf("the planner found a path for the tube's section in %d of %d\n", with_path, bays);
  ours.print(bays);
  plain.print(bays);
  settled.print(bays);
  return 0;
}

}  // namespace
}  // namespace baywright::routing

int main(int argc, char** argv) { return baywright::routing::run(argc, argv); }
