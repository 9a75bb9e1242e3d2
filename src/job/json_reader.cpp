#include "job/json_reader.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/near_word.hpp"

namespace baywright::job {

const Node* KeyCheck::take(const char* key) {
  known_.insert(key);
  return node_.find(key);
}

void KeyCheck::missing(const char* key, const std::string& expected) {
  good_ = false;
  at_.wrong(node_, '"' + std::string(key) + "\" is missing; expected " + expected);
}

void KeyCheck::sets(const KeySets& sets) {
  const auto present = [&](const std::string& key) { return node_.find(key) != nullptr; };
  std::string wanted;
  std::size_t whole = 0;
  std::size_t given = 0;
  std::size_t used = 0;
  for (const auto& set : sets) {
    std::string names;
    for (const std::string& key : set) names += (names.empty() ? "\"" : " and \"") + key + '"';
    wanted += (wanted.empty() ? "" : ", or ") + names;
    given += static_cast<std::size_t>(std::count_if(set.begin(), set.end(), present));
    if (std::all_of(set.begin(), set.end(), present)) {
      ++whole;
      used = set.size();
    }
  }
  if (whole == 1 && given == used) return;
  good_ = false;
  at_.wrong(node_, std::string(given == 0 ? "says nothing" : "mixes keys") + "; expected " + wanted);
}

void KeyCheck::finish() {
  if (!kind_known_) return;
  const std::vector<std::string> known(known_.begin(), known_.end());
  for (const Node::Member& member : node_.members) {
    if (known_.contains(member.key)) continue;
    good_ = false;
    const std::string near = nearest_word(member.key, known);
    std::string list;
    for (const std::string& key : known) list += (list.empty() ? "" : ", ") + key;
    at_.step(member.key)
        .wrong(member.value,
               "is not a known key; " + (near.empty() ? "known here: " + list : "did you mean \"" + near + "\"?"));
  }
}

bool read_version(const Node& root, const std::string& key, int newest, const At& at) {
  const Node* version = root.find(key);
  if (!version) {
    at.wrong(root, "\"" + key + "\" is missing; expected " + std::to_string(newest) + ", the version of the format");
    return true;
  }
  const At here = at.step(key);
  if (version->kind != Node::Kind::number || version->number < 1 || version->number != std::floor(version->number)) {
    here.wrong(*version, "is " + shown(*version) + "; expected " + std::to_string(newest));
    return true;
  }
  if (version->number <= newest) return true;
  here.wrong(*version, "is version " + shown(*version) + "; this program reads versions up to " +
                           std::to_string(newest) + ": use a newer Baywright");
  return false;
}

}  // namespace baywright::job
