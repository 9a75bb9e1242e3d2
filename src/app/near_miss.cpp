#include "app/near_miss.hpp"

#include <algorithm>

#include "geometry/base/near_word.hpp"
#include "geometry/base/words.hpp"

namespace baywright::app {
namespace {

std::string about(const std::string& what, const std::string& word, const std::vector<std::string>& known) {
  const std::string near = nearest_word(word, known);
  return what + " " + in_quotes(word) + (near.empty() ? "; known: " + joined(known) : "; did you mean " + near + "?");
}

}  // namespace

std::string unknown_word(const std::vector<KnownCommand>& commands, const std::vector<std::string>& options,
                         const std::vector<std::string>& words) {
  const KnownCommand* command = nullptr;
  for (const std::string& word : words) {
    if (word == "--") return "";
    if (word.starts_with("--")) {
      const std::string name = word.substr(0, word.find('='));
      const std::vector<std::string>& known = command ? command->options : options;
      if (std::find(known.begin(), known.end(), name) != known.end()) continue;
      return about(command ? command->name + " has no option" : "there is no option", name, known);
    }
    if (command || word.starts_with("-")) continue;
    std::vector<std::string> names;
    for (const KnownCommand& each : commands) {
      if (each.name == word) command = &each;
      names.push_back(each.name);
    }
    if (!command) return about("there is no command", word, names);
  }
  return "";
}

}  // namespace baywright::app
