#pragma once

#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "job/json_reader.hpp"
#include "job/json_schema.hpp"
#include "job/json_writer.hpp"

namespace baywright::job {

/// Codec of a described struct.
template <class S>
struct ObjectCodec {
  bool read(const Node& node, S& value, const At& at) const { return read_object(node, value, at); }
  Node write(const S& value) const { return write_object(value); }
  Node schema() const { return object_schema<S>(); }
  std::string expected() const { return "an object { ... }"; }
};
template <class S>
ObjectCodec<S> object() {
  return {};
}

/// A variant that is an object of its own: { "kind": "hinge", ... }. `Names::of()` gives the word of each alternative.
template <class Variant, class Names>
struct Chosen {
  Variant value;
};
template <class V, class Variant, class Names>
void describe(V& v, Of<Chosen<Variant, Names>>) {
  v.choice("kind", &Chosen<Variant, Names>::value, Names::of(), Names::kDoc);
}
template <class Variant, class Names>
struct ChoiceCodec {
  bool read(const Node& node, Variant& value, const At& at) const {
    Chosen<Variant, Names> chosen;
    const bool good = read_object(node, chosen, at);
    value = std::move(chosen.value);
    return good;
  }
  Node write(const Variant& value) const { return write_object(Chosen<Variant, Names>{value}); }
  Node schema() const { return object_schema<Chosen<Variant, Names>>(); }
  std::string expected() const { return "an object with a \"kind\""; }
};

}  // namespace baywright::job
