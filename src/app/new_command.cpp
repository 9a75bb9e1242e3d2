#include "app/new_command.hpp"

#include <filesystem>

#include "app/console.hpp"
#include "app/start_job.hpp"
#include "geometry/base/atomic_file.hpp"
#include "geometry/files/mesh_file.hpp"
#include "geometry/files/step_file.hpp"
#include "geometry/tube_solid.hpp"
#include "job/job_file.hpp"

namespace baywright::app {
namespace {

namespace fs = std::filesystem;

constexpr const char* kReadMe =
    "A job of Baywright to start from. It can be checked as it stands: nothing in it fails, but what only you\n"
    "can know of your vehicle is not checked, and the check ends with exit code 3. Such findings say what they "
    "want.\n\n"
    "| file | what it is | put here |\n"
    "|---|---|---|\n"
    "| job.json | the job: bodies, parts, ports, ducts, air | your own figures; every key stands in docs/job-file.md "
    "|\n"
    "| sheet.json | the requirements, here the default ones | the engine supplier's limits (docs/sheet-file.md) |\n"
    "| frame.stl | a plate that stands for the scan of the bay | your scan |\n"
    "| engine.step | a cylinder that stands for the engine | your models |\n\n"
    "Frame of the vehicle: x forward, y left, z up, every point as it is at rest. Lengths in job.json are millimetres, "
    "or\n"
    "text with a unit: \"3 1/2 in\". What a model file holds, and how a part names it: baywright shapes FILE.\n";

/// A plate 100 mm high under the engine, closed, facets outward.
TriMesh frame_mesh() {
  const Vec3f lo(-600, -600, -150), hi(400, 600, -50);
  TriMesh mesh;
  for (int i = 0; i < 8; ++i) {
    mesh.vertices.emplace_back((i & 1) ? hi.x() : lo.x(), (i & 2) ? hi.y() : lo.y(), (i & 4) ? hi.z() : lo.z());
  }
  mesh.triangles = {{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4},
                    {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}};
  return mesh;
}

Result<void> write_engine(const fs::path& path) {
  auto solid = tube_solid({Collar{Vec3(-400, 0, 150), Vec3(-20, 0, 150), 150}}, 0);
  if (!solid) return tl::unexpected(solid.error());
  return write_step(path, {{"engine block", std::nullopt, *std::move(solid)}}, "engine");
}

Result<void> write_job_file(const fs::path& path, bool inches) {
  auto job = job::read_job(start_job_text(), "job.json");
  if (!job) return tl::unexpected(job.error().front());
  if (inches) job->units = {LengthUnit::inch, PressureUnit::inH2O, TemperatureUnit::fahrenheit};
  return write_file(path, job::write_job(*job));
}

}  // namespace

int run_new(const NewOptions& options, const std::string& program) {
  const fs::path folder = options.folder;
  std::error_code code;
  for (const char* name : {"job.json", "sheet.json", "frame.stl", "engine.step", "README.md"}) {
    if (!fs::exists(fs::symlink_status(folder / name, code))) continue;
    return report_failure({{ErrorCode::not_written, (folder / name).string(),
                            "is there already and is not written over; name another folder"}});
  }
  fs::create_directories(folder, code);
  if (code)
    return report_failure({{ErrorCode::not_written, folder.string(), "cannot make this folder: " + code.message()}});
  // The job comes last: a folder with a job in it is complete.
  for (const Result<void>& written :
       {write_stl(folder / "frame.stl", frame_mesh()), write_engine(folder / "engine.step"),
        write_file(folder / "sheet.json", job::default_sheet_text()), write_file(folder / "README.md", kReadMe),
        write_job_file(folder / "job.json", options.inches)}) {
    if (!written) return report_failure({written.error()});
  }
  print("A job to start from is in " + folder.string() + ". Next:\n  check   " + program + " check " + folder.string() +
        " --out " + (folder / "results").string() +
        "\n          (exit code 3: nothing fails, and what only you can state is not checked)\n  look    " +
        (folder / "results" / "report.html").string() + "\n  change  " + (folder / "job.json").string() +
        "\n  models  " + program + " shapes " + (folder / "engine.step").string() + "\n");
  return 0;
}

}  // namespace baywright::app
