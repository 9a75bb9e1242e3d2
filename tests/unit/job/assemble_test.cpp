#include "job/assemble.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <set>

#include <tbb/global_control.h>
#include <catch2/catch.hpp>

#include "geometry/base/atomic_file.hpp"
#include "geometry/files/mesh_file.hpp"
#include "geometry/files/step_file.hpp"
#include "geometry/tube_solid.hpp"
#include "job/job_file.hpp"
#include "job/part_loader.hpp"
#include "tests/support/box_mesh.hpp"
#include "tests/support/job_folder.hpp"

using namespace baywright;
namespace fs = std::filesystem;

namespace {

class JobFolder : public test::JobFolder {
 public:
  explicit JobFolder(const std::string& name) : test::JobFolder("assemble_test", name) {}
};

void put_mesh(const JobFolder& folder, const std::string& name, const Vec3f& lo, const Vec3f& hi) {
  REQUIRE(write_ply(folder.path / name, test::box_mesh(lo.cast<double>(), hi.cast<double>())).has_value());
}

/// Two solid rods, "left" and "right", and a second "left".
void put_rods(const JobFolder& folder, const std::string& name) {
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

std::vector<std::string> complaints(const fs::path& folder) {
  const auto opened = job::open_job(folder);
  std::vector<std::string> lines;
  if (!opened) {
    for (const Error& error : opened.error()) lines.push_back(to_line(error));
  }
  return lines;
}

job::Installation opened(const fs::path& folder) {
  auto installation = job::open_job(folder);
  if (!installation) {
    for (const Error& error : installation.error()) UNSCOPED_INFO(to_line(error));
  }
  REQUIRE(installation.has_value());
  return std::move(*installation);
}

bool has(const std::vector<std::string>& lines, const std::string& piece) {
  return std::any_of(lines.begin(), lines.end(),
                     [&](const std::string& line) { return line.find(piece) != std::string::npos; });
}

}  // namespace

TEST_CASE("no folder, no file, an empty bay") {
  const JobFolder folder("empty");
  CHECK(complaints(folder.path / "nowhere").size() == 1);
  CHECK(complaints(folder.path).size() == 1);
  folder.put("job.json", "{ \"baywright_job\": 1 }");
  const auto installation = opened(folder.path);
  REQUIRE(installation.bay.bodies.size() == 1);
  CHECK(installation.bay.bodies[0].id == bay::kVehicle);
  REQUIRE(installation.bay.attitudes.size() == 1);
  CHECK(installation.bay.attitudes[0].name == "level");
  CHECK(installation.sheet.limits.empty());
  REQUIRE(installation.files.size() == 1);
  CHECK(installation.files[0].sha256 == sha256_hex("{ \"baywright_job\": 1 }"));
  CHECK(opened(folder.path / "job.json").files[0].path == "job.json");
}

TEST_CASE("a job of a scan alone") {
  const JobFolder folder("scan");
  put_mesh(folder, "bay.ply", Vec3f(-500, -400, 0), Vec3f(300, 400, 600));
  folder.put("job.json", R"({ "baywright_job": 1, "sheet": "default",
    "attitudes": [{ "name": "climbing", "nose_up_deg": 10 }],
    "bodies": [{ "id": "engine", "motion": { "kind": "assumed", "roll_axis": { "point_mm": [0, 0, 90], "direction": [1, 0, 0] } } }],
    "parts": [{ "id": "bay", "file": "bay.ply", "mm_per_unit": 1, "body": "engine", "class": "structure", "uncertainty_mm": 0.8 }] })");
  const auto installation = opened(folder.path);
  REQUIRE(installation.bay.parts.size() == 1);
  const bay::Part& part = installation.bay.parts[0];
  CHECK(part.mesh->triangles.size() == 12);
  CHECK(part.tree.triangle_count() == 12);
  CHECK(part.body == 1);
  CHECK(part.encloses);
  CHECK(part.uncertainty_mm == 0.8);
  CHECK(part.content_hash.size() == 64);
  CHECK(installation.bay.bodies[1].motion_assumed);
  CHECK(installation.bay.attitudes.size() == 2);
  CHECK(installation.sheet.limits.contains("sn.up"));
  CHECK(has(installation.warnings, "motion is assumed"));
}

TEST_CASE("whether a mesh is a scan: as the job says, else as it looks") {
  const JobFolder folder("scanned");
  put_mesh(folder, "box.ply", Vec3f(-500, -400, 0), Vec3f(300, 400, 600));
  // The same box, its corners off by some hundredths: closed, and no two facets in one plane. One with a side open.
  TriMesh rough = test::box_mesh(Vec3(-500, -400, 0), Vec3(300, 400, 600)), open = rough;
  for (std::size_t i = 0; i < rough.vertices.size(); ++i) {
    const auto bit = [&](std::size_t k) { return 0.5F * static_cast<float>((i * (k + 3)) % 7) / 7.0F; };
    rough.vertices[i] += Vec3f(bit(0), bit(1), bit(2));
  }
  open.triangles.pop_back();
  REQUIRE(write_ply(folder.path / "rough.ply", rough).has_value());
  REQUIRE(write_ply(folder.path / "open.ply", open).has_value());
  const auto scanned = [&](const std::string& file, const std::string& more) {
    folder.put("job.json", R"({ "baywright_job": 1, "parts": [{ "id": "box", "file": ")" + file +
                               R"(", "mm_per_unit": 1, "uncertainty_mm": 1)" + more + " }] }");
    const auto installation = opened(folder.path);
    const bool told = has(installation.warnings, "box: closed and with flat faces, so taken to be made of a model");
    CHECK(told == (file == "box.ply" && more.empty()));
    return installation.bay.parts[0].scanned();
  };
  CHECK_FALSE(scanned("box.ply", ""));
  CHECK(scanned("box.ply", R"(, "scanned": true)"));
  CHECK_FALSE(scanned("box.ply", R"(, "scanned": false)"));
  CHECK(scanned("rough.ply", ""));
  CHECK_FALSE(scanned("rough.ply", R"(, "scanned": false)"));
  CHECK(scanned("open.ply", ""));
}

