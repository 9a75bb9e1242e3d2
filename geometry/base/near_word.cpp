#include "geometry/base/near_word.hpp"

#include <algorithm>
#include <numeric>

namespace baywright {

std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 0; i < a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i + 1;
    for (std::size_t j = 0; j < b.size(); ++j) {
      const std::size_t replaced = diagonal + (a[i] == b[j] ? 0 : 1);
      diagonal = row[j + 1];
      row[j + 1] = std::min({replaced, row[j] + 1, diagonal + 1});
    }
  }
  return row[b.size()];
}

std::string nearest_word(std::string_view word, const std::vector<std::string>& known) {
  constexpr std::size_t kLongestWord = 64;  // longer "words" are no slip of the pen, and the distance costs n * m
  if (word.empty() || word.size() > kLongestWord) return "";
  std::size_t best = std::max<std::size_t>(2, word.size() / 3) + 1;
  std::string found;
  for (const std::string& candidate : known) {
    std::size_t distance = edit_distance(word, candidate);
    // A forgotten unit ("bore" for "bore_mm") or a forgotten word is one slip, however many letters it has.
    if (candidate.size() > word.size() + 1 && candidate.starts_with(word) && candidate[word.size()] == '_')
      distance = 1;
    if (distance < best) {
      best = distance;
      found = candidate;
    }
  }
  return found;
}

}  // namespace baywright
