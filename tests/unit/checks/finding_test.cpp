#include "checks/finding.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "checks/evaluation.hpp"

using namespace baywright;
using namespace baywright::checks;
using measure::Measured;

namespace {

const double kNaN = std::numeric_limits<double>::quiet_NaN();
const double kInfinity = std::numeric_limits<double>::infinity();

Limit at_least(double value) { return {Comparison::at_least, value, Unit::mm, {}}; }
Limit at_most(double value) { return {Comparison::at_most, value, Unit::mm, {}}; }

Measured bracket(double lo, double hi) {
  Measured m = Measured::exact(lo, Unit::mm);
  m.hi = hi;
  return m;
}

Measured with_standard(double value, std::vector<double> u) {
  Measured m = Measured::exact(value, Unit::mm);
  for (const double each : u) m.band.add({"u", Contribution::Kind::standard, each, each, ""});
  return m;
}

Finding finding(std::string check, double value, const Limit& limit, Severity severity = Severity::major) {
  Finding f;
  f.check = std::move(check);
  f.severity = severity;
  f.outcome = Measured::exact(value, Unit::mm);
  f.limit = limit;
  f.verdict = decide(f.outcome, f.limit);
  return f;
}

}  // namespace

TEST_CASE("a value that is not a number is never met", "[finding]") {
  CHECK(decide(bracket(kNaN, kNaN), at_least(1)) == Verdict::undecided);
  CHECK(decide(bracket(kNaN, kNaN), at_most(1)) == Verdict::undecided);
  CHECK(decide(bracket(5, kNaN), at_least(1)) == Verdict::undecided);
  CHECK(decide(bracket(kNaN, 0), at_most(1)) == Verdict::undecided);
  CHECK(decide(bracket(5, 5), at_least(kNaN)) == Verdict::undecided);
  CHECK(decide(bracket(5, 5), at_most(kNaN)) == Verdict::undecided);
  CHECK(decide(bracket(7, 6), at_least(1)) == Verdict::undecided);
  // Infinity less infinity is not a number either.
  Measured m = bracket(kInfinity, kInfinity);
  m.band = Band({{"u", Contribution::Kind::bound, kInfinity, kInfinity, ""}});
  CHECK(decide(m, at_least(1)) == Verdict::undecided);
}

TEST_CASE("no value or no limit is not checked", "[finding]") {
  CHECK(decide(measure::NotAssessed{"no sensor", {}}, at_least(1)) == Verdict::not_checked);
  CHECK(decide(measure::Outcome(bracket(5, 5)), std::nullopt) == Verdict::not_checked);
}

TEST_CASE("exactly at the limit is met, a step beyond rounding is not", "[finding]") {
  CHECK(decide(bracket(10, 10), at_least(10)) == Verdict::met);
  CHECK(decide(bracket(10, 10), at_most(10)) == Verdict::met);
  for (const double off : {0.99 * kRoundingAllowance, 1.01 * kRoundingAllowance}) {
    const Verdict verdict = off < kRoundingAllowance ? Verdict::met : Verdict::not_met;
    CHECK(decide(bracket(10 - off, 10 - off), at_least(10)) == verdict);
    CHECK(decide(bracket(10 + off, 10 + off), at_most(10)) == verdict);
  }
  // Four inches, laid out as the difference of two stations in decimals.
  const double four_inches = 505.7 - (505.7 - 101.6);
  REQUIRE(four_inches != 101.6);
  CHECK(decide(bracket(four_inches, four_inches), at_least(101.6)) == Verdict::met);
  CHECK(decide(bracket(four_inches, four_inches), at_most(101.6)) == Verdict::met);
  CHECK(*margin(finding("a", four_inches, at_least(101.6))) == 0);
}

TEST_CASE("a proven bracket gets no rounding allowance", "[finding]") {
  const double below = std::nextafter(10.0, 0.0);
  CHECK(decide(bracket(9, below), at_least(10)) == Verdict::not_met);
  CHECK(decide(bracket(below, 11), at_least(10)) == Verdict::undecided);
}

TEST_CASE("a bracket that straddles the limit is undecided", "[finding]") {
  CHECK(decide(bracket(9.95, 10.05), at_least(10)) == Verdict::undecided);
  CHECK(decide(bracket(9.95, 10.05), at_most(10)) == Verdict::undecided);
  CHECK(decide(bracket(60, kInfinity), at_least(20)) == Verdict::met);
  CHECK(decide(bracket(60, kInfinity), at_least(76)) == Verdict::undecided);
}

