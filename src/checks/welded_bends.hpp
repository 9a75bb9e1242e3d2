#pragma once

#include <algorithm>
#include <utility>
#include <vector>

#include "checks/check.hpp"
#include "checks/subjects.hpp"

namespace baywright::checks {

/// The check, not checked on a duct with a bend welded of pieces: where water runs and stands is worked out for arcs,
/// and the corners of such a bend lie beside its arc.
inline CheckDef of_bent_tube(CheckDef check) {
  check.definition += " A duct with a bend welded of pieces is not checked.";
  check.measure = [measure = std::move(check.measure)](const Context& context) {
    std::vector<Subject> subjects = measure(context);
    const auto& bends = context.duct.layout.bends;
    const auto welded = std::find_if(bends.begin(), bends.end(), [](const duct::Bend& b) { return b.pieces > 0; });
    const bool left_out = !subjects.empty() && !subjects.front().left_out.empty();
    if (welded == bends.end() || left_out) return subjects;
    return std::vector{not_assessed(
        "whole duct",
        "the floor of a bend welded of pieces is not worked out, and the one at " + welded->at.value + " is", {})};
  };
  return check;
}

}  // namespace baywright::checks