TEST_CASE("\"scanned\" is for meshes") {
  const JobFolder folder("scanned_wrongly");
  folder.put("points.xyz", "0 0 0\n1000 0 0\n0 1000 0\n0 0 1000\n");
  folder.put("job.json", R"({ "baywright_job": 1,
    "parts": [{ "id": "p", "file": "points.xyz", "mm_per_unit": 1, "scanned": false }] })");
  const auto refused = job::open_job(folder.path);
  REQUIRE_FALSE(refused);
  CHECK(to_line(refused.error().front()).find("points are always a scan") != std::string::npos);
  folder.put("job.json", R"({ "baywright_job": 1,
    "parts": [{ "id": "p", "file": "points.xyz", "mm_per_unit": 1, "scanned": true }] })");
  CHECK(job::open_job(folder.path).has_value());
}

TEST_CASE("a mesh that looks inward encloses nothing") {
  const JobFolder folder("inward");
  TriMesh room = test::box_mesh(Vec3f(-500, -400, 0).cast<double>(), Vec3f(300, 400, 600).cast<double>());
  for (auto& t : room.triangles) std::swap(t[0], t[1]);
  REQUIRE(write_ply(folder.path / "room.ply", room).has_value());
  folder.put("job.json", R"({ "baywright_job": 1, "parts": [{ "id": "bay", "file": "room.ply", "mm_per_unit": 1 }] })");
  const auto installation = opened(folder.path);
  CHECK_FALSE(installation.bay.parts[0].encloses);
  CHECK(has(installation.warnings, "uncertainty_mm of part bay is not stated"));
}

TEST_CASE("placement turns and shifts, and units scale") {
  const JobFolder folder("placement");
  put_mesh(folder, "box.ply", Vec3f(0, 0, 0), Vec3f(10, 20, 40));
  folder.put(
      "job.json",
      R"({ "baywright_job": 1, "parts": [{ "id": "box", "file": "box.ply", "mm_per_unit": "1 cm", "uncertainty_mm": 1,
    "placement": { "roll_deg": 90, "yaw_deg": 90, "shift_mm": [1000, 0, 0] } }] })");
  const auto installation = opened(folder.path);
  // (x, y, z) -> roll 90: (x, -z, y) -> yaw 90: (z, x, y) -> shift; box 100 x 200 x 400 mm
  const Aabb box = bounds(*installation.bay.parts[0].mesh);
  CHECK((box.lo - Vec3(1000, 0, 0)).norm() < 1e-3);
  CHECK((box.hi - Vec3(1400, 100, 200)).norm() < 1e-3);
}

TEST_CASE("shapes of a STEP file are selected by name or path, and the file is read once") {
  const JobFolder folder("step");
  put_rods(folder, "rods.step");
  folder.put("job.json", R"({ "baywright_job": 1, "parts": [
    { "id": "right", "file": "rods.step", "select": ["right"] },
    { "id": "lefts", "file": "rods.step", "select": ["left"], "chord_error_mm": 0.5 },
    { "id": "all", "file": "rods.step", "placement": { "shift_mm": [0, 0, 50] } } ] })");
  const auto installation = opened(folder.path);
  REQUIRE(installation.bay.parts.size() == 3);
  CHECK(installation.files.size() == 2);
  const auto& right = installation.bay.parts[0];
  REQUIRE(right.solid.has_value());
  CHECK(right.encloses);
  CHECK(right.chord_error_mm() > 0);
  CHECK(right.chord_error_mm() <= 0.1);
  CHECK(right.solid->volume_mm3() == Approx(3.14159265358979 * 20 * 20 * 200).epsilon(1e-6));
  const auto& lefts = installation.bay.parts[1];
  CHECK_FALSE(lefts.solid.has_value());
  CHECK(lefts.color == Rgb{1, 0, 0});
  CHECK(bounds(*lefts.mesh).hi.y() == Approx(220).margin(0.6));
  CHECK(bounds(*installation.bay.parts[2].mesh).lo.z() == Approx(30).margin(0.2));
}

TEST_CASE("a cloud becomes balls of half its spacing") {
  const JobFolder folder("cloud");
  std::string points;
  for (int i = 0; i < 30; ++i) {
    for (int k = 0; k < 30; ++k) points += std::to_string(i * 10) + " " + std::to_string(k * 10) + " 100\n";
  }
  folder.put("wall.xyz", points);
  folder.put(
      "job.json",
      R"({ "baywright_job": 1, "parts": [{ "id": "wall", "file": "wall.xyz", "mm_per_unit": 1, "uncertainty_mm": 2 }] })");
  const auto installation = opened(folder.path);
  const bay::Part& part = installation.bay.parts[0];
  REQUIRE(part.cloud);
  CHECK_FALSE(part.mesh);
  CHECK_FALSE(part.encloses);
  CHECK(part.tree.triangle_count() == 900);
  // An even sheet of pitch 10 mm: its eight nearest neighbours lie within 14.1 mm, so k / pi gives 8.9 mm; half of it.
  CHECK(part.tree.corners(15 * 30 + 15).radius_mm ==
        Approx(0.5 * 10 * std::sqrt(2.0) / std::sqrt(8 / 3.14159265)).epsilon(0.01));
}

