#pragma once

#include <string>

#include <catch2/catch.hpp>

#include "geometry/files/mesh_file.hpp"
#include "job/assemble.hpp"
#include "tests/support/box_mesh.hpp"
#include "tests/support/job_folder.hpp"

namespace baywright::test {

/// A job as somebody types it: odd spacing, lengths in inches, a route of five points of which P2 alone is free.
inline constexpr const char* kPlainJob = R"({
  "baywright_job": 1,
  "name":"Plain \"\\ job",   "note": "brackets ] } in a text, and \"route\": [",
  "parts": [ {"id": "block", "file": "block.ply", "mm_per_unit": 1, "body": "vehicle", "uncertainty_mm": 0.5},
             {"id": "wall", "file": "wall.ply", "mm_per_unit": 1, "body": "vehicle", "uncertainty_mm": 0.5} ],
  "ports": [
    {"id": "in", "center_mm": [0, 0, 0], "axis": [1, 0, 0], "bore_mm": 56, "outer_diameter_mm": 60, "body": "vehicle"},
    {"id": "out", "center_mm": [800, 400, 0], "axis": [-1, 0, 0], "bore_mm": 56, "outer_diameter_mm": 60, "body": "vehicle"}
  ],
  "ducts": [ { "id":"main", "service": "intake", "from": {"port": "in"}, "to": {"port": "out"},
      "tube": {"outer_diameter_mm": 60, "wall_mm": 2}, "bend_tolerance_mm": 1, "fitting_tolerance_mm": 1,
      "sensor": "none", "breather": "none",
      "route": [
        {"id": "P0", "at_mm": [0, 0, 0]},
        { "bend_radius_mm": "3 1/2 in", "id": "P1",
          "at_mm": [ "10 in" ,0.0,   0 ] },
        {"id": "P2", "at_mm": [400, 200, 0e0], "bend_radius_mm": 90},
        {"id": "P3", "at_mm": [550, 400, 0], "bend_radius_mm": 9.0e1},
        {"id": "P4", "at_mm": [800, 400, 0]}
      ] } ],
  "sheet": "default"
}
)";

inline void put_plain_job(const JobFolder& folder, const std::string& text = kPlainJob) {
  folder.put("job.json", text);
  REQUIRE(write_ply(folder.path / "block.ply", box_mesh({300, 300, -80}, {380, 380, 80})).has_value());
  REQUIRE(write_ply(folder.path / "wall.ply", box_mesh({-50, 460, -80}, {850, 470, 80})).has_value());
}

inline job::Installation opened(const JobFolder& folder) {
  auto installation = job::open_job(folder.path);
  if (!installation)
    for (const Error& error : installation.error()) UNSCOPED_INFO(to_line(error));
  REQUIRE(installation.has_value());
  return std::move(*installation);
}

}  // namespace baywright::test
