#include "job/node.hpp"

#include <cstdlib>

#include <catch2/catch.hpp>

using namespace baywright;
using namespace baywright::job;

TEST_CASE("broken text is refused with its place") {
  const auto first = [](const std::string& text) {
    const auto node = parse_json(text, "x.json");
    return node ? std::string("accepted") : to_line(node.error().front());
  };
  CHECK(first("").rfind("x.json: line 1, column 1: is not JSON", 0) == 0);
  CHECK(first("{\n \"a\": 1,,\n}").rfind("x.json: line 2, column 9: is not JSON", 0) == 0);
  CHECK(first("[1, 2").rfind("x.json: line 1, column 6: is not JSON", 0) == 0);
  const auto says = [&](const std::string& text, const std::string& what) {
    INFO(first(text));
    CHECK(first(text).find(what) != std::string::npos);
  };
  says("", "the file is empty");
  says(" \n", "the file is empty");
  says("// note\n{}", "JSON has no comments");
  says("{\n \"a\": 1, // note\n}", "JSON has no comments");
  says("{\n \"a\": 1\n \"b\": 2\n}", "a comma is missing");
  says("[1 2]", "a comma is missing");
  CHECK(first("{\"a\": \"http://\n\"}").find("comments") == std::string::npos);
  says("{\"a\": 1,\n}", "take out the comma before this }");
  says("[1, 2, ]", "take out the comma before this ]");
  says("{\"a\": 1,65}", "a decimal comma; write a point");
  says(
      "{\xE2\x80\x9C"
      "a\": 1}",
      "write straight ones");
  says(std::string("\xFF\xFE{\0}\0", 6), "save it as UTF-8");
  for (const char* cut : {"{\"a\xC3\xA9\xC3\xA9\": \xC3\xA9}", "{\"a\": \"\xC3\xA9"}) {
    for (const char c : first(cut)) CHECK(static_cast<unsigned char>(c) < 0x80);
  }
  CHECK(first("// note\n{}").rfind("x.json: line 1, column 1: is not JSON", 0) == 0);
  CHECK(first("{\"a\": 1e999}").rfind("x.json: line 1", 0) == 0);
  CHECK(first("{\"a\": \"\xFF\"}").rfind("x.json: line 1", 0) == 0);
  CHECK(first(std::string(100000, '[')).find("nesting is deeper than 64") != std::string::npos);
}

TEST_CASE("every double key is an error, with its line") {
  const auto node = parse_json("{\n  \"a\": [\n    { \"b\": 1,\n      \"b\": 2 }\n  ],\n  \"a\": 3\n}", "x.json");
  REQUIRE_FALSE(node.has_value());
  REQUIRE(node.error().size() == 2);
  CHECK(to_line(node.error()[0]) == "x.json: /a/0/b (line 4): stands twice in this object; keep one");
  CHECK(to_line(node.error()[1]) == "x.json: /a (line 6): stands twice in this object; keep one");
}

TEST_CASE("every value knows its line") {
  const auto node = parse_json("{\n\"a\":\n[\n1\n,\n2,\n3\n],\n\n\"b\": { \"c\":\n \"text\" }}", "x.json");
  REQUIRE(node.has_value());
  CHECK(node->line == 1);
  CHECK(node->find("a")->line == 2);
  CHECK(node->find("a")->items[0].line == 4);
  CHECK(node->find("a")->items[1].line == 6);
  CHECK(node->find("a")->items[2].line == 7);
  CHECK(node->find("b")->find("c")->line == 10);
  CHECK(line_of(*node, "/a/1") == 6);
  CHECK(line_of(*node, "/b/c") == 10);
  CHECK(line_of(*node, "/a/7/nothing") == 2);
  CHECK(line_of(*node, "") == 1);
  CHECK(node_at(*node, "") == &*node);
  CHECK(node_at(*node, "/a/1") == &node->find("a")->items[1]);
  CHECK(node_at(*node, "/b/c") == node->find("b")->find("c"));
  CHECK(node_at(*node, "/b/d") == nullptr);
  CHECK(node_at(*node, "/a/7/nothing") == nullptr);
}

TEST_CASE("numbers are written as short as possible and read back the same") {
  for (const double x : {0.0, -0.0, 0.1, 76.2, 1.0 / 3.0, 1e-300, 123456789.0, 6.02e23, -2.5}) {
    const std::string text = to_json(Node::of(x));
    CHECK(std::strtod(text.c_str(), nullptr) == x);
  }
  CHECK(to_json(Node::of(76.2)) == "76.2\n");
  CHECK(to_json(Node::of(-0.0)) == "0\n");
  CHECK(to_json(Node::of("a\"b\\c\n\x01")) == "\"a\\\"b\\\\c\\n\\u0001\"\n");
}
