#include "job/node.hpp"

#include <algorithm>
#include <charconv>
#include <iterator>
#include <unordered_set>

#include <nlohmann/json.hpp>

namespace baywright::job {

Node Node::of(bool value) {
  Node node;
  node.kind = Kind::boolean;
  node.truth = value;
  return node;
}

Node Node::of(double value) {
  Node node;
  node.kind = Kind::number;
  node.number = value;
  return node;
}

Node Node::of(int value) { return of(static_cast<double>(value)); }

Node Node::of(const char* value) { return of(std::string_view(value)); }

Node Node::of(std::string_view value) {
  Node node;
  node.kind = Kind::text;
  node.text = value;
  return node;
}

Node Node::array() { return array(std::vector<Node>()); }

Node Node::array(std::vector<Node> items) {
  Node node;
  node.kind = Kind::array;
  node.items = std::move(items);
  return node;
}

Node Node::object() { return object(std::vector<Member>()); }

Node Node::object(std::vector<Member> members) {
  Node node;
  node.kind = Kind::object;
  node.members = std::move(members);
  return node;
}

const Node* Node::find(std::string_view key) const {
  const auto it = std::find_if(members.begin(), members.end(), [&](const Member& m) { return m.key == key; });
  return it == members.end() ? nullptr : &it->value;
}

void Node::put(std::string_view key, Node value) { members.push_back({std::string(key), std::move(value)}); }

std::string_view kind_name(Node::Kind kind) {
  switch (kind) {
    case Node::Kind::null:
      return "null";
    case Node::Kind::boolean:
      return "true or false";
    case Node::Kind::number:
      return "a number";
    case Node::Kind::text:
      return "text";
    case Node::Kind::array:
      return "a list";
    case Node::Kind::object:
      return "an object";
  }
  return "null";
}

std::string pointer_step(const std::string& pointer, std::string_view key) {
  std::string out = pointer + '/';
  for (const char c : key) {
    if (c == '~') {
      out += "~0";
    } else if (c == '/') {
      out += "~1";
    } else {
      out += c;
    }
  }
  return out;
}

namespace {

/// The node a pointer names, or the nearest one above it; and whether it is the node itself.
struct Nearest {
  const Node* node;
  bool itself;
};

Nearest nearest_node(const Node& root, const std::string& pointer) {
  const Node* node = &root;
  std::size_t start = 1;
  while (start <= pointer.size() && !pointer.empty()) {
    const std::size_t end = std::min(pointer.find('/', start), pointer.size());
    const std::string step = pointer.substr(start, end - start);
    const Node* next = nullptr;
    if (node->kind == Node::Kind::object) next = node->find(step);
    if (node->kind == Node::Kind::array) {
      std::size_t index = 0;
      const auto [end_of_number, error] = std::from_chars(step.data(), step.data() + step.size(), index);
      if (error == std::errc() && index < node->items.size()) next = &node->items[index];
    }
    if (!next) return {node, false};
    node = next;
    start = end + 1;
  }
  return {node, true};
}

}  // namespace

const Node* node_at(const Node& root, const std::string& pointer) {
  const Nearest nearest = nearest_node(root, pointer);
  return nearest.itself ? nearest.node : nullptr;
}

int line_of(const Node& root, const std::string& pointer) { return nearest_node(root, pointer).node->line; }

namespace {

constexpr std::size_t kDeepestNesting = 64;

/// Line of the character read last. The JSON lexer reads at most one character ahead (the one behind a number), which
/// still belongs to the same line: a line feed counts to the line it ends.
struct Position {
  int line = 1;
  int next_line = 1;
};

/// Feeds the lexer and keeps count of lines.
class CountingIterator {
 public:
  using iterator_category = std::input_iterator_tag;
  using value_type = char;
  using difference_type = std::ptrdiff_t;
  using pointer = const char*;
  using reference = const char&;

  CountingIterator(const char* at, Position* position) : at_(at), position_(position) {}
  reference operator*() const { return *at_; }
  CountingIterator& operator++() {
    position_->line = position_->next_line;
    if (*at_ == '\n') ++position_->next_line;
    ++at_;
    return *this;
  }
  CountingIterator operator++(int) {
    CountingIterator old = *this;
    ++*this;
    return old;
  }
  bool operator==(const CountingIterator& other) const { return at_ == other.at_; }
  bool operator!=(const CountingIterator& other) const { return at_ != other.at_; }