TEST_CASE("every error of a job and its files is reported at once, with lines") {
  const JobFolder folder("broken");
  put_mesh(folder, "bay.ply", Vec3f(0, 0, 0), Vec3f(300, 300, 300));
  put_rods(folder, "rods.step");
  folder.put("torn.step", "ISO-10303-21;\nHEADER;\n");
  folder.put("sheet.json", "{ \"baywright_sheet\": 1 }");
  folder.put("job.json", R"({
  "baywright_job": 1,
  "bodies": [{ "id": "lid", "motion": { "kind": "slide", "direction": [1, 0, 0], "from_mm": 1, "to_mm": 2 } }],
  "parts": [
    { "id": "a", "file": "bai.ply", "mm_per_unit": 1 },
    { "id": "b", "file": "bay.ply" },
    { "id": "c", "file": "../bay.ply", "mm_per_unit": 1 },
    { "id": "d", "file": "/etc/passwd", "mm_per_unit": 1 },
    { "id": "e", "file": "torn.step" },
    { "id": "f", "file": "rods.step", "select": ["lef", "right", "roof"] },
    { "id": "g", "file": "rods.step", "mm_per_unit": 25.4 },
    { "id": "h", "file": "bay.ply", "mm_per_unit": 1, "select": ["x"] }
  ],
  "sheet": "sheet.json"
})");
  const auto lines = complaints(folder.path);
  for (const std::string& line : lines) UNSCOPED_INFO(line);
  CHECK(has(lines, "job.json: /bodies/0/motion (line 3): slide: runs from 1.0 to 2.0; it must contain 0"));
  CHECK(has(lines, "job.json: /parts/0/file (line 5): \"bai.ply\" is not there; did you mean \"bay.ply\"?"));
  CHECK(has(lines, "job.json: /parts/1/mm_per_unit (line 6): \"bay.ply\" does not state its unit; give mm_per_unit"));
  CHECK(has(lines, "job.json: /parts/2/file (line 7): \"../bay.ply\" leads out of the job folder"));
  CHECK(has(lines, "job.json: /parts/3/file (line 8): \"/etc/passwd\" is an absolute path"));
  CHECK(has(lines, "torn.step: "));
  CHECK(has(
      lines,
      "job.json: /parts/5/select/0 (line 10): \"rods.step\" has no shape \"lef\"; did you mean \"left\"?; it has: "));
  CHECK(has(lines, "job.json: /parts/5/select/2 (line 10): \"rods.step\" has no shape \"roof\""));
  CHECK(has(lines, "job.json: /parts/6/mm_per_unit (line 11): is given for a STEP file"));
  CHECK(has(lines, "job.json: /parts/7/select (line 12): only shapes in STEP files have names"));
  CHECK(has(lines, "sheet.json: / (line 1): \"name\" is missing"));
  CHECK(lines.size() == 11);
}

TEST_CASE("a file that two parts are made of is complained about once, by its own name") {
  const JobFolder folder("torn");
  fs::create_directories(folder.path / "bought");
  folder.put("bought/torn.step", "ISO-10303-21;\nHEADER;\n");
  folder.put("bought/torn.ply", "ply\nformat ascii 1.0\nelement vertex 3\n");
  folder.put("job.json", R"({ "baywright_job": 1, "parts": [
    { "id": "a", "file": "bought/torn.step" },
    { "id": "b", "file": "bought/torn.step", "class": "hot" },
    { "id": "c", "file": "bought/torn.ply", "mm_per_unit": 1 } ] })");
  const auto lines = complaints(folder.path);
  for (const std::string& line : lines) UNSCOPED_INFO(line);
  REQUIRE(lines.size() == 2);
  CHECK(has(lines, "bought/torn.step: "));
  CHECK(has(lines, "bought/torn.ply: "));
  CHECK_FALSE(has(lines, "job.json"));
}

