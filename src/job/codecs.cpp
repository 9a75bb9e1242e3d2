#include "job/codecs.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "geometry/base/near_word.hpp"
#include "geometry/base/words.hpp"

namespace baywright::job {
namespace {

/// The shortest form that reads back to the same number; as people write it (100000, not 1e+05) within reason.
std::string number_text(double value) {
  char buffer[64];
  const double size = std::abs(value);
  if (value == 0 || (size >= 1e-6 && size < 1e15)) {
    return {buffer, std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::fixed).ptr};
  }
  return {buffer, std::to_chars(buffer, buffer + sizeof buffer, value).ptr};
}

bool is_control(char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; }

}  // namespace

void Problems::add(const std::string& pointer, int line, std::string message) {
  if (errors_.size() >= kMost) {
    ++more_;
    return;
  }
  std::string where = file_ + ": " + (pointer.empty() ? "/" : pointer);
  if (line > 0) where += " (line " + std::to_string(line) + ")";
  errors_.push_back({pointer, line, {ErrorCode::bad_value, std::move(where), std::move(message)}});
}

bool Problems::touches(const std::string& pointer) const {
  return std::any_of(errors_.begin(), errors_.end(), [&](const Found& found) {
    return found.pointer == pointer || found.pointer.starts_with(pointer + '/');
  });
}

bool Problems::is_at(const std::string& pointer) const {
  return std::any_of(errors_.begin(), errors_.end(), [&](const Found& found) { return found.pointer == pointer; });
}

std::vector<std::string> Problems::places() const {
  std::vector<std::string> out;
  for (const Found& found : errors_) out.push_back(found.pointer);
  return out;
}

std::vector<Error> Problems::take() {
  std::stable_sort(errors_.begin(), errors_.end(), [](const Found& a, const Found& b) { return a.line < b.line; });
  std::vector<Error> out;
  for (Found& found : errors_) out.push_back(std::move(found.error));
  if (more_ > 0) {
    out.push_back({ErrorCode::bad_value, file_, std::to_string(more_) + " more errors; correct the first ones"});
  }
  errors_.clear();
  return out;
}

std::string shown(const Node& node) {
  constexpr std::size_t kLongest = 40;
  switch (node.kind) {
    case Node::Kind::boolean:
      return node.truth ? "true" : "false";
    case Node::Kind::number:
      return number_text(node.number);
    case Node::Kind::text: {
      std::string text;
      for (const char c : node.text.substr(0, kLongest)) text += is_control(c) ? '?' : c;
      return '"' + text + (node.text.size() > kLongest ? "...\"" : "\"");
    }
    case Node::Kind::null:
    case Node::Kind::array:
    case Node::Kind::object:
      break;
  }
  return std::string(kind_name(node.kind));
}

std::string Range::text() const {
  const bool has_lo = std::isfinite(lo);
  const bool has_hi = std::isfinite(hi);
  if (has_lo && has_hi && !lo_open) return " from " + number_text(lo) + " to " + number_text(hi);
  std::string out;
  if (has_lo) out += (lo_open ? " above " : " of at least ") + number_text(lo);
  if (has_hi) out += (has_lo ? " and at most " : " of at most ") + number_text(hi);
  return out;
}

std::string expected_number(Dimension dimension, const Range& range) {
  std::string out(noun(dimension));
  if (!file_unit(dimension).empty()) out += " in " + std::string(file_unit(dimension));
  return out + range.text();
}

std::optional<double> read_number(const Node& node, Dimension dimension, const Range& range, const At& at) {
  std::optional<double> value;
  if (node.kind == Node::Kind::number) value = node.number;
  if (node.kind == Node::Kind::text && dimension != Dimension::plain) {
    value = parse_quantity(node.text, dimension);
    if (!value) {
      const std::string meant = quantity_meant(node.text, dimension);
      std::string message = "is " + shown(node) + (meant.empty() ? "" : "; did you mean " + in_quotes(meant) + "?") +
                            "; expected " + expected_number(dimension, range) + ", or text with a unit like " +
                            in_quotes(example(dimension)) + " (units: " + joined(unit_symbols(dimension)) + ")";
      if (const auto other = other_flow(dimension)) {
        const std::string flow(example(*other));
        message += "; " + std::string(noun(*other)) +
                   " with the density it is stated at will do too: " + in_quotes(flow + " at 1.2 kg/m3") + " or " +
                   in_quotes(flow + " at 20 degC and 101.325 kPa");
      }
      at.wrong(node, std::move(message));
      return std::nullopt;
    }
  }
  if (!value) {
    std::string message = "is " + shown(node) + "; expected " + expected_number(dimension, range);
    if (dimension != Dimension::plain) {
      message += ", or text with a unit like \"" + std::string(example(dimension)) + "\"";
    }
    at.wrong(node, std::move(message));
    return std::nullopt;
  }
  if (!range.contains(*value)) {
    at.wrong(node, "is " + shown(node) + "; expected " + expected_number(dimension, range));
    return std::nullopt;
  }
  return value;
}

