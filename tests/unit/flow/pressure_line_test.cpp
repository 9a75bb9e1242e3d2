#include "flow/pressure_line.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "tests/support/example_intake.hpp"
#include "tests/unit/flow/taken.hpp"

using namespace baywright;
using namespace baywright::flow;
using test::example_bay;
using test::example_flow;
using test::example_spec;
using test::laid_out;
using test::taken;

namespace {

/// By the line between the points around a station, the last ones where two stand at it.
PressurePoint on(const std::vector<PressurePoint>& line, double station_mm) {
  std::size_t i = line.size() - 1;
  while (i > 0 && line[i].station_mm > station_mm) --i;
  if (i + 1 == line.size()) return line.back();
  const double t = (station_mm - line[i].station_mm) / (line[i + 1].station_mm - line[i].station_mm);
  return {station_mm, (1 - t) * line[i].total_loss + t * line[i + 1].total_loss,
          (1 - t) * line[i].reading + t * line[i + 1].reading};
}

}  // namespace

TEST_CASE("where the duct chokes the pressures end ahead of it", "[pressure line]") {
  FlowInputs inputs = example_flow();
  inputs.rated = kilograms_per_second(0.6);
  const duct::Duct duct = laid_out(example_spec(), example_bay());
  const Restriction r = taken(duct, inputs);
  REQUIRE(r.choked());
  const auto line = pressure_line(duct, r, inputs);
  for (const PressurePoint& p : line) {
    CHECK(p.station_mm <= r.elements.back().station_to_mm);
    CHECK(p.total_loss.si() <= r.total.si() + 1e-9);
  }
  // Not even through the filter: the air does not reach the duct.
  inputs.raw_air_loss = kilopascals(98.9);
  const Restriction none = taken(duct, inputs);
  REQUIRE(none.choked());
  CHECK(pressure_line(duct, none, inputs).empty());
}

TEST_CASE("elements ahead of the duct: raw air side and filter", "[pressure line]") {
  const Restriction r = taken(laid_out(example_spec(), example_bay()), example_flow());
  REQUIRE(elements_ahead(r) == 2);
  CHECK(r.elements[1].name == "filter (clean)");
  Restriction raw = r;
  raw.elements[0].name = std::string(kRawAirPrefix) + "bend at R1";
  raw.elements[0].velocity_m_s = 20;
  CHECK(elements_ahead(raw) == 2);
  CHECK(elements_ahead(Restriction{}) == 0);
}

TEST_CASE("total and static pressure along the example", "[pressure line]") {
  const duct::Duct duct = laid_out(example_spec(), example_bay());
  const FlowInputs inputs = example_flow();
  const Restriction r = taken(duct, inputs);
  const auto line = pressure_line(duct, r, inputs);
  const auto gauges = gauge_readings(duct, r, inputs);
  // It begins behind the filter and ends as the gauge at the compressor face reads.
  CHECK(line.front().station_mm == 0);
  CHECK(line.front().total_loss.si() == Approx(r.elements[0].loss.si() + r.elements[1].loss.si()));
  CHECK(line.back().station_mm == duct.layout.length_mm);
  CHECK(line.back().total_loss.si() == Approx(r.total.si()));
  CHECK(line.back().reading.si() == Approx(gauges.back().reading.si()));
  const PressurePoint tap = on(line, gauges[0].station_mm);
  CHECK(tap.total_loss.si() == Approx(gauges[0].total_loss.si()));
  CHECK(tap.reading.si() == Approx(gauges[0].reading.si()).epsilon(1e-4));
  // In the cone from 72.9 to 60 the dynamic pressure doubles, which a gauge sees and nothing loses.
  const auto behind = std::find_if(r.elements.begin(), r.elements.end(),
                                   [](const ElementLoss& e) { return e.name.rfind("cone", 0) == 0; });
  REQUIRE(behind != r.elements.end());
  const PressurePoint small = on(line, behind->station_to_mm), large = on(line, behind->station_from_mm - 1e-3);
  const double q_small = (small.reading - small.total_loss).si(), q_large = (large.reading - large.total_loss).si();
  CHECK(q_small / q_large == Approx(std::pow(72.9 / 60, 4)).epsilon(0.02));
  CHECK(small.reading.si() == Approx(99000 - behind->static_behind->si()).epsilon(1e-4));
}

TEST_CASE("laws of the pressures along a duct, seeded", "[pressure line]") {
  std::mt19937 random(20261127);
  std::uniform_real_distribution<double> flow(0.01, 0.2), wall(1, 5), along(0, 1);
  const auto bare = [](double wall_mm) {
    duct::DuctSpec spec = example_spec();
    spec.tube.wall_mm = wall_mm;
    std::erase_if(spec.fittings, [](const duct::Fitting& f) {
      return !std::holds_alternative<duct::Reducer>(f.kind) && !std::holds_alternative<duct::RestrictionTap>(f.kind);
    });
    return laid_out(spec, example_bay());
  };
  for (int i = 0; i < 60; ++i) {
    FlowInputs inputs = example_flow();
    inputs.rated = kilograms_per_second(flow(random));
    const double wall_mm = wall(random);
    INFO(i << ": " << inputs.rated->si() << " kg/s, wall " << wall_mm);
    const duct::Duct duct = bare(wall_mm);
    const Restriction r = taken(duct, inputs);
    if (r.choked()) continue;
    const auto line = pressure_line(duct, r, inputs);
    for (std::size_t k = 0; k < line.size(); ++k) {
      CHECK(line[k].reading > line[k].total_loss);  // moving air lies below its total pressure
      if (k == 0) continue;
      CHECK(line[k].station_mm >= line[k - 1].station_mm);
      CHECK(line[k].total_loss.si() >= line[k - 1].total_loss.si() - 1e-9);  // total pressure never comes back
    }
    // At any station of a plain tube what `gauge_at` says; beside the cone, which it takes as one step.
    const double s = along(random) * 800;
    const GaugeReading there = gauge_at(duct, s, "there", r, inputs);
    CHECK(on(line, s).total_loss.si() == Approx(there.total_loss.si()).epsilon(1e-6));
    CHECK(on(line, s).reading.si() == Approx(there.reading.si()).epsilon(1e-4));
    // Loss falls with the bore and rises with the flow.
    CHECK(taken(bare(wall_mm + 0.5), inputs).total > r.total);
    inputs.rated = 1.05 * *inputs.rated;
    const Restriction more = taken(duct, inputs);
    CHECK((more.choked() || more.total > r.total));
  }
}