TEST_CASE("files from elsewhere need the user's leave, not the job's") {
  const JobFolder outside("outside");
  put_mesh(outside, "bay.ply", Vec3f(0, 0, 0), Vec3f(300, 300, 300));
  outside.put("sheet.json", job::default_sheet_text());
  const JobFolder folder("leave");
  const std::string there = (outside.path / "bay.ply").string();
  const std::string wish = "\"outside_files\": [\"" + there + "\", \"../outside/sheet.json\"], ";
  const std::string rest = "\"sheet\": \"../outside/sheet.json\", \"parts\": [{ \"id\": \"bay\", \"file\": \"" + there +
                           "\", \"mm_per_unit\": 1, \"uncertainty_mm\": 1 }] }";
  folder.put("job.json", "{ \"baywright_job\": 1,\n" + wish + rest);
  // One line for all that was wished for, with what to type.
  const auto lines = complaints(folder.path);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0] ==
        "job.json: /outside_files (line 2): the job wants to read 2 files outside its folder; if you trust "
        "it, say so with --allow-dir " +
            outside.path.string());
  const job::ReadOptions leave{.allowed_folders = {outside.path}};
  const auto allowed = job::open_job(folder.path, {}, leave);
  REQUIRE(allowed.has_value());
  CHECK(has(allowed->warnings, "reads 2 files outside its folder, as --allow-dir permits"));
  const auto listed = [&](const auto& file) { return file.path == there; };
  CHECK(std::count_if(allowed->files.begin(), allowed->files.end(), listed) == 1);

  // Leave alone is enough; without wish and leave each place is complained of.
  folder.put("job.json", "{ \"baywright_job\": 1,\n" + rest);
  CHECK(job::open_job(folder.path, {}, leave).has_value());
  const auto each = complaints(folder.path);
  CHECK(each.size() == 2);
  CHECK(has(each, "/parts/0/file (line 2): \"" + there + "\" is an absolute path"));
  CHECK(has(each, "/sheet (line 2): \"../outside/sheet.json\" leads out of the job folder"));

  // Leave for a folder that is not there is a slip of the pen.
  const auto absent = job::open_job(folder.path, {}, {.allowed_folders = {outside.path / "absent"}});
  REQUIRE_FALSE(absent.has_value());
  CHECK(to_line(absent.error().front()).find("there is no such folder") != std::string::npos);
}

TEST_CASE("a model in several files: all are found, listed and hashed, and obey the rule of paths") {
  const fs::path model = fs::path(BAYWRIGHT_TEST_DATA) / "step" / "s1-c5-214";
  const JobFolder outside("model-outside");
  const JobFolder folder("model");
  for (const char* name : {"HEAD.stp", "HEAD_BACK.stp", "HEAD_FRONT.stp"}) {
    fs::create_directories(folder.path / "bought");
    fs::copy_file(model / name, folder.path / "bought" / name);
  }
  folder.put("job.json", R"({ "baywright_job": 1, "parts": [{ "id": "head", "file": "bought/HEAD.stp" }] })");
  const auto first = opened(folder.path);
  std::set<std::string> names;
  for (const auto& file : first.files) {
    names.insert(file.path);
    const auto bytes = read_file(folder.path / file.path);
    REQUIRE(bytes.has_value());
    CHECK(file.sha256 == sha256_hex(*bytes));
  }
  CHECK(names == std::set<std::string>{"job.json", "bought/HEAD.stp", "bought/HEAD_BACK.stp", "bought/HEAD_FRONT.stp"});

  // Nothing changed: taken over. One of the files beside it changed: read again.
  const auto same = job::assemble(first.job, folder.path, {}, &first);
  REQUIRE(same.has_value());
  CHECK(same->bay.parts[0].mesh == first.bay.parts[0].mesh);
  CHECK(same->files.size() == 3);
  const auto text = read_file(folder.path / "bought" / "HEAD_BACK.stp");
  folder.put("bought/HEAD_BACK.stp", *text + "\n");
  const auto changed = job::assemble(first.job, folder.path, {}, &first);
  REQUIRE(changed.has_value());
  CHECK(changed->bay.parts[0].mesh != first.bay.parts[0].mesh);
  CHECK(changed->bay.parts[0].content_hash != first.bay.parts[0].content_hash);

  // A missing one is named, and noticed when it comes.
  fs::remove(folder.path / "bought" / "HEAD_BACK.stp");
  const auto without = opened(folder.path);
  CHECK(has(without.warnings, "HEAD_BACK.stp"));
  CHECK(without.bay.parts[0].incomplete.find("HEAD_BACK.stp") != std::string::npos);
  CHECK(without.bay.parts[0].doubted());
  CHECK(without.files.size() == 3);
  folder.put("bought/HEAD_BACK.stp", *text);
  const auto complete = job::assemble(first.job, folder.path, {}, &without);
  REQUIRE(complete.has_value());
  CHECK(complete->bay.parts[0].content_hash == first.bay.parts[0].content_hash);
  CHECK(complete->bay.parts[0].incomplete.empty());
  CHECK(complete->bay.parts[0].mesh->triangles.size() == first.bay.parts[0].mesh->triangles.size());

  // A link out of the job folder is a way out like any other.
  outside.put("HEAD_BACK.stp", *text);
  fs::remove(folder.path / "bought" / "HEAD_BACK.stp");
  fs::create_symlink(outside.path / "HEAD_BACK.stp", folder.path / "bought" / "HEAD_BACK.stp");
  const auto lines = complaints(folder.path);
  REQUIRE(lines.size() == 1);
  CHECK(has(lines, "\"HEAD.stp\" refers to \"HEAD_BACK.stp\", which is a link that leads out of the job folder"));
  CHECK(has(lines, "--allow-dir " + fs::canonical(outside.path).string()));
  const auto allowed = job::open_job(folder.path, {}, {.allowed_folders = {outside.path}});
  REQUIRE(allowed.has_value());
  CHECK(has(allowed->warnings, "reads 1 file outside its folder"));
}

