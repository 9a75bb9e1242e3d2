#pragma once

#include <set>
#include <type_traits>
#include <utility>
#include <variant>

#include "job/codecs.hpp"

namespace baywright::job {

// A struct's fields are described once, by a function
//   template <class V> void describe(V& v, Of<S>)
// that names every field: v.required("bore_mm", &Port::bore_mm, length(above(0)), "what it means"). Reader, writer and
// schema are three visitors of that description.

template <class S>
struct Of {};

template <class T>
struct IsOptional : std::false_type {};
template <class T>
struct IsOptional<std::optional<T>> : std::true_type {};

/// Alternatives of keys of which exactly one set must be present, wholly.
using KeySets = std::vector<std::vector<std::string>>;

/// Complaints that need no template.
class KeyCheck {
 public:
  KeyCheck(const Node& node, At at) : node_(node), at_(std::move(at)) {}
  const Node& node() const { return node_; }
  const At& at() const { return at_; }

  /// Member by key; remembers that the key is known.
  const Node* take(const char* key);
  void missing(const char* key, const std::string& expected);
  void sets(const KeySets& sets);
  /// The unknown keys cannot be told (the kind of the object is not known).
  void give_up() { kind_known_ = false; }
  bool good() const { return good_; }
  void spoil() { good_ = false; }
  /// Complains about members nobody asked for.
  void finish();

 private:
  const Node& node_;
  At at_;
  std::set<std::string> known_;
  bool kind_known_ = true;
  bool good_ = true;
};

/// Complains about a missing or odd version; false when the text is of a newer version and not to be examined further.
bool read_version(const Node& root, const std::string& key, int newest, const At& at);

/// Visitor that fills a struct from an object.
template <class S>
class ObjectReader {
 public:
  ObjectReader(KeyCheck& keys, S& target) : keys_(keys), target_(target) {}

  template <class M, class C>
  void required(const char* key, M S::*member, const C& codec, const char* /*doc*/) {
    const Node* node = keys_.take(key);
    if (!node) {
      keys_.missing(key, codec.expected());
    } else if (!codec.read(*node, target_.*member, keys_.at().step(key))) {
      keys_.spoil();
    }
  }

  template <class M, class C>
  void optional(const char* key, M S::*member, const C& codec, const char* /*doc*/) {
    const Node* node = keys_.take(key);
    if (!node) return;
    bool good = true;
    if constexpr (IsOptional<M>::value) {
      typename M::value_type value{};
      good = codec.read(*node, value, keys_.at().step(key));
      if (good) target_.*member = std::move(value);
    } else {
      good = codec.read(*node, target_.*member, keys_.at().step(key));
    }
    if (!good) keys_.spoil();
  }

  /// The member is one of several kinds; `key` says which, and the fields of that kind stand in the same object.
  template <class... A>
  void choice(const char* key, std::variant<A...> S::*member, const std::vector<std::string>& names,
              const char* /*doc*/) {
    const Node* node = keys_.take(key);
    if (!node) {
      keys_.missing(key, expected_word(names));
      keys_.give_up();
      return;
    }
    const auto index = read_word(*node, names, keys_.at().step(key));
    if (!index) {
      keys_.spoil();
      keys_.give_up();
      return;
    }
    pick(target_.*member, *index, std::index_sequence_for<A...>());
    std::visit([&](auto& alternative) { read_alternative(alternative); }, target_.*member);
  }

  void exactly_one_of(const KeySets& sets) { keys_.sets(sets); }

 private:
  template <class V, std::size_t... I>
  static void pick(V& variant, std::size_t index, std::index_sequence<I...>) {
    ((index == I ? static_cast<void>(variant.template emplace<I>()) : static_cast<void>(0)), ...);
  }
  template <class T>
  void read_alternative(T& alternative) {
    ObjectReader<T> reader(keys_, alternative);
    describe(reader, Of<T>());
  }

  KeyCheck& keys_;
  S& target_;
};

/// Reads a described struct from an object node.
template <class S>
bool read_object(const Node& node, S& value, const At& at) {
  if (node.kind != Node::Kind::object) {
    at.wrong(node, "is " + shown(node) + "; expected an object { ... }");
    return false;
  }
  KeyCheck keys(node, at);
  ObjectReader<S> reader(keys, value);
  describe(reader, Of<S>());
  keys.finish();
  return keys.good();
}

}  // namespace baywright::job
