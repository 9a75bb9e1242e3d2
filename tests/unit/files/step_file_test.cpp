#include "geometry/files/step_file.hpp"

#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <ctime>
#include <numbers>
#include <thread>

#include "geometry/tube_solid.hpp"
#include "tests/unit/files/data_table.hpp"

using namespace baywright;

namespace {

Solid rod(double length, double radius, const Vec3& at = Vec3::Zero()) {
  auto solid = tube_solid({Collar{at, at + Vec3(length, 0, 0), radius}}, 0);
  REQUIRE(solid);
  return *solid;
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

Error error_of(const std::filesystem::path& path) {
  const auto model = read_step(path);
  REQUIRE_FALSE(model);
  return model.error();
}

}  // namespace

TEST_CASE("what is no file, or a folder, is missing") {
  const test_data::TempFolder temp;
  CHECK(error_of(temp.path() / "none.stp").code == ErrorCode::file_missing);
  CHECK(error_of(temp.path()).code == ErrorCode::file_missing);
  CHECK(error_of(temp.put("zero.stp", "")).code == ErrorCode::file_damaged);
  CHECK(error_of(temp.put("wide.stp", std::string("\xFF\xFEI\0S\0O\0", 8))).code == ErrorCode::not_supported);
}

TEST_CASE("names, colours and shapes survive writing and reading") {
  const test_data::TempFolder temp;
  const auto path = temp.path() / "out 1.step";
  const Rgb red{0.8F, 0.1F, 0.2F};
  REQUIRE(write_step(
      path, {{"intake tube", red, rod(100, 38.1)}, {"Krümmer #2", std::nullopt, rod(20, 5, {0, 100, 0})}}, "duct"));
  const auto model = read_step(path);
  if (!model) FAIL(to_line(model.error()));
  REQUIRE(model->parts.size() == 2);
  CHECK(model->roots == 2);
  CHECK(model->parts[0].name == "intake tube");
  CHECK(model->parts[1].name == "Krümmer #2");
  REQUIRE(model->parts[0].color);
  for (std::size_t i = 0; i < 3; ++i) CHECK((*model->parts[0].color)[i] == Approx(red[i]).margin(1e-4));
  CHECK_FALSE(model->parts[1].color);
  CHECK(model->parts[0].shape.volume_mm3() == Approx(std::numbers::pi * 38.1 * 38.1 * 100).epsilon(1e-9));
  CHECK(model->parts[1].shape.bounds().lo.y() == Approx(95).margin(1e-6));
  CHECK(model->warnings.empty());
}

TEST_CASE("the same shapes give the same bytes, without clock or user") {
  const test_data::TempFolder temp;
  const std::vector<StepOut> parts{{"a", Rgb{0, 0, 1}, rod(10, 2)}, {"b", std::nullopt, rod(30, 3)}};
  REQUIRE(write_step(temp.path() / "1.stp", parts, "duct"));
  REQUIRE(write_step(temp.path() / "2.stp", parts, "duct"));
  const std::string one = test_data::slurp(temp.path() / "1.stp");
  CHECK(one == test_data::slurp(temp.path() / "2.stp"));
  std::time_t now = std::time(nullptr);
  CHECK(one.find(std::to_string(1900 + std::localtime(&now)->tm_year) + "-") == std::string::npos);
}

TEST_CASE("writing into a folder that is not there fails and leaves nothing") {
  const auto done = write_step("/nonexistent-folder/x.stp", {{"a", std::nullopt, rod(10, 2)}}, "x");
  REQUIRE_FALSE(done);
  CHECK(done.error().code == ErrorCode::not_written);
}

TEST_CASE("lengths in metres and centimetres become millimetres") {
  const test_data::TempFolder temp;
  REQUIRE(write_step(temp.path() / "mm.stp", {{"a", std::nullopt, rod(10, 2)}}, "x"));
  const std::string text = test_data::slurp(temp.path() / "mm.stp");
  struct Case {
    const char* prefix;
    double factor;
  };
  for (const Case c : {Case{"$", 1000.0}, Case{".CENTI.", 10.0}, Case{".MICRO.", 0.001}}) {
    const auto path = temp.put(
        "unit.stp", replaced(text, "SI_UNIT(.MILLI.,.METRE.)", std::string("SI_UNIT(") + c.prefix + ",.METRE.)"));
    const auto model = read_step(path);
    if (!model) FAIL(to_line(model.error()));
    CHECK(model->parts[0].shape.bounds().size().x() == Approx(10 * c.factor).epsilon(1e-6));
  }
}

TEST_CASE("colours on faces give the part the colour of most of its surface, instances count nearest") {
  const auto io1 = read_step(std::string(BAYWRIGHT_TEST_DATA) + "/step/io1-cm-214.stp");
  REQUIRE(io1);
  REQUIRE(io1->parts[0].color);
  const auto as1 = read_step(std::string(BAYWRIGHT_TEST_DATA) + "/step/as1-oc-214.stp");
  REQUIRE(as1);
  std::map<std::string, int> paths;
  for (const StepPart& part : as1->parts) {
    CHECK(part.color);
    ++paths[part.path];
  }
  CHECK(paths.size() == as1->parts.size());  // no path twice
  const auto painted = read_step(std::string(BAYWRIGHT_TEST_DATA) + "/step/red_cube_blue_cylinder.step");
  REQUIRE(painted);
  for (const StepPart& part : painted->parts) {
    REQUIRE(part.color);
    CHECK((part.name == "red_cube") == ((*part.color)[0] > (*part.color)[2]));
  }
}

TEST_CASE("a missing external file is named; the rest is kept") {
  const std::filesystem::path from = std::string(BAYWRIGHT_TEST_DATA) + "/step/s1-c5-214";
  const test_data::TempFolder temp;
  for (const char* name : {"HEAD.stp", "HEAD_BACK.stp"}) std::filesystem::copy(from / name, temp.path() / name);
  const auto model = read_step(temp.path() / "HEAD.stp");
  if (!model) FAIL(to_line(model.error()));
  CHECK(model->parts.size() == 1);
  const auto named = [](const std::string& w) { return w.find("HEAD_FRONT.stp") != std::string::npos; };
  CHECK(std::count_if(model->warnings.begin(), model->warnings.end(), named) == 1);
  std::filesystem::remove(temp.path() / "HEAD_BACK.stp");
  const Error alone = error_of(temp.path() / "HEAD.stp");
  CHECK(alone.code == ErrorCode::no_shape);
  CHECK(alone.message.find("HEAD_") != std::string::npos);
}

TEST_CASE("a damaged external file and one outside the folder are refused") {
  const std::filesystem::path from = std::string(BAYWRIGHT_TEST_DATA) + "/step/s1-c5-214";
  const test_data::TempFolder temp;
  for (const char* name : {"HEAD.stp", "HEAD_BACK.stp"}) std::filesystem::copy(from / name, temp.path() / name);
  const std::string whole = test_data::slurp(from / "HEAD_FRONT.stp");
  temp.put("HEAD_FRONT.stp", whole.substr(0, whole.size() / 2));
  CHECK(error_of(temp.path() / "HEAD.stp").where.find("HEAD_FRONT.stp") != std::string::npos);
  std::string text = test_data::slurp(from / "HEAD.stp");
  for (std::size_t at = 0; (at = text.find("'HEAD_FRONT.stp'", at)) != std::string::npos;) {
    text.replace(at, 16, "'../secret.stp'");
  }
  temp.put("HEAD.stp", text);
  const Error outside = error_of(temp.path() / "HEAD.stp");
  CHECK(outside.code == ErrorCode::file_damaged);
  CHECK(outside.message.find("../secret.stp") != std::string::npos);
}

TEST_CASE("a damaged entity is named by its number") {
  const test_data::TempFolder temp;
  const std::string text = test_data::slurp(std::string(BAYWRIGHT_TEST_DATA) + "/step/#332_file.stp");
  const std::size_t face = text.find("ADVANCED_FACE('");
  REQUIRE(face != std::string::npos);
  const std::size_t ref = text.find("(#", face);
  std::string broken = text;
  broken.replace(ref, 2, "(#9");
  const Error error = error_of(temp.put("broken.stp", broken));
  CHECK(error.code == ErrorCode::file_damaged);
  CHECK(error.where.find(": #") != std::string::npos);
}

TEST_CASE("reading is cancelled and says so") {
  Progress progress;
  progress.cancel();
  const auto model = read_step(std::string(BAYWRIGHT_TEST_DATA) + "/step/as1-oc-214.stp", progress);
  REQUIRE_FALSE(model);
  CHECK(model.error().code == ErrorCode::cancelled);
}

TEST_CASE("several threads may read at once, and nothing is printed") {
  const test_data::TempFolder temp;
  const auto log = temp.path() / "printed";
  std::fflush(stdout);
  const int keep_out = ::dup(1);
  const int keep_err = ::dup(2);
  REQUIRE(std::freopen(log.c_str(), "w", stdout) != nullptr);
  ::dup2(1, 2);
  std::vector<int> faces(3);
  std::vector<std::thread> threads;
  for (int& n : faces) {
    threads.emplace_back([&n] {
      const auto model = read_step(std::string(BAYWRIGHT_TEST_DATA) + "/step/as1-oc-214.stp");
      n = model ? model->face_count() : -1;
    });
  }
  for (std::thread& t : threads) t.join();
  static_cast<void>(read_step(std::string(BAYWRIGHT_TEST_DATA) + "/malformed/dodgy_Ad014.stp"));
  std::fflush(stdout);
  ::dup2(keep_out, 1);
  ::dup2(keep_err, 2);
  ::close(keep_out);
  ::close(keep_err);
  CHECK(faces == std::vector<int>(3, 160));
  CHECK(test_data::slurp(log).empty());
}
