#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "geometry/base/result.hpp"

namespace baywright::job {

/// A JSON value that remembers the line it stands on, so that every later complaint can name it. Members keep their
/// order.
struct Node {
  enum class Kind { null, boolean, number, text, array, object };
  struct Member;

  Kind kind = Kind::null;
  int line = 0;  ///< 1-based line of the value's first token (of its key, when it has one); 0: made in memory
  bool truth = false;
  double number = 0;
  std::string text;
  std::vector<Node> items;
  std::vector<Member> members;

  static Node of(bool value);
  static Node of(double value);
  static Node of(int value);
  static Node of(std::string_view value);
  static Node of(const char* value);
  static Node array();
  static Node array(std::vector<Node> items);
  static Node object();
  static Node object(std::vector<Member> members);

  /// Member by key, or null.
  const Node* find(std::string_view key) const;
  void put(std::string_view key, Node value);
};

struct Node::Member {
  std::string key;
  Node value;
};

/// What a reader would call it: "a number", "text", "an object"...
std::string_view kind_name(Node::Kind kind);

/// Tree of a JSON text (RFC 8259, UTF-8, no comments). Fails: file_damaged with line and column for a syntax error;
/// bad_value for every key that stands twice in one object and for nesting deeper than 64.
ResultAll<Node> parse_json(const std::string& text, const std::string& file_name);

/// JSON text: members in their order, two spaces per level, anything that fits on one line of 110 columns on one line,
/// numbers in the shortest form that reads back to the same double. Ends with a newline.
std::string to_json(const Node& node);

/// The node a pointer names, or null.
const Node* node_at(const Node& root, const std::string& pointer);

/// Line of the node a pointer names, or of the nearest one above it.
int line_of(const Node& root, const std::string& pointer);

/// One step down a JSON pointer (RFC 6901), with its escapes.
std::string pointer_step(const std::string& pointer, std::string_view key);

}  // namespace baywright::job
