#pragma once

#include <tbb/global_control.h>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <set>
#include "geometry/base/atomic_file.hpp"
#include "geometry/files/mesh_file.hpp"
#include "geometry/files/step_file.hpp"
#include "geometry/tube_solid.hpp"
#include "job/assemble.hpp"
#include "job/job_file.hpp"
#include "job/part_loader.hpp"
#include "tests/support/box_mesh.hpp"
#include "tests/support/job_folder.hpp"
#include "texts.hpp"

namespace baywright::test::assemble {

namespace fs = std::filesystem;

/// A folder for a job of these tests.
class AssembleFolder : public test::JobFolder {
 public:
  explicit AssembleFolder(const std::string& name) : test::JobFolder("assemble_test", name) {}
};

inline void put_mesh(const AssembleFolder& folder, const std::string& name, const Vec3f& lo, const Vec3f& hi) {
  REQUIRE(write_ply(folder.path / name, test::box_mesh(lo.cast<double>(), hi.cast<double>())).has_value());
}

/// Two solid rods, "left" and "right", and a second "left".
inline void put_rods(const AssembleFolder& folder, const std::string& name) {
  const auto rod = [](double y) {
    auto solid = tube_solid({Collar{Vec3(0, y, 0), Vec3(200, y, 0), 20}}, 0);
    REQUIRE(solid.has_value());
    return *solid;
  };
  REQUIRE(write_step(
              folder.path / name,
              {{"left", Rgb{1, 0, 0}, rod(100)}, {"right", std::nullopt, rod(-100)}, {"left", std::nullopt, rod(200)}},
              "rods")
              .has_value());
}

inline std::vector<std::string> complaints(const fs::path& folder) {
  const auto opened = job::open_job(folder);
  return opened ? std::vector<std::string>{} : lines_of(opened.error());
}

inline job::Installation opened(const fs::path& folder) {
  auto installation = job::open_job(folder);
  if (!installation) {
    for (const Error& error : installation.error()) UNSCOPED_INFO(to_line(error));
  }
  REQUIRE(installation.has_value());
  return std::move(*installation);
}

inline Solid rod(double from_mm, double to_mm, double radius_mm, double wall_mm = 0) {
  auto solid = tube_solid({Collar{Vec3(from_mm, 0, 0), Vec3(to_mm, 0, 0), radius_mm}}, wall_mm);
  REQUIRE(solid.has_value());
  return *solid;
}

/// A tube of 100 mm with two lids, a bolt in the middle of it and a core in the bolt.
inline void put_housing(const AssembleFolder& folder, double lid_radius_mm) {
  REQUIRE(write_step(folder.path / "housing.step",
                     {{"core", std::nullopt, rod(95, 105, 3)},
                      {"bolt", std::nullopt, rod(80, 120, 8)},
                      {"tube", Rgb{0, 1, 0}, rod(0, 200, 50, 3)},
                      {"lid left", std::nullopt, rod(-5, 0, 50)},
                      {"lid right", std::nullopt, rod(200, 205, lid_radius_mm)}},
                     "housing")
              .has_value());
}

}  // namespace baywright::test::assemble
