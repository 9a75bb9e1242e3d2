#pragma once

#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "job/json_reader.hpp"

namespace baywright::job {

/// What a schema says about one object: its fields and, for objects of several kinds, the fields of each kind.
struct ObjectShape {
  struct Kind {
    std::string name;
    std::vector<Node::Member> properties;
    std::vector<std::string> required;
  };
  std::vector<Node::Member> properties;
  std::vector<std::string> required;
  std::string kind_key;
  std::string kind_doc;
  std::vector<Kind> kinds;
  KeySets sets;

  /// The schema of the object (draft 2020-12); unknown keys are not allowed.
  Node schema() const;
};

/// Visitor that collects the shape of a struct.
template <class S>
class ObjectSchema {
 public:
  explicit ObjectSchema(ObjectShape& shape) : shape_(shape) {}

  template <class M, class C>
  void required(const char* key, M S::*, const C& codec, const char* doc) {
    shape_.properties.push_back({key, with_doc(codec.schema(), doc)});
    shape_.required.emplace_back(key);
  }

  template <class M, class C>
  void optional(const char* key, M S::*member, const C& codec, const char* doc) {
    Node node = with_doc(codec.schema(), doc);
    if constexpr (!IsOptional<M>::value) {
      static const S kDefault{};
      const Node value = codec.write(kDefault.*member);
      if (value.kind != Node::Kind::object && value.kind != Node::Kind::null) node.put("default", value);
    }
    shape_.properties.push_back({key, std::move(node)});
  }

  template <class... A>
  void choice(const char* key, std::variant<A...> S::*, const std::vector<std::string>& names, const char* doc) {
    shape_.kind_key = key;
    shape_.kind_doc = doc;
    std::size_t index = 0;
    (add_kind<A>(names.at(index++)), ...);
  }

  void exactly_one_of(const KeySets& sets) { shape_.sets = sets; }

 private:
  static Node with_doc(Node node, const char* doc) {
    node.members.insert(node.members.begin(), {"description", Node::of(doc)});
    return node;
  }

  template <class A>
  void add_kind(const std::string& name) {
    ObjectShape own;
    ObjectSchema<A> visitor(own);
    describe(visitor, Of<A>());
    shape_.kinds.push_back({name, std::move(own.properties), std::move(own.required)});
  }

  ObjectShape& shape_;
};

template <class S>
Node object_schema() {
  ObjectShape shape;
  ObjectSchema<S> visitor(shape);
  describe(visitor, Of<S>());
  return shape.schema();
}

}  // namespace baywright::job
