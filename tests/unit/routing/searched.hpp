#pragma once

#include <catch2/catch.hpp>

#include "job/lay_out_ducts.hpp"
#include "routing/course.hpp"
#include "routing/route_search.hpp"
#include "session/evaluate.hpp"
#include "tests/support/planted_bay.hpp"

namespace baywright::test {

// What tests of the search share.

/// Four legs that go up and down and sideways; its ends' axes are those of its end legs.
inline routing::Course winding() {
  return {{{0, 0, 0}, {260, 0, 0}, {330, 300, 80}, {600, 340, -60}, {640, 700, -60}}, 90};
}

/// A planted bay of a seed: from two bends up, every second one with motion.
inline PlantOptions options_of(unsigned seed, double margin_mm) {
  PlantOptions options;
  options.seed = seed;
  options.bends = 2 + static_cast<int>(seed % 5);
  options.margin_mm = margin_mm;
  options.motion = seed % 2 == 0;
  return options;
}

/// The bay's job with another duct, checked in full as `baywright check` does it.
inline checks::Evaluation checked_with(const job::Installation& installation, const duct::DuctSpec& spec) {
  job::Installation with = installation;
  with.job.ducts = {spec};
  with.ducts = *job::lay_out_ducts(with.job.ducts, with.bay);
  return *session::evaluate(with);
}

/// Routes for the intake, found without regard to time.
inline routing::SearchResult found(const job::Installation& installation, int effort = 1,
                                   const routing::Weights& weights = {}) {
  const auto result =
      routing::find_routes(installation, kIntake, {.effort = effort, .time_s = 1e9, .weights = weights});
  REQUIRE(result.has_value());
  return *result;
}

}  // namespace baywright::test
