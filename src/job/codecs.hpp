#pragma once

#include <array>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "geometry/base/id.hpp"
#include "geometry/base/quantity.hpp"
#include "geometry/base/result.hpp"
#include "geometry/vec.hpp"
#include "job/node.hpp"
#include "job/unit_text.hpp"

namespace baywright::job {

// How one kind of value is read from a file, written to it and described in its schema. A codec has
//   bool read(const Node&, T&, const At&) const   complains and returns false when the value will not do
//   Node write(const T&) const
//   Node schema() const
//   std::string expected() const                  "a length in mm above 0"

/// Everything found wrong in one file. At most `kMost` are kept; the rest are counted.
class Problems {
 public:
  static constexpr std::size_t kMost = 200;

  explicit Problems(std::string file) : file_(std::move(file)) {}
  /// `pointer` is a JSON pointer ("" for the whole file); line 0: not known.
  void add(const std::string& pointer, int line, std::string message);
  bool any() const { return !errors_.empty(); }
  /// Something at this pointer, or below it, was complained about.
  bool touches(const std::string& pointer) const;
  /// Exactly this was complained about.
  bool is_at(const std::string& pointer) const;
  /// Pointers of all that was complained about.
  std::vector<std::string> places() const;
  /// In the order of the file's lines.
  std::vector<Error> take();

 private:
  struct Found {
    std::string pointer;
    int line = 0;
    Error error;
  };
  std::string file_;
  std::vector<Found> errors_;
  std::size_t more_ = 0;
};

/// Where a reader stands.
struct At {
  Problems* problems = nullptr;
  std::string pointer;

  At step(std::string_view key) const { return {problems, pointer_step(pointer, key)}; }
  At step(std::size_t index) const { return step(std::to_string(index)); }
  void wrong(const Node& node, std::string message) const { problems->add(pointer, node.line, std::move(message)); }
};

/// What a node holds, for complaints: "true", "12", "\"abc\"", "a list".
std::string shown(const Node& node);

/// Interval a number must lie in, in the file's unit.
struct Range {
  double lo = -std::numeric_limits<double>::infinity();
  double hi = std::numeric_limits<double>::infinity();
  bool lo_open = false;

  bool contains(double x) const { return (lo_open ? x > lo : x >= lo) && x <= hi; }
  /// " above 0 and at most 5"; "" when unlimited.
  std::string text() const;
};

/// Number in the file's unit; complains.
std::optional<double> read_number(const Node& node, Dimension dimension, const Range& range, const At& at);
std::string expected_number(Dimension dimension, const Range& range);
Node number_schema(Dimension dimension, const Range& range);

/// Between a value of the program and its number in a file. The factories of quantity.hpp define the way in.
template <class T>
T from_file(double number, Dimension dimension);
template <>
inline double from_file<double>(double number, Dimension) {
  return number;
}
template <>
inline Angle from_file<Angle>(double number, Dimension) {
  return degrees(number);
}
template <>
inline Pressure from_file<Pressure>(double number, Dimension) {
  return kilopascals(number);
}
template <>
inline Temperature from_file<Temperature>(double number, Dimension) {
  return celsius(number);
}
template <>
inline MassFlow from_file<MassFlow>(double number, Dimension) {
  return kilograms_per_second(number);
}
template <>
inline VolumeFlow from_file<VolumeFlow>(double number, Dimension) {
  return cubic_metres_per_second(number);
}

inline double near_file(double value) { return value; }
inline double near_file(Angle value) { return to_degrees(value); }
inline double near_file(Pressure value) { return to_kilopascals(value); }
inline double near_file(Temperature value) { return to_celsius(value); }
inline double near_file(MassFlow value) { return value.si(); }
inline double near_file(VolumeFlow value) { return value.si(); }

/// Shortest decimal number near `guess` for which `matches` holds; `guess` itself when there is none.
double shortest_decimal(double guess, bool (*matches)(double number, const void* value), const void* value);

/// Number that reads back to exactly `value` (where one exists), with as few digits as possible.
template <class T>
double to_file(const T& value) {
  const auto matches = [](double number, const void* wanted) {
    return from_file<T>(number, Dimension::plain) == *static_cast<const T*>(wanted);
  };
  const double number = shortest_decimal(near_file(value), matches, &value);
  if (matches(number, &value)) return number;
  // Not every double in SI is the image of a double in the file's unit; then write what reads back to the nearest.
  const T nearest = from_file<T>(number, Dimension::plain);
  return shortest_decimal(number, matches, &nearest);
}
template <>
inline double to_file<double>(const double& value) {
  return value;
}

template <class T>
struct MeasureCodec {
  Dimension dimension;
  Range range;

