#pragma once

#include <span>
#include <variant>

#include "flow/flow_model.hpp"

namespace baywright::flow {

/// `restriction` of a duct that does not turn at `bend`: that bend's loss is left out, with the length of its arc.
std::variant<Restriction, measure::NotAssessed> restriction_without_bend(const duct::Duct& duct,
                                                                         const FlowInputs& inputs, FilterState state,
                                                                         std::span<const duct::Duct> ducts,
                                                                         const duct::PointId& bend);

/// An element of an air cleaner between the curves its supplier states, or beyond them.
struct ElementFit {
  FilterFit fit;
  double reference_density_kg_m3 = 1.2;
};
/// `restriction` with this element in place of the job's, with the band of a dirty one.
std::variant<Restriction, measure::NotAssessed> restriction_with_element(const duct::Duct& duct,
                                                                         const FlowInputs& inputs,
                                                                         const ElementFit& element,
                                                                         std::span<const duct::Duct> ducts);

}  // namespace baywright::flow
