#pragma once

#include <algorithm>
#include <string>

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

/// Whether one of its notes holds this text.
inline bool noted(const flow::Restriction& r, const std::string& part) {
  return std::any_of(r.notes.begin(), r.notes.end(),
                     [&](const std::string& n) { return n.find(part) != std::string::npos; });
}

}  // namespace baywright::test