  bool read(const Node& node, T& value, const At& at) const {
    const auto number = read_number(node, dimension, range, at);
    if (number) value = from_file<T>(*number, dimension);
    return number.has_value();
  }
  Node write(const T& value) const { return Node::of(to_file<T>(value)); }
  Node schema() const { return number_schema(dimension, range); }
  std::string expected() const { return expected_number(dimension, range); }
};

// Names for the codecs a description uses.
inline constexpr double kFarthest_mm = 1e5;  ///< a coordinate beyond 100 m is a slip, not a bay
inline Range above(double lo, double hi = std::numeric_limits<double>::infinity()) { return {lo, hi, true}; }
inline Range at_least(double lo, double hi = std::numeric_limits<double>::infinity()) { return {lo, hi, false}; }
inline MeasureCodec<double> length(Range range) { return {Dimension::length, range}; }
inline MeasureCodec<double> number(Range range) { return {Dimension::plain, range}; }
inline MeasureCodec<double> density(Range range) { return {Dimension::density, range}; }
inline MeasureCodec<Angle> angle(Range range) { return {Dimension::angle, range}; }
inline MeasureCodec<Pressure> pressure(Range range) { return {Dimension::pressure, range}; }
inline MeasureCodec<Temperature> temperature(Range range) { return {Dimension::temperature, range}; }
inline MeasureCodec<MassFlow> mass_flow(Range range) { return {Dimension::mass_flow, range}; }
inline MeasureCodec<VolumeFlow> volume_flow(Range range) { return {Dimension::volume_flow, range}; }

/// A whole number.
struct CountCodec {
  int least = 0, most = 0;
  bool read(const Node& node, int& value, const At& at) const;
  Node write(int value) const { return Node::of(static_cast<double>(value)); }
  Node schema() const;
  std::string expected() const;
};

/// Three lengths.
struct PointCodec {
  bool read(const Node& node, Vec3& value, const At& at) const;
  Node write(const Vec3& value) const;
  Node schema() const;
  std::string expected() const;
};

/// Three plain numbers, not all zero; brought to length 1 unless they have it already.
struct DirectionCodec {
  bool read(const Node& node, Vec3& value, const At& at) const;
  Node write(const Vec3& value) const;
  Node schema() const;
  std::string expected() const;
};

struct TextCodec {
  bool needed = false;   ///< must not be empty
  bool one_line = true;  ///< no line feeds

  bool read(const Node& node, std::string& value, const At& at) const;
  Node write(const std::string& value) const { return Node::of(value); }
  Node schema() const;
  std::string expected() const;
};

struct FlagCodec {
  bool read(const Node& node, bool& value, const At& at) const;
  Node write(bool value) const { return Node::of(value); }
  Node schema() const;
  std::string expected() const { return "true or false"; }
};

/// Id text: 1 to 64 letters, digits, '.', '_' or '-', starting with a letter or digit.
bool is_id(std::string_view text);
std::optional<std::string> read_id(const Node& node, const At& at);
Node id_schema();

template <class Tag>
struct IdCodec {
  bool read(const Node& node, Id<Tag>& value, const At& at) const {
    auto text = read_id(node, at);
    if (text) value = Id<Tag>(std::move(*text));
    return text.has_value();
  }
  Node write(const Id<Tag>& value) const { return Node::of(value.value); }
  Node schema() const { return id_schema(); }
  std::string expected() const { return "an id"; }
};

/// Index of the word a node names; complains with the nearest word.
std::optional<std::size_t> read_word(const Node& node, const std::vector<std::string>& words, const At& at);
Node word_schema(const std::vector<std::string>& words);
std::string expected_word(const std::vector<std::string>& words);

template <class E>
struct WordCodec {
  std::vector<std::pair<E, std::string>> table;

  std::vector<std::string> words() const {
    std::vector<std::string> out;
    for (const auto& row : table) out.push_back(row.second);
    return out;
  }
  bool read(const Node& node, E& value, const At& at) const {
    const auto index = read_word(node, words(), at);
    if (index) value = table[*index].first;
    return index.has_value();
  }
  Node write(E value) const {
    for (const auto& [known, word] : table) {
      if (known == value) return Node::of(word);
    }
    return {};
  }
  Node schema() const { return word_schema(words()); }
  std::string expected() const { return expected_word(words()); }
};

bool expect_list(const Node& node, std::size_t least, std::size_t most, const At& at);
Node list_schema(Node item, std::size_t least, std::size_t most);

inline constexpr std::size_t kAnyCount = static_cast<std::size_t>(-1);

/// List of any length between two bounds. Elements that will not do stay in the list as far as they could be read, so
/// that indices in later complaints are right.
template <class C>
struct ListCodec {
  C item;
  std::size_t least = 0;
  std::size_t most = kAnyCount;

  template <class T>
  bool read(const Node& node, std::vector<T>& value, const At& at) const {
    bool good = expect_list(node, least, most, at);
    if (node.kind != Node::Kind::array) return false;
    value.clear();
    for (std::size_t i = 0; i < node.items.size(); ++i) {
      T element{};
      good = item.read(node.items[i], element, at.step(i)) && good;
      value.push_back(std::move(element));
    }
    return good;
  }
  template <class T>
  Node write(const std::vector<T>& value) const {
    Node node = Node::array();
    for (const T& element : value) node.items.push_back(item.write(element));
    return node;
  }
  Node schema() const { return list_schema(item.schema(), least, most); }
  std::string expected() const { return "a list"; }
};
template <class C>
ListCodec<C> list_of(C item, std::size_t least = 0, std::size_t most = kAnyCount) {
  return {std::move(item), least, most};
}

/// List of exactly N.
template <class C, std::size_t N>
struct FixedListCodec {
  C item;

  template <class T>
  bool read(const Node& node, std::array<T, N>& value, const At& at) const {
    if (!expect_list(node, N, N, at)) return false;
    bool good = true;
    for (std::size_t i = 0; i < N; ++i) good = item.read(node.items[i], value[i], at.step(i)) && good;
    return good;
  }
  template <class T>
  Node write(const std::array<T, N>& value) const {
    Node node = Node::array();
    for (const T& element : value) node.items.push_back(item.write(element));
    return node;
  }
  Node schema() const { return list_schema(item.schema(), N, N); }
  std::string expected() const { return "a list of " + std::to_string(N); }
};
template <std::size_t N, class C>
FixedListCodec<C, N> exactly(C item) {
  return {std::move(item)};
}

}  // namespace baywright::job