 private:
  const char* at_;
  Position* position_;
};

/// The mistakes that hands make most, said as such; anything else as the parser says it. `end`: of what was read.
std::string in_plain_words(const std::string& text, std::size_t end, std::string parser) {
  const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r'; };
  if (std::all_of(text.begin(), text.end(), blank)) return "the file is empty";
  if (text.find('\0') != std::string::npos) return "it is no UTF-8 text; save it as UTF-8";
  const auto starts = [&](std::size_t at, std::string_view with) {
    return at < text.size() && std::string_view(text).substr(at, with.size()) == with;
  };
  const std::size_t last = std::min(end, text.size() - 1);
  for (std::size_t at = last - std::min<std::size_t>(last, 3); at <= last; ++at) {
    if (starts(at, "\xE2\x80\x9C") || starts(at, "\xE2\x80\x9D") || starts(at, "\xE2\x80\x9E")) {
      return "typographic quotation marks; write straight ones (\")";
    }
    const bool outside_text = parser.find("invalid literal") != std::string::npos;
    if (outside_text && (starts(at, "//") || starts(at, "/*")))
      return "JSON has no comments; take this one out, or put it under \"note\"";
  }
  // Where the token that was not expected begins, and what stands before it.
  const auto before = [&](std::size_t at) {
    while (at > 0 && blank(text[at - 1])) --at;
    return at;
  };
  const bool closes = text[last] == '}' || text[last] == ']';
  const std::size_t token = closes ? last : text.find_last_of(",:{}[]\"\n", last == 0 ? 0 : last - 1);
  if (closes) {
    const std::size_t at = before(last);
    if (at > 0 && text[at - 1] == ',') return std::string("take out the comma before this ") + text[last];
  }
  if (parser.find("unexpected number literal; expected string literal") != std::string::npos &&
      token != std::string::npos && token > 0 && text[token] == ',' && text[token - 1] >= '0' &&
      text[token - 1] <= '9') {
    return "a decimal comma; write a point";
  }
  const bool expected_end =
      parser.find("expected '}'") != std::string::npos || parser.find("expected ']'") != std::string::npos;
  if (expected_end && parser.find("end of input") == std::string::npos) {
    return "a comma is missing before this, or a bracket too many or too few stands before it";
  }
  // Its excerpt may end within a character.
  for (char& c : parser) {
    if (static_cast<unsigned char>(c) >= 0x80) c = '?';
  }
  return parser;
}

/// Builds the tree from the parser's events.
class TreeBuilder : public nlohmann::json_sax<nlohmann::json> {
 public:
  TreeBuilder(const std::string& text, std::string file, const Position& position)
      : text_(text), file_(std::move(file)), position_(position) {}

  Node root;
  std::vector<Error> errors;

  bool null() override { return leaf({}); }
  bool boolean(bool value) override { return leaf(Node::of(value)); }
  bool number_integer(number_integer_t value) override { return leaf(Node::of(static_cast<double>(value))); }
  bool number_unsigned(number_unsigned_t value) override { return leaf(Node::of(static_cast<double>(value))); }
  bool number_float(number_float_t value, const string_t&) override { return leaf(Node::of(value)); }
  bool string(string_t& value) override { return leaf(Node::of(value)); }
  bool binary(binary_t&) override { return false; }
  bool start_object(std::size_t) override { return open(Node::object()); }
  bool end_object() override { return close(); }
  bool start_array(std::size_t) override { return open(Node::array()); }
  bool end_array() override { return close(); }

  bool key(string_t& value) override {
    Level& level = levels_.back();
    if (!level.keys.insert(value).second) {
      complain(ErrorCode::bad_value, pointer_step(pointer(), value) + " (line " + std::to_string(position_.line) + ")",
               "stands twice in this object; keep one");
    }
    level.node->members.push_back({value, {}});
    level.key_line = position_.line;
    return true;
  }

  bool parse_error(std::size_t offset, const std::string&, const nlohmann::json::exception& ex) override {
    const std::size_t end = std::min(offset == 0 ? 0 : offset - 1, text_.size());
    const auto line = 1 + std::count(text_.begin(), text_.begin() + static_cast<std::ptrdiff_t>(end), '\n');
    const std::size_t line_start = end == 0 ? std::string::npos : text_.rfind('\n', end - 1);
    const std::size_t column = line_start == std::string::npos ? end + 1 : end - line_start;
    std::string what = ex.what();
    const std::size_t id_end = what.find("] ");
    if (id_end != std::string::npos) what.erase(0, id_end + 2);
    const std::size_t detail = what.find(": syntax error ");
    if (detail != std::string::npos) what.erase(0, detail + 2);
    complain(ErrorCode::file_damaged, "line " + std::to_string(line) + ", column " + std::to_string(column),
             "is not JSON: " + in_plain_words(text_, end, what));
    return false;
  }

 private:
  struct Level {
    Node* node = nullptr;
    std::unordered_set<std::string> keys;
    int key_line = 0;
  };

  std::string pointer() const {
    std::string out;
    for (std::size_t i = 0; i + 1 < levels_.size(); ++i) {
      const Node& node = *levels_[i].node;
      out = node.kind == Node::Kind::object ? pointer_step(out, node.members.back().key)
                                            : pointer_step(out, std::to_string(node.items.size() - 1));
    }
    return out;
  }

  void complain(ErrorCode code, const std::string& place, std::string message) {
    errors.push_back({code, file_ + ": " + place, std::move(message)});
  }

  Node* place(Node node) {
    node.line = position_.line;
    if (levels_.empty()) {
      root = std::move(node);
      return &root;
    }
    Level& level = levels_.back();
    if (level.node->kind == Node::Kind::array) {
      level.node->items.push_back(std::move(node));
      return &level.node->items.back();
    }
    node.line = level.key_line;
    level.node->members.back().value = std::move(node);
    return &level.node->members.back().value;
  }

  bool leaf(Node node) {
    place(std::move(node));
    return true;
  }

  bool open(Node node) {
    if (levels_.size() >= kDeepestNesting) {
      complain(ErrorCode::bad_value, "line " + std::to_string(position_.line),
               "nesting is deeper than " + std::to_string(kDeepestNesting) + " levels");
      return false;
    }
    Node* placed = place(std::move(node));
    levels_.push_back({placed, {}, 0});
    return true;
  }

  bool close() {
    levels_.pop_back();
    return true;
  }

  const std::string& text_;
  std::string file_;
  const Position& position_;
  std::vector<Level> levels_;
};

}  // namespace

ResultAll<Node> parse_json(const std::string& text, const std::string& file_name) {
  Position position;
  TreeBuilder builder(text, file_name, position);
  const char* begin = text.data();
  const bool parsed = nlohmann::json::sax_parse(CountingIterator(begin, &position),
                                                CountingIterator(begin + text.size(), &position), &builder);
  if (!parsed || !builder.errors.empty()) {
    return tl::unexpected<std::vector<Error>>(std::move(builder.errors));
  }
  return std::move(builder.root);
}

}  // namespace baywright::job