TEST_CASE("guarded decision with c = 10 and U = 1.42", "[finding]") {
  // U = 2 sqrt(0.3^2 + 0.5^2 + 0.35^2 + 0.2^2) = 2 * 0.709 = 1.418
  const std::vector<double> u = {0.3, 0.5, 0.35, 0.2};
  CHECK(with_standard(12, u).band.low() == Approx(2 * std::sqrt(0.09 + 0.25 + 0.1225 + 0.04)));
  CHECK(with_standard(12, u).band.low() == Approx(1.418).margin(5e-4));
  CHECK(decide(with_standard(12.0, u), at_least(10)) == Verdict::met);        // 10.58
  CHECK(decide(with_standard(11.0, u), at_least(10)) == Verdict::undecided);  // 9.58 .. 12.42
  CHECK(decide(with_standard(8.5, u), at_least(10)) == Verdict::not_met);     // 9.92
  CHECK(decide(with_standard(8.0, u), at_most(10)) == Verdict::met);
  CHECK(decide(with_standard(9.0, u), at_most(10)) == Verdict::undecided);
  CHECK(decide(with_standard(11.5, u), at_most(10)) == Verdict::not_met);
}

TEST_CASE("units that differ are a mistake of the program", "[finding]") {
  Limit limit = at_least(1);
  limit.unit = Unit::degree;
  CHECK_THROWS(decide(bracket(5, 5), limit));
}

TEST_CASE("margin is what is left inside the limit after the band", "[finding]") {
  Finding f = finding("x", 12, at_least(10));
  CHECK(*margin(f) == Approx(2));
  f.outcome = with_standard(12, {0.5});
  CHECK(*margin(f) == Approx(1));
  f.limit = at_most(15);
  CHECK(*margin(f) == Approx(2));
  f.limit.reset();
  CHECK_FALSE(margin(f));
  f.outcome = measure::NotAssessed{};
  CHECK_FALSE(margin(f));
}

TEST_CASE("the worst finding comes first", "[finding]") {
  Finding not_applicable;
  not_applicable.check = "a";
  not_applicable.verdict = Verdict::not_applicable;
  Finding not_checked;
  not_checked.check = "b";
  not_checked.verdict = Verdict::not_checked;
  std::vector<Finding> list = {not_applicable,
                               finding("met wide", 30, at_least(10)),
                               finding("met close", 11, at_least(10)),
                               not_checked,
                               finding("failed minor", 1, at_least(10), Severity::minor),
                               finding("failed blocker", 9, at_least(10), Severity::blocker),
                               finding("failed blocker worse", 5, at_least(10), Severity::blocker)};
  Finding undecided = finding("undecided", 10, at_least(10));
  undecided.outcome = with_standard(10, {1});
  undecided.verdict = decide(undecided.outcome, undecided.limit);
  list.push_back(undecided);
  sort_worst_first(list);
  std::vector<std::string> order;
  for (const Finding& f : list) order.push_back(f.check);
  CHECK(order == std::vector<std::string>{"failed blocker worse", "failed blocker", "failed minor", "undecided", "b",
                                          "met close", "met wide", "a"});
  const Summary s = summarize(list);
  CHECK(s.not_met == 3);
  CHECK(s.undecided == 1);
  CHECK(s.not_checked == 1);
  CHECK(s.met == 2);
  CHECK(s.not_applicable == 1);
}

TEST_CASE("exit codes", "[finding]") {
  const auto code = [](int met, int not_met, int undecided, int not_checked, int not_applicable) {
    Summary s;
    s.met = met;
    s.not_met = not_met;
    s.undecided = undecided;
    s.not_checked = not_checked;
    s.not_applicable = not_applicable;
    return exit_code(s);
  };
  CHECK(code(0, 0, 0, 0, 0) == 3);  // nothing was checked
  CHECK(code(0, 0, 0, 0, 4) == 3);
  CHECK(code(5, 0, 0, 0, 2) == 0);
  CHECK(code(5, 0, 1, 0, 0) == 3);
  CHECK(code(5, 0, 0, 1, 0) == 3);
  CHECK(code(5, 1, 1, 1, 0) == 1);
}