Node number_schema(Dimension dimension, const Range& range) {
  Node number = Node::object();
  number.put("type", Node::of("number"));
  if (std::isfinite(range.lo)) number.put(range.lo_open ? "exclusiveMinimum" : "minimum", Node::of(range.lo));
  if (std::isfinite(range.hi)) number.put("maximum", Node::of(range.hi));
  if (dimension == Dimension::plain) return number;
  // The units have no character that is special in a pattern, except the inch mark in JSON text, which is escaped.
  std::string units = "(" + joined(unit_symbols(dimension), "|") + ")";
  if (const auto other = other_flow(dimension))
    units = "(" + units + "|(" + joined(unit_symbols(*other), "|") + ") +at .+)";
  Node text = Node::object();
  text.put("type", Node::of("string"));
  text.put("pattern", Node::of("^ *-?[0-9][-+0-9.eE/ ]*" + units + " *$"));
  Node either = Node::object();
  either.put("anyOf", Node::array({std::move(number), std::move(text)}));
  return either;
}

double shortest_decimal(double guess, bool (*matches)(double number, const void* value), const void* value) {
  constexpr int kMostDigits = 17;
  for (int digits = 1; digits <= kMostDigits; ++digits) {
    char text[40];
    std::snprintf(text, sizeof text, "%.*g", digits, guess);
    const double candidate = std::strtod(text, nullptr);
    if (matches(candidate, value)) return candidate;
  }
  double up = guess;
  double down = guess;
  for (int step = 0; step < 4; ++step) {
    up = std::nextafter(up, std::numeric_limits<double>::infinity());
    down = std::nextafter(down, -std::numeric_limits<double>::infinity());
    if (matches(up, value)) return up;
    if (matches(down, value)) return down;
  }
  return guess;
}

bool CountCodec::read(const Node& node, int& value, const At& at) const {
  const bool whole = node.kind == Node::Kind::number && node.number >= least && node.number <= most &&
                     node.number == std::floor(node.number);
  if (!whole) {
    at.wrong(node, "is " + shown(node) + "; expected " + expected());
    return false;
  }
  value = static_cast<int>(node.number);
  return true;
}

Node CountCodec::schema() const {
  Node node = Node::object();
  node.put("type", Node::of("integer"));
  node.put("minimum", Node::of(static_cast<double>(least)));
  node.put("maximum", Node::of(static_cast<double>(most)));
  return node;
}

std::string CountCodec::expected() const {
  return "a whole number from " + std::to_string(least) + " to " + std::to_string(most);
}

bool PointCodec::read(const Node& node, Vec3& value, const At& at) const {
  if (!expect_list(node, 3, 3, at)) return false;
  bool good = true;
  for (int i = 0; i < 3; ++i) {
    const auto k = static_cast<std::size_t>(i);
    const auto number = read_number(node.items[k], Dimension::length, {-kFarthest_mm, kFarthest_mm}, at.step(k));
    good = number.has_value() && good;
    if (number) value[i] = *number;
  }
  return good;
}

namespace {

Node three_numbers(const Vec3& v) { return Node::array({Node::of(v.x()), Node::of(v.y()), Node::of(v.z())}); }

}  // namespace

Node PointCodec::write(const Vec3& value) const { return three_numbers(value); }
Node PointCodec::schema() const {
  return list_schema(number_schema(Dimension::length, {-kFarthest_mm, kFarthest_mm}), 3, 3);
}
std::string PointCodec::expected() const { return "a list of three lengths in mm [x, y, z]"; }

bool DirectionCodec::read(const Node& node, Vec3& value, const At& at) const {
  if (!expect_list(node, 3, 3, at)) return false;
  Vec3 v = Vec3::Zero();
  bool good = true;
  for (int i = 0; i < 3; ++i) {
    const auto k = static_cast<std::size_t>(i);
    const auto number = read_number(node.items[k], Dimension::plain, {-1e6, 1e6}, at.step(k));
    good = number.has_value() && good;
    if (number) v[i] = *number;
  }
  if (!good) return false;
  const double length = v.norm();
  if (length < 1e-6) {
    at.wrong(node, "is a direction without length; expected three numbers that are not all zero");
    return false;
  }
  // A direction of length 1 is left as it stands, so that what was written reads back unchanged.
  constexpr double kUnitEnough = 1e-12;
  value = std::abs(length - 1) <= kUnitEnough ? v : Vec3(v / length);
  return true;
}