TEST_CASE("a size that makes no sense is doubted with the likely unit") {
  const JobFolder folder("metres");
  put_mesh(folder, "bay.ply", Vec3f(0, 0, 0), Vec3f(1.2F, 0.9F, 0.7F));
  folder.put(
      "job.json",
      R"({ "baywright_job": 1, "parts": [{ "id": "bay", "file": "bay.ply", "mm_per_unit": 1, "uncertainty_mm": 1 }] })");
  const auto installation = opened(folder.path);
  REQUIRE(installation.warnings.size() >= 1);
  // 1.2 mm are 0.0472 in, 1.2 m are 47.2 in.
  CHECK(has(
      installation.warnings,
      "bay.ply: largest side is 1.2 mm (0.0472 in), which is too small for a vehicle bay; \"mm_per_unit\": 1000 (m) "
      "makes it 1200 mm (47.2 in); if it is right, say \"size_confirmed\": true"));

  put_mesh(folder, "bay.ply", Vec3f(0, 0, 0), Vec3f(1.2e6F, 0.9e6F, 0.7e6F));
  folder.put("job.json", R"({ "baywright_job": 1,
    "parts": [{ "id": "bay", "file": "bay.ply", "mm_per_unit": 1000, "uncertainty_mm": 1 }] })");
  // Twelve hundred million millimetres are 1 200 000 m or 3 937 008 ft.
  CHECK(has(opened(folder.path).warnings, "largest side is 1200000 m (3940000 ft), which is too large"));
}

TEST_CASE("a bore that hardly fits its outer diameter is questioned, an inch for a millimetre refused") {
  const JobFolder folder("bores");
  const auto job_with = [&](const std::string& bore, const std::string& outer) {
    folder.put("job.json", R"({ "baywright_job": 1, "ports": [{ "id": "p", "center_mm": [0, 0, 0], "axis": [1, 0, 0],
      "bore_mm": )" + bore + R"(, "outer_diameter_mm": )" +
                               outer + " }] }");
    return folder.path;
  };
  CHECK(
      has(complaints(job_with("2.87", "76.2")),
          "job.json: /ports/0/bore_mm (line 2): is 2.87 mm in an outer diameter of 76.2 mm; if inches are meant, write "
          "\"2.87 in\""));
  CHECK(has(complaints(job_with("0.073", "76.2")), "if metres are meant, write \"0.073 m\""));
  CHECK(has(complaints(job_with("72.9", "3")), "if inches are meant, write \"3 in\" there"));
  CHECK(has(complaints(job_with("80", "76.2")), "is not smaller than outer_diameter_mm"));
  // A wall of 30 mm round a bore of 16.2 mm can be, one of 20 round 36.2 is a thick one.
  CHECK(has(opened(job_with("16.2", "76.2")).warnings,
            "port p: a bore of 16.2 mm in an outer diameter of 76.2 mm leaves a wall of 30.0 mm"));
  CHECK_FALSE(has(opened(job_with("36.2", "76.2")).warnings, "port p"));
}

TEST_CASE("ports are compared with the part they belong to") {
  const JobFolder folder("ports");
  put_mesh(folder, "box.ply", Vec3f(0, 0, 0), Vec3f(300, 300, 300));
  folder.put("job.json", R"({ "baywright_job": 1,
    "bodies": [{ "id": "engine" }],
    "parts": [{ "id": "box", "file": "box.ply", "mm_per_unit": 1, "uncertainty_mm": 1 }],
    "ports": [
      { "id": "near", "center_mm": [310, 150, 150], "axis": [1, 0, 0], "bore_mm": 60, "outer_diameter_mm": 64, "part": "box" },
      { "id": "far", "center_mm": [700, 150, 150], "axis": [1, 0, 0], "bore_mm": 60, "outer_diameter_mm": 64, "part": "box" }
    ] })");
  const auto installation = opened(folder.path);
  CHECK(has(installation.warnings, "port far is 400.0 mm away from its part box"));
  CHECK_FALSE(has(installation.warnings, "port near"));
}

TEST_CASE("a port that rides on another body than its part is an error") {
  const JobFolder folder("two-bodies");
  put_mesh(folder, "box.ply", Vec3f(0, 0, 0), Vec3f(300, 300, 300));
  folder.put("job.json", R"({ "baywright_job": 1,
    "bodies": [{ "id": "engine" }],
    "parts": [{ "id": "box", "file": "box.ply", "mm_per_unit": 1, "uncertainty_mm": 1, "body": "engine" }],
    "ports": [{ "id": "p", "center_mm": [310, 150, 150], "axis": [1, 0, 0], "bore_mm": 60, "outer_diameter_mm": 64,
                "part": "box" }] })");
  const auto lines = complaints(folder.path);
  REQUIRE(lines.size() == 1);
  CHECK(has(lines, "/ports/0/body"));
  CHECK(has(lines, "the port rides on vehicle, its part box on engine"));
}

