#include "tests/unit/job/assemble_case.hpp"

using namespace baywright;
using namespace baywright::test::assemble;
using test::one_holds;
namespace fs = std::filesystem;

TEST_CASE("no folder, no file, an empty bay") {
  const AssembleFolder folder("empty");
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
  const AssembleFolder folder("scan");
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
  CHECK(one_holds(installation.warnings, "motion is assumed"));
}

TEST_CASE("every error of a job and its files is reported at once, with lines") {
  const AssembleFolder folder("broken");
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
  CHECK(one_holds(lines, "job.json: /bodies/0/motion (line 3): slide: runs from 1.0 to 2.0; it must contain 0"));
  CHECK(one_holds(lines, "job.json: /parts/0/file (line 5): \"bai.ply\" is not there; did you mean \"bay.ply\"?"));
  CHECK(one_holds(lines,
                  "job.json: /parts/1/mm_per_unit (line 6): \"bay.ply\" does not state its unit; give mm_per_unit"));
  CHECK(one_holds(lines, "job.json: /parts/2/file (line 7): \"../bay.ply\" leads out of the job folder"));
  CHECK(one_holds(lines, "job.json: /parts/3/file (line 8): \"/etc/passwd\" is an absolute path"));
  CHECK(one_holds(lines, "torn.step: "));
  CHECK(one_holds(
      lines,
      "job.json: /parts/5/select/0 (line 10): \"rods.step\" has no shape \"lef\"; did you mean \"left\"? it has: "));
  CHECK(one_holds(lines, "job.json: /parts/5/select/2 (line 10): \"rods.step\" has no shape \"roof\""));
  CHECK(one_holds(lines, "job.json: /parts/6/mm_per_unit (line 11): is given for a STEP file"));
  CHECK(one_holds(lines, "job.json: /parts/7/select (line 12): only shapes in STEP files have names"));
  CHECK(one_holds(lines, "sheet.json: / (line 1): \"name\" is missing"));
  CHECK(lines.size() == 11);
}

TEST_CASE("a file that two parts are made of is complained about once, by its own name") {
  const AssembleFolder folder("torn");
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
  CHECK(one_holds(lines, "bought/torn.step: "));
  CHECK(one_holds(lines, "bought/torn.ply: "));
  CHECK_FALSE(one_holds(lines, "job.json"));
}

TEST_CASE("files from elsewhere need the user's leave, not the job's") {
  const AssembleFolder outside("outside");
  put_mesh(outside, "bay.ply", Vec3f(0, 0, 0), Vec3f(300, 300, 300));
  outside.put("sheet.json", job::default_sheet_text());
  const AssembleFolder folder("leave");
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
  CHECK(one_holds(allowed->warnings, "reads 2 files outside its folder, as --allow-dir permits"));
  const auto listed = [&](const auto& file) { return file.path == there; };
  CHECK(std::count_if(allowed->files.begin(), allowed->files.end(), listed) == 1);

  // Leave alone is enough; without wish and leave each place is complained of.
  folder.put("job.json", "{ \"baywright_job\": 1,\n" + rest);
  CHECK(job::open_job(folder.path, {}, leave).has_value());
  const auto each = complaints(folder.path);
  CHECK(each.size() == 2);
  CHECK(one_holds(each, "/parts/0/file (line 2): \"" + there + "\" is an absolute path"));
  CHECK(one_holds(each, "/sheet (line 2): \"../outside/sheet.json\" leads out of the job folder"));

  // Leave for a folder that is not there is a slip of the pen.
  const auto absent = job::open_job(folder.path, {}, {.allowed_folders = {outside.path / "absent"}});
  REQUIRE_FALSE(absent.has_value());
  CHECK(to_line(absent.error().front()).find("there is no such folder") != std::string::npos);
}

TEST_CASE("a model in several files: all are found, listed and hashed, and obey the rule of paths") {
  const fs::path model = fs::path(BAYWRIGHT_TEST_DATA) / "step" / "s1-c5-214";
  const AssembleFolder outside("model-outside");
  const AssembleFolder folder("model");
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
  CHECK(one_holds(without.warnings, "HEAD_BACK.stp"));
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
  CHECK(one_holds(lines, "\"HEAD.stp\" refers to \"HEAD_BACK.stp\", which is a link that leads out of the job folder"));
  CHECK(one_holds(lines, "--allow-dir " + fs::canonical(outside.path).string()));
  const auto allowed = job::open_job(folder.path, {}, {.allowed_folders = {outside.path}});
  REQUIRE(allowed.has_value());
  CHECK(one_holds(allowed->warnings, "reads 1 file outside its folder"));
}