Node DirectionCodec::write(const Vec3& value) const { return three_numbers(value); }
Node DirectionCodec::schema() const { return list_schema(number_schema(Dimension::plain, {-1e6, 1e6}), 3, 3); }
std::string DirectionCodec::expected() const { return "a direction [x, y, z]"; }

bool TextCodec::read(const Node& node, std::string& value, const At& at) const {
  if (node.kind != Node::Kind::text) {
    at.wrong(node, "is " + shown(node) + "; expected " + expected());
    return false;
  }
  if (needed && node.text.find_first_not_of(" \t\n") == std::string::npos) {
    at.wrong(node, "is empty; expected " + expected());
    return false;
  }
  const bool has_control = std::any_of(node.text.begin(), node.text.end(),
                                       [&](char c) { return is_control(c) && (one_line || (c != '\n' && c != '\t')); });
  if (has_control) {
    at.wrong(node, one_line ? "holds a line break or control character; expected one line of text"
                            : "holds a control character; expected text");
    return false;
  }
  value = node.text;
  return true;
}

Node TextCodec::schema() const {
  Node node = Node::object();
  node.put("type", Node::of("string"));
  if (needed) node.put("pattern", Node::of("[^ \\t\\n]"));
  return node;
}

std::string TextCodec::expected() const { return needed ? "text that is not empty" : "text"; }

bool FlagCodec::read(const Node& node, bool& value, const At& at) const {
  if (node.kind != Node::Kind::boolean) {
    at.wrong(node, "is " + shown(node) + "; expected " + expected());
    return false;
  }
  value = node.truth;
  return true;
}

Node FlagCodec::schema() const {
  Node node = Node::object();
  node.put("type", Node::of("boolean"));
  return node;
}

bool is_id(std::string_view text) {
  constexpr std::size_t kLongest = 64;
  const auto letter_or_digit = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
  };
  return !text.empty() && text.size() <= kLongest && letter_or_digit(text.front()) &&
         std::all_of(text.begin(), text.end(),
                     [&](char c) { return letter_or_digit(c) || c == '.' || c == '_' || c == '-'; });
}

std::optional<std::string> read_id(const Node& node, const At& at) {
  if (node.kind == Node::Kind::text && is_id(node.text)) return node.text;
  at.wrong(node, "is " + shown(node) +
                     "; expected an id: 1 to 64 letters, digits, '.', '_' or '-', beginning with a letter or digit");
  return std::nullopt;
}

Node id_schema() {
  Node node = Node::object();
  node.put("type", Node::of("string"));
  node.put("pattern", Node::of("^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$"));
  return node;
}

std::string expected_word(const std::vector<std::string>& words) {
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) out += i + 1 == words.size() ? " or " : ", ";
    out += '"' + words[i] + '"';
  }
  return out;
}

std::optional<std::size_t> read_word(const Node& node, const std::vector<std::string>& words, const At& at) {
  if (node.kind == Node::Kind::text) {
    const auto it = std::find(words.begin(), words.end(), node.text);
    if (it != words.end()) return static_cast<std::size_t>(it - words.begin());
    const std::string near = nearest_word(node.text, words);
    at.wrong(node, "is " + shown(node) + (near.empty() ? "" : "; did you mean \"" + near + "\"?") + "; expected " +
                       expected_word(words));
    return std::nullopt;
  }
  at.wrong(node, "is " + shown(node) + "; expected " + expected_word(words));
  return std::nullopt;
}

Node word_schema(const std::vector<std::string>& words) {
  Node list = Node::array();
  for (const std::string& word : words) list.items.push_back(Node::of(word));
  Node node = Node::object();
  node.put("enum", std::move(list));
  return node;
}

bool expect_list(const Node& node, std::size_t least, std::size_t most, const At& at) {
  std::string count;
  if (least == most) {
    count = " of exactly " + std::to_string(least);
  } else if (least > 0) {
    count = " of at least " + std::to_string(least);
  } else if (most != kAnyCount) {
    count = " of at most " + std::to_string(most);
  }
  if (node.kind != Node::Kind::array) {
    at.wrong(node, "is " + shown(node) + "; expected a list" + count);
    return false;
  }
  if (node.items.size() < least || node.items.size() > most) {
    at.wrong(node, "is a list of " + std::to_string(node.items.size()) + "; expected a list" + count);
    return false;
  }
  return true;
}

Node list_schema(Node item, std::size_t least, std::size_t most) {
  Node node = Node::object();
  node.put("type", Node::of("array"));
  node.put("items", std::move(item));
  if (least > 0) node.put("minItems", Node::of(static_cast<double>(least)));
  if (most != kAnyCount) node.put("maxItems", Node::of(static_cast<double>(most)));
  return node;
}

}  // namespace baywright::job