TEST_CASE("hot parts of no class, second sensors and ports of two ducts are errors, each with its place") {
  const JobFolder folder("unseen");
  put_mesh(folder, "box.ply", Vec3f(0, 500, 0), Vec3f(300, 800, 300));
  const std::string sensor =
      R"("kind": "sensor tube", "length_mm": 100, "sensor_offset_mm": 50, "clock_deg": 0, "tube": { "outer_diameter_mm": 50, "wall_mm": 2 })";
  const std::string common =
      R"("service": "intake", "tube": { "outer_diameter_mm": 50, "wall_mm": 2 }, "from": { "port": "a" }, "to": { "port": "b" }, "route": [{ "id": "P0", "at_mm": [0, 0, 0] }, { "id": "P1", "at_mm": [900, 0, 0] }])";
  folder.put("job.json", R"({ "baywright_job": 1,
    "parts": [{ "id": "box", "file": "box.ply", "mm_per_unit": 1, "surface_temperature_C": 300 }],
    "ports": [{ "id": "a", "center_mm": [0, 0, 0], "axis": [1, 0, 0], "bore_mm": 46, "outer_diameter_mm": 50 },
              { "id": "b", "center_mm": [900, 0, 0], "axis": [-1, 0, 0], "bore_mm": 46, "outer_diameter_mm": 50 }],
    "ducts": [{ "id": "one", )" +
                             common + R"(, "fittings": [{ "id": "s1", "at": { "leg": "P0", "offset_mm": 100 }, )" +
                             sensor + R"( }, { "id": "s2", "at": { "leg": "P0", "offset_mm": 400 }, )" + sensor +
                             R"( }] },
              { "id": "two", )" +
                             common + R"( }] })");
  const auto lines = complaints(folder.path);
  CHECK(has(lines, "/parts/0/surface_temperature_C"));
  CHECK(has(lines, "/ducts/0/fittings/1"));
  CHECK(has(lines, "is already an end of duct \"one\""));
}

TEST_CASE("ducts that end on each other in a ring are refused; in any order otherwise") {
  const JobFolder folder("ring");
  const std::string nipple =
      R"("fittings": [{ "id": "n", "kind": "branch port", "at": { "leg": "P0", "offset_mm": 50 }, "bore_mm": 9, "outer_diameter_mm": 12, "clock_deg": 90 }])";
  const std::string common =
      R"("service": "breather", "tube": { "outer_diameter_mm": 50, "wall_mm": 2 }, "route": [{ "id": "P0", "at_mm": [0, 0, 0] }, { "id": "P1", "at_mm": [100, 0, 0] }], )" +
      nipple;
  folder.put("job.json", R"({ "baywright_job": 1,
    "ports": [{ "id": "p", "center_mm": [0, 0, 0], "axis": [1, 0, 0], "bore_mm": 46, "outer_diameter_mm": 50 },
              { "id": "q", "center_mm": [0, 0, 0], "axis": [1, 0, 0], "bore_mm": 46, "outer_diameter_mm": 50 }],
    "ducts": [
      { "id": "a", "from": { "port": "p" }, "to": { "duct": "b", "fitting": "n" }, )" +
                             common + R"( },
      { "id": "b", "from": { "port": "q" }, "to": { "duct": "a", "fitting": "n" }, )" +
                             common + R"( } ] })");
  CHECK(has(complaints(folder.path), "ends on a duct that ends on this one"));
}

TEST_CASE("what has not changed is taken from the earlier installation") {
  const JobFolder folder("again");
  put_mesh(folder, "bay.ply", Vec3f(0, 0, 0), Vec3f(3, 3, 3));  // doubted: too small for a bay
  put_mesh(folder, "box.ply", Vec3f(0, 0, 0), Vec3f(200, 300, 300));
  folder.put("job.json", R"({ "baywright_job": 1, "parts": [
    { "id": "bay", "file": "bay.ply", "mm_per_unit": 1, "uncertainty_mm": 1 },
    { "id": "box", "file": "box.ply", "mm_per_unit": 1, "uncertainty_mm": 1 },
    { "id": "moved", "file": "box.ply", "mm_per_unit": 1, "uncertainty_mm": 1 } ] })");
  const auto first = opened(folder.path);
  job::Job job = first.job;
  job.parts[0].part_class = bay::PartClass::hot;
  job.parts[2].placement.shift_mm = Vec3(5, 0, 0);
  put_mesh(folder, "box.ply", Vec3f(0, 0, 0), Vec3f(250, 300, 300));
  fs::last_write_time(folder.path / "box.ply", fs::file_time_type::clock::now() + std::chrono::seconds(5));
  const auto second = job::assemble(job, folder.path, {}, &first);
  REQUIRE(second.has_value());
  CHECK(second->bay.parts[0].mesh == first.bay.parts[0].mesh);
  CHECK(second->warnings == first.warnings);
  CHECK(second->bay.parts[0].part_class == bay::PartClass::hot);
  CHECK(second->bay.parts[1].mesh != first.bay.parts[1].mesh);
  CHECK(bounds(*second->bay.parts[1].mesh).hi.x() == Approx(250));
  CHECK(second->bay.parts[1].content_hash != first.bay.parts[1].content_hash);
  CHECK(bounds(*second->bay.parts[2].mesh).lo.x() == Approx(5));
}

TEST_CASE("reading stops when asked to") {
  const JobFolder folder("stop");
  put_mesh(folder, "bay.ply", Vec3f(0, 0, 0), Vec3f(300, 300, 300));
  folder.put("job.json", R"({ "baywright_job": 1, "parts": [{ "id": "bay", "file": "bay.ply", "mm_per_unit": 1 }] })");
  const Progress progress([](std::string_view, double) {});
  progress.cancel();
  const auto installation = job::open_job(folder.path, progress);
  REQUIRE_FALSE(installation.has_value());
  REQUIRE(installation.error().size() == 1);
  CHECK(installation.error()[0].code == ErrorCode::cancelled);
}

