#pragma once

#include <charconv>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string_view>

namespace baywright {

/// Walks over text of a scan file without copying it. Lines end with LF, CRLF or CR.
class TextScan {
 public:
  explicit TextScan(std::string_view text) : text_(text) {}

  std::size_t line_number() const { return line_; }  ///< of the line last taken, from 1
  std::size_t position() const { return at_; }
  bool done() const { return at_ >= text_.size(); }

  /// Next line without its end; nullopt at the end of the text.
  std::optional<std::string_view> line() {
    if (done()) return std::nullopt;
    const std::size_t from = at_;
    while (at_ < text_.size() && text_[at_] != '\n' && text_[at_] != '\r') ++at_;
    const std::string_view out = text_.substr(from, at_ - from);
    if (at_ < text_.size()) at_ += text_[at_] == '\r' && at_ + 1 < text_.size() && text_[at_ + 1] == '\n' ? 2 : 1;
    ++line_;
    return out;
  }

 private:
  std::string_view text_;
  std::size_t at_ = 0;
  std::size_t line_ = 0;
};

inline bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\v' || c == '\f'; }

/// Takes the next word (up to a blank) off the front of `line`; "" when there is none.
inline std::string_view take_word(std::string_view& line) {
  std::size_t from = 0;
  while (from < line.size() && is_blank(line[from])) ++from;
  std::size_t to = from;
  while (to < line.size() && !is_blank(line[to])) ++to;
  const std::string_view word = line.substr(from, to - from);
  line.remove_prefix(to);
  return word;
}

inline std::string_view trimmed(std::string_view text) {
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return text;
}

/// The whole word as a number; "nan", "inf" and the like give non-finite values; nullopt when it is none. Independent
/// of the locale.
inline std::optional<double> number(std::string_view word) {
  if (!word.empty() && word.front() == '+') word.remove_prefix(1);  // from_chars takes no plus
  double value = 0;
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
  if (word.empty()) return std::nullopt;
  if (end != word.data() + word.size()) {
    // Spelled by an old C library: 1.#IND, -1.#QNAN, 1.#INF.
    const std::string_view rest = word.substr(static_cast<std::size_t>(end - word.data()));
    if (rest.substr(0, 4) == "#INF") return std::copysign(HUGE_VAL, value);
    if (rest.substr(0, 4) == "#IND" || rest.substr(0, 5) == "#QNAN" || rest.substr(0, 5) == "#SNAN")
      return std::nan("");
    return std::nullopt;
  }
  if (error == std::errc::result_out_of_range) {
    // Beyond double: too small is 0, too large is infinite; the exponent's sign tells them apart, or else the zero
    // before the point.
    const std::size_t e = word.find_first_of("eE");
    const std::size_t digit = word.front() == '-' ? 1 : 0;
    const bool tiny = e != std::string_view::npos && e + 1 < word.size() ? word[e + 1] == '-'
                                                                         : word[digit] == '0' || word[digit] == '.';
    return tiny ? 0.0 : std::copysign(HUGE_VAL, word.front() == '-' ? -1.0 : 1.0);
  }
  if (error != std::errc()) return std::nullopt;
  return value;
}

/// The whole word as a whole number; nullopt when it is none or does not fit.
inline std::optional<long long> whole_number(std::string_view word) {
  if (!word.empty() && word.front() == '+') word.remove_prefix(1);
  long long value = 0;
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
  if (end != word.data() + word.size() || word.empty() || error != std::errc()) return std::nullopt;
  return value;
}

}  // namespace baywright