TEST_CASE("a bore that hardly fits its outer diameter is questioned, an inch for a millimetre refused") {
  const AssembleFolder folder("bores");
  const auto job_with = [&](const std::string& bore, const std::string& outer) {
    folder.put("job.json", R"({ "baywright_job": 1, "ports": [{ "id": "p", "center_mm": [0, 0, 0], "axis": [1, 0, 0],
      "bore_mm": )" + bore + R"(, "outer_diameter_mm": )" +
                               outer + " }] }");
    return folder.path;
  };
  CHECK(one_holds(
      complaints(job_with("2.87", "76.2")),
      "job.json: /ports/0/bore_mm (line 2): is 2.87 mm in an outer diameter of 76.2 mm; if inches are meant, write "
      "\"2.87 in\""));
  CHECK(one_holds(complaints(job_with("0.073", "76.2")), "if metres are meant, write \"0.073 m\""));
  CHECK(one_holds(complaints(job_with("72.9", "3")), "if inches are meant, write \"3 in\" there"));
  CHECK(one_holds(complaints(job_with("80", "76.2")), "is not smaller than outer_diameter_mm"));
  // A wall of 30 mm round a bore of 16.2 mm can be, one of 20 round 36.2 is a thick one.
  CHECK(one_holds(opened(job_with("16.2", "76.2")).warnings,
                  "port p: a bore of 16.2 mm in an outer diameter of 76.2 mm leaves a wall of 30.0 mm"));
  CHECK_FALSE(one_holds(opened(job_with("36.2", "76.2")).warnings, "port p"));
}

TEST_CASE("ports are compared with the part they belong to") {
  const AssembleFolder folder("ports");
  put_mesh(folder, "box.ply", Vec3f(0, 0, 0), Vec3f(300, 300, 300));
  folder.put("job.json", R"({ "baywright_job": 1,
    "bodies": [{ "id": "engine" }],
    "parts": [{ "id": "box", "file": "box.ply", "mm_per_unit": 1, "uncertainty_mm": 1 }],
    "ports": [
      { "id": "near", "center_mm": [310, 150, 150], "axis": [1, 0, 0], "bore_mm": 60, "outer_diameter_mm": 64, "part": "box" },
      { "id": "far", "center_mm": [700, 150, 150], "axis": [1, 0, 0], "bore_mm": 60, "outer_diameter_mm": 64, "part": "box" }
    ] })");
  const auto installation = opened(folder.path);
  CHECK(one_holds(installation.warnings, "port far is 400.0 mm away from its part box"));
  CHECK_FALSE(one_holds(installation.warnings, "port near"));
}

TEST_CASE("a port that rides on another body than its part is an error") {
  const AssembleFolder folder("two-bodies");
  put_mesh(folder, "box.ply", Vec3f(0, 0, 0), Vec3f(300, 300, 300));
  folder.put("job.json", R"({ "baywright_job": 1,
    "bodies": [{ "id": "engine" }],
    "parts": [{ "id": "box", "file": "box.ply", "mm_per_unit": 1, "uncertainty_mm": 1, "body": "engine" }],
    "ports": [{ "id": "p", "center_mm": [310, 150, 150], "axis": [1, 0, 0], "bore_mm": 60, "outer_diameter_mm": 64,
                "part": "box" }] })");
  const auto lines = complaints(folder.path);
  REQUIRE(lines.size() == 1);
  CHECK(one_holds(lines, "/ports/0/body"));
  CHECK(one_holds(lines, "the port rides on vehicle, its part box on engine"));
}

TEST_CASE("hot parts of no class, second sensors and ports of two ducts are errors, each with its place") {
  const AssembleFolder folder("unseen");
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
  CHECK(one_holds(lines, "/parts/0/surface_temperature_C"));
  CHECK(one_holds(lines, "/ducts/0/fittings/1"));
  CHECK(one_holds(lines, "is already an end of duct \"one\""));
}

TEST_CASE("ducts that end on each other in a ring are refused; in any order otherwise") {
  const AssembleFolder folder("ring");
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
  CHECK(one_holds(complaints(folder.path), "ends on a duct that ends on this one"));
}

TEST_CASE("what has not changed is taken from the earlier installation") {
  const AssembleFolder folder("again");
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
  const AssembleFolder folder("stop");
  put_mesh(folder, "bay.ply", Vec3f(0, 0, 0), Vec3f(300, 300, 300));
  folder.put("job.json", R"({ "baywright_job": 1, "parts": [{ "id": "bay", "file": "bay.ply", "mm_per_unit": 1 }] })");
  const Progress progress([](std::string_view, double) {});
  progress.cancel();
  const auto installation = job::open_job(folder.path, progress);
  REQUIRE_FALSE(installation.has_value());
  REQUIRE(installation.error().size() == 1);
  CHECK(installation.error()[0].code == ErrorCode::cancelled);
}

TEST_CASE("what is read is stated in the units of the job") {
  const AssembleFolder folder("units");
  put_mesh(folder, "box.ply", Vec3f(0, 0, 0), Vec3f(300, 300, 300));
  folder.put("job.json", R"({ "baywright_job": 1, "units": { "length": "in" },
    "parts": [{ "id": "box", "file": "box.ply", "mm_per_unit": 1 }],
    "ports": [{ "id": "far", "center_mm": [700, 0, 0], "axis": [1, 0, 0], "bore_mm": 50, "outer_diameter_mm": 60,
                "part": "box" }] })");
  CHECK(one_holds(opened(folder.path).warnings, "port far is 15.748 in away from its part box"));  // 400 / 25.4
}

TEST_CASE("an installation is the same for any number of threads, complaints too") {
  const AssembleFolder folder("threads");
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
