#include "viewer/window/start_page.hpp"

#include <catch2/catch.hpp>

#include <QLabel>
#include <QPushButton>

#include "tests/support/job_folder.hpp"
#include "tests/unit/viewer/application.hpp"

using namespace baywright;
using viewer::DemoJob;
using viewer::StartPage;

namespace {

std::vector<std::string> buttons(const StartPage& page) {
  std::vector<std::string> names;
  for (const auto* button : page.findChildren<QPushButton*>()) names.push_back(button->text().toStdString());
  return names;
}

bool says(const StartPage& page, const char* text) {
  for (const auto* label : page.findChildren<QLabel*>())
    if (label->text().contains(QString::fromLatin1(text))) return true;
  return false;
}

}  // namespace

TEST_CASE("Start page: a demo that was not made is no button, but says what makes it", "[viewer]") {
  test::need_application();
  const test::JobFolder models("start_page_test", "models");
  const std::string job = R"({ "baywright_job": 1, "parts": [{ "id": "a", "file": "generated/a.step" }] })";
  for (const char* name : {"tarn40/first-try", "tarn40/fitted"}) {
    std::filesystem::create_directories(models.path / name);
    models.put(std::string(name) + "/job.json", job);
  }
  const auto found = viewer::demo_jobs(models.path);
  REQUIRE(found.size() == 2);
  CHECK(found[0].name == "tarn40/first-try");
  CHECK_FALSE(found[0].made);
  const StartPage unmade(nullptr, found);
  CHECK(buttons(unmade).size() == 1);  // open a job folder
  CHECK(says(unmade, "baywright demo --out"));

  std::filesystem::create_directories(models.path / "tarn40/fitted/generated");
  models.put("tarn40/fitted/generated/a.step", "made");
  const StartPage half(nullptr, viewer::demo_jobs(models.path));
  CHECK(buttons(half).back() == "tarn40/fitted");
  CHECK(buttons(half).size() == 2);
  CHECK(says(half, "baywright demo --out"));

  const StartPage none(nullptr, {});
  CHECK_FALSE(says(none, "Demo jobs"));
}

TEST_CASE("Start page: folders are shown without detours, long ones with both ends", "[viewer]") {
  test::need_application();
  const test::JobFolder models("start_page_test", "detour");
  std::filesystem::create_directories(models.path / "tarn40/fitted");
  models.put("tarn40/fitted/job.json", R"({ "baywright_job": 1 })");
  const auto found = viewer::demo_jobs(models.path / "tarn40" / ".." / ".." / "detour");
  REQUIRE(found.size() == 1);
  CHECK(found[0].folder == std::filesystem::canonical(models.path) / "tarn40" / "fitted");

  StartPage page(nullptr, {});
  const QString folder = "/home/" + QString("somebody/").repeated(20) + "last-job";
  page.set_recent({folder});
  const auto* button = page.findChildren<QPushButton*>().back();
  CHECK(button->text().startsWith("/home"));
  CHECK(button->text().endsWith("last-job"));
  CHECK(button->text().size() < folder.size());
}
