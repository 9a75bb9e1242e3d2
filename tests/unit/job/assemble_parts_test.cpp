#include "tests/unit/job/assemble_case.hpp"

using namespace baywright;
using namespace baywright::test::assemble;
using test::one_holds;

TEST_CASE("whether a mesh is a scan: as the job says, else as it looks") {
  const AssembleFolder folder("scanned");
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
    const bool told =
        one_holds(installation.warnings, "box: closed and with flat faces, so taken to be made of a model");
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
  const AssembleFolder folder("scanned_wrongly");
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
  const AssembleFolder folder("inward");
  TriMesh room = test::box_mesh(Vec3f(-500, -400, 0).cast<double>(), Vec3f(300, 400, 600).cast<double>());
  for (auto& t : room.triangles) std::swap(t[0], t[1]);
  REQUIRE(write_ply(folder.path / "room.ply", room).has_value());
  folder.put("job.json", R"({ "baywright_job": 1, "parts": [{ "id": "bay", "file": "room.ply", "mm_per_unit": 1 }] })");
  const auto installation = opened(folder.path);
  CHECK_FALSE(installation.bay.parts[0].encloses);
  CHECK(one_holds(installation.warnings, "uncertainty_mm of part bay is not stated"));
}

TEST_CASE("placement turns and shifts, and units scale") {
  const AssembleFolder folder("placement");
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
  const AssembleFolder folder("step");
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
  const AssembleFolder folder("cloud");
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

TEST_CASE("a size that makes no sense is doubted with the likely unit") {
  const AssembleFolder folder("metres");
  put_mesh(folder, "bay.ply", Vec3f(0, 0, 0), Vec3f(1.2F, 0.9F, 0.7F));
  folder.put(
      "job.json",
      R"({ "baywright_job": 1, "parts": [{ "id": "bay", "file": "bay.ply", "mm_per_unit": 1, "uncertainty_mm": 1 }] })");
  const auto installation = opened(folder.path);
  REQUIRE(installation.warnings.size() >= 1);
  // 1.2 mm are 0.0472 in, 1.2 m are 47.2 in.
  CHECK(one_holds(
      installation.warnings,
      "bay.ply: largest side is 1.2 mm (0.0472 in), which is too small for a vehicle bay; \"mm_per_unit\": 1000 (m) "
      "makes it 1200 mm (47.2 in); if it is right, say \"size_confirmed\": true"));

  put_mesh(folder, "bay.ply", Vec3f(0, 0, 0), Vec3f(1.2e6F, 0.9e6F, 0.7e6F));
  folder.put("job.json", R"({ "baywright_job": 1,
    "parts": [{ "id": "bay", "file": "bay.ply", "mm_per_unit": 1000, "uncertainty_mm": 1 }] })");
  // Twelve hundred million millimetres are 1 200 000 m or 3 937 008 ft.
  CHECK(one_holds(opened(folder.path).warnings, "largest side is 1200000 m (3940000 ft), which is too large"));
}

TEST_CASE("a part of an unlikely size or shape is doubted until the job confirms it") {
  const AssembleFolder folder("doubt");
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
  const AssembleFolder folder("unstated");
  put_mesh(folder, "bay.ply", Vec3f(-500, -400, 0), Vec3f(300, 400, 600));
  folder.put("job.json", R"({ "baywright_job": 1, "parts": [{ "id": "bay", "file": "bay.ply", "mm_per_unit": 1 }] })");
  CHECK(one_holds(opened(folder.path).warnings, "uncertainty_mm of part bay is not stated"));
  folder.put("job.json", R"({ "baywright_job": 1,
    "parts": [{ "id": "bay", "file": "bay.ply", "mm_per_unit": 1, "uncertainty_mm": 0 }] })");
  const auto zero = opened(folder.path);
  CHECK_FALSE(one_holds(zero.warnings, "is not stated"));
  CHECK(zero.bay.parts[0].uncertainty_mm == 0.0);
  CHECK(one_holds(zero.warnings, "the job has no duct"));
}

TEST_CASE("a part whose body is not stated is named where something moves") {
  const AssembleFolder folder("bodies");
  put_mesh(folder, "bay.ply", Vec3f(-500, -400, 0), Vec3f(300, 400, 600));
  const auto job = [](const std::string& motion, const std::string& body) {
    return R"({ "baywright_job": 1, "bodies": [{ "id": "engine")" + motion +
           R"( }], "parts": [{ "id": "bay", "file": "bay.ply", "mm_per_unit": 1, "uncertainty_mm": 1)" + body + " }] }";
  };
  const std::string moves = R"(, "motion": { "kind": "slide", "direction": [1, 0, 0], "to_mm": 10 })";
  folder.put("job.json", job(moves, ""));
  const auto unstated = opened(folder.path);
  CHECK(one_holds(unstated.warnings, "no body is stated for part bay"));
  CHECK(unstated.bay.parts[0].body == 0);
  folder.put("job.json", job(moves, R"(, "body": "vehicle")"));
  CHECK_FALSE(one_holds(opened(folder.path).warnings, "no body is stated"));
  folder.put("job.json", job("", ""));
  CHECK_FALSE(one_holds(opened(folder.path).warnings, "no body is stated"));
}

TEST_CASE("solids nobody sees from outside are left out where the job asks for it") {
  const AssembleFolder folder("hidden");
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
  CHECK(one_holds(opened(folder.path).warnings, "housing: 2 solids are not seen from outside and left out: \"" +
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
  CHECK(one_holds(complaints(folder.path), "/parts/0/drop_hidden (line 2): only STEP files have solids"));
}
