#include "job/json_schema.hpp"

namespace baywright::job {
namespace {

Node text_list(const std::vector<std::string>& words) {
  Node list = Node::array();
  for (const std::string& word : words) list.items.push_back(Node::of(word));
  return list;
}

Node closed_object(const std::vector<Node::Member>& properties, const std::vector<std::string>& required) {
  Node node = Node::object();
  node.put("type", Node::of("object"));
  node.put("properties", Node::object(properties));
  if (!required.empty()) node.put("required", text_list(required));
  node.put("additionalProperties", Node::of(false));
  return node;
}

}  // namespace

Node ObjectShape::schema() const {
  if (kinds.empty()) {
    Node node = closed_object(properties, required);
    if (sets.empty()) return node;
    Node choices = Node::array();
    Node together = Node::object();
    for (const auto& set : sets) {
      Node choice = Node::object();
      choice.put("required", text_list(set));
      choices.items.push_back(std::move(choice));
      for (const std::string& key : set) {
        std::vector<std::string> others;
        for (const std::string& other : set) {
          if (other != key) others.push_back(other);
        }
        if (!others.empty()) together.put(key, text_list(others));
      }
    }
    node.put("oneOf", std::move(choices));
    if (!together.members.empty()) node.put("dependentRequired", std::move(together));
    return node;
  }
  Node choices = Node::array();
  for (const Kind& kind : kinds) {
    Node name = Node::object();
    name.put("description", Node::of(kind_doc));
    name.put("const", Node::of(kind.name));
    std::vector<Node::Member> all = properties;
    std::vector<std::string> needed = required;
    all.push_back({kind_key, std::move(name)});
    needed.push_back(kind_key);
    all.insert(all.end(), kind.properties.begin(), kind.properties.end());
    needed.insert(needed.end(), kind.required.begin(), kind.required.end());
    Node choice = closed_object(all, needed);
    choice.members.insert(choice.members.begin(), {"title", Node::of(kind.name)});
    choices.items.push_back(std::move(choice));
  }
  Node node = Node::object();
  node.put("oneOf", std::move(choices));
  return node;
}

}  // namespace baywright::job
