#include "job/job_file.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/near_word.hpp"
#include "job/job_problems.hpp"
#include "job/job_reading.hpp"
#include "job/routing_fields.hpp"

namespace baywright::job {
namespace {

constexpr const char* kJobKey = "baywright_job";
constexpr const char* kJobVersionDoc = "Version of this format.";

/// The list could not be read: what it is has been complained about, or its key is misspelt.
bool not_read(const Node& root, const std::string& list, const Problems& problems) {
  if (list.empty()) return false;
  if (problems.is_at(list)) return true;
  const std::string key = list.substr(1);
  if (root.find(key)) return false;
  return std::any_of(root.members.begin(), root.members.end(), [&](const Node::Member& member) {
    return problems.is_at(pointer_step("", member.key)) && !nearest_word(member.key, {key}).empty();
  });
}

/// A key that is not in the file, of an object that lacks one or whose kind is not known: nobody wrote what is
/// complained about.
bool nobody_wrote(const Node& root, const std::string& pointer, const Problems& problems) {
  const std::string object = pointer.substr(0, std::min(pointer.rfind('/'), pointer.size()));
  return (problems.is_at(object) || problems.is_at(object + "/kind")) && !node_at(root, pointer);
}

}  // namespace

const std::vector<std::string>& MotionNames::of() {
  static const std::vector<std::string> kNames{"none", "load cases", "ranges", "measured", "assumed", "hinge", "slide"};
  return kNames;
}

const std::vector<std::string>& EntryNames::of() {
  static const std::vector<std::string> kNames{"flush", "re-entrant", "bellmouth", "cone", "stated"};
  return kNames;
}

const std::vector<std::string>& RegionNames::of() {
  static const std::vector<std::string> kNames{"box", "sphere", "hull"};
  return kNames;
}

const std::vector<std::string>& fitting_names() {
  static const std::vector<std::string> kNames{"sensor tube", "coupler",         "reducer",           "branch port",
                                               "bracket",     "restriction tap", "flow straightener", "drain"};
  return kNames;
}

bool JobReading::touches(const std::string& pointer) const {
  return std::any_of(places.begin(), places.end(),
                     [&](const std::string& at) { return at == pointer || at.starts_with(pointer + '/'); });
}

JobReading read_as_far_as_possible(const std::string& text, const std::string& file_name) {
  JobReading out;
  const auto root = parse_json(text, file_name);
  if (!root) {
    out.errors = root.error();
    return out;
  }
  Problems problems(file_name);
  const At top{&problems, ""};
  if (root->kind != Node::Kind::object) {
    top.wrong(*root, "is " + shown(*root) + "; expected an object { ... }");
  } else if (read_version(*root, kJobKey, kJobVersion, top)) {
    out.examined = true;
    KeyCheck keys(*root, top);
    keys.take(kJobKey);
    ObjectReader<Job> reader(keys, out.job);
    describe(reader, Of<Job>());
    keys.finish();
    std::vector<JobProblem> found = problems_of(out.job);
    // What follows from a field that could not be read is not worth a second line.
    std::erase_if(found, [&](const JobProblem& problem) {
      return problems.touches(problem.pointer) || not_read(*root, problem.list, problems) ||
             nobody_wrote(*root, problem.pointer, problems);
    });
    for (const JobProblem& problem : found) {
      problems.add(problem.pointer, line_of(*root, problem.pointer), problem.message);
    }
  }
  out.places = problems.places();
  out.errors = problems.take();
  return out;
}

ResultAll<Job> read_job(const std::string& text, const std::string& file_name) {
  JobReading reading = read_as_far_as_possible(text, file_name);
  if (!reading.errors.empty()) return tl::unexpected(std::move(reading.errors));
  return std::move(reading.job);
}

std::string write_job(const Job& job) {
  Node root = Node::object();
  root.put(kJobKey, Node::of(kJobVersion));
  ObjectWriter<Job> writer(root, job);
  describe(writer, Of<Job>());
  return to_json(root);
}

std::string job_schema() {
  ObjectShape shape;
  Node version = Node::object();
  version.put("description", Node::of(kJobVersionDoc));
  version.put("const", Node::of(kJobVersion));
  shape.properties.push_back({kJobKey, std::move(version)});
  shape.required.emplace_back(kJobKey);
  ObjectSchema<Job> visitor(shape);
  describe(visitor, Of<Job>());
  Node schema = Node::object();
  schema.put("$schema", Node::of("https://json-schema.org/draft/2020-12/schema"));
  schema.put("title", Node::of("Baywright job"));
  for (Node::Member& member : shape.schema().members) schema.members.push_back(std::move(member));
  return to_json(schema);
}

}  // namespace baywright::job