TEST_CASE("a part of an unlikely size or shape is doubted until the job confirms it") {
  const JobFolder folder("doubt");
  put_mesh(folder, "small.ply", Vec3f(0, 0, 0), Vec3f(3, 2, 1));
  put_mesh(folder, "bay.ply", Vec3f(-500, -400, 0), Vec3f(300, 400, 600));
  folder.put("point.xyz", "100 200 300\n");
  folder.put("line.obj", "v 0 0 0\nv 400 0 0\nv 800 0 0\nf 1 2 3\n");
  const auto part = [](const std::string& file, const std::string& more = "") {
    return R"({ "baywright_job": 1, "parts": [{ "id": "p", "file": ")" + file +
           R"(", "mm_per_unit": 1, "uncertainty_mm": 1)" + more + " }] }";
  };
  for (const char* file : {"small.ply", "point.xyz", "line.obj", "bay.ply"}) {
    folder.put("job.json", part(file));
    INFO(file << ": " << opened(folder.path).bay.parts[0].doubt);
    CHECK(opened(folder.path).bay.parts[0].doubt.empty() == (std::string(file) == "bay.ply"));
  }
  folder.put("job.json", part("small.ply", R"(, "size_confirmed": true)"));
  CHECK(opened(folder.path).bay.parts[0].doubt.empty());
}

TEST_CASE("uncertainties that are not stated are named, stated zeros are not") {
  const JobFolder folder("unstated");
  put_mesh(folder, "bay.ply", Vec3f(-500, -400, 0), Vec3f(300, 400, 600));
  folder.put("job.json", R"({ "baywright_job": 1, "parts": [{ "id": "bay", "file": "bay.ply", "mm_per_unit": 1 }] })");
  CHECK(has(opened(folder.path).warnings, "uncertainty_mm of part bay is not stated"));
  folder.put("job.json", R"({ "baywright_job": 1,
    "parts": [{ "id": "bay", "file": "bay.ply", "mm_per_unit": 1, "uncertainty_mm": 0 }] })");
  const auto zero = opened(folder.path);
  CHECK_FALSE(has(zero.warnings, "is not stated"));
  CHECK(zero.bay.parts[0].uncertainty_mm == 0.0);
  CHECK(has(zero.warnings, "the job has no duct"));
}

TEST_CASE("a part whose body is not stated is named where something moves") {
  const JobFolder folder("bodies");
  put_mesh(folder, "bay.ply", Vec3f(-500, -400, 0), Vec3f(300, 400, 600));
  const auto job = [](const std::string& motion, const std::string& body) {
    return R"({ "baywright_job": 1, "bodies": [{ "id": "engine")" + motion +
           R"( }], "parts": [{ "id": "bay", "file": "bay.ply", "mm_per_unit": 1, "uncertainty_mm": 1)" + body + " }] }";
  };
  const std::string moves = R"(, "motion": { "kind": "slide", "direction": [1, 0, 0], "to_mm": 10 })";
  folder.put("job.json", job(moves, ""));
  const auto unstated = opened(folder.path);
  CHECK(has(unstated.warnings, "no body is stated for part bay"));
  CHECK(unstated.bay.parts[0].body == 0);
  folder.put("job.json", job(moves, R"(, "body": "vehicle")"));
  CHECK_FALSE(has(opened(folder.path).warnings, "no body is stated"));
  folder.put("job.json", job("", ""));
  CHECK_FALSE(has(opened(folder.path).warnings, "no body is stated"));
}

TEST_CASE("what is read is stated in the units of the job") {
  const JobFolder folder("units");
  put_mesh(folder, "box.ply", Vec3f(0, 0, 0), Vec3f(300, 300, 300));
  folder.put("job.json", R"({ "baywright_job": 1, "units": { "length": "in" },
    "parts": [{ "id": "box", "file": "box.ply", "mm_per_unit": 1 }],
    "ports": [{ "id": "far", "center_mm": [700, 0, 0], "axis": [1, 0, 0], "bore_mm": 50, "outer_diameter_mm": 60,
                "part": "box" }] })");
  CHECK(has(opened(folder.path).warnings, "port far is 15.748 in away from its part box"));  // 400 / 25.4
}

namespace {

Solid rod(double from_mm, double to_mm, double radius_mm, double wall_mm = 0) {
  auto solid = tube_solid({Collar{Vec3(from_mm, 0, 0), Vec3(to_mm, 0, 0), radius_mm}}, wall_mm);
  REQUIRE(solid.has_value());
  return *solid;
}

/// A tube of 100 mm with two lids, a bolt in the middle of it and a core in the bolt.
void put_housing(const JobFolder& folder, double lid_radius_mm) {
  REQUIRE(write_step(folder.path / "housing.step",
                     {{"core", std::nullopt, rod(95, 105, 3)},
                      {"bolt", std::nullopt, rod(80, 120, 8)},
                      {"tube", Rgb{0, 1, 0}, rod(0, 200, 50, 3)},
                      {"lid left", std::nullopt, rod(-5, 0, 50)},
                      {"lid right", std::nullopt, rod(200, 205, lid_radius_mm)}},
                     "housing")
              .has_value());
}

}  // namespace

