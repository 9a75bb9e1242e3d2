#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace baywright {

/// Edit distance (Levenshtein 1966) between two words.
std::size_t edit_distance(std::string_view a, std::string_view b);
/// The known word nearest to `word` when it is near enough to be a slip of the pen, else "".
std::string nearest_word(std::string_view word, const std::vector<std::string>& known);

}  // namespace baywright
