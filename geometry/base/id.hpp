#pragma once

#include <compare>
#include <functional>
#include <string>

namespace baywright {

/// Stable identity of a thing in a job (a point, fitting, part, body, duct). Given by the user or made once; kept
/// through edits, undo, saving and the router. `Id<Part>` cannot be passed where `Id<Body>` is wanted.
template <class Tag>
struct Id {
  std::string value;
  Id() = default;
  explicit Id(std::string v) : value(std::move(v)) {}
  bool empty() const { return value.empty(); }
  auto operator<=>(const Id&) const = default;
};

}  // namespace baywright

template <class Tag>
struct std::hash<baywright::Id<Tag>> {
  std::size_t operator()(const baywright::Id<Tag>& id) const noexcept { return std::hash<std::string>()(id.value); }
};