TEST_CASE("solids nobody sees from outside are left out where the job asks for it") {
  const JobFolder folder("hidden");
  const auto job = [](const char* more) {
    return std::string(R"({ "baywright_job": 1, "parts": [
      { "id": "housing", "file": "housing.step", "uncertainty_mm": 1)") +
           more + " } ] }";
  };
  put_housing(folder, 50);
  folder.put("job.json", job(""));
  const auto whole = opened(folder.path);
  CHECK(whole.bay.parts[0].hidden.empty());
  folder.put("job.json", job(R"(, "drop_hidden": true)"));
  const auto part = opened(folder.path).bay.parts[0];
  REQUIRE(part.hidden.size() == 2);
  CHECK(part.hidden[0].ends_with("core"));
  CHECK(part.hidden[1].ends_with("bolt"));
  CHECK(part.mesh->triangles.size() < whole.bay.parts[0].mesh->triangles.size());
  CHECK(part.encloses);
  CHECK(has(opened(folder.path).warnings, "housing: 2 solids are not seen from outside and left out: \"" +
                                              part.hidden[0] + "\", \"" + part.hidden[1] + "\""));
  // The bolt alone is not hidden: what is not in the part is not in the way.
  folder.put("job.json", job(R"(, "drop_hidden": true, "select": ["bolt"])"));
  const auto bolt = opened(folder.path).bay.parts[0];
  CHECK(bolt.hidden.empty());
  CHECK(bolt.solid.has_value());
  // A ring of 3 mm is open round one lid: the bolt is seen through it; its core is not.
  put_housing(folder, 44);
  folder.put("job.json", job(R"(, "drop_hidden": true)"));
  const auto open = opened(folder.path).bay.parts[0];
  REQUIRE(open.hidden.size() == 1);
  CHECK(open.hidden[0].ends_with("core"));
  // Kept for the next opening like the rest.
  job::ReadOptions options;
  options.cache = true;
  for (const std::size_t cached : {0U, 1U}) {
    const auto again = job::open_job(folder.path, {}, options);
    REQUIRE(again.has_value());
    CHECK(again->cached_parts == cached);
    CHECK(again->bay.parts[0].hidden == open.hidden);
    CHECK(again->bay.parts[0].mesh->triangles == open.mesh->triangles);
  }
  put_mesh(folder, "bay.ply", Vec3f(0, 0, 0), Vec3f(300, 300, 300));
  folder.put("job.json", R"({ "baywright_job": 1, "parts": [
    { "id": "bay", "file": "bay.ply", "mm_per_unit": 1, "drop_hidden": true } ] })");
  CHECK(has(complaints(folder.path), "/parts/0/drop_hidden (line 2): only STEP files have solids"));
}

TEST_CASE("an installation is the same for any number of threads, complaints too") {
  const JobFolder folder("threads");
  put_rods(folder, "rods.step");
  put_housing(folder, 50);
  put_mesh(folder, "bay.ply", Vec3f(-500, -400, 0), Vec3f(300, 400, 600));
  put_mesh(folder, "small.ply", Vec3f(0, 0, 0), Vec3f(3, 3, 3));
  std::string points;
  for (int i = 0; i < 400; ++i) points += std::to_string(i % 20 * 10) + " " + std::to_string(i / 20 * 10) + " 9e8\n";
  folder.put("wall.xyz", points);
  const std::string good = R"(
    { "id": "right", "file": "rods.step", "select": ["right"] },
    { "id": "wall", "file": "wall.xyz", "mm_per_unit": 1 },
    { "id": "small", "file": "small.ply", "mm_per_unit": 1 },
    { "id": "all", "file": "rods.step", "placement": { "yaw_deg": 20 } },
    { "id": "housing", "file": "housing.step", "drop_hidden": true },
    { "id": "bay", "file": "bay.ply", "mm_per_unit": 1 },
    { "id": "moved", "file": "bay.ply", "mm_per_unit": 1, "placement": { "roll_deg": 7 } })";
  const std::string bad = R"(,
    { "id": "a", "file": "rods.step", "select": ["roof"] }, { "id": "b", "file": "rods.step", "select": ["wall"] },
    { "id": "c", "file": "bay.ply", "mm_per_unit": 1, "select": ["x"] }, { "id": "d", "file": "torn.step" })";
  folder.put("torn.step", "ISO-10303-21;\nHEADER;\n");
  std::optional<job::Installation> first;
  std::vector<std::string> first_complaints;
  for (const std::size_t threads : {1U, 4U, 4U, 4U}) {
    const tbb::global_control limit(tbb::global_control::max_allowed_parallelism, threads);
    folder.put("job.json", "{ \"baywright_job\": 1, \"parts\": [" + good + bad + "] }");
    const auto lines = complaints(folder.path);
    folder.put("job.json", "{ \"baywright_job\": 1, \"parts\": [" + good + "] }");
    auto installation = opened(folder.path);
    if (!first) {
      CHECK(lines.size() == 4);
      first = std::move(installation);
      first_complaints = lines;
      continue;
    }
    CHECK(lines == first_complaints);
    CHECK(installation.warnings == first->warnings);
    REQUIRE(installation.bay.parts.size() == first->bay.parts.size());
    for (std::size_t i = 0; i < installation.bay.parts.size(); ++i) {
      const bay::Part &a = installation.bay.parts[i], &b = first->bay.parts[i];
      INFO(a.id.value);
      CHECK(a.color == b.color);
      CHECK(a.doubt == b.doubt);
      CHECK(a.encloses == b.encloses);
      CHECK(a.hidden == b.hidden);
      CHECK(a.content_hash == b.content_hash);
      if (a.mesh) {
        CHECK(a.mesh->triangles == b.mesh->triangles);
        CHECK(a.mesh->vertices == b.mesh->vertices);
        CHECK(a.mesh->chord_error_mm == b.mesh->chord_error_mm);
      }
      if (a.cloud) CHECK(a.cloud->points == b.cloud->points);
      CHECK(a.tree.bytes() == b.tree.bytes());
      CHECK(a.tree.bounds().lo == b.tree.bounds().lo);
    }
    for (std::size_t i = 0; i < installation.files.size(); ++i) {
      CHECK(installation.files[i].path == first->files[i].path);
      CHECK(installation.files[i].warnings == first->files[i].warnings);
    }
  }
}
