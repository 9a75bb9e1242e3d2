#pragma once

#include <algorithm>
#include <string>
#include <string_view>

namespace baywright {

// Pieces of sentences, the same wherever one is put together.

/// "a, b, c" of any range of texts.
template <class Range>
std::string joined(const Range& words, std::string_view separator = ", ") {
  std::string text;
  bool first = true;
  for (const auto& word : words) {
    if (!first) text += separator;
    text += word;
    first = false;
  }
  return text;
}

/// The text between double quotes.
inline std::string in_quotes(std::string_view text) {
  std::string out = "\"";
  return out.append(text).append("\"");
}

/// What a thing is and which: "cone C1". An id that says what it is stands alone: "cone", "tap-small", "sensor tube" of
/// a sensor tube "sensor".
inline std::string named(std::string_view kind, std::string_view id) {
  const auto is_part = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); };
  for (std::size_t from = 0; from < kind.size();) {
    const std::size_t end = std::min(kind.find(' ', from), kind.size());
    const std::string_view word = kind.substr(from, end - from);
    if (id == word) return std::string(kind);
    if (end == kind.size() && id.starts_with(word) && !is_part(id[word.size()])) return std::string(id);
    from = end + 1;
  }
  return std::string(kind).append(" ").append(id);
}

}  // namespace baywright
