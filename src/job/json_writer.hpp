#pragma once

#include <utility>
#include <variant>

#include "job/json_reader.hpp"

namespace baywright::job {

/// Visitor that turns a struct into an object. Fields that hold their default are left out.
template <class S>
class ObjectWriter {
 public:
  ObjectWriter(Node& node, const S& source) : node_(node), source_(source) {}

  template <class M, class C>
  void required(const char* key, M S::*member, const C& codec, const char* /*doc*/) {
    node_.put(key, codec.write(source_.*member));
  }

  template <class M, class C>
  void optional(const char* key, M S::*member, const C& codec, const char* /*doc*/) {
    if constexpr (IsOptional<M>::value) {
      if (source_.*member) node_.put(key, codec.write(*(source_.*member)));
    } else {
      static const S kDefault{};
      if (!(source_.*member == kDefault.*member)) node_.put(key, codec.write(source_.*member));
    }
  }

  template <class... A>
  void choice(const char* key, std::variant<A...> S::*member, const std::vector<std::string>& names,
              const char* /*doc*/) {
    const auto& variant = source_.*member;
    node_.put(key, Node::of(names.at(variant.index())));
    std::visit([&](const auto& alternative) { write_alternative(alternative); }, variant);
  }

  void exactly_one_of(const KeySets&) {}

 private:
  template <class T>
  void write_alternative(const T& alternative) {
    ObjectWriter<T> writer(node_, alternative);
    describe(writer, Of<T>());
  }

  Node& node_;
  const S& source_;
};

template <class S>
Node write_object(const S& value) {
  Node node = Node::object();
  ObjectWriter<S> writer(node, value);
  describe(writer, Of<S>());
  return node;
}

}  // namespace baywright::job
