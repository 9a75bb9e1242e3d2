#pragma once

#include <string>
#include <vector>

namespace baywright::app {

/// A command and its long options ("--out"), as the program knows them.
struct KnownCommand {
  std::string name;
  std::vector<std::string> options;
};

/// The first word of a command line that is no command, or no option of the command before it, as one line with the
/// nearest one that is; "" when every word is known. `options`: the program's own, ahead of a command.
std::string unknown_word(const std::vector<KnownCommand>& commands, const std::vector<std::string>& options,
                         const std::vector<std::string>& words);

}  // namespace baywright::app
