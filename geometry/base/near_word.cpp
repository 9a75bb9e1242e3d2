#include "geometry/base/near_word.hpp"

#include <algorithm>
#include <cctype>
#include <numeric>

namespace baywright {
namespace {

std::string lower_case(std::string_view word) {
  std::string out(word);
  for (char& c : out) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

bool same_letter_in_place(std::string_view a, std::string_view b) {
  for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) {
    if (a[i] == b[i]) return true;
  }
  return false;
}

/// Slips between a word and a known one, both in lower case.
std::size_t slips(std::string_view word, std::string_view known) {
  // A forgotten unit ("bore" for "bore_mm") or a forgotten word is one slip, however many letters it has.
  if (known.size() > word.size() + 1 && known.starts_with(word) && known[word.size()] == '_') return 1;
  const std::size_t distance = edit_distance(word, known);
  // Two letters that changed places, too.
  const bool swapped = distance == 2 && word.size() == known.size() &&
                       std::is_permutation(word.begin(), word.end(), known.begin(), known.end());
  return swapped ? 1 : distance;
}

/// Few letters are soon changed into any other few: "ja" is no slip for "no", nor "nej" for "yes".
bool near_enough(std::string_view word, std::string_view known, std::size_t slips) {
  const std::size_t shorter = std::min(word.size(), known.size());
  if (shorter <= 2) return slips <= 1 && same_letter_in_place(word, known);
  if (shorter == 3) return slips <= 1;
  return slips <= std::max<std::size_t>(2, word.size() / 3);
}

}  // namespace

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
  const std::string lower = lower_case(word);
  std::size_t best = word.size() + 1;
  std::string found;
  for (const std::string& candidate : known) {
    const std::string other = lower_case(candidate);
    const std::size_t distance = slips(lower, other);
    if (distance < best && near_enough(lower, other, distance)) {
      best = distance;
      found = candidate;
    }
  }
  return found;
}

}  // namespace baywright
