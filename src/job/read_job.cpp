#include "job/job_file.hpp"

#include <algorithm>
#include <cmath>

#include "job/job_fields.hpp"
#include "job/job_problems.hpp"

namespace baywright::job {
namespace {

constexpr const char* kVersionKey = "baywright_job";
constexpr const char* kVersionDoc = "Version of this format.";

}  // namespace

const std::vector<std::string>& MotionNames::of() {
  static const std::vector<std::string> kNames{"none", "load cases", "ranges", "measured", "assumed", "hinge", "slide"};
  return kNames;
}

const std::vector<std::string>& fitting_names() {
  static const std::vector<std::string> kNames{"sensor tube", "coupler",         "reducer",          "branch port",
                                               "bracket",     "restriction tap", "flow straightener"};
  return kNames;
}

ResultAll<Job> read_job(const std::string& text, const std::string& file_name) {
  const auto root = parse_json(text, file_name);
  if (!root) return tl::unexpected(root.error());
  Problems problems(file_name);
  const At top{&problems, ""};
  Job job;
  if (root->kind != Node::Kind::object) {
    top.wrong(*root, "is " + shown(*root) + "; expected an object { ... }");
  } else if (read_version(*root, kVersionKey, kJobVersion, top)) {
    KeyCheck keys(*root, top);
    keys.take(kVersionKey);
    ObjectReader<Job> reader(keys, job);
    describe(reader, Of<Job>());
    keys.finish();
    std::vector<JobProblem> found = problems_of(job);
    // What follows from a field that could not be read is not worth a second line.
    std::erase_if(found, [&](const JobProblem& problem) { return problems.touches(problem.pointer); });
    for (const JobProblem& problem : found) {
      problems.add(problem.pointer, line_of(*root, problem.pointer), problem.message);
    }
  }
  if (problems.any()) return tl::unexpected(problems.take());
  return job;
}

std::string write_job(const Job& job) {
  Node root = Node::object();
  root.put(kVersionKey, Node::of(kJobVersion));
  ObjectWriter<Job> writer(root, job);
  describe(writer, Of<Job>());
  return to_json(root);
}

std::string job_schema() {
  ObjectShape shape;
  Node version = Node::object();
  version.put("description", Node::of(kVersionDoc));
  version.put("const", Node::of(kJobVersion));
  shape.properties.push_back({kVersionKey, std::move(version)});
  shape.required.emplace_back(kVersionKey);
  ObjectSchema<Job> visitor(shape);
  describe(visitor, Of<Job>());
  Node schema = Node::object();
  schema.put("$schema", Node::of("https://json-schema.org/draft/2020-12/schema"));
  schema.put("title", Node::of("Baywright job"));
  for (Node::Member& member : shape.schema().members) schema.members.push_back(std::move(member));
  return to_json(schema);
}

}  // namespace baywright::job
