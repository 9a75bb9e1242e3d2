#include "job/job_file.hpp"

#include <algorithm>
#include <cstdlib>

#include <catch2/catch.hpp>

#include "geometry/base/atomic_file.hpp"
#include "texts.hpp"

using namespace baywright;
using test::documented_job;
using test::job_complaints;
using test::lines_of;
using test::text_of;

namespace {

job::Job read(const std::string& text) {
  auto job = job::read_job(text, "job.json");
  if (!job) {
    for (const std::string& line : lines_of(job.error())) UNSCOPED_INFO(line);
  }
  REQUIRE(job.has_value());
  return *job;
}

}  // namespace

TEST_CASE("an empty file, an empty object and the smallest job") {
  CHECK(job_complaints("").size() == 1);
  CHECK(job_complaints("{}") ==
        std::vector<std::string>{
            "job.json: / (line 1): \"baywright_job\" is missing; expected 1, the version of the format"});
  CHECK(read("{ \"baywright_job\": 1 }") == job::Job{});
}

TEST_CASE("the documented example is a job, and survives being written") {
  const job::Job first = read(documented_job());
  const std::string written = job::write_job(first);
  const job::Job second = read(written);
  CHECK(first == second);
  CHECK(job::write_job(second) == written);
  REQUIRE(first.ducts.size() == 2);
  CHECK(first.ducts[0].fittings.size() == 5);
  CHECK(first.ducts[1].to.fitting.value == "breather-in");
}

TEST_CASE("a syntax error is one error with line and column") {
  const auto lines = job_complaints("{\n  \"baywright_job\": 1,\n}\n");
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].rfind("job.json: line 3, column 1: is not JSON: ", 0) == 0);
}

TEST_CASE("a newer version is refused without looking further") {
  CHECK(job_complaints("{ \"baywright_job\": 2, \"parts\": 5 }") ==
        std::vector<std::string>{"job.json: /baywright_job (line 1): is version 2; this program reads versions up to "
                                 "1: use a newer Baywright"});
}

TEST_CASE("the schema in docs is the one the reader is described by") {
  const std::string path = std::string(BAYWRIGHT_SOURCE_DIR) + "/docs/job.schema.json";
  if (std::getenv("BAYWRIGHT_WRITE_DOCS") != nullptr) REQUIRE(write_file(path, job::job_schema()).has_value());
  CHECK(text_of("docs/job.schema.json") == job::job_schema());
}
