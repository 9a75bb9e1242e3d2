#include "geometry/base/near_word.hpp"

#include <catch2/catch.hpp>

using namespace baywright;

TEST_CASE("a slip of the pen finds its word") {
  const std::vector<std::string> known{"bore_mm", "bend_radius_mm", "body", "name"};
  CHECK(nearest_word("boddy", known) == "body");
  CHECK(nearest_word("bend_radius", known) == "bend_radius_mm");
  CHECK(nearest_word("bore", known) == "bore_mm");
  CHECK(nearest_word("temperature", known).empty());
  CHECK(nearest_word("", known).empty());
  CHECK(nearest_word("Body", known) == "body");
  CHECK(nearest_word("BORE_MM", known) == "bore_mm");
  CHECK(edit_distance("kitten", "sitting") == 3);  // the usual textbook pair
}

TEST_CASE("few letters are soon changed into others: no word is offered for another one") {
  const std::vector<std::string> answers{"yes", "no"};
  for (const char* word : {"Ja", "ja", "si", "on", "nej", "nein", "oui", "x", "n/a"}) {
    CAPTURE(word);
    CHECK(nearest_word(word, answers).empty());
  }
  CHECK(nearest_word("No", answers) == "no");
  CHECK(nearest_word("NO", answers) == "no");
  CHECK(nearest_word("YES", answers) == "yes");
  CHECK(nearest_word("nno", answers) == "no");
  CHECK(nearest_word("yse", answers) == "yes");  // two letters that changed places are one slip
  CHECK(nearest_word("ye", answers) == "yes");
  CHECK(nearest_word("bx", {"box"}) == "box");
  CHECK(nearest_word("od", {"od_mm"}) == "od_mm");
}
