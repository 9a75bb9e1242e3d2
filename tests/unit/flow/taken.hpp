#pragma once

#include <catch2/catch.hpp>

#include "flow/flow_model.hpp"

namespace baywright::test {

/// The restriction of a duct for which it must be known.
inline flow::Restriction taken(const duct::Duct& duct, const flow::FlowInputs& inputs,
                               flow::FilterState state = flow::FilterState::clean) {
  const auto outcome = flow::restriction(duct, inputs, state);
  if (const auto* refused = std::get_if<measure::NotAssessed>(&outcome)) FAIL(refused->reason);
  return std::get<flow::Restriction>(outcome);
}

}  // namespace baywright::test
